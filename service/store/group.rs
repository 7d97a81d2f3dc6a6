//! The groups of the config, and how much of each is unread and new. Owns no table.

use std::ops::Range;

use sqlx::SqliteConnection;

use super::index::queries::{COUNT_UNREAD, GROUPS};
use super::{Store, StoreError};

/// Beyond so many, entries are not counted on: a glance tells 100 from more no better than from many, and counting
/// then takes the same time however many there are.
pub const MOST_COUNTED: u32 = 100;

/// How much there is in an extent of the index, either up to [`MOST_COUNTED`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Unread entries.
    pub unread: u32,
    /// Those of them that came after a certain entry.
    pub new: u32,
}

impl Store {
    /// The groups of the config that have something to read, in its order.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn groups(&self) -> Result<Vec<String>, StoreError> {
        let groups = sqlx::query_as::<_, (String,)>(GROUPS)
            .fetch_all(&self.pool)
            .await?;
        Ok(groups.into_iter().map(|(name,)| name).collect())
    }

    /// How much of a group, or of all feeds, is unread, and how much of that came after the entry `since`; nothing
    /// is new where that is `None`.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn tally(
        &self,
        reader: i64,
        group: Option<&str>,
        since: Option<i64>,
    ) -> Result<Tally, StoreError> {
        let mut connection = self.pool.acquire().await?;
        let most = i64::from(MOST_COUNTED);
        let unread = count(&mut connection, reader, group, 0..i64::MAX, most).await?;
        let new = match since {
            Some(since) if unread > 0 => {
                count(&mut connection, reader, group, since..i64::MAX, most).await?
            }
            _ => 0,
        };
        Ok(Tally { unread, new })
    }

    /// The last entry that there is, by its number: what a page that is made now can show at the latest; 0 where
    /// there is none.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn last_entry(&self) -> Result<i64, StoreError> {
        let (last,) = sqlx::query_as::<_, (i64,)>("SELECT coalesce(max(id), 0) FROM entry")
            .fetch_one(&self.pool)
            .await?;
        Ok(last)
    }
}

/// How many entries of a group, or of all feeds, are unread of those after the range's start up to its end, counted
/// up to `most`.
pub(super) async fn count(
    connection: &mut SqliteConnection,
    reader: i64,
    group: Option<&str>,
    entries: Range<i64>,
    most: i64,
) -> Result<u32, StoreError> {
    let (count,) = sqlx::query_as::<_, (u32,)>(COUNT_UNREAD)
        .bind(reader)
        .bind(most)
        .bind(group)
        .bind(entries.start)
        .bind(entries.end)
        .fetch_one(connection)
        .await?;
    Ok(count)
}
