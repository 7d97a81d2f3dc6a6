//! The tables of likenesses: which entries of several feeds have near-identical texts. Never compares within
//! one feed, where a daily bulletin may change two numbers and is another all the same.

use std::collections::BTreeMap;

use sqlx::{FromRow, SqliteConnection};

use super::feed::shown_title;
use super::{Store, StoreError};
use crate::distil::likeness::Likeness;

/// The entries of other feeds that are compared for each band, the latest first. More can only have it where a
/// text is printed again and again.
const COMPARED_A_BAND: u32 = 16;

/// The entries of a text at the most. For each the index may look at all the others; more feeds that print one text
/// are told with another of it.
const MOST_ALIKE: i64 = 32;

/// Band, entry, entries at most -> [`Candidate`]: the entries of other feeds that have the band, the latest first.
const WITH_BAND: &str = "SELECT other.id, other.alike, likeness.signature
     FROM likeness_band
     CROSS JOIN entry AS other ON other.id = likeness_band.entry
     CROSS JOIN likeness ON likeness.entry = other.id
     WHERE likeness_band.band = ?1 AND other.feed <> (SELECT feed FROM entry WHERE id = ?2)
     ORDER BY likeness_band.entry DESC LIMIT ?3";

/// Notes what an entry's text is compared by, and brings the entry together with the most alike one of another
/// feed. A text that is as it was changes nothing.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    entry: i64,
    likeness: Option<&Likeness>,
) -> Result<(), StoreError> {
    let signature = likeness.map(Likeness::to_bytes);
    let known = sqlx::query_as::<_, (Vec<u8>,)>("SELECT signature FROM likeness WHERE entry = ?1")
        .bind(entry)
        .fetch_optional(&mut *connection)
        .await?;
    if known.as_ref().map(|(known,)| known) == signature.as_ref() {
        return Ok(());
    }
    leave(connection, entry).await?;
    let Some(likeness) = likeness else {
        return Ok(());
    };
    sqlx::query("INSERT INTO likeness (entry, signature) VALUES (?1, ?2)")
        .bind(entry)
        .bind(&signature)
        .execute(&mut *connection)
        .await?;
    sqlx::query(
        "INSERT OR IGNORE INTO likeness_band (band, entry) SELECT value, ?1 FROM json_each(?2)",
    )
    .bind(entry)
    .bind(serde_json::json!(likeness.bands()).to_string())
    .execute(&mut *connection)
    .await?;
    join(connection, entry, likeness).await
}

/// Takes an entry out of those that have its text, since it has another one now. Those that stay are named anew:
/// the number may be this entry's, and it may come together with others.
async fn leave(connection: &mut SqliteConnection, entry: i64) -> Result<(), StoreError> {
    sqlx::query("DELETE FROM likeness WHERE entry = ?1")
        .bind(entry)
        .execute(&mut *connection)
        .await?;
    let stay = sqlx::query_as::<_, (i64, i64)>(
        "SELECT other.id, other.alike FROM entry JOIN entry AS other ON other.alike = entry.alike
         WHERE entry.id = ?1 AND other.id <> ?1 ORDER BY other.id",
    )
    .bind(entry)
    .fetch_all(&mut *connection)
    .await?;
    if let [(first, name), rest @ ..] = stay.as_slice() {
        sqlx::query("UPDATE entry SET alike = ?2 WHERE alike = ?1")
            .bind(name)
            .bind((!rest.is_empty()).then_some(first))
            .execute(&mut *connection)
            .await?;
    }
    sqlx::query("UPDATE entry SET alike = NULL WHERE id = ?1 AND alike IS NOT NULL")
        .bind(entry)
        .execute(connection)
        .await?;
    Ok(())
}

/// Brings an entry together with the most alike one that is near-identical, unless its own feed has that text
/// already, or too many have it: then with the next.
async fn join(
    connection: &mut SqliteConnection,
    entry: i64,
    likeness: &Likeness,
) -> Result<(), StoreError> {
    for (other, alike) in near_identical(connection, entry, likeness).await? {
        let name = alike.unwrap_or(other.min(entry));
        let (told_by_its_feed, members) = sqlx::query_as::<_, (bool, i64)>(
            "SELECT coalesce(max(member.feed = entry.feed), 0), count(member.id)
             FROM entry JOIN entry AS member ON member.alike = ?2
             WHERE entry.id = ?1",
        )
        .bind(entry)
        .bind(name)
        .fetch_one(&mut *connection)
        .await?;
        if !told_by_its_feed && members < MOST_ALIKE {
            sqlx::query("UPDATE entry SET alike = ?3 WHERE id IN (?1, ?2)")
                .bind(entry)
                .bind(other)
                .bind(name)
                .execute(connection)
                .await?;
            return Ok(());
        }
    }
    Ok(())
}

/// The near-identical entries of other feeds with the names of their texts, the most alike first, and of such as
/// are equally so the latest.
async fn near_identical(
    connection: &mut SqliteConnection,
    entry: i64,
    likeness: &Likeness,
) -> Result<Vec<(i64, Option<i64>)>, StoreError> {
    let mut found: BTreeMap<i64, (f64, Option<i64>)> = BTreeMap::new();
    for band in likeness.bands() {
        let rows = sqlx::query_as::<_, Candidate>(WITH_BAND)
            .bind(band)
            .bind(entry)
            .bind(COMPARED_A_BAND)
            .fetch_all(&mut *connection)
            .await?;
        for row in rows {
            let theirs = Likeness::from_bytes(&row.signature);
            if let Some(theirs) = theirs.filter(|theirs| theirs.is_near_identical(likeness)) {
                found.insert(row.id, (theirs.resemblance(likeness), row.alike));
            }
        }
    }
    let mut found: Vec<_> = found.into_iter().rev().collect();
    found.sort_by(|(_, (one, _)), (_, (other, _))| other.total_cmp(one));
    Ok(found
        .into_iter()
        .map(|(entry, (_, alike))| (entry, alike))
        .collect())
}

impl Store {
    /// The titles of the other feeds that tell what an entry tells, in the config's order; those of hidden feeds and
    /// of entries without an article are left out.
    pub(super) async fn other_sources(&self, entry: i64) -> Result<Vec<String>, StoreError> {
        let rows = sqlx::query_as::<_, SourceRow>(
            "SELECT feed.config_title, feed.feed_title, feed.address
             FROM feed
             WHERE feed.hidden = 0 AND feed.id IN (
                 SELECT other.feed FROM entry
                 JOIN entry AS other ON (other.story = entry.story OR other.alike = entry.alike)
                                    AND other.feed <> entry.feed
                 JOIN article ON article.entry = other.id
                 WHERE entry.id = ?1)
             ORDER BY feed.position, feed.id",
        )
        .bind(entry)
        .fetch_all(&self.pool)
        .await?;
        let title = |row: SourceRow| {
            shown_title(
                row.config_title.as_deref(),
                row.feed_title.as_deref(),
                &row.address,
            )
        };
        Ok(rows.into_iter().map(title).collect())
    }
}

#[derive(FromRow)]
struct Candidate {
    id: i64,
    alike: Option<i64>,
    signature: Vec<u8>,
}

#[derive(FromRow)]
struct SourceRow {
    config_title: Option<String>,
    feed_title: Option<String>,
    address: String,
}

#[cfg(test)]
mod tests;
