//! The table of entries: what a feed lists or once listed. Knows no articles.

use std::collections::HashMap;

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use super::save::FoundEntry;
use super::{Store, StoreError, from_column, hash_from_column, story, to_column};

/// What tells whether an entry has to be read again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KnownEntry {
    /// Of all that the feed said of it; `None` where it is to be read again.
    pub fingerprint: Option<[u8; 32]>,
    /// How often its web page was asked for in vain since it last changed.
    pub attempts: u32,
    /// Whether its article was swept away, so that it is not read again, whatever the feed says of it.
    pub swept: bool,
}

/// What storing an entry came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Written {
    /// The entry was not known.
    Added(i64),
    /// It was known and is brought up to date.
    Changed(i64),
    /// It was known and is swept away since it was read; it stays so.
    Swept,
}

impl Store {
    /// Those of `identities` that are entries of the feed already.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn known_entries(
        &self,
        feed: i64,
        identities: &[&str],
    ) -> Result<HashMap<String, KnownEntry>, StoreError> {
        sqlx::query_as::<_, KnownRow>(
            "SELECT identity, fingerprint, attempts, swept IS NOT NULL AS swept FROM entry
             WHERE feed = ?1 AND identity IN (SELECT value FROM json_each(?2))",
        )
        .bind(feed)
        .bind(serde_json::json!(identities).to_string())
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(|row| {
            let known = KnownEntry {
                fingerprint: row.fingerprint.map(hash_from_column).transpose()?,
                attempts: row.attempts,
                swept: row.swept,
            };
            Ok((row.identity, known))
        })
        .collect()
    }
}

/// Adds an entry or brings it up to date in place; its id and its marks stay. A date in the future is
/// replaced by the instant at which the entry was first seen, and so is one that the feed does not give.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    feed: i64,
    found: &FoundEntry,
    now: Timestamp,
) -> Result<Written, StoreError> {
    let known = sqlx::query_as::<_, SeenRow>(
        "SELECT id, first_seen, swept IS NOT NULL AS swept FROM entry WHERE feed = ?1 AND identity = ?2",
    )
    .bind(feed)
    .bind(&found.identity)
    .fetch_optional(&mut *connection)
    .await?;
    if known.as_ref().is_some_and(|row| row.swept) {
        return Ok(Written::Swept);
    }
    let first_seen = known
        .as_ref()
        .map_or(Ok(now), |row| from_column(row.first_seen))?;
    let published = found
        .published
        .filter(|published| *published <= now)
        .unwrap_or(first_seen);
    let page_key = found.link.as_deref().and_then(story::page_key);
    let Some(SeenRow { id, .. }) = known else {
        let (id,) = sqlx::query_as::<_, (i64,)>(
            "INSERT INTO entry (feed, identity, first_seen, published, link, title, attempts, fingerprint,
                                page_key)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9) RETURNING id",
        )
        .bind(feed)
        .bind(&found.identity)
        .bind(to_column(first_seen))
        .bind(to_column(published))
        .bind(&found.link)
        .bind(&found.title)
        .bind(found.attempts)
        .bind(found.fingerprint.as_ref().map(<[u8; 32]>::as_slice))
        .bind(page_key.as_ref().map(<[u8; 32]>::as_slice))
        .fetch_one(&mut *connection)
        .await?;
        story::join(connection, id).await?;
        return Ok(Written::Added(id));
    };
    sqlx::query(
        "UPDATE entry
         SET published = ?2, link = ?3, title = ?4, attempts = ?5, fingerprint = ?6, page_key = ?7,
             story = CASE WHEN page_key IS ?7 THEN story END
         WHERE id = ?1",
    )
    .bind(id)
    .bind(to_column(published))
    .bind(&found.link)
    .bind(&found.title)
    .bind(found.attempts)
    .bind(found.fingerprint.as_ref().map(<[u8; 32]>::as_slice))
    .bind(page_key.as_ref().map(<[u8; 32]>::as_slice))
    .execute(&mut *connection)
    .await?;
    story::join(connection, id).await?;
    Ok(Written::Changed(id))
}

#[derive(FromRow)]
struct KnownRow {
    identity: String,
    fingerprint: Option<Vec<u8>>,
    attempts: u32,
    swept: bool,
}

#[derive(FromRow)]
struct SeenRow {
    id: i64,
    first_seen: i64,
    swept: bool,
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Bench, found, instant, outcome};

    /// Stores an entry dated `published` on `day` and tells the day by which it is then ordered.
    async fn check(published: Option<i64>, day: i64, expected: i64) {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let mut entry = found("one", 1);
        entry.published = published.map(instant);
        let outcome = outcome(day, vec![entry]);
        bench.store.save(feed, &outcome).await.unwrap();
        let page = bench.store.index(1, 0).await.unwrap();
        assert_eq!(page.entries[0].published, instant(expected));
    }

    #[tokio::test]
    async fn a_date_in_the_future_is_clamped_to_when_the_entry_was_first_seen() {
        check(Some(3), 10, 3).await;
        check(Some(10), 10, 10).await;
        check(Some(400), 10, 10).await;
        check(None, 10, 10).await;
    }

    #[tokio::test]
    async fn an_entry_without_a_date_keeps_its_own_when_it_is_edited() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        for (day, published) in [(10, None), (20, None), (30, Some(500))] {
            let mut entry = found("one", 1);
            entry.published = published.map(instant);
            bench
                .store
                .save(feed, &outcome(day, vec![entry]))
                .await
                .unwrap();
            let page = bench.store.index(1, 0).await.unwrap();
            assert_eq!(page.entries[0].published, instant(10));
        }
    }

    #[tokio::test]
    async fn only_the_entries_asked_for_and_of_this_feed_are_known() {
        let bench = Bench::new().await;
        let (feed, other) = (
            bench.feed("https://a.example/f").await,
            bench.feed("https://b.example/f").await,
        );
        let mut wanting = found("two", 1);
        (wanting.fingerprint, wanting.attempts) = (None, 3);
        let entries = vec![found("one", 1), wanting, found("three", 1)];
        bench.store.save(feed, &outcome(2, entries)).await.unwrap();
        let known = bench
            .store
            .known_entries(feed, &["one", "two", "four"])
            .await
            .unwrap();
        assert_eq!(known.len(), 2);
        assert_eq!(known["one"].fingerprint, found("one", 1).fingerprint);
        assert_eq!((known["two"].fingerprint, known["two"].attempts), (None, 3));
        let elsewhere = bench.store.known_entries(other, &["one"]).await.unwrap();
        assert!(elsewhere.is_empty());
    }
}
