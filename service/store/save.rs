//! Writes what a fetch came to, each time in one transaction: entries and articles, or a failure, or
//! that nothing was new. Owns no table.

use jiff::Timestamp;

use super::article::Columns;
use super::entry::Written;
use super::fetch_log::{Fetched, log};
use super::{Store, StoreError, Validators, article, entry, source_form, to_column};
use crate::distil::{Article, Source};

/// A feed's body that was read.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// When it was fetched.
    pub at: Timestamp,
    /// The HTTP status of the answer.
    pub status: u16,
    /// The size of the body, in bytes.
    pub body_bytes: u64,
    /// The title that the feed gives itself.
    pub feed_title: Option<String>,
    /// How the feed stands from now on.
    pub standing: Standing,
    /// Its new and changed entries, in the feed's order.
    pub entries: Vec<FoundEntry>,
}

/// How a feed stands after a fetch that succeeded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Standing {
    /// When it is due again.
    pub next_due: Timestamp,
    /// Where it is to be fetched, where that is not its address.
    pub moved_address: Option<String>,
    /// What its server calls the body.
    pub validators: Validators,
    /// BLAKE3 of the body; `None` where something of it is still to be read.
    pub body_hash: Option<[u8; 32]>,
    /// By which distiller and rule it was read.
    pub reading: Option<String>,
}

/// An entry that is new or has changed.
#[derive(Clone, Debug)]
pub struct FoundEntry {
    /// What the feed calls it by.
    pub identity: String,
    /// The address that it links to.
    pub link: Option<String>,
    /// Its title, plain text.
    pub title: Option<String>,
    /// When the feed says that it was published.
    pub published: Option<Timestamp>,
    /// Of all that the feed says of it; `None` so that it is read again.
    pub fingerprint: Option<[u8; 32]>,
    /// How often its web page was asked for in vain.
    pub attempts: u32,
    /// The article made of it; `None` where none could be made, so that one stored before stays.
    pub distilled: Option<Distilled>,
}

/// An article and its source, ready to be stored.
#[derive(Clone, Debug)]
pub struct Distilled {
    pub(super) columns: Columns,
    pub(super) source: Vec<u8>,
    pub(super) distiller: u32,
}

/// How many entries a fetch brought.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Saved {
    /// Entries that were new.
    pub added: u32,
    /// Known entries that had changed.
    pub changed: u32,
}

/// A fetch that failed.
#[derive(Clone, Debug)]
pub struct Failure {
    /// When.
    pub at: Timestamp,
    /// The HTTP status; `None` where there was no answer.
    pub status: Option<u16>,
    /// The size of the body, in bytes.
    pub body_bytes: u64,
    /// What was wrong, for a person.
    pub fault: String,
    /// When it is tried again.
    pub next_due: Timestamp,
    /// Whether the feed is gone for good, so that it is not tried again.
    pub stopped: bool,
    /// Whether the address that it had moved to is given up for the config's.
    pub forget_move: bool,
}

impl Distilled {
    /// Writes an article and what it was made from in their stored forms, and compresses: CPU work.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] where a form cannot be written.
    pub fn new(article: &Article, source: &Source, distiller: u32) -> Result<Self, StoreError> {
        Ok(Self {
            columns: Columns::of(article)?,
            source: source_form::write(source)?,
            distiller,
        })
    }
}

