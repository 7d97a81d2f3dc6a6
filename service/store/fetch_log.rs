//! The log of fetches: the last ones of each feed that changed something or failed. Knows no entries.

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use super::{Store, StoreError, from_column, to_column};

/// How many lines of a feed are kept: enough to see two days of an hourly feed that fails.
const LINES_A_FEED: i64 = 50;

/// One fetch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fetched {
    /// When.
    pub at: Timestamp,
    /// The HTTP status; `None` where there was no answer.
    pub status: Option<u16>,
    /// The size of the body, in bytes.
    pub body_bytes: u64,
    /// Entries that were new.
    pub added: u32,
    /// Known entries that had changed.
    pub changed: u32,
    /// What was wrong, for a person.
    pub fault: Option<String>,
}

impl Store {
    /// The log of a feed, newest first.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn fetch_log(&self, feed: i64) -> Result<Vec<Fetched>, StoreError> {
        sqlx::query_as::<_, Row>(
            "SELECT fetched_at, status, body_bytes, added, changed, fault
             FROM fetch_log WHERE feed = ?1 ORDER BY id DESC",
        )
        .bind(feed)
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(Fetched::try_from)
        .collect()
    }
}

/// Writes a line and drops the oldest one of the feed where there are too many.
pub(super) async fn log(
    connection: &mut SqliteConnection,
    feed: i64,
    fetched: &Fetched,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO fetch_log (feed, fetched_at, status, body_bytes, added, changed, fault)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )
    .bind(feed)
    .bind(to_column(fetched.at))
    .bind(fetched.status)
    .bind(i64::try_from(fetched.body_bytes).unwrap_or(i64::MAX))
    .bind(fetched.added)
    .bind(fetched.changed)
    .bind(&fetched.fault)
    .execute(&mut *connection)
    .await?;
    sqlx::query(
        "DELETE FROM fetch_log WHERE feed = ?1 AND id <=
             (SELECT id FROM fetch_log WHERE feed = ?1 ORDER BY id DESC LIMIT 1 OFFSET ?2)",
    )
    .bind(feed)
    .bind(LINES_A_FEED)
    .execute(connection)
    .await?;
    Ok(())
}

#[derive(FromRow)]
struct Row {
    fetched_at: i64,
    status: Option<u16>,
    body_bytes: i64,
    added: u32,
    changed: u32,
    fault: Option<String>,
}

impl TryFrom<Row> for Fetched {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<Self, StoreError> {
        Ok(Self {
            at: from_column(row.fetched_at)?,
            status: row.status,
            body_bytes: u64::try_from(row.body_bytes).unwrap_or(0),
            added: row.added,
            changed: row.changed,
            fault: row.fault,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Bench, instant};

    #[tokio::test]
    async fn only_the_last_fifty_lines_of_each_feed_stay() {
        let bench = Bench::new().await;
        let (busy, quiet) = (
            bench.feed("https://a.example/f").await,
            bench.feed("https://b.example/f").await,
        );
        bench.fail(quiet, 1, false).await;
        for day in 1..=60 {
            bench.fail(busy, day, false).await;
        }
        let log = bench.store.fetch_log(busy).await.unwrap();
        assert_eq!(log.len(), 50);
        assert_eq!((log[0].at, log[49].at), (instant(60), instant(11)));
        assert_eq!(bench.store.fetch_log(quiet).await.unwrap().len(), 1);
    }
}
