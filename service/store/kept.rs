//! What a reader keeps, the latest first. Owns no table.

use super::index::Candidate;
use super::{ENTRIES_A_PAGE, IndexPage, Store, StoreError};

impl Store {
    /// A page, from 0, of what the reader keeps, the latest kept first: entries of feeds that left the config and pages
    /// that were fetched by links among them.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn kept(&self, reader: i64, page: u32) -> Result<IndexPage, StoreError> {
        let most = i64::try_from(ENTRIES_A_PAGE).unwrap_or(i64::MAX);
        let mut chosen = sqlx::query_as::<_, Candidate>(
            "SELECT entry.id, entry.feed, entry.published, mark.opened IS NOT NULL AS read
             FROM mark
             CROSS JOIN entry ON entry.id = mark.entry
             CROSS JOIN article ON article.entry = entry.id
             WHERE mark.reader = ?1 AND mark.kept IS NOT NULL
             ORDER BY mark.kept DESC, entry.id DESC LIMIT ?2 + 1 OFFSET ?2 * ?3",
        )
        .bind(reader)
        .bind(most)
        .bind(page)
        .fetch_all(&self.pool)
        .await?;
        let has_more = chosen.len() > ENTRIES_A_PAGE;
        chosen.truncate(ENTRIES_A_PAGE);
        let mut entries = self.index_entries(reader, &chosen).await?;
        entries.sort_by_key(|entry| chosen.iter().position(|one| one.id == entry.entry));
        Ok(IndexPage { entries, has_more })
    }

    /// How many articles the reader keeps.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn kept_count(&self, reader: i64) -> Result<u32, StoreError> {
        let (count,) = sqlx::query_as::<_, (u32,)>(
            "SELECT count(*) FROM mark CROSS JOIN article ON article.entry = mark.entry
             WHERE mark.reader = ?1 AND mark.kept IS NOT NULL",
        )
        .bind(reader)
        .fetch_one(&self.pool)
        .await?;
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Bench, instant};
    use super::super::{READER, Room};
    use super::*;

    async fn kept(bench: &Bench, page: u32) -> (Vec<i64>, bool) {
        let page = bench.store.kept(READER, page).await.unwrap();
        let entries = page.entries.iter().map(|entry| entry.entry);
        (entries.collect(), page.has_more)
    }

    #[tokio::test]
    async fn what_is_kept_is_listed_the_latest_kept_first_until_it_is_let_go() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let mut entries = Vec::new();
        for name in ["one", "two", "three"] {
            entries.push(bench.article(feed, name, 1).await);
        }
        assert_eq!(kept(&bench, 0).await, (vec![], false));
        for (entry, day) in [(entries[2], 5), (entries[0], 6)] {
            let at = Some(instant(day));
            bench.store.keep(READER, entry, at).await.unwrap();
        }
        assert_eq!(kept(&bench, 0).await, (vec![entries[0], entries[2]], false));
        assert_eq!(bench.store.kept_count(READER).await.unwrap(), 2);
        assert_eq!(bench.store.kept_count(2).await.unwrap(), 0);
        bench.unsubscribe("https://a.example/f").await;
        assert_eq!(bench.store.kept_count(READER).await.unwrap(), 2);
        bench.store.keep(READER, entries[0], None).await.unwrap();
        assert_eq!(kept(&bench, 0).await, (vec![entries[2]], false));
    }

    #[tokio::test]
    async fn pages_of_what_is_kept_hold_each_entry_once_and_no_sweep_takes_one() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let mut entries = Vec::new();
        for number in 0..ENTRIES_A_PAGE + 2 {
            let entry = bench.article(feed, &format!("n{number}"), 1).await;
            let at = Some(instant(number as i64));
            bench.store.keep(READER, entry, at).await.unwrap();
            entries.push(entry);
        }
        entries.reverse();
        let room = Room {
            entries: Some(0),
            seen_since: Some(instant(4000)),
        };
        let now = instant(4000);
        assert_eq!(
            bench.store.beyond_feed(feed, room, now).await.unwrap(),
            [0; 0]
        );
        assert_eq!(bench.store.sweep_step(&entries, now).await.unwrap(), 0);
        let (first, second) = (kept(&bench, 0).await, kept(&bench, 1).await);
        assert!(first.1 && !second.1);
        assert_eq!([first.0, second.0].concat(), entries);
        assert_eq!(kept(&bench, 2).await, (vec![], false));
    }
}
