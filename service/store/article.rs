//! The table of articles: an entry distilled, and what it was distilled from. Knows no marks.

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use super::feed::shown_title;
use super::find::{self, Searchable};
use super::save::Distilled;
use super::{Store, StoreError, alike, block_form, from_column, source_form, to_column};
use crate::distil::block::{Block, Link};
use crate::distil::language::{Direction, Language};
use crate::distil::likeness::Likeness;
use crate::distil::{Article, Source};

/// An article as it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct StoredArticle {
    /// The entry that it is of.
    pub entry: i64,
    /// Its title, plain text.
    pub title: String,
    /// Who wrote it.
    pub authors: Vec<String>,
    /// The title of its feed.
    pub feed_title: String,
    /// The titles of other feeds that tell the same.
    pub also_in: Vec<String>,
    /// When it was published.
    pub published: Timestamp,
    /// The language of most of it.
    pub language: Language,
    /// The way most of its text runs.
    pub direction: Direction,
    /// The original's address.
    pub address: Option<String>,
    /// What it is made of.
    pub blocks: Vec<Block>,
    /// The links that its runs point to.
    pub links: Vec<Link>,
    /// How many words it has.
    pub words: u32,
    /// Whether its publisher has changed it since the reader last opened it.
    pub changed: bool,
    /// Whether the reader keeps it.
    pub kept: bool,
    /// Names all of the above: two articles with one hash look the same.
    pub hash: blake3::Hash,
}

/// What an article of an older distiller was made from.
#[derive(Clone, Debug, PartialEq)]
pub struct OldSource {
    /// The entry.
    pub entry: i64,
    /// The title of its feed.
    pub feed_title: String,
    /// What it was made from; `None` where that cannot be read.
    pub source: Option<Source>,
}

impl Store {
    /// The article of an entry as `reader` sees it; `None` where there is no such entry or it has no article. Those of
    /// hidden feeds are found too: they are left out of the index only.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn article(
        &self,
        reader: i64,
        entry: i64,
    ) -> Result<Option<StoredArticle>, StoreError> {
        let row = sqlx::query_as::<_, ArticleRow>(
            "SELECT entry.id, article.title, article.authors, feed.config_title, feed.feed_title,
                    feed.address AS feed_address, entry.published, article.language,
                    article.direction, entry.link, article.words, article.blocks_hash, article.blocks,
                    coalesce(article.edited > mark.last_opened, 0) AS changed,
                    mark.kept IS NOT NULL AS kept
             FROM entry
             JOIN feed ON feed.id = entry.feed
             JOIN article ON article.entry = entry.id
             LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
             WHERE entry.id = ?2",
        )
        .bind(reader)
        .bind(entry)
        .fetch_optional(&self.pool)
        .await?;
        match row {
            Some(row) => row.article(self.other_sources(entry).await?).map(Some),
            None => Ok(None),
        }
    }

    /// Up to `limit` articles that a distiller older than `version` made, with an entry above
    /// `after`, in the order of their entries: a caller goes on from the last one that it was given.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn older_sources(
        &self,
        version: u32,
        after: i64,
        limit: u32,
    ) -> Result<Vec<OldSource>, StoreError> {
        let rows = sqlx::query_as::<_, SourceRow>(
            "SELECT article.entry, feed.config_title, feed.feed_title,
                    feed.address AS feed_address, article.source
             FROM article
             JOIN entry ON entry.id = article.entry
             JOIN feed ON feed.id = entry.feed
             WHERE article.distiller < ?1 AND article.entry > ?2
             ORDER BY article.entry LIMIT ?3",
        )
        .bind(version)
        .bind(after)
        .bind(limit)
        .fetch_all(&self.pool)
        .await?;
        Ok(rows.into_iter().map(OldSource::from).collect())
    }

    /// How many articles a distiller older than `version` made.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn older_count(&self, version: u32) -> Result<u64, StoreError> {
        let (count,) =
            sqlx::query_as::<_, (i64,)>("SELECT count(*) FROM article WHERE distiller < ?1")
                .bind(version)
                .fetch_one(&self.pool)
                .await?;
        Ok(u64::try_from(count).unwrap_or(0))
    }

    /// Replaces an article by what the distiller of `version` made from the same source; the source
    /// and all marks stay.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn update_article(
        &self,
        entry: i64,
        article: &Article,
        version: u32,
    ) -> Result<(), StoreError> {
        let columns = Columns::of(article)?;
        let (_turn, mut transaction) = self.begin().await?;
        let found = sqlx::query(
            "UPDATE article
             SET title = ?2, language = ?3, direction = ?4, words = ?5, distiller = ?6,
                 authors = ?7, blocks_hash = ?8, blocks = ?9
             WHERE entry = ?1",
        )
        .bind(entry)
        .bind(&columns.title)
        .bind(&columns.language)
        .bind(columns.direction)
        .bind(columns.words)
        .bind(version)
        .bind(&columns.authors)
        .bind(columns.blocks_hash.as_bytes().as_slice())
        .bind(&columns.blocks)
        .execute(&mut *transaction)
        .await?
        .rows_affected();
        // A sweep may have taken it away meanwhile.
        if found > 0 {
            alike::write(&mut transaction, entry, columns.likeness.as_ref()).await?;
            find::write(&mut transaction, entry, &columns.searchable).await?;
        }
        transaction.commit().await?;
        Ok(())
    }
}

