//! The last look of a reader at the index, and so what is new in it. Never lists entries.
//!
//! A look is as long as the wearer is at it, not one request: a watch whose screen goes dark loads its page again when
//! the wrist is raised, and who reads an article comes back to the index that led there. So the index gone to again
//! within [`PAUSE`], or within [`READING`] of an article opened since, belongs to the same look, and shows the same
//! entries as new; only a later one begins another, in which what came since the last is new.

use jiff::{SignedDuration, Timestamp};

use super::{Store, StoreError, to_column};

/// After so long without going to the index a look is over. Longer than a wearer lets a list stand, and shorter than
/// the quarter of an hour between two requests for a feed, so that two arrivals rarely count as one. Common practice,
/// no source.
const PAUSE: SignedDuration = SignedDuration::from_mins(5);

/// After so long since an article was opened from it a look is over: time to read 7,000 words of English at 238 a
/// minute (Brysbaert 2019), more than most articles have.
pub(super) const READING: SignedDuration = SignedDuration::from_mins(30);

impl Store {
    /// Notes that `reader` goes to the index at `now`: to that of all where `group` is none, else to that of a group,
    /// which goes on with a look and begins none but the first, since it does not show all that is new. Tells the last
    /// entry that is not new in the look; in the first one nothing is new, since all would be.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn look(
        &self,
        reader: i64,
        group: Option<&str>,
        now: Timestamp,
    ) -> Result<i64, StoreError> {
        let (since,) = sqlx::query_as::<_, (i64,)>(
            "INSERT INTO look (reader, at, known, since, group_name)
             SELECT ?1, ?2, coalesce(max(id), 0), coalesce(max(id), 0), ?3 FROM entry
             WHERE true
             ON CONFLICT (reader) DO UPDATE SET
               group_name = excluded.group_name,
               (at, known, since) = (
                 SELECT CASE WHEN goes_on OR ?3 IS NULL THEN excluded.at ELSE at END,
                        CASE WHEN goes_on OR ?3 IS NULL THEN excluded.known ELSE known END,
                        CASE WHEN goes_on OR ?3 IS NOT NULL THEN since ELSE known END
                 FROM (SELECT at >= ?4 OR EXISTS (
                           SELECT 1 FROM mark WHERE mark.reader = ?1
                             AND mark.last_opened >= at AND mark.last_opened >= ?5) AS goes_on))
             RETURNING since",
        )
        .bind(reader)
        .bind(to_column(now))
        .bind(group)
        .bind(to_column(now - PAUSE))
        .bind(to_column(now - READING))
        .fetch_one(&self.pool)
        .await?;
        Ok(since)
    }

    /// The last entry that is not new in the look of `reader` that was noted last; `None` where none was.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn last_look(&self, reader: i64) -> Result<Option<i64>, StoreError> {
        let since = sqlx::query_as::<_, (i64,)>("SELECT since FROM look WHERE reader = ?1")
            .bind(reader)
            .fetch_optional(&self.pool)
            .await?;
        Ok(since.map(|(since,)| since))
    }

    /// The group whose index `reader` went to last, if the entry is of it.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn group_gone_through(
        &self,
        reader: i64,
        entry: i64,
    ) -> Result<Option<String>, StoreError> {
        let group = sqlx::query_as::<_, (String,)>(
            "SELECT look.group_name FROM look
             JOIN feed ON feed.group_name = look.group_name AND feed.hidden = 0
             JOIN entry ON entry.feed = feed.id
             WHERE look.reader = ?1 AND entry.id = ?2",
        )
        .bind(reader)
        .bind(entry)
        .fetch_optional(&self.pool)
        .await?;
        Ok(group.map(|(group,)| group))
    }
}

#[cfg(test)]
mod tests {
    use jiff::ToSpan;

    use super::super::READER;
    use super::super::sample::{Bench, instant};

    /// Goes to the index so many minutes after noon of a day.
    async fn look(bench: &Bench, group: Option<&str>, minutes: i64) -> i64 {
        let now = instant(20) + minutes.minutes();
        bench.store.look(READER, group, now).await.unwrap()
    }

    #[tokio::test]
    async fn what_came_since_the_last_look_is_new_for_as_long_as_the_look_lasts() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        assert_eq!(bench.store.last_look(READER).await.unwrap(), None);
        let one = bench.article(feed, "one", 1).await;
        assert_eq!(look(&bench, None, 0).await, one);
        let two = bench.article(feed, "two", 2).await;
        assert_eq!(look(&bench, None, 60).await, one);
        // Loaded again, and again, it is the same look: each time it lasts on.
        for minutes in [61, 63, 68] {
            assert_eq!(look(&bench, None, minutes).await, one);
        }
        // What comes while it lasts is new in it as well, and no longer in the next.
        let three = bench.article(feed, "three", 1).await;
        assert_eq!(look(&bench, None, 70).await, one);
        assert_eq!(look(&bench, None, 76).await, three);
        assert!(two < three);
        assert_eq!(bench.store.last_look(READER).await.unwrap(), Some(three));
        assert_eq!(bench.store.last_look(2).await.unwrap(), None);
    }

    #[tokio::test]
    async fn who_comes_back_from_reading_is_at_the_same_look() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let one = bench.article(feed, "one", 1).await;
        look(&bench, None, 0).await;
        let two = bench.article(feed, "two", 2).await;
        look(&bench, None, 60).await;
        // A list is flicked through for long before something of it is opened.
        let open = async |minutes: i64| {
            let at = instant(20) + minutes.minutes();
            bench.store.mark_opened(READER, two, at).await.unwrap();
        };
        open(68).await;
        assert_eq!(look(&bench, None, 98).await, one);
        // It was opened before that look, so that it holds nothing up any more.
        assert_eq!(look(&bench, None, 104).await, two);
        open(110).await;
        let three = bench.article(feed, "three", 3).await;
        assert_eq!(look(&bench, None, 141).await, two);
        assert_eq!(look(&bench, None, 200).await, three);
    }

    #[tokio::test]
    async fn a_group_goes_on_with_a_look_and_begins_none() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let one = bench.article(feed, "one", 1).await;
        look(&bench, None, 0).await;
        let two = bench.article(feed, "two", 2).await;
        assert_eq!(look(&bench, Some("Harbour"), 60).await, one);
        assert_eq!(look(&bench, Some("Harbour"), 120).await, one);
        assert_eq!(look(&bench, None, 121).await, one);
        assert_eq!(look(&bench, Some("Harbour"), 125).await, one);
        assert_eq!(look(&bench, None, 129).await, one);
        assert_eq!(look(&bench, None, 140).await, two);
    }

    #[tokio::test]
    async fn the_group_gone_through_holds_for_its_own_entries() {
        let bench = Bench::new().await;
        let feed = bench.feed_of("https://a.example/f", Some("Harbour")).await;
        let other = bench.feed_of("https://b.example/f", Some("Clubs")).await;
        let (one, two) = (
            bench.article(feed, "one", 1).await,
            bench.article(other, "two", 2).await,
        );
        let group = async |entry| bench.store.group_gone_through(READER, entry).await.unwrap();
        assert_eq!(group(one).await, None);
        look(&bench, Some("Harbour"), 0).await;
        assert_eq!(group(one).await.as_deref(), Some("Harbour"));
        assert_eq!(group(two).await, None);
        look(&bench, None, 1).await;
        assert_eq!(group(one).await, None);
    }
}
