//! Checks of which entries have one text.

use super::super::READER;
use super::super::sample::{Bench, article, found, instant, outcome, source};
use super::super::{Distilled, FoundEntry};
use super::*;
use crate::distil::block::{Block, BlockKind, Run};
use crate::distil::language::Language;

/// A text of so many words of its own, `changed` of which are others than in its first form.
fn text(name: &str, words: usize, changed: usize) -> String {
    let word = |number: usize| {
        let edited = if number < changed { "new" } else { "" };
        format!("{name}{number}{edited}")
    };
    (0..words).map(word).collect::<Vec<_>>().join(" ")
}

/// An entry of that name, published on a day, with that text and a link of its own.
fn entry(name: &str, day: i64, text: &str) -> FoundEntry {
    let mut article = article(name);
    article.blocks = vec![Block {
        kind: BlockKind::Paragraph,
        runs: vec![Run {
            text: text.to_owned(),
            ..Run::default()
        }],
        language: Language::unknown(),
        direction: article.direction,
    }];
    article.words = crate::distil::plain::count_words(text);
    FoundEntry {
        fingerprint: Some(*blake3::hash(text.as_bytes()).as_bytes()),
        distilled: Some(Distilled::new(&article, &source(name), 1).unwrap()),
        ..found(name, day)
    }
}

/// Stores an entry of a feed, one at a time as feeds bring them.
async fn store(bench: &Bench, feed: i64, name: &str, day: i64, text: &str) -> i64 {
    let outcome = outcome(day, vec![entry(name, day, text)]);
    bench.store.save(feed, &outcome).await.unwrap();
    bench.entry(feed, name).await
}

async fn two_feeds(bench: &Bench) -> (i64, i64) {
    (
        bench.feed("https://a.example/f").await,
        bench.feed("https://b.example/f").await,
    )
}

/// The entries that the index shows, each with how many other feeds tell the same.
async fn shown(bench: &Bench) -> Vec<(i64, u32)> {
    let page = bench.store.index(READER, 0).await.unwrap();
    let rows = page.entries.iter();
    rows.map(|row| (row.entry, row.other_feeds)).collect()
}

#[tokio::test]
async fn near_identical_texts_of_two_feeds_are_one_row_and_the_newest_version_shows() {
    let bench = Bench::new().await;
    let (feed, other) = two_feeds(&bench).await;
    let first = store(&bench, feed, "one", 3, &text("w", 300, 0)).await;
    let second = store(&bench, other, "two", 4, &text("w", 300, 5)).await;
    let apart = store(&bench, other, "three", 1, &text("v", 300, 0)).await;
    assert_eq!(shown(&bench).await, [(second, 1), (apart, 0)]);
    let article = |entry| bench.store.article(READER, entry);
    let also_in = article(second).await.unwrap().unwrap().also_in;
    assert_eq!(also_in, ["a.example"]);
    assert_eq!(article(apart).await.unwrap().unwrap().also_in, [""; 0]);
    // An older version that its publisher changes later is the newest.
    store(&bench, feed, "one", 5, &text("w", 300, 6)).await;
    assert_eq!(shown(&bench).await[0], (first, 1));
    // What the reader has opened stays where it was found.
    let opened = bench.store.mark_opened(READER, second, instant(6));
    opened.await.unwrap();
    assert_eq!(shown(&bench).await, [(second, 1), (apart, 0)]);
    bench.unsubscribe("https://b.example/f").await;
    assert_eq!(shown(&bench).await, [(first, 0)]);
}

#[tokio::test]
async fn a_bulletin_that_changes_two_numbers_stays_apart_within_its_feed() {
    let bench = Bench::new().await;
    let (feed, other) = two_feeds(&bench).await;
    let bulletin = |day: usize| text("tide", 200, day);
    let mut own = Vec::new();
    for day in 1..4 {
        own.push(
            store(
                &bench,
                feed,
                &format!("own{day}"),
                2 * day,
                &bulletin(day as usize),
            )
            .await,
        );
    }
    own.reverse();
    let apart: Vec<(i64, u32)> = own.iter().map(|entry| (*entry, 0)).collect();
    assert_eq!(shown(&bench).await, apart);
    // Another feed that prints all of them is told with each.
    for day in 1..4 {
        let text = bulletin(day as usize);
        store(&bench, other, &format!("copy{day}"), 2 * day - 1, &text).await;
    }
    let told: Vec<(i64, u32)> = own.iter().map(|entry| (*entry, 1)).collect();
    assert_eq!(shown(&bench).await, told);
}

