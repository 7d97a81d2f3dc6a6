//! A refresh that is killed at any moment: whatever had been stored is there afterwards, whole and once.
//!
//! The program itself runs, and ends by SIGKILL, which no process can catch. Between two runs the publisher
//! puts out another edition: each of its feeds drops a piece, has a new one, and sets half of the others anew.
//! A piece names its setting in its title and in its text, so that one stored by halves is seen.

use std::collections::BTreeMap;
use std::env;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::{Duration, Instant};

use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Connection, FromRow, SqliteConnection};
use tempfile::TempDir;
use tondo::clock::Clock;
use tondo::store::{DATABASE_NAME, Mark, READER, Store};

use super::commands::{config_of, make_due, tondo};
use super::house::start;
use super::publisher::{Publisher, Reply, Written, atom};

/// The feeds of the publisher. Each is stored in a transaction of its own.
const FEEDS: usize = 12;

/// Pieces that a feed lists.
const PIECES: u64 = 4;

/// How many refreshes are killed: as many as take some ten seconds. For more, set KILLS_TRIED; for other moments, set
/// KILLS_SEED.
fn kills() -> u64 {
    number("KILLS_TRIED").unwrap_or(20)
}

fn number(variable: &str) -> Option<u64> {
    env::var(variable).ok()?.parse().ok()
}

/// Moments that look drawn by chance, by a linear congruential generator (Knuth, The Art of Computer
/// Programming 2, 3.3.4; its multiplier from memory).
struct Chance(u64);

impl Chance {
    #[expect(
        clippy::print_stdout,
        reason = "who looks for a fault needs the same moments again"
    )]
    fn seeded() -> Self {
        let seed = number("KILLS_SEED").unwrap_or(1);
        println!("KILLS_SEED={seed}");
        Self(seed)
    }

    /// From nothing to almost 1.
    fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// In which edition a piece was last set anew, as an edition has it.
fn setting(piece: u64, edition: u64) -> u64 {
    edition.saturating_sub((edition + piece) % 2)
}

/// A piece as the text of its title and as a sentence of its article name it.
fn called(piece: u64, setting: u64) -> String {
    format!("Piece {piece} in setting {setting}.")
}

/// A publisher, and a household that reads its feeds.
struct Scene {
    publisher: Publisher,
    folder: TempDir,
    config: PathBuf,
}

impl Scene {
    async fn new() -> Self {
        let publisher = Publisher::start().await;
        let (folder, config) = household(&publisher);
        Self {
            publisher,
            folder,
            config,
        }
    }

