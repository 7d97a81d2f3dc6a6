//! What is beyond the limits is swept away: its article and marks go, and a remainder of its entry stays while
//! the feed may list it, so that it does not come back. What a reader keeps or has lately opened is spared. The
//! pages that become free are given back to the disk. Owns no table, and never decides when to sweep.

use jiff::{SignedDuration, Timestamp};
use sqlx::FromRow;

use super::{Store, StoreError, to_column};

/// Entries that one step takes away, so that a refresh waits for its turn to write for some milliseconds.
pub const ENTRIES_A_STEP: usize = 32;

/// Pages that one step gives back to the disk: a megabyte of 4 KiB pages.
const PAGES_A_STEP: i64 = 256;

/// Gives as many pages back. The pragma takes no parameter.
const FREE_PAGES: &str = "PRAGMA incremental_vacuum(256)";

/// Free pages that stay in the file, for the entries that come next: otherwise each sweep would shrink a file
/// that the next passes make grow again.
const SPARE_PAGES: i64 = 256;

/// For how long an entry is spared after it was last opened, since it may be in the middle of being read: a
/// watch keeps its place in a page itself, so that the store cannot know. Common practice, no source.
const OPENED_SPARED: SignedDuration = SignedDuration::from_hours(30 * 24);

/// For how long the remainder of a swept entry stays although its feed lists it no longer: where several
/// servers answer for a feed, an older list may come after a newer one. Common practice, no source.
const REMAINDER_STAYS: SignedDuration = SignedDuration::from_hours(30 * 24);

/// What of an entry's marks spares it: those since `?1`, or to be kept.
macro_rules! spared {
    () => {
        "EXISTS (SELECT 1 FROM mark WHERE mark.entry = entry.id
                 AND (mark.kept IS NOT NULL OR mark.last_opened >= ?1))"
    };
}

/// Opened since, feed, most entries, seen since -> entries beyond. Those that are too old take no place of others.
const BEYOND_FEED: &str = concat!(
    "SELECT id FROM (
         SELECT id, first_seen < ?4 AS old,
                row_number() OVER (ORDER BY first_seen < ?4, published DESC, id DESC) AS place
         FROM entry
         WHERE feed = ?2 AND swept IS NULL AND NOT ",
    spared!(),
    ") WHERE old OR place > ?3 ORDER BY place DESC"
);

/// Opened since, most entries -> entries beyond, the newest first. Counting costs less than putting in order, and
/// as a rule there is nothing to put in order.
const BEYOND_ALL: &str = concat!(
    "SELECT id FROM entry
     WHERE (SELECT count(*) FROM entry WHERE swept IS NULL) > ?2 AND swept IS NULL AND NOT ",
    spared!(),
    " ORDER BY published DESC, id DESC LIMIT -1 OFFSET ?2"
);

/// Opened since, now, entries -> those of them that were made remainders.
const MAKE_REMAINDERS: &str = concat!(
    "UPDATE entry SET swept = ?2, fingerprint = NULL, attempts = 0
     WHERE id IN (SELECT value FROM json_each(?3)) AND swept IS NULL AND NOT ",
    spared!(),
    " RETURNING id"
);

/// Entries that became remainders -> what a reader has opened of a story stays opened where others tell it still.
const HAND_ON: &str = "INSERT INTO mark (reader, entry, opened, last_opened)
     SELECT mark.reader, other.id, min(mark.opened), max(mark.last_opened)
     FROM json_each(?1) AS list
     JOIN entry ON entry.id = list.value
     JOIN entry AS other ON other.story = entry.story AND other.swept IS NULL
     JOIN mark ON mark.entry = entry.id AND mark.opened IS NOT NULL
     GROUP BY mark.reader, other.id
     ON CONFLICT (reader, entry) DO UPDATE
     SET opened = coalesce(mark.opened, excluded.opened),
         last_opened = coalesce(mark.last_opened, excluded.last_opened)";

/// How much of a feed stays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Room {
    /// So many of its newest entries by date; `None` is no limit.
    pub entries: Option<u32>,
    /// Those that were first seen since; `None` is no limit.
    pub seen_since: Option<Timestamp>,
}

/// What there is of a feed that was not swept.
#[derive(Clone, Debug, PartialEq, Eq, FromRow)]
pub struct Stock {
    /// The feed.
    pub feed: i64,
    /// Its address in the config.
    pub address: String,
    /// How many entries, those that are spared among them.
    pub entries: i64,
    /// When the first of them was first seen.
    first_seen: Option<i64>,
}

impl Stock {
    /// Whether there may be more than there is room for; not so as a rule, and then no entry is looked at.
    pub fn may_exceed(&self, room: Room) -> bool {
        let crowded = room
            .entries
            .is_some_and(|most| self.entries > i64::from(most));
        let since = room.seen_since.map(to_column);
        crowded
            || self
                .first_seen
                .zip(since)
                .is_some_and(|(seen, since)| seen < since)
    }
}