impl Store {
    /// Stores what was read from a feed: all of it or nothing. Entries that the feed no longer lists
    /// stay; a changed one is brought up to date in place, its marks kept.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn save(&self, feed: i64, outcome: &Outcome) -> Result<Saved, StoreError> {
        let mut transaction = self.begin().await?;
        let mut saved = Saved::default();
        // Feeds list their newest entry first. It is written last, so that it has the highest id and
        // stands first among entries of the same instant.
        for found in outcome.entries.iter().rev() {
            let id = match entry::write(&mut transaction, feed, found, outcome.at).await? {
                Written::Added(id) => {
                    saved.added += 1;
                    id
                }
                Written::Changed(id) => {
                    saved.changed += 1;
                    id
                }
            };
            if let Some(distilled) = &found.distilled {
                article::write(&mut transaction, id, distilled).await?;
            }
        }
        sqlx::query("UPDATE feed SET feed_title = ?2 WHERE id = ?1 AND feed_title IS NOT ?2")
            .bind(feed)
            .bind(&outcome.feed_title)
            .execute(&mut *transaction)
            .await?;
        write_standing(&mut transaction, feed, &outcome.standing).await?;
        let line = Fetched {
            at: outcome.at,
            status: Some(outcome.status),
            body_bytes: outcome.body_bytes,
            added: saved.added,
            changed: saved.changed,
            fault: None,
        };
        log(&mut transaction, feed, &line).await?;
        transaction.commit().await?;
        Ok(saved)
    }

    /// Notes for each feed that it was fetched and had nothing new. It is no longer failing then.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn note_unchanged(&self, feeds: &[(i64, Standing)]) -> Result<(), StoreError> {
        let mut transaction = self.begin().await?;
        for (feed, standing) in feeds {
            write_standing(&mut transaction, *feed, standing).await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// Notes that a fetch failed. Everything stored stays and is served as before.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn record_failure(&self, feed: i64, failure: &Failure) -> Result<(), StoreError> {
        let mut transaction = self.begin().await?;
        sqlx::query(
            "UPDATE feed
             SET failures = failures + 1, failing_since = coalesce(failing_since, ?2), fault = ?3,
                 next_due = ?4, stopped = ?5,
                 moved_address = CASE WHEN ?6 THEN NULL ELSE moved_address END,
                 etag = CASE WHEN ?6 THEN NULL ELSE etag END,
                 last_modified = CASE WHEN ?6 THEN NULL ELSE last_modified END
             WHERE id = ?1",
        )
        .bind(feed)
        .bind(to_column(failure.at))
        .bind(&failure.fault)
        .bind(to_column(failure.next_due))
        .bind(failure.stopped)
        .bind(failure.forget_move)
        .execute(&mut *transaction)
        .await?;
        let line = Fetched {
            at: failure.at,
            status: failure.status,
            body_bytes: failure.body_bytes,
            added: 0,
            changed: 0,
            fault: Some(failure.fault.clone()),
        };
        log(&mut transaction, feed, &line).await?;
        transaction.commit().await?;
        Ok(())
    }
}

/// Notes how a feed stands after a fetch that succeeded.
async fn write_standing(
    connection: &mut sqlx::SqliteConnection,
    feed: i64,
    standing: &Standing,
) -> Result<(), StoreError> {
    sqlx::query(
        "UPDATE feed
         SET next_due = ?2, moved_address = ?3, etag = ?4, last_modified = ?5, body_hash = ?6,
             reading = ?7, failures = 0, failing_since = NULL, fault = NULL
         WHERE id = ?1",
    )
    .bind(feed)
    .bind(to_column(standing.next_due))
    .bind(&standing.moved_address)
    .bind(&standing.validators.etag)
    .bind(&standing.validators.last_modified)
    .bind(standing.body_hash.as_ref().map(<[u8; 32]>::as_slice))
    .bind(&standing.reading)
    .execute(connection)
    .await?;
    Ok(())
}

#[cfg(test)]
mod tests {
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
        store.set_place(READER, entry, place).await.unwrap();
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
            store.article(entry).await.unwrap().unwrap().title,
            "Title of two"
        );
        let mark = store.mark(READER, entry).await.unwrap();
        let expected = Mark {
            opened: Some(instant(2)),
            kept: None,
            place: Some(place),
        };
        assert_eq!(mark, expected);
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
        assert!(bench.store.article(entry).await.unwrap().is_some());
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
}
