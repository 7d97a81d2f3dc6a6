//! Writes what a fetch came to, each time in one transaction: entries and articles, or a failure, or
//! that nothing was new. Owns no table.

use jiff::Timestamp;

use super::article::Columns;
use super::entry::Written;
use super::fetch_log::{Fetched, log};
use super::{Hints, Store, StoreError, Validators, article, entry, rhythm, source_form, to_column};
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
    /// What it and its server say of how often to ask.
    pub hints: Hints,
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
    /// stay; a changed one is brought up to date in place, its marks kept; a swept one stays swept.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn save(&self, feed: i64, outcome: &Outcome) -> Result<Saved, StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        let mut saved = Saved::default();
        // Before its articles, so that these are written to be found by its present title.
        sqlx::query("UPDATE feed SET feed_title = ?2 WHERE id = ?1 AND feed_title IS NOT ?2")
            .bind(feed)
            .bind(&outcome.feed_title)
            .execute(&mut *transaction)
            .await?;
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
                Written::Swept => continue,
            };
            if let Some(distilled) = &found.distilled {
                article::write(&mut transaction, id, distilled, outcome.at).await?;
            }
        }
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
        let (_turn, mut transaction) = self.begin().await?;
        for (feed, standing) in feeds {
            write_standing(&mut transaction, *feed, standing).await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// Notes for each feed that it stands as it stood but for when it is due: one column of its row.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn note_due(&self, feeds: &[(i64, Timestamp)]) -> Result<(), StoreError> {
        let rows = feeds.iter().map(|(feed, due)| (feed, to_column(*due)));
        let rows: Vec<(&i64, i64)> = rows.collect();
        let (_turn, mut transaction) = self.begin().await?;
        sqlx::query(
            "UPDATE feed SET next_due = json_extract(list.value, '$[1]')
             FROM json_each(?1) AS list WHERE feed.id = json_extract(list.value, '$[0]')",
        )
        .bind(serde_json::json!(rows).to_string())
        .execute(&mut *transaction)
        .await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Notes that a fetch failed. Everything stored stays and is served as before.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn record_failure(&self, feed: i64, failure: &Failure) -> Result<(), StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
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
    rhythm::write(connection, feed, &standing.hints).await?;
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
mod tests;
