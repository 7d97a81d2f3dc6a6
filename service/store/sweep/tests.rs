//! What is swept and what is spared, what stays of it, and what the file on the disk does.

use std::future::Future;
use std::path::Path;
use std::task::Poll;

use super::super::open::look;
use super::super::sample::{Bench, article, found, instant, outcome, source};
use super::super::{DATABASE_NAME, Distilled, FoundEntry, READER};
use super::*;
use crate::distil::Article;

/// Room for the newest few.
fn newest(entries: u32) -> Room {
    Room {
        entries: Some(entries),
        seen_since: None,
    }
}

/// Room for what was first seen on a day or later.
fn since(day: i64) -> Room {
    Room {
        entries: None,
        seen_since: Some(instant(day)),
    }
}

/// Sweeps a feed on a day, in as many steps as it takes.
async fn sweep(bench: &Bench, feed: i64, room: Room, day: i64) -> u64 {
    let now = instant(day);
    let beyond = bench.store.beyond_feed(feed, room, now).await.unwrap();
    take_away(&bench.store, &beyond, now).await
}

async fn take_away(store: &Store, entries: &[i64], now: Timestamp) -> u64 {
    let mut swept = 0;
    for step in entries.chunks(ENTRIES_A_STEP) {
        swept += store.sweep_step(step, now).await.unwrap();
    }
    swept
}

/// A feed with an article of each of these days, dated so and named after it.
async fn feed_of_days(bench: &Bench, address: &str, days: &[i64]) -> i64 {
    let feed = bench.feed(address).await;
    for day in days {
        bench.article(feed, &day.to_string(), *day).await;
    }
    feed
}

/// The articles that are left, the newest first, by their names.
async fn left(bench: &Bench) -> Vec<String> {
    let page = bench.store.index(READER, 0).await.unwrap();
    let titles = page.entries.into_iter().map(|entry| entry.title);
    titles
        .map(|title| title.trim_start_matches("Title of ").to_owned())
        .collect()
}

async fn count(store: &Store, query: &'static str) -> i64 {
    sqlx::query_as::<_, (i64,)>(query)
        .fetch_one(&store.pool)
        .await
        .unwrap()
        .0
}

/// Where the file lies.
async fn database(store: &Store) -> String {
    let (file,) = sqlx::query_as::<_, (String,)>("SELECT file FROM pragma_database_list")
        .fetch_one(&store.pool)
        .await
        .unwrap();
    file
}

/// SQLite finds no fault in the file, and what was swept has neither article nor mark.
async fn check_whole(store: &Store) {
    // By a connection of its own: unlike a search, FTS5's part of the check (3.51.3) goes by what its connection knows
    // of the index from before, and takes what another has merged since for lost.
    let mut connection = look(Path::new(&database(store).await)).await.unwrap();
    let (verdict,) = sqlx::query_as::<_, (String,)>("PRAGMA integrity_check")
        .fetch_one(&mut connection)
        .await
        .unwrap();
    assert_eq!(verdict, "ok");
    let faults = sqlx::query("PRAGMA foreign_key_check")
        .fetch_all(&mut connection)
        .await
        .unwrap();
    assert_eq!(faults.len(), 0);
    let remains = "SELECT count(*) FROM entry WHERE swept IS NOT NULL
                   AND (id IN (SELECT entry FROM article) OR id IN (SELECT entry FROM mark))";
    assert_eq!(count(store, remains).await, 0);
    let lost = "SELECT count(*) FROM entry
                WHERE swept IS NULL AND id NOT IN (SELECT entry FROM article)";
    assert_eq!(count(store, lost).await, 0);
}

#[tokio::test]
async fn of_a_feed_the_newest_by_date_stay() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[3, 1, 5, 2, 4]).await;
    feed_of_days(&bench, "https://b.example/f", &[0]).await;
    assert_eq!(sweep(&bench, feed, newest(2), 6).await, 3);
    assert_eq!(left(&bench).await, ["5", "4", "0"]);
    assert_eq!(sweep(&bench, feed, newest(2), 6).await, 0);
    check_whole(&bench.store).await;
}

#[tokio::test]
async fn an_age_counts_from_when_an_entry_was_first_seen() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[40, 45]).await;
    let late = outcome(50, vec![found("old news", 1)]);
    bench.store.save(feed, &late).await.unwrap();
    assert_eq!(sweep(&bench, feed, since(45), 51).await, 1);
    assert_eq!(left(&bench).await, ["45", "old news"]);
}