impl Store {
    /// What there is of each feed, those that the config no longer names among them.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn stocks(&self) -> Result<Vec<Stock>, StoreError> {
        let stocks = sqlx::query_as::<_, Stock>(
            "SELECT feed.id AS feed, feed.address, count(entry.id) AS entries,
                    min(entry.first_seen) AS first_seen
             FROM feed LEFT JOIN entry ON entry.feed = feed.id AND entry.swept IS NULL
             GROUP BY feed.id ORDER BY feed.id",
        )
        .fetch_all(&self.pool)
        .await?;
        Ok(stocks)
    }

    /// The entries of a feed for which there is no room, those first that are beyond it the furthest. What is
    /// spared at `now` takes no room.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn beyond_feed(
        &self,
        feed: i64,
        room: Room,
        now: Timestamp,
    ) -> Result<Vec<i64>, StoreError> {
        let beyond = sqlx::query_as::<_, (i64,)>(BEYOND_FEED)
            .bind(opened_since(now))
            .bind(feed)
            .bind(room.entries.map_or(i64::MAX, i64::from))
            .bind(room.seen_since.map_or(i64::MIN, to_column))
            .fetch_all(&self.pool)
            .await?;
        Ok(beyond.into_iter().map(|(id,)| id).collect())
    }

    /// The entries beyond the newest `most` of all feeds, the oldest first. What is spared at `now` takes no
    /// room.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn beyond_all(&self, most: u32, now: Timestamp) -> Result<Vec<i64>, StoreError> {
        let beyond = sqlx::query_as::<_, (i64,)>(BEYOND_ALL)
            .bind(opened_since(now))
            .bind(most)
            .fetch_all(&self.pool)
            .await?;
        Ok(beyond.into_iter().rev().map(|(id,)| id).collect())
    }

    /// Takes the articles and marks of up to [`ENTRIES_A_STEP`] of these entries away, in one transaction, and
    /// tells how many entries had not been swept yet. What a reader has kept or opened meanwhile stays.
    ///
    /// # Errors
    /// [`StoreError::Database`]; nothing is taken away then.
    pub async fn sweep_step(&self, entries: &[i64], now: Timestamp) -> Result<u64, StoreError> {
        let step = &entries[..entries.len().min(ENTRIES_A_STEP)];
        let (_turn, mut transaction) = self.begin().await?;
        let swept: Vec<i64> = sqlx::query_as::<_, (i64,)>(MAKE_REMAINDERS)
            .bind(opened_since(now))
            .bind(to_column(now))
            .bind(serde_json::json!(step).to_string())
            .fetch_all(&mut *transaction)
            .await?
            .into_iter()
            .map(|(id,)| id)
            .collect();
        let list = serde_json::json!(swept).to_string();
        sqlx::query(HAND_ON)
            .bind(&list)
            .execute(&mut *transaction)
            .await?;
        sqlx::query("DELETE FROM article WHERE entry IN (SELECT value FROM json_each(?1))")
            .bind(&list)
            .execute(&mut *transaction)
            .await?;
        sqlx::query("DELETE FROM mark WHERE entry IN (SELECT value FROM json_each(?1))")
            .bind(&list)
            .execute(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(swept.len() as u64)
    }

    /// Takes the remainders of swept entries away that the feed does not list, `listed` being all that it
    /// lists, and that have stayed for a month; tells how many.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn forget_swept(
        &self,
        feed: i64,
        listed: &[&str],
        now: Timestamp,
    ) -> Result<u64, StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        let forgotten = sqlx::query(
            "DELETE FROM entry
             WHERE feed = ?1 AND swept <= ?3
               AND identity NOT IN (SELECT value FROM json_each(?2))",
        )
        .bind(feed)
        .bind(serde_json::json!(listed).to_string())
        .bind(before(now, REMAINDER_STAYS))
        .execute(&mut *transaction)
        .await?
        .rows_affected();
        transaction.commit().await?;
        Ok(forgotten)
    }

    /// Gives a megabyte of free pages back to the disk, in one transaction, and tells how many bytes; nought
    /// where no more than a megabyte would stay for the next entries. The file shrinks with
    /// [`Store::shrink_file`].
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn free_step(&self) -> Result<u64, StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        let pages = sqlx::query_as::<_, (i64, i64, i64)>(
            "SELECT freelist_count, page_count, page_size
             FROM pragma_freelist_count, pragma_page_count, pragma_page_size",
        );
        let (free, before, page_size) = pages.fetch_one(&mut *transaction).await?;
        if free < SPARE_PAGES + PAGES_A_STEP {
            return Ok(0);
        }
        sqlx::query(FREE_PAGES).execute(&mut *transaction).await?;
        let (after,) = sqlx::query_as::<_, (i64,)>("SELECT page_count FROM pragma_page_count")
            .fetch_one(&mut *transaction)
            .await?;
        transaction.commit().await?;
        Ok(u64::try_from((before - after) * page_size).unwrap_or(0))
    }

    /// Lets the file on the disk follow what was freed, as far as no reader is in the way: the write-ahead log
    /// is folded into it.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn shrink_file(&self) -> Result<(), StoreError> {
        let _turn = self.writer.lock().await;
        // It waits for nobody; what it cannot fold, a later one does, of this process or of SQLite's own.
        sqlx::query("PRAGMA wal_checkpoint(PASSIVE)")
            .execute(&self.pool)
            .await?;
        Ok(())
    }
}

/// The column of the instant since which what was opened is spared.
fn opened_since(now: Timestamp) -> i64 {
    before(now, OPENED_SPARED)
}

fn before(now: Timestamp, span: SignedDuration) -> i64 {
    to_column(now.saturating_sub(span).unwrap_or(Timestamp::MIN))
}

#[cfg(test)]
mod tests;
