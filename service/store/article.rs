//! The table of articles: an entry distilled, and what it was distilled from. Knows no marks.

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use super::feed::shown_title;
use super::save::Distilled;
use super::{Store, StoreError, block_form, from_column, source_form};
use crate::distil::block::{Block, Link};
use crate::distil::language::{Direction, Language};
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
    /// The article of an entry; `None` where there is no such entry or it has no article. Those of
    /// hidden feeds are found too: they are left out of the index only.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn article(&self, entry: i64) -> Result<Option<StoredArticle>, StoreError> {
        sqlx::query_as::<_, ArticleRow>(
            "SELECT entry.id, article.title, article.authors, feed.config_title, feed.feed_title,
                    feed.address AS feed_address, entry.published, article.language,
                    article.direction, entry.link, article.words, article.blocks_hash, article.blocks
             FROM entry
             JOIN feed ON feed.id = entry.feed
             JOIN article ON article.entry = entry.id
             WHERE entry.id = ?1",
        )
        .bind(entry)
        .fetch_optional(&self.pool)
        .await?
        .map(StoredArticle::try_from)
        .transpose()
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
        sqlx::query(
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
        .execute(&self.pool)
        .await?;
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
        })
    }
}

/// Adds the article of an entry, or replaces it.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    entry: i64,
    distilled: &Distilled,
) -> Result<(), StoreError> {
    let columns = &distilled.columns;
    sqlx::query(
        "INSERT INTO article (entry, title, language, direction, words, distiller, authors,
                              blocks_hash, blocks, source)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
         ON CONFLICT (entry) DO UPDATE
         SET title = excluded.title, language = excluded.language, direction = excluded.direction,
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
    .execute(connection)
    .await?;
    Ok(())
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
}

impl TryFrom<ArticleRow> for StoredArticle {
    type Error = StoreError;

    fn try_from(row: ArticleRow) -> Result<Self, StoreError> {
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
        ] {
            // Each part goes in with its length, so that no part can run into the next one.
            hasher.update(&(part.len() as u64).to_le_bytes());
            hasher.update(part);
        }
        Ok(Self {
            entry: row.id,
            authors: serde_json::from_str(&row.authors)
                .map_err(|fault| StoreError::Unreadable(format!("authors: {fault}")))?,
            title: row.title,
            feed_title,
            published: from_column(row.published)?,
            language: block_form::language_from(&row.language),
            direction: block_form::direction_from(&row.direction),
            address: row.link,
            blocks,
            links,
            words: row.words,
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
mod tests {
    use super::super::sample::{Bench, article, found, instant, outcome, source};

    #[tokio::test]
    async fn an_article_is_read_back_as_it_was_distilled() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let entry = bench.article(feed, "one", 3).await;
        let stored = bench.store.article(entry).await.unwrap().unwrap();
        let expected = article("one");
        assert_eq!(stored.title, expected.title);
        assert_eq!(stored.authors, expected.authors);
        assert_eq!(stored.blocks, expected.blocks);
        assert_eq!(stored.links, expected.links);
        assert_eq!(
            (stored.words, stored.direction),
            (expected.words, expected.direction)
        );
        assert_eq!(stored.language, expected.language);
        assert_eq!((stored.entry, stored.published), (entry, instant(3)));
        assert_eq!(stored.feed_title, "a.example");
        assert_eq!(stored.address.as_deref(), Some("https://a.example/one"));
    }

    #[tokio::test]
    async fn an_entry_without_an_article_is_stored_and_not_shown() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let mut bare = found("one", 1);
        bare.distilled = None;
        let saved = bench
            .store
            .save(feed, &outcome(2, vec![bare]))
            .await
            .unwrap();
        assert_eq!(saved.added, 1);
        assert!(bench.store.index(1, 0).await.unwrap().entries.is_empty());
        assert_eq!(bench.store.article(1).await.unwrap(), None);
        assert_eq!(
            bench
                .store
                .known_entries(feed, &["one"])
                .await
                .unwrap()
                .len(),
            1
        );
    }

    #[tokio::test]
    async fn the_hash_changes_with_all_that_is_shown_and_only_then() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        let entry = bench.article(feed, "one", 3).await;
        let hash = async || bench.store.article(entry).await.unwrap().unwrap().hash;
        let mut seen = vec![hash().await];
        bench.article(feed, "one", 3).await;
        assert_eq!(hash().await, seen[0]);
        bench.article(feed, "one", 2).await;
        seen.push(hash().await);
        let mut other = article("one");
        other.title = "Another".to_owned();
        bench.store.update_article(entry, &other, 1).await.unwrap();
        seen.push(hash().await);
        other.blocks.pop();
        bench.store.update_article(entry, &other, 1).await.unwrap();
        seen.push(hash().await);
        for (position, one) in seen.iter().enumerate() {
            assert!(
                !seen[..position].contains(one),
                "hash {position} came before"
            );
        }
    }

    #[tokio::test]
    async fn old_sources_are_handed_out_in_batches_until_none_is_left() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        for name in ["one", "two", "three"] {
            bench.article(feed, name, 1).await;
        }
        let store = &bench.store;
        assert!(store.older_sources(1, 0, 9).await.unwrap().is_empty());
        assert_eq!(store.older_count(2).await.unwrap(), 3);
        let first = store.older_sources(2, 0, 2).await.unwrap();
        assert_eq!(first.len(), 2);
        assert_eq!(first[0].source, Some(source("one")));
        let second = store.older_sources(2, first[1].entry, 2).await.unwrap();
        assert_eq!(second.len(), 1);
        let mut better = article("three");
        better.words = 9;
        let entry = second[0].entry;
        store.update_article(entry, &better, 2).await.unwrap();
        assert_eq!(store.article(entry).await.unwrap().unwrap().words, 9);
        assert_eq!(store.older_count(2).await.unwrap(), 2);
    }

    #[tokio::test]
    async fn a_source_that_cannot_be_read_is_told_apart() {
        let bench = Bench::new().await;
        let feed = bench.feed("https://a.example/f").await;
        bench.article(feed, "one", 1).await;
        sqlx::query("UPDATE article SET source = x'00'")
            .execute(&bench.store.pool)
            .await
            .unwrap();
        assert_eq!(
            bench.store.older_sources(2, 0, 1).await.unwrap()[0].source,
            None
        );
    }
}
