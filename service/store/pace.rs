//! How fast a reader reads: the tables reading and stretch. Never sets a disc, and says nothing to anybody.
//!
//! As discs are turned, each place that is told makes a stretch with the one before it: the words between the two over
//! the time between them, as a multiple of the published rate of their language. The pace is the median of the last
//! [`STRETCHES_KEPT`]. A stretch is short, so each is rough, and some are no reading though they look it: a glance away,
//! a disc looked over again. Up to half of them can be of that kind and the median stays among the others; any mean,
//! weighted or of logarithms, is drawn by each. It is one pace for all browsers, as marks are one reader's.

use std::ops::Range;

use jiff::Timestamp;
use sqlx::SqliteConnection;

use super::{Place, Store, StoreError, from_column, to_column};
use crate::distil::Pace;
use crate::distil::block::Block;
use crate::distil::plain::count_words;

/// Stretches that are kept, each a disc or two: a quarter of an hour of reading, so that the pace follows its reader.
const STRETCHES_KEPT: u32 = 61;

/// With fewer the pace is not told: some three minutes of reading, after which the median of rough values is known to a
/// tenth or so.
const FEWEST_STRETCHES: usize = 21;

/// A stretch of fewer words tells of the finger more than of the eye.
const FEWEST_WORDS: u32 = 8;

/// After so many seconds reading has paused, however long the stretch.
const LONGEST_SECONDS: f64 = 180.0;

impl Store {
    /// Notes that a disc which begins at a place of an article was shown to `reader` at `now`.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn note_reading(
        &self,
        reader: i64,
        entry: i64,
        place: Place,
        now: Timestamp,
    ) -> Result<(), StoreError> {
        let last = self.last_reading(reader, entry).await?;
        let pace = match last {
            Some((from, since)) if from < place => {
                let seconds = now.duration_since(since).as_secs_f64();
                self.pace_between(reader, entry, from..place, seconds)
                    .await?
            }
            _ => None,
        };
        let (_turn, mut transaction) = self.begin().await?;
        if let Some(pace) = pace {
            keep(&mut transaction, reader, pace).await?;
        }
        note(&mut transaction, reader, entry, place, now).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// How fast `reader` reads; `None` as long as too little was read to tell.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn pace(&self, reader: i64) -> Result<Option<Pace>, StoreError> {
        let paces = sqlx::query_as::<_, (f64,)>(
            "SELECT pace FROM (
                 SELECT pace FROM stretch WHERE reader = ?1 ORDER BY id DESC LIMIT ?2)
             ORDER BY pace",
        )
        .bind(reader)
        .bind(STRETCHES_KEPT)
        .fetch_all(&self.pool)
        .await?;
        let median = paces.get(paces.len() / 2).map(|(pace,)| *pace);
        Ok(median
            .filter(|_| paces.len() >= FEWEST_STRETCHES)
            .and_then(Pace::times))
    }

    /// Forgets how fast `reader` reads, and all that it was told by.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn forget_pace(&self, reader: i64) -> Result<(), StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        for forgetting in [
            "DELETE FROM stretch WHERE reader = ?1",
            "DELETE FROM reading WHERE reader = ?1",
        ] {
            sqlx::query(forgetting)
                .bind(reader)
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// The place in an article that was told last, and when, if no other article's was told since.
    async fn last_reading(
        &self,
        reader: i64,
        entry: i64,
    ) -> Result<Option<(Place, Timestamp)>, StoreError> {
        let row = sqlx::query_as::<_, (u32, u32, i64)>(
            "SELECT place_block, place_character, at FROM reading WHERE reader = ?1 AND entry = ?2",
        )
        .bind(reader)
        .bind(entry)
        .fetch_optional(&self.pool)
        .await?;
        row.map(|(block, character, at)| Ok((Place { block, character }, from_column(at)?)))
            .transpose()
    }

    /// The pace of having read an article from one place to another; `None` where that was no reading.
    async fn pace_between(
        &self,
        reader: i64,
        entry: i64,
        places: Range<Place>,
        seconds: f64,
    ) -> Result<Option<Pace>, StoreError> {
        if seconds > LONGEST_SECONDS {
            return Ok(None);
        }
        let Some(article) = self.article(reader, entry).await? else {
            return Ok(None);
        };
        let words = words_between(&article.blocks, places);
        Ok((words >= FEWEST_WORDS)
            .then(|| Pace::of(words, &article.language, seconds))
            .flatten())
    }
}

/// How many words stand from one place to another.
fn words_between(blocks: &[Block], places: Range<Place>) -> u32 {
    let (first, last) = (places.start.block, places.end.block);
    let words = |(number, block): (u32, &Block)| {
        let text = block.text();
        let characters = text.chars();
        let end = match number == last {
            true => places.end.character as usize,
            false => usize::MAX,
        };
        let start = match number == first {
            true => places.start.character as usize,
            false => 0,
        };
        let between: String = characters.take(end).skip(start).collect();
        count_words(&between)
    };
    let within = |(number, _): &(u32, &Block)| (first..=last).contains(number);
    (0..).zip(blocks).filter(within).map(words).sum()
}

async fn keep(
    connection: &mut SqliteConnection,
    reader: i64,
    pace: Pace,
) -> Result<(), StoreError> {
    sqlx::query("INSERT INTO stretch (reader, pace) VALUES (?1, ?2)")
        .bind(reader)
        .bind(pace.ratio())
        .execute(&mut *connection)
        .await?;
    sqlx::query(
        "DELETE FROM stretch WHERE reader = ?1 AND id <= (
             SELECT id FROM stretch WHERE reader = ?1 ORDER BY id DESC LIMIT 1 OFFSET ?2)",
    )
    .bind(reader)
    .bind(STRETCHES_KEPT)
    .execute(connection)
    .await?;
    Ok(())
}

async fn note(
    connection: &mut SqliteConnection,
    reader: i64,
    entry: i64,
    place: Place,
    now: Timestamp,
) -> Result<(), StoreError> {
    sqlx::query(
        "INSERT INTO reading (reader, entry, place_block, place_character, at)
         SELECT ?1, id, ?3, ?4, ?5 FROM entry WHERE id = ?2
         ON CONFLICT (reader) DO UPDATE SET entry = excluded.entry, at = excluded.at,
             place_block = excluded.place_block, place_character = excluded.place_character",
    )
    .bind(reader)
    .bind(entry)
    .bind(place.block)
    .bind(place.character)
    .bind(to_column(now))
    .execute(connection)
    .await?;
    Ok(())
}

#[cfg(test)]
mod tests;
