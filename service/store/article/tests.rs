//! Checks of the table of articles.

use super::super::READER;
use super::super::sample::{Bench, article, found, instant, outcome, source};

#[tokio::test]
async fn an_article_is_read_back_as_it_was_distilled() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 3).await;
    let stored = bench.store.article(READER, entry).await.unwrap().unwrap();
    let expected = article("one");
    assert_eq!(stored.title, expected.title);
    assert_eq!(stored.authors, expected.authors);
    assert_eq!(stored.blocks, expected.blocks);
    assert_eq!(stored.links, expected.links);
    assert_eq!(
        (stored.words, stored.direction),
        (expected.words, expected.direction)
    );
    assert_eq!(stored.language, expected.language);
    assert_eq!((stored.entry, stored.published), (entry, instant(3)));
    assert_eq!(stored.feed_title, "a.example");
    assert_eq!(stored.address.as_deref(), Some("https://a.example/one"));
}

#[tokio::test]
async fn an_entry_without_an_article_is_stored_and_not_shown() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let mut bare = found("one", 1);
    bare.distilled = None;
    let saved = bench
        .store
        .save(feed, &outcome(2, vec![bare]))
        .await
        .unwrap();
    assert_eq!(saved.added, 1);
    assert!(bench.store.index(1, 0).await.unwrap().entries.is_empty());
    assert_eq!(bench.store.article(READER, 1).await.unwrap(), None);
    assert_eq!(
        bench
            .store
            .known_entries(feed, &["one"])
            .await
            .unwrap()
            .len(),
        1
    );
}

#[tokio::test]
async fn the_hash_changes_with_all_that_is_shown_and_only_then() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 3).await;
    let hash = async || {
        bench
            .store
            .article(READER, entry)
            .await
            .unwrap()
            .unwrap()
            .hash
    };
    let mut seen = vec![hash().await];
    bench.article(feed, "one", 3).await;
    assert_eq!(hash().await, seen[0]);
    bench.article(feed, "one", 2).await;
    seen.push(hash().await);
    let mut other = article("one");
    other.title = "Another".to_owned();
    bench.store.update_article(entry, &other, 1).await.unwrap();
    seen.push(hash().await);
    other.blocks.pop();
    bench.store.update_article(entry, &other, 1).await.unwrap();
    seen.push(hash().await);
    for (position, one) in seen.iter().enumerate() {
        assert!(
            !seen[..position].contains(one),
            "hash {position} came before"
        );
    }
}

#[tokio::test]
async fn old_sources_are_handed_out_in_batches_until_none_is_left() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    for name in ["one", "two", "three"] {
        bench.article(feed, name, 1).await;
    }
    let store = &bench.store;
    assert!(store.older_sources(1, 0, 9).await.unwrap().is_empty());
    assert_eq!(store.older_count(2).await.unwrap(), 3);
    let first = store.older_sources(2, 0, 2).await.unwrap();
    assert_eq!(first.len(), 2);
    assert_eq!(first[0].source, Some(source("one")));
    let second = store.older_sources(2, first[1].entry, 2).await.unwrap();
    assert_eq!(second.len(), 1);
    let mut better = article("three");
    better.words = 9;
    let entry = second[0].entry;
    store.update_article(entry, &better, 2).await.unwrap();
    assert_eq!(
        store.article(READER, entry).await.unwrap().unwrap().words,
        9
    );
    assert_eq!(store.older_count(2).await.unwrap(), 2);
}

#[tokio::test]
async fn a_source_that_cannot_be_read_is_told_apart() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    bench.article(feed, "one", 1).await;
    sqlx::query("UPDATE article SET source = x'00'")
        .execute(&bench.store.pool)
        .await
        .unwrap();
    assert_eq!(
        bench.store.older_sources(2, 0, 1).await.unwrap()[0].source,
        None
    );
}
