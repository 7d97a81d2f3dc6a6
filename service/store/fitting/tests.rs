//! Checks of which articles are offered for a time, and in which order.

use std::ops::RangeInclusive;

use proptest::prelude::*;

use super::super::sample::{Bench, article, found, instant, outcome, source};
use super::super::{Distilled, FoundEntry, READER};
use super::*;
use crate::distil::language::Language;

/// What is offered to who has three minutes.
const THREE: [RangeInclusive<u32>; 2] = [2..=3, 0..=1];

/// An entry of a day with an article of so many words of a language.
fn long(name: &str, day: i64, words: u32, tag: &str) -> FoundEntry {
    let mut article = article(name);
    article.words = words;
    article.language = Language::parse(tag).unwrap();
    FoundEntry {
        distilled: Some(Distilled::new(&article, &source(name), 1).unwrap()),
        ..found(name, day)
    }
}

/// The names of what is offered.
async fn offered(bench: &Bench, pace: Pace, times: &[RangeInclusive<u32>]) -> Vec<String> {
    let page = bench.store.fitting(READER, pace, times, 0).await.unwrap();
    let title = |title: String| title.trim_start_matches("Title of ").to_owned();
    page.entries
        .into_iter()
        .map(|entry| title(entry.title))
        .collect()
}

// 238 words of English a minute (Brysbaert 2019); German 179 aloud where English has 228 (Trauzettel-Klosinski and Dietz
// 2012), so 560 in three minutes.
#[tokio::test]
async fn what_fills_the_time_comes_first_and_then_what_is_shorter_the_newest_first_in_each() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entries = vec![
        long("note", 9, 238, "en"),
        long("piece", 8, 239, "en-gb"),
        long("essay", 7, 715, "en"),
        long("story", 6, 714, "en"),
        long("brief", 5, 0, "und"),
        long("sage", 4, 560, "de-at"),
        long("roman", 3, 561, "de"),
    ];
    bench.store.save(feed, &outcome(20, entries)).await.unwrap();
    let published = Pace::PUBLISHED;
    let three = offered(&bench, published, &THREE).await;
    assert_eq!(three, ["piece", "story", "sage", "note", "brief"]);
    let one = offered(&bench, published, &[0..=1]).await;
    assert_eq!(one, ["note", "brief"]);
    let eight = offered(&bench, published, &[4..=8]).await;
    assert_eq!(eight, ["essay", "roman"]);
    // Who reads half as fast has less in the same time.
    let slow = Pace::times(0.5).unwrap();
    assert_eq!(
        offered(&bench, slow, &THREE).await,
        ["note", "piece", "brief"]
    );
}

#[tokio::test]
async fn what_was_read_or_seen_or_is_hidden_or_told_elsewhere_is_not_offered() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let names = ["opened", "seen", "unread"];
    for (day, name) in (1..).zip(names) {
        let entries = vec![long(name, day, 100, "en")];
        bench.store.save(feed, &outcome(20, entries)).await.unwrap();
    }
    let opened = bench.entry(feed, "opened").await;
    let seen = bench.entry(feed, "seen").await;
    let offers = || offered(&bench, Pace::PUBLISHED, &[0..=1]);
    assert_eq!(offers().await, ["unread", "seen", "opened"]);
    bench
        .store
        .mark_opened(READER, opened, instant(21))
        .await
        .unwrap();
    assert_eq!(offers().await, ["unread", "seen"]);
    bench.store.mark_seen(READER, None, seen).await.unwrap();
    assert_eq!(offers().await, ["unread"]);
    // Another feed links to the same page: one of the two is listed.
    let other = bench.feed("https://b.example/f").await;
    let entries = vec![long("unread", 3, 130, "en")];
    bench
        .store
        .save(other, &outcome(20, entries))
        .await
        .unwrap();
    assert_eq!(offers().await, ["unread"]);
    bench.unsubscribe("https://a.example/f").await;
    bench.unsubscribe("https://b.example/f").await;
    assert_eq!(offers().await, [""; 0]);
}

#[tokio::test]
async fn pages_go_on_over_the_end_of_a_time_and_show_each_entry_once() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = |number: i64| {
        let words = if number % 2 == 0 { 100 } else { 600 };
        long(&format!("{number}"), number, words, "en")
    };
    let entries = (0..60).map(entry).collect();
    bench.store.save(feed, &outcome(90, entries)).await.unwrap();
    let (mut listed, mut more) = (Vec::new(), Vec::new());
    for page in 0..4 {
        let page = bench
            .store
            .fitting(READER, Pace::PUBLISHED, &THREE, page)
            .await
            .unwrap();
        more.push(page.has_more);
        listed.extend(
            page.entries
                .into_iter()
                .map(|entry| (entry.words, entry.published)),
        );
    }
    assert_eq!(more, [true, true, false, false]);
    let filling = (0..30).map(|place| (600, instant(59 - 2 * place)));
    let shorter = (0..30).map(|place| (100, instant(58 - 2 * place)));
    assert_eq!(listed, filling.chain(shorter).collect::<Vec<_>>());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    // Told again in Rust, article by article, by the minutes that its row shows.
    #[test]
    fn whatever_is_unread_and_fits_is_offered_and_nothing_else(
        lengths in prop::collection::vec((0_u32..2_500, 0_usize..5), 1..24),
        ratio in 0.25..4.0_f64,
        time in 0_usize..3,
    ) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let bench = Bench::new().await;
            let feed = bench.feed("https://a.example/f").await;
            let tags = ["en-gb", "de", "zh-hant", "cy", "yue"];
            let entries: Vec<FoundEntry> = (0..).zip(&lengths)
                .map(|(day, (words, tag))| long(&format!("{day}"), day, *words, tags[*tag]))
                .collect();
            bench.store.save(feed, &outcome(90, entries)).await.unwrap();
            let pace = Pace::times(ratio).unwrap();
            let most = [1, 3, 8][time];
            let mut expected: Vec<String> = Vec::new();
            for (day, (words, tag)) in lengths.iter().enumerate().rev() {
                if pace.minutes(*words, &Language::parse(tags[*tag]).unwrap()) <= most {
                    expected.push(format!("{day}"));
                }
            }
            assert_eq!(offered(&bench, pace, &[0..=most]).await, expected);
        });
    }
}
