//! The table of rhythms: how often feeds want to be asked, and when they really changed. Decides nothing.

use std::collections::HashMap;

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use super::{Store, StoreError, from_column};
use crate::distil::feed::Rhythm;

/// What a feed and its server say of how often to ask.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Hints {
    /// For how many seconds an answer stays fresh, by the last header that said so.
    pub fresh_seconds: Option<u32>,
    /// What the feed itself says.
    pub rhythm: Rhythm,
}

/// The columns of [`Hints`] as a query of feeds brings them along; all `NULL` for a feed without.
#[derive(FromRow)]
pub(super) struct HintColumns {
    fresh_seconds: Option<u32>,
    ttl_minutes: Option<u32>,
    update_minutes: Option<u32>,
    skip_hours: Option<u32>,
    skip_days: Option<u8>,
}

impl From<HintColumns> for Hints {
    fn from(columns: HintColumns) -> Self {
        Self {
            fresh_seconds: columns.fresh_seconds,
            rhythm: Rhythm {
                ttl_minutes: columns.ttl_minutes,
                update_minutes: columns.update_minutes,
                skip_hours: columns.skip_hours.unwrap_or(0),
                skip_days: columns.skip_days.unwrap_or(0),
            },
        }
    }
}

impl Store {
    /// The instants at which the newest `count` entries of each feed came out, newest first: as it dates
    /// them, or else when they were first seen. A feed without entries is left out.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn change_instants(
        &self,
        feeds: &[i64],
        count: u32,
    ) -> Result<HashMap<i64, Vec<Timestamp>>, StoreError> {
        let rows = sqlx::query_as::<_, (i64, i64)>(
            "SELECT list.value, newest.value
             FROM json_each(?1) AS list
             CROSS JOIN json_each((
                 SELECT json_group_array(published) FROM (
                     SELECT DISTINCT published FROM entry WHERE feed = list.value
                     ORDER BY published DESC LIMIT ?2))) AS newest
             ORDER BY list.key, newest.value DESC",
        )
        .bind(serde_json::json!(feeds).to_string())
        .bind(count)
        .fetch_all(&self.pool)
        .await?;
        let mut instants: HashMap<i64, Vec<Timestamp>> = HashMap::new();
        for (feed, instant) in rows {
            let instants = instants.entry(feed).or_default();
            instants.push(from_column(instant)?);
        }
        Ok(instants)
    }
}

/// Stores what a feed says, unless it is what it said before.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    feed: i64,
    hints: &Hints,
) -> Result<(), StoreError> {
    let Hints {
        fresh_seconds,
        rhythm,
    } = hints;
    sqlx::query(
        "INSERT INTO rhythm (feed, fresh_seconds, ttl_minutes, update_minutes, skip_hours, skip_days)
         SELECT ?1, ?2, ?3, ?4, ?5, ?6
         WHERE ?7 OR EXISTS (SELECT 1 FROM rhythm WHERE feed = ?1)
         ON CONFLICT (feed) DO UPDATE
         SET fresh_seconds = ?2, ttl_minutes = ?3, update_minutes = ?4, skip_hours = ?5, skip_days = ?6
         WHERE fresh_seconds IS NOT ?2 OR ttl_minutes IS NOT ?3 OR update_minutes IS NOT ?4
            OR skip_hours <> ?5 OR skip_days <> ?6",
    )
    .bind(feed)
    .bind(fresh_seconds)
    .bind(rhythm.ttl_minutes)
    .bind(rhythm.update_minutes)
    .bind(rhythm.skip_hours & 0xff_ffff)
    .bind(rhythm.skip_days & 0x7f)
    .bind(*hints != Hints::default())
    .execute(connection)
    .await?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Bench, found, instant, outcome};
    use super::*;

    async fn stored(bench: &Bench) -> Hints {
        let feeds = bench.store.scheduled_feeds().await.unwrap();
        feeds[0].hints
    }

    async fn rows(bench: &Bench) -> i64 {
        sqlx::query_as::<_, (i64,)>("SELECT count(*) FROM rhythm")
            .fetch_one(&bench.store.pool)
            .await
            .unwrap()
            .0
    }

    #[tokio::test]
    async fn hints_are_stored_with_a_fetch_and_read_with_the_schedule() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let mut fetched = outcome(1, Vec::new());
        bench.store.save(feed, &fetched).await.unwrap();
        assert_eq!(
            (stored(&bench).await, rows(&bench).await),
            (Hints::default(), 0)
        );
        let hints = Hints {
            fresh_seconds: Some(u32::MAX),
            rhythm: Rhythm {
                ttl_minutes: Some(60),
                update_minutes: None,
                skip_hours: 0xff_ffff,
                skip_days: 0x7f,
            },
        };
        fetched.standing.hints = hints;
        bench.store.save(feed, &fetched).await.unwrap();
        assert_eq!((stored(&bench).await, rows(&bench).await), (hints, 1));
        fetched.standing.hints = Hints::default();
        bench.store.save(feed, &fetched).await.unwrap();
        assert_eq!(stored(&bench).await, Hints::default());
    }

    #[tokio::test]
    async fn the_instants_of_changes_are_those_of_the_newest_entries() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let entries = ["a", "b", "c", "d"].into_iter().zip([1, 3, 3, 2]);
        let entries = entries.map(|(name, day)| found(name, day)).collect();
        bench.store.save(feed, &outcome(4, entries)).await.unwrap();
        let other = bench.feed("https://b.example/f").await;
        let entries = vec![found("a", 5)];
        bench.store.save(other, &outcome(6, entries)).await.unwrap();
        let quiet = bench.feed("https://c.example/f").await;
        let asked = [other, quiet, feed];
        let instants = bench.store.change_instants(&asked, 2).await.unwrap();
        let expected = [
            (feed, vec![instant(3), instant(2)]),
            (other, vec![instant(5)]),
        ];
        assert_eq!(instants, HashMap::from(expected));
    }
}