#[tokio::test]
async fn short_texts_and_other_texts_stay_apart() {
    let bench = Bench::new().await;
    let (feed, other) = two_feeds(&bench).await;
    for (name, words, changed) in [("short", 49, 0), ("long", 300, 60)] {
        store(&bench, feed, name, 2, &text(name, words, 0)).await;
        let copy = format!("copy of {name}");
        store(&bench, other, &copy, 2, &text(name, words, changed)).await;
    }
    assert_eq!(shown(&bench).await.len(), 4);
}

#[tokio::test]
async fn a_text_that_becomes_another_leaves_and_may_come_together_with_others() {
    let bench = Bench::new().await;
    let (feed, other) = two_feeds(&bench).await;
    let third = bench.feed("https://c.example/f").await;
    let first = store(&bench, feed, "one", 2, &text("w", 300, 0)).await;
    let second = store(&bench, other, "two", 2, &text("w", 300, 0)).await;
    store(&bench, third, "three", 2, &text("w", 300, 0)).await;
    let else_where = store(&bench, other, "four", 4, &text("v", 300, 0)).await;
    assert_eq!(shown(&bench).await, [(else_where, 0), (first, 2)]);
    // It has given the common text its number.
    store(&bench, feed, "one", 3, &text("v", 300, 0)).await;
    let names = sqlx::query_as::<_, (i64, Option<i64>)>("SELECT id, alike FROM entry ORDER BY id")
        .fetch_all(&bench.store.pool)
        .await
        .unwrap();
    let (one, two, three) = (names[0].1, names[1].1, names[2].1);
    assert_eq!((two, three), (Some(second), Some(second)));
    assert_eq!(one, names[3].1);
    assert_ne!(one, two);
    assert_eq!(shown(&bench).await, [(else_where, 1), (second, 1)]);
}

#[tokio::test]
async fn a_better_distiller_brings_texts_together_and_the_sweep_takes_likenesses_away() {
    let bench = Bench::new().await;
    let (feed, other) = two_feeds(&bench).await;
    let first = store(&bench, feed, "one", 2, &text("w", 300, 0)).await;
    let second = store(&bench, other, "two", 2, "A teaser.").await;
    assert_eq!(shown(&bench).await.len(), 2);
    let stored = bench.store.article(READER, first).await.unwrap().unwrap();
    let mut distilled = article("two");
    (distilled.blocks, distilled.words) = (stored.blocks, stored.words);
    let update = bench.store.update_article(second, &distilled, 2);
    update.await.unwrap();
    assert_eq!(shown(&bench).await.len(), 1);
    let both = [first, second];
    let sweep = bench.store.sweep_step(&both, instant(90));
    assert_eq!(sweep.await.unwrap(), 2);
    let left = sqlx::query_as::<_, (i64,)>(
        "SELECT (SELECT count(*) FROM likeness) + (SELECT count(*) FROM likeness_band)",
    );
    assert_eq!(left.fetch_one(&bench.store.pool).await.unwrap(), (0,));
}

/// Guards against an index that looks at a thousand entries for each of a thousand feeds that print one text.
#[tokio::test]
async fn a_text_has_so_many_entries_at_the_most() {
    let bench = Bench::new().await;
    for feed in 0..=MOST_ALIKE {
        let id = bench.feed(&format!("https://f{feed}.example/f")).await;
        store(&bench, id, &format!("n{feed}"), 2, &text("w", 100, 0)).await;
    }
    let mut others: Vec<u32> = shown(&bench).await.into_iter().map(|row| row.1).collect();
    others.sort_unstable();
    assert_eq!(others, [0, MOST_ALIKE as u32 - 1]);
}

/// Guards against a look-up that reads more than the entries of a band.
#[tokio::test]
async fn the_look_up_goes_by_bands() {
    let bench = Bench::new().await;
    let plan = format!("EXPLAIN QUERY PLAN {WITH_BAND}");
    let steps = sqlx::query_as::<_, (i64, i64, i64, String)>(sqlx::AssertSqlSafe(plan))
        .fetch_all(&bench.store.pool)
        .await
        .unwrap();
    let steps: Vec<String> = steps.into_iter().map(|step| step.3).collect();
    assert_eq!(
        steps[0], "SEARCH likeness_band USING PRIMARY KEY (band=?)",
        "{steps:#?}"
    );
    assert!(
        !steps
            .iter()
            .any(|step| step.starts_with("SCAN") || step.contains("TEMP B-TREE")),
        "{steps:#?}"
    );
}
