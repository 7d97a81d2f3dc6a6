//! Checks of what a fetch leaves in the store.

use super::super::sample::{Bench, found, instant, outcome};
use super::super::{Mark, Place, READER};
use super::*;

#[tokio::test]
async fn an_edited_entry_is_replaced_in_place_and_its_marks_stay() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 1).await;
    let store = &bench.store;
    store.mark_opened(READER, entry, instant(2)).await.unwrap();
    let place = Place {
        block: 1,
        character: 2,
    };
    store.set_place(READER, entry, Some(place)).await.unwrap();
    let mut edited = found("two", 1);
    edited.identity = "one".to_owned();
    let saved = store.save(feed, &outcome(3, vec![edited])).await.unwrap();
    assert_eq!(
        saved,
        Saved {
            added: 0,
            changed: 1
        }
    );
    assert_eq!(
        store.article(READER, entry).await.unwrap().unwrap().title,
        "Title of two"
    );
    let mark = store.mark(READER, entry).await.unwrap();
    let expected = Mark {
        opened: Some(instant(2)),
        last_opened: Some(instant(2)),
        kept: None,
        place: Some(place),
    };
    assert_eq!(mark, expected);
}

#[tokio::test]
async fn an_edited_entry_says_so_until_it_is_opened_again_and_keeps_its_marks() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 1).await;
    let store = &bench.store;
    let changed = async || {
        let article = store.article(READER, entry).await.unwrap().unwrap();
        let row = &store.index(READER, 0).await.unwrap().entries[0];
        assert_eq!(article.changed, row.changed.is_some());
        row.changed
    };
    let edit = async |text: &str, day: i64| {
        let mut edited = found("one", 1);
        edited.distilled = found(text, 1).distilled;
        store.save(feed, &outcome(day, vec![edited])).await.unwrap();
    };
    edit("unread yet", 2).await;
    assert_eq!(changed().await, None, "nobody has read it before");
    store.mark_opened(READER, entry, instant(3)).await.unwrap();
    store.keep(READER, entry, Some(instant(3))).await.unwrap();
    edit("unread yet", 4).await;
    assert_eq!(changed().await, None, "its text is the same");
    edit("put right", 5).await;
    assert_eq!(changed().await, Some(instant(5)));
    let mark = store.mark(READER, entry).await.unwrap();
    let instants: [Option<Timestamp>; 2] = [mark.opened, mark.kept];
    assert_eq!(instants, [Some(instant(3)); 2]);
    store.mark_opened(READER, entry, instant(6)).await.unwrap();
    assert_eq!(changed().await, None);
}

#[tokio::test]
async fn an_entry_that_its_feed_drops_stays_and_so_does_an_article_that_cannot_be_made_anew() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entry = bench.article(feed, "one", 1).await;
    bench.article(feed, "two", 2).await;
    assert_eq!(bench.store.index(READER, 0).await.unwrap().entries.len(), 2);
    let mut broken = found("one", 1);
    broken.distilled = None;
    bench
        .store
        .save(feed, &outcome(3, vec![broken]))
        .await
        .unwrap();
    assert!(bench.store.article(READER, entry).await.unwrap().is_some());
}

#[tokio::test]
async fn entries_of_one_instant_stand_in_the_feeds_order() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let entries = vec![found("first", 1), found("second", 1)];
    bench.store.save(feed, &outcome(2, entries)).await.unwrap();
    let page = bench.store.index(READER, 0).await.unwrap();
    let titles: Vec<&str> = page
        .entries
        .iter()
        .map(|entry| entry.title.as_str())
        .collect();
    assert_eq!(titles, ["Title of first", "Title of second"]);
}

