//! All that is kept: feeds, entries, articles, fetches and marks in one SQLite file. The only room
//! that writes SQL. Never fetches, distils, typesets or prints.

mod alike;
mod article;
mod block_form;
mod entry;
mod feed;
mod fetch_log;
mod find;
mod fitting;
mod group;
mod index;
mod kept;
mod leaving;
mod linked;
mod look;
mod mark;
mod open;
mod pace;
mod rhythm;
#[cfg(test)]
pub(crate) mod sample;
mod save;
mod search;
mod seen;
mod source_form;
mod story;
mod sweep;
mod titles;

use std::sync::Arc;

use jiff::Timestamp;
use sqlx::sqlite::SqlitePool;
use sqlx::{Sqlite, Transaction};
use tokio::sync::{Mutex, OwnedMutexGuard};

pub use article::{OldSource, StoredArticle};
pub use entry::KnownEntry;
pub use feed::{FailingFeed, Listed, ScheduledFeed, Subscribed, Validators};
pub use fetch_log::Fetched;
pub use find::{
    Found, Hit, MOST_CHARACTERS, MOST_FOUND, MOST_WORDS, Searchable, Sought, Unfindable, Unsought,
};
pub use group::{MOST_COUNTED, Tally};
pub use index::{ENTRIES_A_PAGE, Extent, IndexEntry, IndexPage, MOST_OF_A_FEED_A_PAGE};
pub use linked::{LinkedPage, StoredLink};
pub use mark::{Mark, Place, READER};
pub use open::DATABASE_NAME;
pub use rhythm::Hints;
pub use save::{Distilled, Failure, FoundEntry, Outcome, Saved, Standing};
pub use search::SEARCHES_KEPT;
pub use seen::Marking;
pub use sweep::{ENTRIES_A_STEP, Room, Stock};

/// The database. Cheap to clone: a pool of connections.
#[derive(Clone, Debug)]
pub struct Store {
    pool: SqlitePool,
    /// Held by whoever writes a transaction, so that the others wait here and hold no connection
    /// meanwhile that a watch could read by.
    writer: Arc<Mutex<()>>,
}

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// A later program has written the database; nothing of it was changed.
    #[error(
        "{path}: this database is of version {database}, and this program knows versions up to \
         {program} only. Nothing was changed. Start the newer program again, or put back the copy \
         that it made beside the database before it changed it"
    )]
    Newer {
        /// The database file.
        path: String,
        /// The version that it has.
        database: i64,
        /// The latest version that this program knows.
        program: i64,
    },
    /// An earlier program has written the database, and what was asked must not change it.
    #[error(
        "{path}: this database is of version {database}, and this program's is {program}; `tondo refresh` \
         or `tondo serve` brings it up to date"
    )]
    Older {
        /// The database file.
        path: String,
        /// The version that it has.
        database: i64,
        /// The version of this program's.
        program: i64,
    },
    /// A file or folder could not be made or read.
    #[error("{path}: {source}. Check that the folder exists and that this user may write there")]
    File {
        /// Which one.
        path: String,
        /// What the system says.
        source: std::io::Error,
    },
    /// Something stored cannot be understood.
    #[error("the database holds something that this program cannot read: {0}")]
    Unreadable(String),
    /// The database could not be brought to this program's version.
    #[error("the database could not be brought up to date: {0}")]
    Migration(#[from] sqlx::migrate::MigrateError),
    /// SQLite's own fault.
    #[error("the database failed: {0}")]
    Database(#[from] sqlx::Error),
}

/// How much the store holds of what is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, sqlx::FromRow)]
pub struct Counts {
    /// Feeds that the config names.
    pub feeds: i64,
    /// Those whose last fetch failed.
    pub failing: i64,
    /// Articles of those feeds.
    pub articles: i64,
    /// Those that the reader has not opened.
    pub unopened: i64,
}

impl Store {
    /// How much there is to read for `reader`.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn counts(&self, reader: i64) -> Result<Counts, StoreError> {
        let counts = sqlx::query_as::<_, Counts>(
            "SELECT (SELECT count(*) FROM feed WHERE hidden = 0) AS feeds,
                    (SELECT count(*) FROM feed WHERE hidden = 0 AND failures > 0) AS failing,
                    count(*) AS articles,
                    count(*) FILTER (WHERE mark.opened IS NULL) AS unopened
             FROM entry
             JOIN feed ON feed.id = entry.feed AND feed.hidden = 0
             JOIN article ON article.entry = entry.id
             LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1",
        )
        .bind(reader)
        .fetch_one(&self.pool)
        .await?;
        Ok(counts)
    }

    /// Begins a transaction that writes. It takes the database's one place for a writer at once, so
    /// that it waits there and never fails half-way because another one has written since.
    async fn begin(
        &self,
    ) -> Result<(OwnedMutexGuard<()>, Transaction<'static, Sqlite>), StoreError> {
        let turn = Arc::clone(&self.writer).lock_owned().await;
        Ok((turn, self.pool.begin_with("BEGIN IMMEDIATE").await?))
    }
}

/// An instant as the tables have it: milliseconds since the Unix epoch.
fn to_column(instant: Timestamp) -> i64 {
    instant.as_millisecond()
}

/// Reads an instant back.
fn from_column(milliseconds: i64) -> Result<Timestamp, StoreError> {
    Timestamp::from_millisecond(milliseconds)
        .map_err(|_| StoreError::Unreadable(format!("the instant {milliseconds}")))
}

/// A hash as the tables have it.
fn hash_from_column(bytes: Vec<u8>) -> Result<[u8; 32], StoreError> {
    <[u8; 32]>::try_from(bytes)
        .map_err(|bytes| StoreError::Unreadable(format!("a hash of {} bytes", bytes.len())))
}
