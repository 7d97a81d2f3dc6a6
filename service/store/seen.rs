//! What a reader has marked as seen without opening it, a whole group at once, and how that is undone. Never marks
//! entries one by one: a feed has the last entry that was seen, and the one of before for the undoing.
//!
//! A marking covers the entries that there were when its page was made, of the feeds that were in the group then.
//! Feeds that come into the group later stay as they were.

use sqlx::FromRow;

use super::{Store, StoreError};

/// A marking, which can be undone until the next one.
#[derive(Clone, Debug, PartialEq, Eq, FromRow)]
pub struct Marking {
    /// Its number.
    pub id: i64,
    /// The group that was marked; all where `None`.
    #[sqlx(rename = "group_name")]
    pub group: Option<String>,
    /// How many entries were unread until then.
    pub entries: u32,
}

impl Store {
    /// Marks the entries of a group, or of all feeds, as seen up to `upto`, the last entry that the reader can have
    /// been shown. It takes the place of the marking before, which can no longer be undone.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn mark_seen(
        &self,
        reader: i64,
        group: Option<&str>,
        upto: i64,
    ) -> Result<Marking, StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        // What has no number yet cannot have been shown.
        let (known,) = sqlx::query_as::<_, (i64,)>("SELECT coalesce(max(id), 0) FROM entry")
            .fetch_one(&mut *transaction)
            .await?;
        let upto = upto.clamp(0, known);
        let entries =
            super::group::count(&mut transaction, reader, group, 0..upto, i64::MAX).await?;
        sqlx::query("DELETE FROM marking WHERE reader = ?1")
            .bind(reader)
            .execute(&mut *transaction)
            .await?;
        let marking = sqlx::query_as::<_, Marking>(
            "INSERT INTO marking (reader, group_name, entries) VALUES (?1, ?2, ?3)
             RETURNING id, group_name, entries",
        )
        .bind(reader)
        .bind(group)
        .bind(entries)
        .fetch_one(&mut *transaction)
        .await?;
        sqlx::query(
            "INSERT INTO seen (reader, feed, upto, before, marking)
             SELECT ?1, id, ?3, 0, ?4 FROM feed
             WHERE hidden = 0 AND (?2 IS NULL OR group_name = ?2)
             ON CONFLICT (reader, feed) DO UPDATE
             SET before = upto, upto = max(upto, excluded.upto), marking = excluded.marking",
        )
        .bind(reader)
        .bind(group)
        .bind(upto)
        .bind(marking.id)
        .execute(&mut *transaction)
        .await?;
        transaction.commit().await?;
        Ok(marking)
    }

    /// The marking of that number, if it can be undone still.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn marking(&self, reader: i64, id: i64) -> Result<Option<Marking>, StoreError> {
        let marking = sqlx::query_as::<_, Marking>(
            "SELECT id, group_name, entries FROM marking WHERE reader = ?1 AND id = ?2",
        )
        .bind(reader)
        .bind(id)
        .fetch_optional(&self.pool)
        .await?;
        Ok(marking)
    }

    /// Takes a marking back, so that what was unread before it and has not been opened since is unread again. Tells
    /// the marking; `None` where it cannot be undone any more, and nothing was changed then.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn undo_seen(&self, reader: i64, id: i64) -> Result<Option<Marking>, StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        let marking = sqlx::query_as::<_, Marking>(
            "DELETE FROM marking WHERE reader = ?1 AND id = ?2 RETURNING id, group_name, entries",
        )
        .bind(reader)
        .bind(id)
        .fetch_optional(&mut *transaction)
        .await?;
        if marking.is_some() {
            sqlx::query("UPDATE seen SET upto = before WHERE reader = ?1 AND marking = ?2")
                .bind(reader)
                .bind(id)
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        Ok(marking)
    }
}

#[cfg(test)]
mod tests;