#[tokio::test]
async fn what_is_too_old_takes_no_place_of_what_is_not() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[10, 11]).await;
    let late = outcome(50, vec![found("old news", 1)]);
    bench.store.save(feed, &late).await.unwrap();
    let room = Room {
        entries: Some(1),
        ..since(45)
    };
    assert_eq!(sweep(&bench, feed, room, 51).await, 2);
    assert_eq!(left(&bench).await, ["old news"]);
}

#[tokio::test]
async fn without_limits_nothing_goes() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[1, 2]).await;
    let room = Room {
        entries: None,
        seen_since: None,
    };
    assert_eq!(sweep(&bench, feed, room, 90_000).await, 0);
}

#[tokio::test]
async fn what_any_reader_keeps_is_spared_and_takes_no_place() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[3, 4, 5, 6]).await;
    let first = bench.article(feed, "first", 1).await;
    let second = bench.article(feed, "second", 2).await;
    let now = instant(7);
    bench.store.keep(READER, first, Some(now)).await.unwrap();
    bench.store.keep(2, second, Some(now)).await.unwrap();
    let both = Room {
        entries: Some(2),
        ..since(4)
    };
    assert_eq!(sweep(&bench, feed, both, 100).await, 2);
    assert_eq!(left(&bench).await, ["6", "5", "second", "first"]);
    // What is let go has no privilege any more.
    bench.store.keep(READER, first, None).await.unwrap();
    assert_eq!(sweep(&bench, feed, both, 100).await, 1);
    assert_eq!(left(&bench).await, ["6", "5", "second"]);
}

#[tokio::test]
async fn what_was_opened_within_thirty_days_is_spared() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[9]).await;
    let entry = bench.article(feed, "begun", 1).await;
    let store = &bench.store;
    for day in [2, 10] {
        store
            .mark_opened(READER, entry, instant(day))
            .await
            .unwrap();
    }
    assert_eq!(sweep(&bench, feed, newest(1), 40).await, 0);
    assert_eq!(sweep(&bench, feed, newest(1), 41).await, 1);
    assert_eq!(left(&bench).await, ["9"]);
    check_whole(store).await;
}

#[tokio::test]
async fn what_was_opened_of_a_story_stays_opened_where_another_feed_tells_it() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[1]).await;
    // The same page, since the link is made of the name.
    let other = feed_of_days(&bench, "https://b.example/f", &[1]).await;
    let store = &bench.store;
    let shown = async || {
        let page = store.index(READER, 0).await.unwrap();
        let rows = page.entries.into_iter();
        let rows: Vec<(i64, bool)> = rows.map(|row| (row.entry, row.read)).collect();
        rows
    };
    let first = shown().await[0].0;
    store.mark_opened(READER, first, instant(2)).await.unwrap();
    assert_eq!(shown().await, [(first, true)]);
    assert_eq!(sweep(&bench, feed, since(40), 60).await, 1);
    let left = shown().await;
    assert_eq!((left.len(), left[0].1), (1, true));
    assert_ne!(left[0].0, first);
    assert_eq!(sweep(&bench, other, since(40), 60).await, 1);
    check_whole(store).await;
}

#[tokio::test]
async fn what_is_kept_while_a_sweep_goes_on_is_spared() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[1, 2, 3]).await;
    let store = &bench.store;
    let now = instant(4);
    let beyond = store.beyond_feed(feed, newest(1), now).await.unwrap();
    store.keep(READER, beyond[0], Some(now)).await.unwrap();
    store.mark_opened(READER, beyond[1], now).await.unwrap();
    assert_eq!(take_away(store, &beyond, now).await, 0);
    assert_eq!(left(&bench).await.len(), 3);
}

#[tokio::test]
async fn of_all_feeds_the_newest_by_date_stay() {
    let bench = Bench::new().await;
    feed_of_days(&bench, "https://a.example/f", &[1, 4, 5]).await;
    feed_of_days(&bench, "https://b.example/f", &[2, 3, 6]).await;
    let kept = bench.article(1, "kept", 0).await;
    let store = &bench.store;
    store.keep(READER, kept, Some(instant(6))).await.unwrap();
    let beyond = store.beyond_all(3, instant(7)).await.unwrap();
    assert_eq!(take_away(store, &beyond[..1], instant(7)).await, 1);
    assert_eq!(left(&bench).await, ["6", "5", "4", "3", "2", "kept"]);
    assert_eq!(take_away(store, &beyond, instant(7)).await, 2);
    assert_eq!(left(&bench).await, ["6", "5", "4", "kept"]);
    assert_eq!(store.beyond_all(3, instant(7)).await.unwrap(), [0_i64; 0]);
    check_whole(store).await;
}

