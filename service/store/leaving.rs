//! Articles that were left without a word: where no script tells how far one was read, the time until the index is
//! gone to again does. Knows no discs.
//!
//! Whoever goes back within [`GLANCE`] has read an opening and no more. Whoever goes back after about the time that the
//! whole takes has read it. Between the two, and after a pause that is too long to tell anything, the article was begun:
//! its place is then its start, which is as near as requests alone can tell.

use jiff::{SignedDuration, Timestamp};
use sqlx::FromRow;

use super::look::READING;
use super::{Store, StoreError, block_form, from_column};
use crate::distil::Pace;

/// An opening is read in less: 50 words, more than most have, at 238 a minute (Brysbaert 2019), and a tap.
const GLANCE: SignedDuration = SignedDuration::from_secs(15);

/// Whoever was at an article for so much of the time that all of it takes has come to its end: the 300 words a minute of
/// the fastest of most adults are a quarter more than the mean of 238 (Brysbaert 2019).
const NEARLY_ALL: f64 = 0.75;

impl Store {
    /// Settles how far the article was read that `reader`, who now goes to the index, has opened last; `pace` is how fast
    /// the reader reads. Changes nothing where it was told.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn settle_left(
        &self,
        reader: i64,
        pace: Pace,
        now: Timestamp,
    ) -> Result<(), StoreError> {
        let left = sqlx::query_as::<_, Left>(
            "SELECT mark.entry, mark.last_opened, article.words, article.language
             FROM mark JOIN article ON article.entry = mark.entry
             WHERE mark.reader = ?1 AND mark.told = 0
               AND coalesce(mark.place_block, 0) = 0 AND coalesce(mark.place_character, 0) = 0
             ORDER BY mark.last_opened DESC LIMIT 1",
        )
        .bind(reader)
        .fetch_optional(&self.pool)
        .await?;
        let Some(left) = left else {
            return Ok(());
        };
        let language = block_form::language_from(&left.language);
        let whole = pace.seconds(left.words, &language) * NEARLY_ALL;
        let away = now.duration_since(from_column(left.last_opened)?);
        let read =
            (GLANCE.as_secs_f64().max(whole)..READING.as_secs_f64()).contains(&away.as_secs_f64());
        let begun = away >= GLANCE && !read;
        sqlx::query(
            "UPDATE mark SET told = 1,
                 place_block = CASE WHEN ?4 AND entry = ?2 THEN 0 END,
                 place_character = CASE WHEN ?4 AND entry = ?2 THEN 0 END
             WHERE reader = ?1 AND told = 0 AND last_opened <= ?3
               AND coalesce(place_block, 0) = 0 AND coalesce(place_character, 0) = 0",
        )
        .bind(reader)
        .bind(left.entry)
        .bind(left.last_opened)
        .bind(begun)
        .execute(&self.pool)
        .await?;
        Ok(())
    }

    /// Notes that `reader` has come to the end of an entry and goes on from there. A place that a script has told stays:
    /// whoever jumps to the end may come back.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn leave_at_end(&self, reader: i64, entry: i64) -> Result<(), StoreError> {
        sqlx::query(
            "UPDATE mark SET told = 1, place_block = NULL, place_character = NULL
             WHERE reader = ?1 AND entry = ?2 AND told = 0
               AND coalesce(place_block, 0) = 0 AND coalesce(place_character, 0) = 0",
        )
        .bind(reader)
        .bind(entry)
        .execute(&self.pool)
        .await?;
        Ok(())
    }
}

/// An article that was opened and of which nothing was told since.
#[derive(FromRow)]
struct Left {
    entry: i64,
    last_opened: i64,
    words: u32,
    language: String,
}

#[cfg(test)]
mod tests {
    use jiff::ToSpan;

    use super::super::sample::{Bench, article, found, instant, outcome, source};
    use super::super::{Distilled, FoundEntry, Place, READER};
    use super::*;

    /// A store with an article of 714 words of English, which take three minutes at the published pace.
    async fn bench() -> (Bench, i64) {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let mut text = article("one");
        text.words = 714;
        let entry = FoundEntry {
            distilled: Some(Distilled::new(&text, &source("one"), 1).unwrap()),
            ..found("one", 1)
        };
        let outcome = outcome(1, vec![entry]);
        bench.store.save(feed, &outcome).await.unwrap();
        let id = bench.entry(feed, "one").await;
        (bench, id)
    }

    /// The place that is known once the index is gone to so many seconds after the opening.
    async fn left(bench: &Bench, entry: i64, seconds: i64) -> Option<Place> {
        let opened = instant(9);
        let store = &bench.store;
        store.mark_opened(READER, entry, opened).await.unwrap();
        let now = opened + seconds.seconds();
        let settled = store.settle_left(READER, Pace::PUBLISHED, now);
        settled.await.unwrap();
        store.mark(READER, entry).await.unwrap().place
    }

    #[tokio::test]
    async fn what_was_left_in_its_midst_was_begun() {
        for (seconds, begun) in [
            (0, false),
            (14, false),
            (15, true),
            (134, true),
            (136, false),
            (1_799, false),
            (1_800, true),
            (86_400, true),
        ] {
            let (bench, entry) = bench().await;
            let place = left(&bench, entry, seconds).await;
            assert_eq!(place, begun.then_some(Place::START), "{seconds}");
            // Settled once, it stays so however late the index is gone to again.
            let later = instant(12);
            let again = bench.store.settle_left(READER, Pace::PUBLISHED, later);
            again.await.unwrap();
            assert_eq!(bench.store.mark(READER, entry).await.unwrap().place, place);
        }
    }

    #[tokio::test]
    async fn what_was_begun_and_then_read_is_begun_no_longer() {
        let (bench, entry) = bench().await;
        assert_eq!(left(&bench, entry, 60).await, Some(Place::START));
        assert_eq!(left(&bench, entry, 170).await, None);
    }

    #[tokio::test]
    async fn what_a_script_has_told_is_left_alone() {
        let (bench, entry) = bench().await;
        let told = Place {
            block: 1,
            character: 3,
        };
        for place in [Some(told), None] {
            bench
                .store
                .mark_opened(READER, entry, instant(8))
                .await
                .unwrap();
            bench.store.set_place(READER, entry, place).await.unwrap();
            let settled = bench.store.settle_left(READER, Pace::PUBLISHED, instant(9));
            settled.await.unwrap();
            assert_eq!(bench.store.mark(READER, entry).await.unwrap().place, place);
        }
        bench
            .store
            .set_place(READER, entry, Some(told))
            .await
            .unwrap();
        // Opened again and left at once, or from its end.
        assert_eq!(left(&bench, entry, 60).await, Some(told));
        bench
            .store
            .mark_opened(READER, entry, instant(9))
            .await
            .unwrap();
        bench.store.leave_at_end(READER, entry).await.unwrap();
        assert_eq!(
            bench.store.mark(READER, entry).await.unwrap().place,
            Some(told)
        );
    }

    #[tokio::test]
    async fn what_was_left_from_its_end_was_read() {
        let (bench, entry) = bench().await;
        assert_eq!(left(&bench, entry, 60).await, Some(Place::START));
        bench
            .store
            .mark_opened(READER, entry, instant(9))
            .await
            .unwrap();
        bench.store.leave_at_end(READER, entry).await.unwrap();
        assert_eq!(bench.store.mark(READER, entry).await.unwrap().place, None);
        let settled = bench
            .store
            .settle_left(READER, Pace::PUBLISHED, instant(10));
        settled.await.unwrap();
        assert_eq!(bench.store.mark(READER, entry).await.unwrap().place, None);
    }
}