    /// Puts out an edition of every feed.
    fn publish(&self, edition: u64) {
        for feed in 0..FEEDS {
            let pieces = (edition..edition + PIECES).rev();
            let entries = pieces.map(|piece| {
                let called = called(piece, setting(piece, edition));
                let content = format!("<p>{called}</p><p>It came in with the tide.</p>").repeat(20);
                Written {
                    title: called,
                    updated: "2025-03-31T12:00:00Z".to_owned(),
                    ..Written::new(&piece.to_string(), &content)
                }
            });
            let entries: Vec<Written> = entries.collect();
            let body = atom(
                &self.publisher.address("/"),
                &format!("Sheet {feed}"),
                &entries,
            );
            let reply = Reply::atom(body).with("ETag", &format!("\"{edition}\""));
            self.publisher.set(&format!("/feed/{feed}"), reply);
        }
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// Refreshes to the end, and says how long it took.
    async fn refresh(&self) -> Duration {
        let begin = Instant::now();
        let ended = run_until(&self.config, None).await;
        assert!(!ended, "nothing kills it");
        begin.elapsed()
    }
}

fn household(publisher: &Publisher) -> (TempDir, PathBuf) {
    let names: Vec<String> = (0..FEEDS).map(|feed| feed.to_string()).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    config_of(publisher, &names)
}

/// Runs a refresh, and kills it after so long. Says whether it was killed before its end, which is then a good one.
async fn run_until(config: &Path, moment: Option<Duration>) -> bool {
    let mut command = tondo(&["refresh", "--config", &config.display().to_string()]);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    let mut child = command.spawn().expect("the program starts");
    if let Some(moment) = moment {
        // The one wait of these tests that has a length: how long the program is let run is what is tried.
        tokio::time::sleep(moment).await;
        child.kill().expect("a signal");
    }
    let ended = tokio::task::spawn_blocking(move || child.wait());
    let status = ended.await.expect("no panic").expect("an end");
    // SIGKILL is 9 (signal(7)).
    let killed = status.signal() == Some(9);
    assert!(killed || status.success(), "{status}");
    killed
}

/// All that is stored of an entry and may not be lost.
#[derive(Clone, Debug, PartialEq, Eq, FromRow)]
struct Kept {
    id: i64,
    feed: String,
    identity: String,
    link: String,
    title: String,
    published: i64,
    /// NULL where it has no article.
    article_title: Option<String>,
    blocks: Option<String>,
}

/// What the database holds.
struct Stored {
    /// By their ids.
    entries: BTreeMap<i64, Kept>,
    /// The ETags of the feeds' last bodies, by the feeds' addresses.
    read: BTreeMap<String, u64>,
}

impl Stored {
    /// Opens the database as the program does, and then looks at all of it.
    async fn look(data: &Path) -> Self {
        let store = Store::open(data, &Clock::fixed(start())).await;
        store.expect("the database opens").close().await;
        let mut database = connect(data).await;
        let (sound,): (String,) = sqlx::query_as("PRAGMA integrity_check")
            .fetch_one(&mut database)
            .await
            .expect("a check");
        assert_eq!(sound, "ok");
        let orphans = sqlx::query("PRAGMA foreign_key_check")
            .fetch_all(&mut database)
            .await
            .expect("a check");
        assert_eq!(orphans.len(), 0);
        let entries: Vec<Kept> = sqlx::query_as(
            "SELECT entry.id, feed.address AS feed, entry.identity, entry.link, entry.title,
                    entry.published, article.title AS article_title, article.blocks
             FROM entry JOIN feed ON feed.id = entry.feed
             LEFT JOIN article ON article.entry = entry.id",
        )
        .fetch_all(&mut database)
        .await
        .expect("entries");
        let read: Vec<(String, Vec<u8>)> =
            sqlx::query_as("SELECT address, etag FROM feed WHERE etag IS NOT NULL")
                .fetch_all(&mut database)
                .await
                .expect("feeds");
        database.close().await.expect("an end");
        let edition = |etag: Vec<u8>| {
            let text = String::from_utf8(etag).expect("text");
            text.trim_matches('"').parse().expect("an edition")
        };
        let read = read.into_iter().map(|(feed, etag)| (feed, edition(etag)));
        Self {
            entries: entries.into_iter().map(|entry| (entry.id, entry)).collect(),
            read: read.collect(),
        }
    }

    /// Each entry is stored once and whole, and a feed that counts as read has been read.
    fn check_whole(&self) {
        // The link names the piece whatever an entry's identity is made of.
        let mut links: Vec<(&str, &str)> = Vec::new();
        for entry in self.entries.values() {
            links.push((&entry.feed, &entry.link));
            let sentence = format!("\"{}", entry.title);
            let blocks = entry.blocks.as_deref().expect("an article");
            assert_eq!(entry.article_title.as_deref(), Some(&*entry.title));
            assert_eq!(blocks.matches(&sentence).count(), 20, "{entry:?}");
        }
        links.sort_unstable();
        let all = links.len();
        links.dedup();
        assert_eq!(links.len(), all, "an entry is there twice");
        for (feed, edition) in &self.read {
            for piece in *edition..edition + PIECES {
                let called = called(piece, setting(piece, *edition));
                let found = |entry: &&Kept| entry.feed == *feed && entry.title == called;
                assert_eq!(self.entries.values().filter(found).count(), 1, "{called}");
            }
        }
    }

    /// Whatever `earlier` had is still there by its id, as it was or as a later edition has it.
    fn check_keeps(&self, earlier: &Self) {
        for (id, before) in &earlier.entries {
            let now = self.entries.get(id).expect("no entry is lost");
            let same = Kept {
                title: before.title.clone(),
                article_title: before.article_title.clone(),
                blocks: before.blocks.clone(),
                ..now.clone()
            };
            assert_eq!(same, *before);
        }
        for (feed, edition) in &earlier.read {
            assert!(self.read[feed] >= *edition, "{feed} is as it was before");
        }
    }

