//! The pages to which links of articles lead: which of them are stored, and the storing of one that was fetched.
//! Owns the table of links that led elsewhere than they say. Never fetches.
//!
//! A fetched page is an entry of its site, which is a hidden feed: it is in no index, no count and no search, and is
//! read, kept, handed over and swept as any other entry.

use jiff::Timestamp;
use sqlx::{FromRow, SqliteConnection};
use url::Url;

use super::save::{Distilled, FoundEntry};
use super::{Store, StoreError, article, block_form, entry, to_column};
use crate::distil::block::Link;
use crate::distil::same_page::page_key;

/// The scheme of the addresses under which sites stand among the feeds. No config can name one.
const SITE: &str = "site";

/// A link of a stored article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredLink {
    /// Where it leads, and its words.
    pub link: Link,
    /// The address of the feed whose article it stands in, as the config has it; of a page that was fetched by a
    /// link, its site.
    pub of_feed: String,
}

/// A page that was fetched, and the article made of it.
#[derive(Clone, Debug)]
pub struct LinkedPage {
    /// What the link says.
    pub asked: Url,
    /// Where it was found at last.
    pub found: Url,
    /// When it says that it was published.
    pub published: Option<Timestamp>,
    /// The article made of it.
    pub distilled: Distilled,
}

impl Store {
    /// The link of that number, from 1, of an entry's article; `None` where there is none.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn link(&self, entry: i64, number: usize) -> Result<Option<StoredLink>, StoreError> {
        let row = sqlx::query_as::<_, LinksRow>(
            "SELECT article.blocks, feed.address FROM entry
             JOIN feed ON feed.id = entry.feed
             JOIN article ON article.entry = entry.id
             WHERE entry.id = ?1",
        )
        .bind(entry)
        .fetch_optional(&self.pool)
        .await?;
        let (Some(row), Some(place)) = (row, number.checked_sub(1)) else {
            return Ok(None);
        };
        let (_, links) = block_form::read(&row.blocks)?;
        let link = links.into_iter().nth(place);
        Ok(link.map(|link| StoredLink {
            link,
            of_feed: row.address,
        }))
    }

    /// The entry whose article is that of the page at an address, as far as can be told without asking there; `None`
    /// where it is not stored. Of a page that feeds list several stories by, that is only what a link has fetched.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn page_at(&self, address: &Url) -> Result<Option<i64>, StoreError> {
        // An address with a fragment may be that of one entry among several of its page.
        for key in [page_key(address), page_key(&whole(address))] {
            let stored = sqlx::query_as::<_, (i64,)>(
                "SELECT entry.id FROM entry
                 JOIN feed ON feed.id = entry.feed
                 JOIN article ON article.entry = entry.id
                 WHERE entry.page_key = ?1
                   AND (feed.site = 1 OR entry.story IS NOT NULL OR NOT EXISTS (
                       SELECT 1 FROM entry AS other
                       JOIN feed AS its_feed ON its_feed.id = other.feed AND its_feed.site = 0
                       WHERE other.page_key = ?1 AND other.id <> entry.id))
                 ORDER BY feed.hidden, article.words DESC, entry.id LIMIT 1",
            )
            .bind(key.as_slice())
            .fetch_optional(&self.pool)
            .await?;
            if let Some((entry,)) = stored {
                return Ok(Some(entry));
            }
        }
        let followed = sqlx::query_as::<_, (i64,)>(
            "SELECT followed.entry FROM followed JOIN article ON article.entry = followed.entry
             WHERE followed.page_key = ?1",
        )
        .bind(page_key(&whole(address)).as_slice())
        .fetch_optional(&self.pool)
        .await?;
        Ok(followed.map(|(entry,)| entry))
    }

    /// Stores a page that was fetched at `at`, and tells its entry; where the page at which it was found is stored
    /// already, only that the link leads there.
    ///
    /// # Errors
    /// [`StoreError::Database`]; nothing is stored then.
    pub async fn save_page(&self, page: &LinkedPage, at: Timestamp) -> Result<i64, StoreError> {
        let stored = self.page_at(&page.found).await?;
        let (_turn, mut transaction) = self.begin().await?;
        let entry = match stored {
            Some(entry) => entry,
            None => add(&mut transaction, page, at).await?,
        };
        let (asked, found) = (whole(&page.asked), whole(&page.found));
        if page_key(&asked) != page_key(&found) {
            sqlx::query(
                "INSERT INTO followed (page_key, entry) VALUES (?1, ?2)
                 ON CONFLICT (page_key) DO UPDATE SET entry = excluded.entry",
            )
            .bind(page_key(&asked).as_slice())
            .bind(entry)
            .execute(&mut *transaction)
            .await?;
        }
        transaction.commit().await?;
        Ok(entry)
    }
}

/// Adds the page to its site.
async fn add(
    connection: &mut SqliteConnection,
    page: &LinkedPage,
    at: Timestamp,
) -> Result<i64, StoreError> {
    let site = site_of(connection, &page.found, at).await?;
    // No body of a feed brings a page back, so the remainders of a site's pages guard nothing.
    sqlx::query("DELETE FROM entry WHERE feed = ?1 AND swept IS NOT NULL")
        .bind(site)
        .execute(&mut *connection)
        .await?;
    let found = whole(&page.found);
    let written = FoundEntry {
        identity: found.to_string(),
        link: Some(found.to_string()),
        title: None,
        published: page.published,
        fingerprint: None,
        attempts: 0,
        distilled: None,
    };
    entry::write(connection, site, &written, at).await?;
    let (entry,) =
        sqlx::query_as::<_, (i64,)>("SELECT id FROM entry WHERE feed = ?1 AND identity = ?2")
            .bind(site)
            .bind(&written.identity)
            .fetch_one(&mut *connection)
            .await?;
    article::write(connection, entry, &page.distilled, at).await?;
    Ok(entry)
}

/// The site of an address, added where it is not known yet.
async fn site_of(
    connection: &mut SqliteConnection,
    address: &Url,
    at: Timestamp,
) -> Result<i64, StoreError> {
    let host = address.host_str().unwrap_or_default();
    let name = format!("{SITE}://{host}");
    sqlx::query(
        "INSERT INTO feed (address, position, hidden, site, next_due) VALUES (?1, 0, 1, 1, ?2)
         ON CONFLICT (address) DO NOTHING",
    )
    .bind(&name)
    .bind(to_column(at))
    .execute(&mut *connection)
    .await?;
    let (site,) = sqlx::query_as::<_, (i64,)>("SELECT id FROM feed WHERE address = ?1")
        .bind(&name)
        .fetch_one(connection)
        .await?;
    Ok(site)
}

/// An address without its fragment: what is fetched is the whole page.
fn whole(address: &Url) -> Url {
    let mut whole = address.clone();
    whole.set_fragment(None);
    whole
}

#[derive(FromRow)]
struct LinksRow {
    blocks: String,
    address: String,
}

#[cfg(test)]
mod tests;