/// An article in the form of its columns, but for its source.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    title: String,
    language: String,
    direction: &'static str,
    words: u32,
    authors: String,
    blocks_hash: blake3::Hash,
    blocks: String,
    likeness: Option<Likeness>,
    searchable: Searchable,
}

impl Columns {
    /// Writes an article in the stored form.
    pub(super) fn of(article: &Article) -> Result<Self, StoreError> {
        let blocks = block_form::write(&article.blocks, &article.links)?;
        Ok(Self {
            title: article.title.clone(),
            language: article.language.tag().to_owned(),
            direction: block_form::direction_name(article.direction),
            words: article.words,
            authors: serde_json::json!(article.authors).to_string(),
            blocks_hash: blake3::hash(blocks.as_bytes()),
            blocks,
            likeness: Likeness::of(&article.text()),
            searchable: Searchable::of(&article.title, &article.authors, &article.blocks),
        })
    }
}

/// Adds the article of an entry, or replaces it. One whose title or text is then another was edited `at` that
/// instant.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    entry: i64,
    distilled: &Distilled,
    at: Timestamp,
) -> Result<(), StoreError> {
    let columns = &distilled.columns;
    sqlx::query(
        "INSERT INTO article (entry, title, language, direction, words, distiller, authors,
                              blocks_hash, blocks, source)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
         ON CONFLICT (entry) DO UPDATE
         SET edited = CASE WHEN title = excluded.title AND blocks_hash = excluded.blocks_hash
                           THEN edited ELSE ?11 END,
             title = excluded.title, language = excluded.language, direction = excluded.direction,
             words = excluded.words, distiller = excluded.distiller, authors = excluded.authors,
             blocks_hash = excluded.blocks_hash, blocks = excluded.blocks, source = excluded.source",
    )
    .bind(entry)
    .bind(&columns.title)
    .bind(&columns.language)
    .bind(columns.direction)
    .bind(columns.words)
    .bind(distilled.distiller)
    .bind(&columns.authors)
    .bind(columns.blocks_hash.as_bytes().as_slice())
    .bind(&columns.blocks)
    .bind(&distilled.source)
    .bind(to_column(at))
    .execute(&mut *connection)
    .await?;
    alike::write(connection, entry, columns.likeness.as_ref()).await?;
    find::write(connection, entry, &columns.searchable).await
}

#[derive(FromRow)]
struct ArticleRow {
    id: i64,
    title: String,
    authors: String,
    config_title: Option<String>,
    feed_title: Option<String>,
    feed_address: String,
    published: i64,
    language: String,
    direction: String,
    link: Option<String>,
    words: u32,
    blocks_hash: Vec<u8>,
    blocks: String,
    changed: bool,
    kept: bool,
}

impl ArticleRow {
    fn article(self, also_in: Vec<String>) -> Result<StoredArticle, StoreError> {
        let row = self;
        let (blocks, links) = block_form::read(&row.blocks)?;
        let feed_title = shown_title(
            row.config_title.as_deref(),
            row.feed_title.as_deref(),
            &row.feed_address,
        );
        let mut hasher = blake3::Hasher::new();
        for part in [
            row.blocks_hash.as_slice(),
            row.title.as_bytes(),
            row.authors.as_bytes(),
            feed_title.as_bytes(),
            row.language.as_bytes(),
            row.direction.as_bytes(),
            row.link.as_deref().unwrap_or_default().as_bytes(),
            &row.published.to_le_bytes(),
            &row.words.to_le_bytes(),
            &[u8::from(row.changed), u8::from(row.kept)],
            also_in.join("\n").as_bytes(),
        ] {
            // Each part goes in with its length, so that no part can run into the next one.
            hasher.update(&(part.len() as u64).to_le_bytes());
            hasher.update(part);
        }
        Ok(StoredArticle {
            entry: row.id,
            authors: serde_json::from_str(&row.authors)
                .map_err(|fault| StoreError::Unreadable(format!("authors: {fault}")))?,
            title: row.title,
            feed_title,
            also_in,
            published: from_column(row.published)?,
            language: block_form::language_from(&row.language),
            direction: block_form::direction_from(&row.direction),
            address: row.link,
            blocks,
            links,
            words: row.words,
            changed: row.changed,
            kept: row.kept,
            hash: hasher.finalize(),
        })
    }
}

#[derive(FromRow)]
struct SourceRow {
    entry: i64,
    config_title: Option<String>,
    feed_title: Option<String>,
    feed_address: String,
    source: Vec<u8>,
}

impl From<SourceRow> for OldSource {
    fn from(row: SourceRow) -> Self {
        Self {
            entry: row.entry,
            feed_title: shown_title(
                row.config_title.as_deref(),
                row.feed_title.as_deref(),
                &row.feed_address,
            ),
            source: source_form::read(&row.source).ok(),
        }
    }
}

#[cfg(test)]
mod tests;
