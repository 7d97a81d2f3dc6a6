//! The table of feeds: what the config names, when each is due, which ones fail. Knows no entries.

use std::collections::HashMap;

use jiff::Timestamp;
use sqlx::FromRow;
use url::Url;

use super::rhythm::{HintColumns, Hints};
use super::{Store, StoreError, from_column, hash_from_column, to_column};

/// A feed as the config lists it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Its identity: the address in the config.
    pub address: String,
    /// The title that the config gives it.
    pub title: Option<String>,
    /// The group that the config puts it in.
    pub group: Option<String>,
}

/// What following the config came to, in feeds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Subscribed {
    /// Never seen before.
    pub added: u64,
    /// Known, and shown again or shown differently.
    pub changed: u64,
    /// No longer listed, so hidden.
    pub hidden: u64,
}

/// What a server calls the body that it sent, byte for byte.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Validators {
    /// The ETag.
    pub etag: Option<Vec<u8>>,
    /// The Last-Modified.
    pub last_modified: Option<Vec<u8>>,
}

/// A feed that is to be fetched from time to time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScheduledFeed {
    /// The feed.
    pub id: i64,
    /// The address in the config.
    pub address: String,
    /// Where it has moved for good.
    pub moved_address: Option<String>,
    /// The title to show for it.
    pub title: String,
    /// The title that the feed gave itself.
    pub feed_title: Option<String>,
    /// When it is due.
    pub next_due: Timestamp,
    /// Fetches that failed in a row.
    pub failures: u32,
    /// What its server called the last body.
    pub validators: Validators,
    /// BLAKE3 of the last body that was read to its end.
    pub body_hash: Option<[u8; 32]>,
    /// By which distiller and rule it was read.
    pub reading: Option<String>,
    /// What it and its server say of how often to ask.
    pub hints: Hints,
}

/// A feed that cannot be fetched at present.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FailingFeed {
    /// The title to show for it.
    pub title: String,
    /// When the first fetch failed of those that have failed in a row.
    pub since: Timestamp,
    /// What was wrong with the last one, for a person.
    pub fault: String,
}

impl Store {
    /// Follows the config: adds what is new (due at `now`), takes over titles, groups and the order,
    /// shows again what is listed again, and hides what is not listed. A feed that had said that it
    /// is gone is asked again once it has been away from the config. Writes nothing where all is so already.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn subscribe(
        &self,
        listed: &[Listed],
        now: Timestamp,
    ) -> Result<Subscribed, StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        let known: HashMap<String, ListedRow> = sqlx::query_as::<_, ListedRow>(
            "SELECT address, config_title, group_name, position, hidden FROM feed",
        )
        .fetch_all(&mut *transaction)
        .await?
        .into_iter()
        .map(|row| (row.address.clone(), row))
        .collect();
        let mut outcome = Subscribed::default();
        for (position, feed) in (0_i64..).zip(listed) {
            if let Some(row) = known.get(&feed.address) {
                // Thousands of feeds that are as they were cost no statement each.
                if row.is(feed, position) {
                    continue;
                }
                outcome.changed += sqlx::query(
                    "UPDATE feed
                     SET config_title = ?2, group_name = ?3, position = ?4, hidden = 0,
                         stopped = CASE hidden WHEN 1 THEN 0 ELSE stopped END,
                         next_due = CASE hidden WHEN 1 THEN ?5 ELSE next_due END
                     WHERE address = ?1",
                )
                .bind(&feed.address)
                .bind(&feed.title)
                .bind(&feed.group)
                .bind(position)
                .bind(to_column(now))
                .execute(&mut *transaction)
                .await?
                .rows_affected();
            } else {
                outcome.added += sqlx::query(
                    "INSERT INTO feed (address, config_title, group_name, position, next_due)
                     VALUES (?1, ?2, ?3, ?4, ?5)",
                )
                .bind(&feed.address)
                .bind(&feed.title)
                .bind(&feed.group)
                .bind(position)
                .bind(to_column(now))
                .execute(&mut *transaction)
                .await?
                .rows_affected();
            }
        }
        let addresses: Vec<&str> = listed.iter().map(|feed| feed.address.as_str()).collect();
        outcome.hidden = sqlx::query(
            "UPDATE feed SET hidden = 1
             WHERE hidden = 0 AND address NOT IN (SELECT value FROM json_each(?1))",
        )
        .bind(serde_json::json!(addresses).to_string())
        .execute(&mut *transaction)
        .await?
        .rows_affected();
        transaction.commit().await?;
        Ok(outcome)
    }

    /// The feeds that are to be fetched from time to time, in the config's order: the shown ones
    /// that have not said that they are gone.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn scheduled_feeds(&self) -> Result<Vec<ScheduledFeed>, StoreError> {
        sqlx::query_as::<_, ScheduledRow>(
            "SELECT id, address, moved_address, config_title, feed_title, next_due, failures,
                    etag, last_modified, body_hash, reading,
                    fresh_seconds, ttl_minutes, update_minutes, skip_hours, skip_days
             FROM feed LEFT JOIN rhythm ON rhythm.feed = feed.id
             WHERE hidden = 0 AND stopped = 0 ORDER BY position, id",
        )
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(ScheduledFeed::try_from)
        .collect()
    }

    /// The shown feeds whose last fetch failed, in the config's order.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn failing_feeds(&self) -> Result<Vec<FailingFeed>, StoreError> {
        sqlx::query_as::<_, FailingRow>(
            "SELECT address, config_title, feed_title, failing_since, fault
             FROM feed WHERE hidden = 0 AND failures > 0 ORDER BY position, id",
        )
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(FailingFeed::try_from)
        .collect()
    }
}

