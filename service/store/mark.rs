//! What a reader has done with an entry: opened, kept, how far read. Knows no feeds.

use jiff::Timestamp;
use sqlx::FromRow;

use super::{Store, StoreError, from_column, to_column};

/// The one reader, while a household is one.
pub const READER: i64 = 1;

/// A place in an article. It names the same words at every size of text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The block, from 0.
    pub block: u32,
    /// The character of the block's text, from 0.
    pub character: u32,
}

impl Place {
    /// Where an article begins.
    pub const START: Self = Self {
        block: 0,
        character: 0,
    };
}

/// All that is known of a reader and an entry.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Mark {
    /// When it was first opened.
    pub opened: Option<Timestamp>,
    /// When it was last opened.
    pub last_opened: Option<Timestamp>,
    /// When it was kept.
    pub kept: Option<Timestamp>,
    /// How far it was read; none before its second disc and at its end.
    pub place: Option<Place>,
}

impl Store {
    /// What the reader has done with the entry; an empty mark where nothing.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn mark(&self, reader: i64, entry: i64) -> Result<Mark, StoreError> {
        let row = sqlx::query_as::<_, Row>(
            "SELECT opened, last_opened, kept, place_block, place_character
             FROM mark WHERE reader = ?1 AND entry = ?2",
        )
        .bind(reader)
        .bind(entry)
        .fetch_optional(&self.pool)
        .await?;
        row.map_or(Ok(Mark::default()), Mark::try_from)
    }

    /// Notes that the reader has opened the entry: the first and the last time are remembered. An entry that
    /// does not exist or was swept away writes nothing.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn mark_opened(
        &self,
        reader: i64,
        entry: i64,
        at: Timestamp,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO mark (reader, entry, opened, last_opened, told)
             SELECT ?1, id, ?3, ?3, 0 FROM entry
             WHERE id = ?2 AND swept IS NULL
             ON CONFLICT (reader, entry) DO UPDATE
             SET opened = coalesce(opened, excluded.opened), last_opened = excluded.last_opened, told = 0",
        )
        .bind(reader)
        .bind(entry)
        .bind(to_column(at))
        .execute(&self.pool)
        .await?;
        Ok(())
    }

    /// Keeps the entry since `at`, or lets it go with `None`. Keeping what is kept changes nothing, nor does
    /// keeping what was swept away.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn keep(
        &self,
        reader: i64,
        entry: i64,
        at: Option<Timestamp>,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO mark (reader, entry, kept) SELECT ?1, id, ?3 FROM entry
             WHERE id = ?2 AND swept IS NULL
             ON CONFLICT (reader, entry) DO UPDATE SET kept = excluded.kept
             WHERE (kept IS NULL) <> (excluded.kept IS NULL)",
        )
        .bind(reader)
        .bind(entry)
        .bind(at.map(to_column))
        .execute(&self.pool)
        .await?;
        Ok(())
    }

    /// Remembers how far the reader has come, or forgets it with `None`.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn set_place(
        &self,
        reader: i64,
        entry: i64,
        place: Option<Place>,
    ) -> Result<(), StoreError> {
        sqlx::query(
            "INSERT INTO mark (reader, entry, place_block, place_character, told)
             SELECT ?1, id, ?3, ?4, 1 FROM entry
             WHERE id = ?2 AND swept IS NULL
             ON CONFLICT (reader, entry) DO UPDATE
             SET place_block = excluded.place_block, place_character = excluded.place_character, told = 1
             WHERE place_block IS NOT excluded.place_block
                OR place_character IS NOT excluded.place_character OR told = 0",
        )
        .bind(reader)
        .bind(entry)
        .bind(place.map(|place| place.block))
        .bind(place.map(|place| place.character))
        .execute(&self.pool)
        .await?;
        Ok(())
    }
}

#[derive(FromRow)]
struct Row {
    opened: Option<i64>,
    last_opened: Option<i64>,
    kept: Option<i64>,
    place_block: Option<u32>,
    place_character: Option<u32>,
}

impl TryFrom<Row> for Mark {
    type Error = StoreError;

    fn try_from(row: Row) -> Result<Self, StoreError> {
        Ok(Self {
            opened: row.opened.map(from_column).transpose()?,
            last_opened: row.last_opened.map(from_column).transpose()?,
            kept: row.kept.map(from_column).transpose()?,
            place: row
                .place_block
                .zip(row.place_character)
                .map(|(block, character)| Place { block, character }),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Bench, instant};
    use super::*;

    #[tokio::test]
    async fn the_first_and_the_last_opening_are_remembered() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let entry = bench.article(feed, "one", 1).await;
        let store = &bench.store;
        assert_eq!(store.mark(READER, entry).await.unwrap(), Mark::default());
        store.mark_opened(READER, entry, instant(2)).await.unwrap();
        store.mark_opened(READER, entry, instant(3)).await.unwrap();
        let mark = store.mark(READER, entry).await.unwrap();
        assert_eq!(mark.opened, Some(instant(2)));
        assert_eq!(mark.last_opened, Some(instant(3)));
        assert_eq!(store.mark(2, entry).await.unwrap(), Mark::default());
    }

    #[tokio::test]
    async fn opened_kept_and_place_stand_beside_each_other() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let entry = bench.article(feed, "one", 1).await;
        let store = &bench.store;
        let place = |block, character| Place { block, character };
        store
            .set_place(READER, entry, Some(place(3, 40)))
            .await
            .unwrap();
        store.mark_opened(READER, entry, instant(2)).await.unwrap();
        store.keep(READER, entry, Some(instant(4))).await.unwrap();
        store.keep(READER, entry, Some(instant(5))).await.unwrap();
        store
            .set_place(READER, entry, Some(place(4, 0)))
            .await
            .unwrap();
        let mark = store.mark(READER, entry).await.unwrap();
        let expected = Mark {
            opened: Some(instant(2)),
            last_opened: Some(instant(2)),
            kept: Some(instant(4)),
            place: Some(place(4, 0)),
        };
        assert_eq!(mark, expected);
        store.set_place(READER, entry, None).await.unwrap();
        assert_eq!(store.mark(READER, entry).await.unwrap().place, None);
        store.keep(READER, entry, None).await.unwrap();
        assert_eq!(store.mark(READER, entry).await.unwrap().kept, None);
    }

    #[tokio::test]
    async fn an_entry_that_does_not_exist_takes_no_mark() {
        let bench = Bench::new().await;
        let store = &bench.store;
        store.mark_opened(READER, 77, instant(2)).await.unwrap();
        store.keep(READER, 77, Some(instant(2))).await.unwrap();
        store
            .set_place(READER, 77, Some(Place::START))
            .await
            .unwrap();
        assert_eq!(store.mark(READER, 77).await.unwrap(), Mark::default());
    }
}
