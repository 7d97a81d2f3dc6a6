//! The table of searches: what a reader looked for last, to be looked for again in one tap. Never searches.

use jiff::Timestamp;

use super::find::Sought;
use super::{Store, StoreError, to_column};

/// Searches that are remembered: two discs or so of rows. Common practice, no source.
pub const SEARCHES_KEPT: usize = 5;

impl Store {
    /// The words of the reader's last searches, the latest first.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn searches(&self, reader: i64) -> Result<Vec<String>, StoreError> {
        let rows = sqlx::query_as::<_, (String,)>(
            "SELECT words FROM search WHERE reader = ?1 ORDER BY made DESC, sought",
        )
        .bind(reader)
        .fetch_all(&self.pool)
        .await?;
        Ok(rows.into_iter().map(|(words,)| words).collect())
    }

    /// Remembers a search, and forgets those before the last [`SEARCHES_KEPT`].
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn remember_search(
        &self,
        reader: i64,
        sought: &Sought,
        at: Timestamp,
    ) -> Result<(), StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        sqlx::query(
            "INSERT INTO search (reader, sought, words, made) VALUES (?1, ?2, ?3, ?4)
             ON CONFLICT (reader, sought) DO UPDATE SET words = excluded.words, made = excluded.made",
        )
        .bind(reader)
        .bind(&sought.key)
        .bind(&sought.words)
        .bind(to_column(at))
        .execute(&mut *transaction)
        .await?;
        sqlx::query(
            "DELETE FROM search WHERE reader = ?1 AND sought NOT IN (
                 SELECT sought FROM search WHERE reader = ?1 ORDER BY made DESC, sought LIMIT ?2)",
        )
        .bind(reader)
        .bind(i64::try_from(SEARCHES_KEPT).unwrap_or(i64::MAX))
        .execute(&mut *transaction)
        .await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Forgets all searches of a reader.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn forget_searches(&self, reader: i64) -> Result<(), StoreError> {
        sqlx::query("DELETE FROM search WHERE reader = ?1")
            .bind(reader)
            .execute(&self.pool)
            .await?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::READER;
    use super::super::sample::{Bench, instant};
    use super::*;

    async fn remember(bench: &Bench, words: &str, day: i64) {
        let sought = Sought::parse(words).unwrap();
        let store = &bench.store;
        store
            .remember_search(READER, &sought, instant(day))
            .await
            .unwrap();
    }

    async fn check(bench: &Bench, expected: &[&str]) {
        assert_eq!(bench.store.searches(READER).await.unwrap(), expected);
    }

    #[tokio::test]
    async fn the_last_five_different_searches_are_remembered_latest_first() {
        let bench = Bench::new().await;
        check(&bench, &[]).await;
        for (day, words) in (1..).zip(["ebb", "tide", "Ebb!", "bell", "buoy", "rope", "crane"]) {
            remember(&bench, words, day).await;
        }
        check(&bench, &["crane", "rope", "buoy", "bell", "Ebb!"]).await;
        assert!(bench.store.searches(2).await.unwrap().is_empty());
    }

    #[tokio::test]
    async fn searches_of_one_reader_are_forgotten_at_once() {
        let bench = Bench::new().await;
        let (store, sought) = (&bench.store, Sought::parse("rope").unwrap());
        remember(&bench, "tide", 1).await;
        store.remember_search(2, &sought, instant(1)).await.unwrap();
        store.forget_searches(READER).await.unwrap();
        check(&bench, &[]).await;
        assert_eq!(store.searches(2).await.unwrap(), ["rope"]);
    }
}