/// The title to show for a feed: the config's, else its own, else the host that it comes from.
pub(super) fn shown_title(config: Option<&str>, own: Option<&str>, address: &str) -> String {
    let given = |title: &&str| !title.trim().is_empty();
    if let Some(title) = config.filter(given).or(own.filter(given)) {
        return title.to_owned();
    }
    Url::parse(address)
        .ok()
        .and_then(|address| address.host_str().map(str::to_owned))
        .unwrap_or_else(|| address.to_owned())
}

#[derive(FromRow)]
struct ListedRow {
    address: String,
    config_title: Option<String>,
    group_name: Option<String>,
    position: i64,
    hidden: bool,
}

impl ListedRow {
    /// Whether the config lists the feed as it stands here.
    fn is(&self, feed: &Listed, position: i64) -> bool {
        !self.hidden
            && self.position == position
            && self.config_title == feed.title
            && self.group_name == feed.group
    }
}

#[derive(FromRow)]
struct ScheduledRow {
    id: i64,
    address: String,
    moved_address: Option<String>,
    config_title: Option<String>,
    feed_title: Option<String>,
    next_due: i64,
    failures: u32,
    etag: Option<Vec<u8>>,
    last_modified: Option<Vec<u8>>,
    body_hash: Option<Vec<u8>>,
    reading: Option<String>,
    #[sqlx(flatten)]
    hints: HintColumns,
}

impl TryFrom<ScheduledRow> for ScheduledFeed {
    type Error = StoreError;

    fn try_from(row: ScheduledRow) -> Result<Self, StoreError> {
        Ok(Self {
            title: shown_title(
                row.config_title.as_deref(),
                row.feed_title.as_deref(),
                &row.address,
            ),
            id: row.id,
            address: row.address,
            moved_address: row.moved_address,
            feed_title: row.feed_title,
            next_due: from_column(row.next_due)?,
            failures: row.failures,
            validators: Validators {
                etag: row.etag,
                last_modified: row.last_modified,
            },
            body_hash: row.body_hash.map(hash_from_column).transpose()?,
            reading: row.reading,
            hints: row.hints.into(),
        })
    }
}

#[derive(FromRow)]
struct FailingRow {
    address: String,
    config_title: Option<String>,
    feed_title: Option<String>,
    failing_since: i64,
    fault: String,
}

impl TryFrom<FailingRow> for FailingFeed {
    type Error = StoreError;