#[tokio::test]
async fn a_step_takes_no_more_than_its_number() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entries = (0..ENTRIES_A_STEP + 9).map(|number| found(&number.to_string(), 1));
    let read = outcome(2, entries.collect());
    bench.store.save(feed, &read).await.unwrap();
    let beyond = bench.store.beyond_feed(feed, newest(1), instant(3)).await;
    let beyond = beyond.unwrap();
    assert_eq!(beyond.len(), ENTRIES_A_STEP + 8);
    let swept = bench.store.sweep_step(&beyond, instant(3)).await.unwrap();
    assert_eq!(swept, ENTRIES_A_STEP as u64);
    let articles = "SELECT count(*) FROM article";
    assert_eq!(count(&bench.store, articles).await, 9);
    check_whole(&bench.store).await;
}

#[tokio::test]
async fn a_swept_entry_neither_comes_back_nor_takes_a_mark() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[2, 3]).await;
    let entry = bench.article(feed, "1", 1).await;
    let store = &bench.store;
    assert_eq!(sweep(&bench, feed, newest(2), 4).await, 1);
    assert!(store.article(READER, entry).await.unwrap().is_none());
    let known = store.known_entries(feed, &["1", "2"]).await.unwrap();
    assert!(known["1"].swept && !known["2"].swept);
    // A visit that began before the sweep stores it once more, edited.
    let edited = FoundEntry {
        fingerprint: Some([7; 32]),
        ..found("1", 1)
    };
    let saved = store.save(feed, &outcome(5, vec![edited])).await.unwrap();
    assert_eq!((saved.added, saved.changed), (0, 0));
    // A watch has its page open still.
    store.mark_opened(READER, entry, instant(5)).await.unwrap();
    let now = Some(instant(5));
    store.keep(READER, entry, now).await.unwrap();
    assert_eq!(store.mark(READER, entry).await.unwrap().kept, None);
    assert_eq!(left(&bench).await, ["3", "2"]);
    check_whole(store).await;
}

#[tokio::test]
async fn a_remainder_goes_a_month_after_the_sweep_once_its_feed_drops_it() {
    let bench = Bench::new().await;
    let days = [1, 2, 3];
    let feed = feed_of_days(&bench, "https://a.example/f", &days).await;
    let other = feed_of_days(&bench, "https://b.example/f", &days).await;
    for feed in [feed, other] {
        assert_eq!(sweep(&bench, feed, newest(1), 4).await, 2);
    }
    let store = &bench.store;
    let forget = async |listed: &[&str], day| {
        let forgotten = store.forget_swept(feed, listed, instant(day)).await;
        forgotten.unwrap()
    };
    assert_eq!(forget(&[], 33).await, 0, "not for a month");
    let before = bench.data_version().await;
    assert_eq!(forget(&["1", "2", "3"], 34).await, 0, "all are listed");
    assert_eq!(bench.data_version().await, before, "nothing was written");
    assert_eq!(forget(&["3", "2"], 34).await, 1);
    assert_eq!(forget(&[], 34).await, 1);
    assert_eq!(forget(&[], 34).await, 0, "what was not swept stays");
    assert_eq!(left(&bench).await, ["3"], "both feeds link to its page");
    let remainders = "SELECT count(*) FROM entry WHERE swept IS NOT NULL";
    assert_eq!(count(store, remainders).await, 2, "those of the other feed");
    // What its feed lists anew after that is new.
    let saved = store.save(feed, &outcome(35, vec![found("1", 1)])).await;
    assert_eq!(saved.unwrap().added, 1);
    check_whole(store).await;
}

#[tokio::test]
async fn what_there_is_of_a_feed_tells_whether_it_may_be_too_much() {
    let bench = Bench::new().await;
    let feed = feed_of_days(&bench, "https://a.example/f", &[1, 2]).await;
    let bare = bench.feed("https://b.example/f").await;
    // Feeds that the config no longer names are among them.
    bench.store.subscribe(&[], instant(2)).await.unwrap();
    let stocks = bench.store.stocks().await.unwrap();
    let feeds: Vec<i64> = stocks.iter().map(|stock| stock.feed).collect();
    assert_eq!(feeds, [feed, bare]);
    assert_eq!(stocks[0].address, "https://a.example/f");
    let room = |entries, day: Option<i64>| Room {
        entries,
        seen_since: day.map(instant),
    };
    for (room, expected) in [
        (room(None, None), false),
        (room(Some(2), None), false),
        (room(Some(1), None), true),
        (room(None, Some(1)), false),
        (room(None, Some(300)), true),
    ] {
        assert_eq!(stocks[0].may_exceed(room), expected, "{room:?}");
        assert!(!stocks[1].may_exceed(room), "{room:?}");
    }
    bench
        .store
        .sweep_step(&[bench.entry(feed, "1").await], instant(200))
        .await
        .unwrap();
    let stocks = bench.store.stocks().await.unwrap();
    assert!(
        !stocks[0].may_exceed(room(Some(1), None)),
        "what was swept counts no more"
    );
}

