//! Checks of the pace, by readers whose pace is known.

use jiff::SignedDuration;

use super::super::sample::{Bench, article, found, instant, outcome, source};
use super::super::{Distilled, FoundEntry, READER};
use super::*;
use crate::distil::block::Run;
use crate::distil::language::Language;

/// Words a disc holds at ten lines, and a reader's second within them: numbers as if by chance (xorshift64, Marsaglia
/// 2003), the same in each run.
struct Chance(u64);

impl Chance {
    /// Evenly from 0 to 1.
    fn share(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % 1_000_003) as f64 / 1_000_003.0
    }
}

const WORD: &str = "harbour ";

/// An article of 150 blocks, each as long as a disc: 30 to 50 words.
async fn long_article(
    bench: &Bench,
    name: &str,
    tag: &str,
    chance: &mut Chance,
) -> (i64, Vec<u32>) {
    let feed = bench.feed(&format!("https://{name}.example/f")).await;
    let mut article = article(name);
    article.language = Language::parse(tag).unwrap();
    let words: Vec<u32> = (0..150)
        .map(|_| 30 + (20.0 * chance.share()) as u32)
        .collect();
    let block = article.blocks[0].clone();
    let blocks = words.iter().map(|words| Block {
        runs: vec![Run {
            text: WORD.repeat(*words as usize),
            ..Run::default()
        }],
        ..block.clone()
    });
    article.blocks = blocks.collect();
    let entry = FoundEntry {
        distilled: Some(Distilled::new(&article, &source(name), 1).unwrap()),
        ..found(name, 1)
    };
    bench
        .store
        .save(feed, &outcome(2, vec![entry]))
        .await
        .unwrap();
    (bench.entry(feed, name).await, words)
}

fn place(block: u32) -> Place {
    Place {
        block,
        character: 0,
    }
}

/// How many words of English are read in a minute.
async fn told(bench: &Bench) -> Option<f64> {
    let pace = bench.store.pace(READER).await.unwrap();
    pace.map(|pace| 238.0 * pace.ratio())
}

#[tokio::test]
async fn a_readers_pace_is_found_within_a_tenth_though_every_fourth_disc_is_a_pause_or_is_passed_over()
 {
    for (seed, words_a_minute) in [(7, 120.0), (8, 190.0), (9, 238.0), (10, 420.0)] {
        let bench = Bench::new().await;
        let mut chance = Chance(seed);
        let (entry, words) = long_article(&bench, "long", "en", &mut chance).await;
        let mut now = instant(3);
        for block in 0..100 {
            bench
                .store
                .note_reading(READER, entry, place(block), now)
                .await
                .unwrap();
            let reads = f64::from(words[block as usize]) * 60.0 / words_a_minute;
            let seconds = match (chance.share(), chance.share()) {
                // A pause of up to ten minutes, or a flick.
                (share, length) if share < 0.125 => reads + 600.0 * length,
                (share, length) if share < 0.25 => 0.5 + length,
                // Each disc is read up to a third faster or slower.
                (_, length) => reads * (0.75 + 0.5 * length),
            };
            now += SignedDuration::from_secs_f64(seconds);
        }
        let found = told(&bench).await.unwrap();
        let error = (found / words_a_minute - 1.0).abs();
        assert!(error < 0.1, "{words_a_minute}: {found}");
    }
}

#[tokio::test]
async fn the_pace_is_told_once_enough_was_read_and_goes_when_it_is_forgotten() {
    let bench = Bench::new().await;
    let mut chance = Chance(7);
    let (entry, words) = long_article(&bench, "long", "en", &mut chance).await;
    let mut now = instant(3);
    for block in 0..=22 {
        let known = told(&bench).await.is_some();
        assert_eq!(known, block > 21, "{block}");
        bench
            .store
            .note_reading(READER, entry, place(block), now)
            .await
            .unwrap();
        now += SignedDuration::from_secs_f64(f64::from(words[block as usize]) * 60.0 / 200.0);
    }
    assert!((told(&bench).await.unwrap() - 200.0).abs() < 0.1);
    assert_eq!(bench.store.pace(2).await.unwrap(), None);
    bench.store.forget_pace(READER).await.unwrap();
    assert_eq!(told(&bench).await, None);
    let left = sqlx::query_as::<_, (i64,)>(
        "SELECT (SELECT count(*) FROM stretch) + (SELECT count(*) FROM reading)",
    );
    assert_eq!(left.fetch_one(&bench.store.pool).await.unwrap().0, 0);
}

#[tokio::test]
async fn who_reads_faster_from_now_on_has_another_pace_and_no_more_is_kept_than_needed() {
    let bench = Bench::new().await;
    let mut chance = Chance(7);
    let (entry, words) = long_article(&bench, "long", "de", &mut chance).await;
    let mut now = instant(3);
    // German is read at 186.9 words a minute by the study: 179 aloud times 238/228.
    for block in 0..150 {
        let words_a_minute = 186.86 * if block < 75 { 0.8 } else { 1.6 };
        bench
            .store
            .note_reading(READER, entry, place(block), now)
            .await
            .unwrap();
        now +=
            SignedDuration::from_secs_f64(f64::from(words[block as usize]) * 60.0 / words_a_minute);
    }
    let pace = bench.store.pace(READER).await.unwrap().unwrap().ratio();
    assert!((pace - 1.6).abs() < 0.01, "{pace}");
    let kept = sqlx::query_as::<_, (u32,)>("SELECT count(*) FROM stretch");
    assert_eq!(
        kept.fetch_one(&bench.store.pool).await.unwrap().0,
        STRETCHES_KEPT
    );
}

#[tokio::test]
async fn turning_back_another_article_and_what_is_no_text_make_no_stretch() {
    let bench = Bench::new().await;
    let mut chance = Chance(7);
    let (one, _) = long_article(&bench, "one", "en", &mut chance).await;
    let (other, _) = long_article(&bench, "other", "en", &mut chance).await;
    let mut now = instant(3);
    let shown = [
        (one, 5),
        (one, 4),
        (other, 5),
        (one, 6),
        (one, 7),
        (one, 7),
        (77, 8),
        (one, 8),
    ];
    for (entry, block) in shown {
        bench
            .store
            .note_reading(READER, entry, place(block), now)
            .await
            .unwrap();
        now += SignedDuration::from_secs(10);
    }
    let kept = sqlx::query_as::<_, (u32,)>("SELECT count(*) FROM stretch");
    // From 6 to 7 and from the second 7 to 8: an entry that there is not changes nothing.
    assert_eq!(kept.fetch_one(&bench.store.pool).await.unwrap().0, 2);
}

#[test]
fn words_are_counted_from_one_place_to_another() {
    let mut block = article("one").blocks[0].clone();
    block.runs[0].text = "The ferry is late.".to_owned();
    let blocks = vec![block; 3];
    let at = |block, character| Place { block, character };
    assert_eq!(words_between(&blocks, at(0, 0)..at(0, 4)), 1);
    assert_eq!(words_between(&blocks, at(0, 4)..at(1, 9)), 5);
    assert_eq!(words_between(&blocks, at(0, 4)..at(2, 9)), 9);
    assert_eq!(words_between(&blocks, at(2, 0)..at(9, 9)), 4);
}
