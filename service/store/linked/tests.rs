//! Checks of the pages to which links lead.

use super::super::sample::{Bench, found, instant, outcome};
use super::super::{READER, Room};
use super::*;
use crate::store::sample;

fn url(address: &str) -> Url {
    address.parse().unwrap()
}

fn page(asked: &str, found: &str) -> LinkedPage {
    LinkedPage {
        asked: url(asked),
        found: url(found),
        published: None,
        distilled: Distilled::new(&sample::article("page"), &sample::source("page"), 1).unwrap(),
    }
}

async fn at(bench: &Bench, address: &str) -> Option<i64> {
    bench.store.page_at(&url(address)).await.unwrap()
}

#[tokio::test]
async fn only_the_links_of_a_stored_article_are_found_by_their_numbers() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 1).await;
    let link = bench.store.link(entry, 1).await.unwrap().unwrap();
    assert_eq!(link.link.address, "https://example.org/");
    assert_eq!(link.of_feed, "https://a.example/f");
    for (entry, number) in [(entry, 0), (entry, 2), (entry, usize::MAX), (entry + 1, 1)] {
        assert_eq!(bench.store.link(entry, number).await.unwrap(), None);
    }
}

#[tokio::test]
async fn a_fetched_page_is_found_by_what_was_asked_and_by_where_it_was_and_stands_in_no_index() {
    let bench = Bench::new().await;
    let (asked, found) = ("https://short.example/a1", "https://quay.example/bridge");
    assert_eq!(at(&bench, asked).await, None);
    let entry = bench
        .store
        .save_page(&page(asked, found), instant(3))
        .await
        .unwrap();
    for address in [
        asked,
        found,
        "http://quay.example/bridge?utm_source=feed",
        "https://quay.example/bridge#part-2",
        "https://short.example/a1#top",
    ] {
        assert_eq!(at(&bench, address).await, Some(entry), "{address}");
    }
    assert_eq!(at(&bench, "https://quay.example/other").await, None);
    let article = bench.store.article(READER, entry).await.unwrap().unwrap();
    assert_eq!(article.feed_title, "quay.example");
    assert_eq!(article.address.as_deref(), Some(found));
    assert!(
        bench
            .store
            .index(READER, 0)
            .await
            .unwrap()
            .entries
            .is_empty()
    );
    let counts = bench.store.counts(READER).await.unwrap();
    assert_eq!((counts.feeds, counts.articles, counts.unopened), (0, 0, 0));
    assert!(bench.store.scheduled_feeds().await.unwrap().is_empty());
    let link = bench.store.link(entry, 1).await.unwrap().unwrap();
    assert_eq!(link.of_feed, "site://quay.example");
}

#[tokio::test]
async fn two_links_to_one_page_are_one_entry() {
    let bench = Bench::new().await;
    let found = "https://quay.example/bridge";
    let mut entries = Vec::new();
    for asked in [
        "https://short.example/a1",
        "https://short.example/a2",
        found,
    ] {
        let page = page(asked, found);
        entries.push(bench.store.save_page(&page, instant(3)).await.unwrap());
    }
    assert_eq!(entries, [entries[0]; 3]);
    assert_eq!(
        at(&bench, "https://short.example/a2").await,
        Some(entries[0])
    );
}

#[tokio::test]
async fn the_page_of_a_feeds_entry_is_that_entry_unless_it_has_many_stories() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 1).await;
    assert_eq!(at(&bench, "https://a.example/one").await, Some(entry));
    let mut other = found("two", 2);
    other.link = Some("https://a.example/one".to_owned());
    let outcome = outcome(2, vec![other]);
    bench.store.save(feed, &outcome).await.unwrap();
    assert_eq!(at(&bench, "https://a.example/one").await, None);
    let page = page("https://a.example/one", "https://a.example/one");
    let fetched = bench.store.save_page(&page, instant(3)).await.unwrap();
    assert_eq!(at(&bench, "https://a.example/one").await, Some(fetched));
    assert_eq!(
        bench.store.index(READER, 0).await.unwrap().entries.len(),
        2,
        "the entries of the feed stand apart as before"
    );
}

#[tokio::test]
async fn a_fetched_page_is_swept_as_any_entry_and_can_be_fetched_again() {
    let bench = Bench::new().await;
    let (asked, found) = ("https://short.example/a1", "https://quay.example/bridge");
    let page = page(asked, found);
    let entry = bench.store.save_page(&page, instant(3)).await.unwrap();
    bench
        .store
        .mark_opened(READER, entry, instant(3))
        .await
        .unwrap();
    let room = Room {
        entries: None,
        seen_since: Some(instant(90)),
    };
    let stocks = bench.store.stocks().await.unwrap();
    let site = stocks
        .iter()
        .find(|stock| stock.address == "site://quay.example")
        .unwrap();
    let beyond = |day| bench.store.beyond_feed(site.feed, room, instant(day));
    assert_eq!(beyond(20).await.unwrap(), [0; 0], "it was opened lately");
    assert_eq!(beyond(100).await.unwrap(), [entry]);
    let swept = bench.store.sweep_step(&[entry], instant(100)).await;
    assert_eq!(swept.unwrap(), 1);
    assert_eq!(at(&bench, asked).await, None);
    let again = bench.store.save_page(&page, instant(101)).await.unwrap();
    assert!(again > entry, "ids are never given again");
    assert_eq!(at(&bench, asked).await, Some(again));
}