/// Polls a future so many times at the most, then drops it.
async fn polled<F: Future>(future: F, times: usize) -> Option<F::Output> {
    let mut future = Box::pin(future);
    let mut left = times;
    std::future::poll_fn(move |context| match future.as_mut().poll(context) {
        Poll::Ready(output) => Poll::Ready(Some(output)),
        Poll::Pending if left == 0 => Poll::Ready(None),
        Poll::Pending => {
            left -= 1;
            Poll::Pending
        }
    })
    .await
}

#[tokio::test]
async fn a_sweep_that_is_broken_off_anywhere_leaves_a_whole_database() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let store = &bench.store;
    let (mut polls, mut broken_off, mut rounds) = (0, 0, 0);
    loop {
        let names: Vec<String> = (0..6)
            .map(|number| format!("{rounds} {polls} {number}"))
            .collect();
        let entries = names.iter().map(|name| found(name, 1)).collect();
        store.save(feed, &outcome(2, entries)).await.unwrap();
        let now = instant(3);
        let beyond = store.beyond_feed(feed, newest(1), now).await.unwrap();
        let steps = async {
            for step in beyond.chunks(2) {
                store.sweep_step(step, now).await.unwrap();
            }
            store.free_step().await.unwrap();
            store.shrink_file().await.unwrap();
        };
        let done = polled(steps, polls).await.is_some();
        check_whole(store).await;
        // The next sweep goes on from there.
        let rest = sweep(&bench, feed, newest(1), 3).await;
        assert_eq!(left(&bench).await.len(), 1, "after {polls} polls");
        if !done {
            (polls, broken_off) = (polls + 1, broken_off + 1);
            continue;
        }
        // How often a future waits is a matter of chance, so that it is broken off elsewhere in each round.
        assert_eq!(rest, 0);
        (polls, rounds) = (0, rounds + 1);
        if rounds == 10 {
            break;
        }
    }
    assert!(broken_off >= 10, "{broken_off}");
}

/// An entry of about `bytes` bytes that no compression makes smaller.
fn large(name: &str, day: i64, bytes: usize) -> FoundEntry {
    let noise: String = (0..bytes / 64)
        .map(|part| blake3::hash(format!("{name} {part}").as_bytes()).to_string())
        .collect();
    let mut article: Article = article(name);
    article.blocks[0].runs[0].text = noise;
    FoundEntry {
        distilled: Some(Distilled::new(&article, &source(name), 1).unwrap()),
        ..found(name, day)
    }
}

fn size(folder: &Path) -> u64 {
    let file = folder.join(DATABASE_NAME);
    std::fs::metadata(file).unwrap().len()
}

#[tokio::test]
async fn the_file_shrinks_by_what_was_freed_and_keeps_a_little_for_what_comes() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let store = &bench.store;
    for day in 0..10 {
        let entries = (0..20).map(|number| large(&format!("{day} {number}"), day, 40_000));
        let read = outcome(day, entries.collect());
        store.save(feed, &read).await.unwrap();
    }
    store.shrink_file().await.unwrap();
    let before = size(bench.folder());
    assert!(before > 8_000_000, "{before}");
    assert_eq!(sweep(&bench, feed, newest(20), 11).await, 180);
    // While articles go, the index of their words is merged, for which the file may grow at first.
    store.shrink_file().await.unwrap();
    let swept = size(bench.folder());
    let (mut freed, mut steps) = (0, 0);
    loop {
        let step = store.free_step().await.unwrap();
        assert!(step <= 257 * 4_096, "{step} bytes in one step");
        if step == 0 {
            break;
        }
        (freed, steps) = (freed + step, steps + 1);
    }
    assert!(steps > 4, "{steps}");
    store.shrink_file().await.unwrap();
    let after = size(bench.folder());
    assert_eq!(swept - after, freed);
    assert!(after < before / 4, "{before} {after}");
    let free = count(store, "SELECT freelist_count FROM pragma_freelist_count").await;
    assert!(
        (SPARE_PAGES..SPARE_PAGES + PAGES_A_STEP).contains(&free),
        "{free}"
    );
    check_whole(store).await;
    assert_eq!(left(&bench).await.len(), 20);
    // What comes next fills the free pages first.
    let read = outcome(12, vec![large("next", 12, 40_000)]);
    store.save(feed, &read).await.unwrap();
    store.shrink_file().await.unwrap();
    assert_eq!(size(bench.folder()), after);
}