    /// What a household has of an edition, whatever its ids are.
    fn of_edition(&self, edition: u64) -> Vec<Kept> {
        let listed: Vec<String> = (edition..edition + PIECES)
            .map(|piece| called(piece, setting(piece, edition)))
            .collect();
        let mut entries: Vec<Kept> = self.entries.values().cloned().collect();
        entries.retain(|entry| listed.contains(&entry.title));
        entries.sort_by_key(|entry| (entry.feed.clone(), entry.title.clone()));
        for entry in &mut entries {
            entry.id = 0;
        }
        entries
    }
}

async fn connect(data: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(data.join(DATABASE_NAME));
    options.connect().await.expect("a database")
}

/// Marks all entries as a reader does, and gives back the marks.
async fn mark(data: &Path, stored: &Stored) -> BTreeMap<i64, Mark> {
    let store = Store::open(data, &Clock::fixed(start())).await;
    let store = store.expect("the database opens");
    for id in stored.entries.keys() {
        let opened = store.mark_opened(READER, *id, start()).await;
        opened.expect("a mark");
        if id % 2 == 0 {
            let kept = store.keep(READER, *id, Some(start())).await;
            kept.expect("a mark");
        }
    }
    let marks = marks(&store, stored.entries.keys()).await;
    store.close().await;
    marks
}

async fn marks(store: &Store, entries: impl Iterator<Item = &i64>) -> BTreeMap<i64, Mark> {
    let mut marks = BTreeMap::new();
    for id in entries {
        let mark = store.mark(READER, *id).await.expect("a mark");
        marks.insert(*id, mark);
    }
    marks
}

/// A household that reads this edition alone, undisturbed.
async fn undisturbed(scene: &Scene, edition: u64) -> Vec<Kept> {
    let (folder, config) = household(&scene.publisher);
    assert!(!run_until(&config, None).await);
    let stored = Stored::look(&folder.path().join("data")).await;
    let entries = stored.of_edition(edition);
    assert_eq!(entries.len(), FEEDS * PIECES as usize);
    entries
}

#[tokio::test]
async fn a_refresh_killed_at_any_moment_loses_nothing_and_doubles_nothing() {
    let scene = Scene::new().await;
    let (data, database) = (scene.data(), scene.data().join(DATABASE_NAME));
    scene.publish(0);
    scene.refresh().await;
    let mut before = Stored::look(&data).await;
    let marked = mark(&data, &before).await;
    scene.publish(1);
    make_due(&database).await;
    let whole = scene.refresh().await;
    let mut chance = Chance::seeded();
    let (mut edition, mut killed) = (1, 0);
    while killed < kills() {
        edition += 1;
        scene.publish(edition);
        make_due(&database).await;
        let moment = whole.mul_f64(chance.share());
        killed += u64::from(run_until(&scene.config, Some(moment)).await);
        let now = Stored::look(&data).await;
        now.check_whole();
        now.check_keeps(&before);
        before = now;
    }
    make_due(&database).await;
    scene.refresh().await;
    let end = Stored::look(&data).await;
    end.check_whole();
    end.check_keeps(&before);
    assert!(end.read.len() == FEEDS && end.read.values().all(|read| *read == edition));
    assert_eq!(end.of_edition(edition), undisturbed(&scene, edition).await);
    let store = Store::open(&data, &Clock::fixed(start())).await;
    let store = store.expect("the database opens");
    assert_eq!(marks(&store, marked.keys()).await, marked);
    store.close().await;
}

#[tokio::test]
async fn a_first_refresh_killed_at_any_moment_is_made_up_for_by_the_next() {
    let mut scene = Scene::new().await;
    scene.publish(1);
    let whole = scene.refresh().await;
    let expected = undisturbed(&scene, 1).await;
    let mut chance = Chance::seeded();
    let mut killed = 0;
    while killed < kills().div_ceil(5) {
        (scene.folder, scene.config) = household(&scene.publisher);
        let moment = whole.mul_f64(chance.share());
        killed += u64::from(run_until(&scene.config, Some(moment)).await);
        let before = Stored::look(&scene.data()).await;
        before.check_whole();
        scene.refresh().await;
        let end = Stored::look(&scene.data()).await;
        end.check_whole();
        end.check_keeps(&before);
        assert_eq!(end.of_edition(1), expected);
    }
}
