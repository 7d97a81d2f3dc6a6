//! Articles by their words: the tables find, which is SQLite's FTS5, and findable, which says who is in it. Never
//! parts a text into words itself.

mod words;

use std::collections::HashSet;

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};

use super::feed::shown_title;
use super::{Store, StoreError, block_form, from_column};
use crate::distil::block::Block;
use crate::distil::language::{Direction, Language};
use words::{FORM, searchable};
pub use words::{MOST_CHARACTERS, MOST_WORDS, Sought, Unsought};

/// Articles that a search finds at the most, the best: whoever turns through so many on a watch types another word.
pub const MOST_FOUND: usize = 120;

/// Articles that one step of the filling reads and writes, so that a refresh waits for its turn for some milliseconds.
const FILLED_A_STEP: u32 = 16;

/// Query, rows at most -> [`HitRow`]: the best by BM25, where a word in the title counts ten times one in the text,
/// in an author's name four times, and in the feed's title twice (common practice, no source); of equals the newest.
const BEST: &str =
    "SELECT entry.id, entry.story, entry.alike, bm25(find, 10.0, 4.0, 2.0, 1.0) AS score
     FROM find
     CROSS JOIN entry ON entry.id = find.rowid
     CROSS JOIN feed ON feed.id = entry.feed
     WHERE find MATCH ?1 AND feed.hidden = 0
     ORDER BY score, entry.published DESC, entry.id DESC LIMIT ?2";

/// An article that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit {
    /// The entry.
    pub entry: i64,
    /// Its article's title, plain text.
    pub title: String,
    /// The title of its feed.
    pub feed_title: String,
    /// When it was published.
    pub published: Timestamp,
    /// The language of most of its article.
    pub language: Language,
    /// The way most of its article's text runs.
    pub direction: Direction,
    /// Whether the reader has opened it.
    pub opened: bool,
}

/// What a search came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    /// The entries that were found, the best first, one of a story or text; no more than [`MOST_FOUND`].
    pub entries: Vec<i64>,
    /// Whether there are more.
    pub more: bool,
}

/// The words of an article in the form in which they are looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Searchable {
    title: String,
    authors: String,
    text: String,
}

/// An article whose words are to be written anew.
#[derive(Clone, Debug)]
pub struct Unfindable {
    entry: i64,
    title: String,
    authors: String,
    blocks_hash: Vec<u8>,
    blocks: String,
}

impl Searchable {
    /// Brings the words of an article into their form: CPU work.
    pub(super) fn of(title: &str, authors: &[String], blocks: &[Block]) -> Self {
        let texts: Vec<String> = blocks.iter().map(Block::text).collect();
        Self {
            title: searchable(title),
            authors: searchable(&authors.join("\n")),
            text: searchable(&texts.join("\n")),
        }
    }
}

impl Unfindable {
    /// Brings its words into their form: CPU work. Of blocks that cannot be read there are none.
    pub fn searchable(&self) -> Searchable {
        let authors: Vec<String> = serde_json::from_str(&self.authors).unwrap_or_default();
        let (blocks, _) = block_form::read(&self.blocks).unwrap_or_default();
        Searchable::of(&self.title, &authors, &blocks)
    }
}

