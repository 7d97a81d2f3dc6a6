//! What the store's tests share: a database on a file of its own, and invented entries. Tests only.

use std::path::Path;

use jiff::{Timestamp, ToSpan};
use sqlx::{ConnectOptions, SqliteConnection, sqlite::SqliteConnectOptions};
use tempfile::TempDir;
use tokio::sync::Mutex;

use super::{
    DATABASE_NAME, Distilled, Failure, FoundEntry, Hints, Listed, Outcome, Standing, Store,
    Validators,
};
use crate::clock::Clock;
use crate::distil::block::{Block, BlockKind, Link, Run};
use crate::distil::language::{Direction, Language};
use crate::distil::{Article, Source};

/// A database, and a second connection that watches it.
pub(crate) struct Bench {
    pub(crate) store: Store,
    watcher: Mutex<SqliteConnection>,
    listed: Mutex<Vec<Listed>>,
    folder: TempDir,
}

/// Noon of a day, counted from an invented first one.
pub(crate) fn instant(day: i64) -> Timestamp {
    let first: Timestamp = "2031-04-01T12:00:00Z".parse().unwrap();
    first + (day * 24).hours()
}

pub(crate) fn article(name: &str) -> Article {
    let block = |text: &str| Block {
        kind: BlockKind::Paragraph,
        runs: vec![Run {
            text: text.to_owned(),
            link: Some(0),
            ..Run::default()
        }],
        language: Language::parse("de").unwrap(),
        direction: Direction::Ltr,
    };
    Article {
        title: format!("Title of {name}"),
        authors: vec!["Ada Quill".to_owned()],
        published: None,
        language: Language::parse("en-gb").unwrap(),
        direction: Direction::Rtl,
        blocks: vec![block(name), block("The harbour was still.")],
        links: vec![Link {
            address: "https://example.org/".to_owned(),
            text: name.to_owned(),
        }],
        words: 5,
    }
}

pub(crate) fn source(name: &str) -> Source {
    Source {
        address: None,
        base: "https://a.example/f".parse().unwrap(),
        title: Some(name.to_owned()),
        authors: Vec::new(),
        declared_language: None,
        content: Some("<p>The harbour was still.</p>".to_owned()),
        page: None,
        further: Vec::new(),
        enclosures: Vec::new(),
    }
}

/// An entry published on a day, with its article.
pub(crate) fn found(name: &str, day: i64) -> FoundEntry {
    FoundEntry {
        identity: name.to_owned(),
        link: Some(format!("https://a.example/{name}")),
        title: Some(name.to_owned()),
        published: Some(instant(day)),
        fingerprint: Some(*blake3::hash(name.as_bytes()).as_bytes()),
        attempts: 0,
        distilled: Some(Distilled::new(&article(name), &source(name), 1).unwrap()),
    }
}

/// A body with these entries, fetched on a day and due again the day after.
pub(crate) fn outcome(day: i64, entries: Vec<FoundEntry>) -> Outcome {
    Outcome {
        at: instant(day),
        status: 200,
        body_bytes: 1_000,
        feed_title: None,
        standing: Standing {
            next_due: instant(day + 1),
            moved_address: None,
            validators: Validators::default(),
            body_hash: None,
            reading: None,
            hints: Hints::default(),
        },
        entries,
    }
}

impl Bench {
    pub(crate) async fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let clock = Clock::fixed(instant(0));
        let store = Store::open(folder.path(), &clock).await.unwrap();
        let watcher = SqliteConnectOptions::new()
            .filename(folder.path().join(DATABASE_NAME))
            .connect()
            .await
            .unwrap();
        Self {
            store,
            watcher: Mutex::new(watcher),
            listed: Mutex::default(),
            folder,
        }
    }

    /// Where its file lies.
    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Changes whenever another connection has written
    /// (https://www.sqlite.org/pragma.html#pragma_data_version).
    pub(crate) async fn data_version(&self) -> i64 {
        let mut watcher = self.watcher.lock().await;
        sqlx::query_as::<_, (i64,)>("PRAGMA data_version")
            .fetch_one(&mut *watcher)
            .await
            .unwrap()
            .0
    }

    /// Subscribes to one feed more.
    pub(crate) async fn feed(&self, address: &str) -> i64 {
        self.feed_of(address, None).await
    }

    /// The same, in a group.
    pub(crate) async fn feed_of(&self, address: &str, group: Option<&str>) -> i64 {
        let mut listed = self.listed.lock().await;
        listed.push(Listed {
            address: address.to_owned(),
            title: None,
            group: group.map(str::to_owned),
        });
        self.store.subscribe(&listed, instant(0)).await.unwrap();
        let feeds = self.store.scheduled_feeds().await.unwrap();
        feeds.last().unwrap().id
    }

    /// Stores an entry published on a day, with its article, and tells its id.
    pub(crate) async fn article(&self, feed: i64, name: &str, day: i64) -> i64 {
        let outcome = outcome(day, vec![found(name, day)]);
        self.store.save(feed, &outcome).await.unwrap();
        self.entry(feed, name).await
    }

    /// Takes a feed out of the subscriptions.
    pub(crate) async fn unsubscribe(&self, address: &str) {
        let mut listed = self.listed.lock().await;
        listed.retain(|feed| feed.address != address);
        self.store.subscribe(&listed, instant(0)).await.unwrap();
    }

    /// The id of an entry.
    pub(crate) async fn entry(&self, feed: i64, name: &str) -> i64 {
        sqlx::query_as::<_, (i64,)>("SELECT id FROM entry WHERE feed = ?1 AND identity = ?2")
            .bind(feed)
            .bind(name)
            .fetch_one(&self.store.pool)
            .await
            .unwrap()
            .0
    }

    /// Lets every note of when a feed is due fail, or no longer.
    pub(crate) async fn refuse_notes(&self, refuse: bool) {
        let mut watcher = self.watcher.lock().await;
        let change = if refuse {
            "CREATE TRIGGER refuse BEFORE UPDATE OF next_due ON feed
             BEGIN SELECT raise(ABORT, 'no notes today'); END"
        } else {
            "DROP TRIGGER refuse"
        };
        sqlx::query(change).execute(&mut *watcher).await.unwrap();
    }

    /// Notes a failure on a day.
    pub(crate) async fn fail(&self, feed: i64, day: i64, stopped: bool) {
        let failure = Failure {
            at: instant(day),
            status: None,
            body_bytes: 0,
            fault: format!("fault of day {day}"),
            next_due: instant(day + 1),
            stopped,
            forget_move: false,
        };
        self.store.record_failure(feed, &failure).await.unwrap();
    }
}