#[tokio::test]
async fn a_fault_half_way_leaves_nothing_behind() {
    let bench = Bench::new().await;
    // There is no feed 99, so that the foreign key of the first entry fails.
    let fault = bench
        .store
        .save(99, &outcome(2, vec![found("one", 1)]))
        .await;
    assert!(matches!(fault, Err(StoreError::Database(_))));
    let feed = bench.feed("https://a.example/f").await;
    let mut bad = found("one", 1);
    bad.attempts = 1;
    let mut twice = outcome(2, vec![found("two", 1), bad]);
    twice.standing.body_hash = Some([7; 32]);
    sqlx::query("CREATE TRIGGER fail BEFORE INSERT ON entry WHEN new.identity = 'two' BEGIN SELECT raise(ABORT, 'no'); END")
        .execute(&bench.store.pool)
        .await
        .unwrap();
    assert!(bench.store.save(feed, &twice).await.is_err());
    assert!(
        bench
            .store
            .known_entries(feed, &["one", "two"])
            .await
            .unwrap()
            .is_empty()
    );
    assert_eq!(
        bench.store.scheduled_feeds().await.unwrap()[0].body_hash,
        None
    );
}

#[tokio::test]
async fn a_failing_feed_is_told_with_its_first_day_and_last_fault_and_recovers() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    bench.article(feed, "one", 1).await;
    bench.fail(feed, 3, false).await;
    bench.fail(feed, 4, false).await;
    let failing = bench.store.failing_feeds().await.unwrap();
    assert_eq!(
        (failing[0].since, failing[0].fault.as_str()),
        (instant(3), "fault of day 4")
    );
    let scheduled = &bench.store.scheduled_feeds().await.unwrap()[0];
    assert_eq!((scheduled.failures, scheduled.next_due), (2, instant(5)));
    assert_eq!(bench.store.index(READER, 0).await.unwrap().entries.len(), 1);
    let counts = bench.store.counts(READER).await.unwrap();
    assert_eq!(
        (
            counts.feeds,
            counts.failing,
            counts.articles,
            counts.unopened
        ),
        (1, 1, 1, 1)
    );
    let standing = outcome(6, Vec::new()).standing;
    bench
        .store
        .note_unchanged(&[(feed, standing)])
        .await
        .unwrap();
    assert!(bench.store.failing_feeds().await.unwrap().is_empty());
    let log = bench.store.fetch_log(feed).await.unwrap();
    assert_eq!(log[0].fault.as_deref(), Some("fault of day 4"));
    assert_eq!((log[2].added, log[2].status), (1, Some(200)));
}

#[tokio::test]
async fn validators_are_kept_byte_for_byte_and_dropped_with_a_move_that_failed() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let mut read = outcome(2, Vec::new());
    read.standing.validators.etag = Some(b"W/\"\xff\x00 a\"".to_vec());
    read.standing.validators.last_modified = Some(b" odd ".to_vec());
    read.standing.moved_address = Some("https://b.example/f".to_owned());
    read.feed_title = Some("Own".to_owned());
    bench.store.save(feed, &read).await.unwrap();
    let scheduled = bench.store.scheduled_feeds().await.unwrap().remove(0);
    assert_eq!(scheduled.validators, read.standing.validators);
    assert_eq!(scheduled.moved_address, read.standing.moved_address);
    assert_eq!(
        (scheduled.next_due, scheduled.title.as_str()),
        (instant(3), "Own")
    );
    let failure = Failure {
        at: instant(4),
        status: Some(404),
        body_bytes: 0,
        fault: "gone".to_owned(),
        next_due: instant(5),
        stopped: false,
        forget_move: true,
    };
    bench.store.record_failure(feed, &failure).await.unwrap();
    let scheduled = bench.store.scheduled_feeds().await.unwrap().remove(0);
    assert_eq!(
        (scheduled.moved_address, scheduled.validators),
        (None, Validators::default())
    );
}

#[tokio::test]
async fn many_writers_at_once_take_turns_and_none_fails() {
    let bench = Bench::new().await;
    let feed = bench.feed("https://a.example/f").await;
    let mut writers = tokio::task::JoinSet::new();
    for number in 0..40 {
        let store = bench.store.clone();
        writers.spawn(async move {
            let entries = vec![found(&format!("n{number}"), 1)];
            store.save(feed, &outcome(2, entries)).await.map(|_| ())?;
            store.mark_opened(READER, 1, instant(2)).await
        });
    }
    while let Some(written) = writers.join_next().await {
        written.unwrap().unwrap();
    }
    let counts = bench.store.counts(READER).await.unwrap();
    assert_eq!((counts.articles, counts.unopened), (40, 39));
}