impl Store {
    /// The entries whose articles have all that is sought, the best first. Those of hidden feeds are left out. Of
    /// entries that tell one story or have one text the best stands for all.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn find(&self, sought: &Sought) -> Result<Found, StoreError> {
        // Twice as many, so that repeats may go; more repeats than that only shorten what is found.
        let most = i64::try_from(2 * MOST_FOUND).unwrap_or(i64::MAX);
        let rows = sqlx::query_as::<_, HitRow>(BEST)
            .bind(&sought.query)
            .bind(most)
            .fetch_all(&self.pool)
            .await?;
        let cut = rows.len() == 2 * MOST_FOUND;
        let (mut stories, mut texts) = (HashSet::new(), HashSet::new());
        let mut entries: Vec<i64> = rows
            .into_iter()
            .filter(|row| {
                let first = row.story.is_none_or(|story| stories.insert(story));
                row.alike.is_none_or(|alike| texts.insert(alike)) && first
            })
            .map(|row| row.id)
            .collect();
        let more = cut || entries.len() > MOST_FOUND;
        entries.truncate(MOST_FOUND);
        Ok(Found { entries, more })
    }

    /// What is shown to `reader` of entries that were found, in their order.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn hits(&self, reader: i64, entries: &[i64]) -> Result<Vec<Hit>, StoreError> {
        sqlx::query_as::<_, ShownRow>(
            "SELECT entry.id, article.title, feed.config_title, feed.feed_title,
                    feed.address AS feed_address, entry.published, article.language,
                    article.direction, mark.opened IS NOT NULL AS opened
             FROM json_each(?2) AS list
             CROSS JOIN entry ON entry.id = list.value
             CROSS JOIN feed ON feed.id = entry.feed
             CROSS JOIN article ON article.entry = entry.id
             LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
             ORDER BY list.key",
        )
        .bind(reader)
        .bind(serde_json::json!(entries).to_string())
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(Hit::try_from)
        .collect()
    }

    /// How many articles are to be written anew, and cannot be found by all their words until then.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn unfindable_count(&self) -> Result<u64, StoreError> {
        let (count,) = sqlx::query_as::<_, (i64,)>("SELECT count(*) FROM findable WHERE form < ?1")
            .bind(FORM)
            .fetch_one(&self.pool)
            .await?;
        Ok(u64::try_from(count).unwrap_or(0))
    }

    /// Some articles whose words are to be written anew, as many as one step takes.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn unfindable(&self) -> Result<Vec<Unfindable>, StoreError> {
        let rows = sqlx::query_as::<_, (i64, String, String, Vec<u8>, String)>(
            "SELECT findable.entry, article.title, article.authors, article.blocks_hash, article.blocks
             FROM findable JOIN article ON article.entry = findable.entry
             WHERE findable.form < ?1 ORDER BY findable.form, findable.entry LIMIT ?2",
        )
        .bind(FORM)
        .bind(FILLED_A_STEP)
        .fetch_all(&self.pool)
        .await?;
        let article = |(entry, title, authors, blocks_hash, blocks)| Unfindable {
            entry,
            title,
            authors,
            blocks_hash,
            blocks,
        };
        Ok(rows.into_iter().map(article).collect())
    }

    /// Writes the words of articles, in one transaction. An article that has become another meanwhile, or was swept
    /// away, is left as it is.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn make_findable(
        &self,
        articles: &[(Unfindable, Searchable)],
    ) -> Result<(), StoreError> {
        let (_turn, mut transaction) = self.begin().await?;
        for (article, searchable) in articles {
            let (same,) = sqlx::query_as::<_, (bool,)>(
                "SELECT EXISTS (SELECT 1 FROM article
                 WHERE entry = ?1 AND blocks_hash = ?2 AND title = ?3 AND authors = ?4)",
            )
            .bind(article.entry)
            .bind(&article.blocks_hash)
            .bind(&article.title)
            .bind(&article.authors)
            .fetch_one(&mut *transaction)
            .await?;
            if same {
                write(&mut transaction, article.entry, searchable).await?;
            }
        }
        transaction.commit().await?;
        Ok(())
    }
}

/// Writes the words of an entry's article, in place of those that it had.
pub(super) async fn write(
    connection: &mut SqliteConnection,
    entry: i64,
    searchable: &Searchable,
) -> Result<(), StoreError> {
    let (config_title, feed_title, address) =
        sqlx::query_as::<_, (Option<String>, Option<String>, String)>(
            "SELECT feed.config_title, feed.feed_title, feed.address
             FROM entry JOIN feed ON feed.id = entry.feed WHERE entry.id = ?1",
        )
        .bind(entry)
        .fetch_one(&mut *connection)
        .await?;
    let feed = shown_title(config_title.as_deref(), feed_title.as_deref(), &address);
    sqlx::query(
        "INSERT OR REPLACE INTO find (rowid, title, authors, feed, text) VALUES (?1, ?2, ?3, ?4, ?5)",
    )
    .bind(entry)
    .bind(&searchable.title)
    .bind(&searchable.authors)
    .bind(words::searchable(&feed))
    .bind(&searchable.text)
    .execute(&mut *connection)
    .await?;
    sqlx::query(
        "INSERT INTO findable (entry, form) VALUES (?1, ?2)
         ON CONFLICT (entry) DO UPDATE SET form = excluded.form",
    )
    .bind(entry)
    .bind(FORM)
    .execute(connection)
    .await?;
    Ok(())
}

#[derive(FromRow)]
struct HitRow {
    id: i64,
    story: Option<i64>,
    alike: Option<i64>,
}

#[derive(FromRow)]
struct ShownRow {
    id: i64,
    title: String,
    config_title: Option<String>,
    feed_title: Option<String>,
    feed_address: String,
    published: i64,
    language: String,
    direction: String,
    opened: bool,
}

impl TryFrom<ShownRow> for Hit {
    type Error = StoreError;

    fn try_from(row: ShownRow) -> Result<Self, StoreError> {
        Ok(Self {
            entry: row.id,
            title: row.title,
            feed_title: shown_title(
                row.config_title.as_deref(),
                row.feed_title.as_deref(),
                &row.feed_address,
            ),
            published: from_column(row.published)?,
            language: block_form::language_from(&row.language),
            direction: block_form::direction_from(&row.direction),
            opened: row.opened,
        })
    }
}

#[cfg(test)]
mod tests;