    fn try_from(row: FailingRow) -> Result<Self, StoreError> {
        Ok(Self {
            title: shown_title(
                row.config_title.as_deref(),
                row.feed_title.as_deref(),
                &row.address,
            ),
            since: from_column(row.failing_since)?,
            fault: row.fault,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{Bench, instant};
    use super::*;

    fn listed(address: &str, title: Option<&str>) -> Listed {
        Listed {
            address: address.to_owned(),
            title: title.map(str::to_owned),
            group: None,
        }
    }

    async fn subscribe(bench: &Bench, listed: &[Listed]) -> [u64; 3] {
        let outcome = bench.store.subscribe(listed, instant(5)).await.unwrap();
        [outcome.added, outcome.changed, outcome.hidden]
    }

    async fn addresses(bench: &Bench) -> Vec<String> {
        let feeds = bench.store.scheduled_feeds().await.unwrap();
        feeds.into_iter().map(|feed| feed.address).collect()
    }

    #[tokio::test]
    async fn the_config_is_followed_and_its_order_kept() {
        let bench = Bench::new().await;
        let (a, b) = (
            listed("https://a.example/f", None),
            listed("https://b.example/f", Some("B")),
        );
        assert_eq!(subscribe(&bench, &[a.clone(), b.clone()]).await, [2, 0, 0]);
        assert_eq!(
            addresses(&bench).await,
            [a.address.as_str(), b.address.as_str()]
        );
        assert_eq!(subscribe(&bench, &[b.clone(), a.clone()]).await, [0, 2, 0]);
        assert_eq!(
            addresses(&bench).await,
            [b.address.as_str(), a.address.as_str()]
        );
        let feeds = bench.store.scheduled_feeds().await.unwrap();
        assert_eq!(
            [feeds[0].title.as_str(), feeds[1].title.as_str()],
            ["B", "a.example"]
        );
        assert_eq!(feeds[0].next_due, instant(5));
    }

    #[tokio::test]
    async fn following_the_same_config_again_writes_nothing() {
        let bench = Bench::new().await;
        let all = [listed("https://a.example/f", Some("A"))];
        subscribe(&bench, &all).await;
        let before = bench.data_version().await;
        assert_eq!(subscribe(&bench, &all).await, [0, 0, 0]);
        assert_eq!(bench.data_version().await, before);
    }

    #[tokio::test]
    async fn a_feed_that_leaves_the_config_is_hidden_and_comes_back_with_its_entries() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        bench.article(feed, "one", 1).await;
        assert_eq!(subscribe(&bench, &[]).await, [0, 0, 1]);
        assert!(addresses(&bench).await.is_empty());
        assert!(bench.store.index(1, 0).await.unwrap().entries.is_empty());
        assert_eq!(
            subscribe(&bench, &[listed("https://a.example/f", None)]).await,
            [0, 1, 0]
        );
        let again = bench.store.scheduled_feeds().await.unwrap();
        assert_eq!((again[0].id, again[0].next_due), (feed, instant(5)));
        assert_eq!(bench.store.index(1, 0).await.unwrap().entries.len(), 1);
    }

    #[tokio::test]
    async fn a_feed_that_is_gone_is_asked_again_after_it_left_the_config() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        bench.fail(feed, 3, true).await;
        let all = [listed("https://a.example/f", None)];
        subscribe(&bench, &all).await;
        assert!(addresses(&bench).await.is_empty());
        assert_eq!(bench.store.failing_feeds().await.unwrap().len(), 1);
        subscribe(&bench, &[]).await;
        assert!(bench.store.failing_feeds().await.unwrap().is_empty());
        subscribe(&bench, &all).await;
        assert_eq!(addresses(&bench).await, ["https://a.example/f"]);
    }

    #[test]
    fn a_feed_without_any_title_is_called_by_its_host() {
        assert_eq!(
            shown_title(Some(" "), Some("Own"), "https://a.example/f"),
            "Own"
        );
        assert_eq!(
            shown_title(None, Some(""), "https://a.example/f"),
            "a.example"
        );
        assert_eq!(shown_title(None, None, "odd"), "odd");
    }
}
