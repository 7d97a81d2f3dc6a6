//! The index: which entries stand on which of its pages, and what comes after an article. Owns no table.
//!
//! Its order is newest first, with one rule so that no chatty feed floods it: a page takes at most
//! [`MOST_OF_A_FEED_A_PAGE`] entries of one feed as long as other feeds have entries left; what a
//! page passes over, the next one takes first. Within its page an entry stands by its date.

use std::collections::HashMap;

use jiff::Timestamp;
use sqlx::FromRow;

use super::feed::shown_title;
use super::{Store, StoreError, block_form, from_column};
use crate::distil::language::{Direction, Language};

/// Entries on a page of the index: 8 to 24 discs of one to three entries, as many as a hand turns through.
pub const ENTRIES_A_PAGE: usize = 24;

/// Entries of one feed on a page while others have some left: a quarter of it.
pub const MOST_OF_A_FEED_A_PAGE: usize = 6;

/// An entry as the index shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndexEntry {
    /// The entry.
    pub entry: i64,
    /// Its article's title, plain text.
    pub title: String,
    /// The title of its feed.
    pub feed_title: String,
    /// When it was published.
    pub published: Timestamp,
    /// How many words its article has.
    pub words: u32,
    /// The language of most of its article.
    pub language: Language,
    /// The way most of its article's text runs.
    pub direction: Direction,
    /// Whether the reader has opened it.
    pub opened: bool,
}

/// A page of the index.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IndexPage {
    /// Its entries, newest first; none where the index has no such page.
    pub entries: Vec<IndexEntry>,
    /// Whether a further page follows.
    pub has_more: bool,
}

/// Reader, entries a feed -> [`Candidate`]. The list of a feed's newest entries is made once a feed; as
/// an `IN` SQLite would make it anew for each entry that there is.
const CANDIDATES: &str = "SELECT entry.id, entry.feed, mark.opened IS NOT NULL AS opened
     FROM feed
     CROSS JOIN json_each((
         SELECT json_group_array(id) FROM (
             SELECT newest.id FROM entry AS newest
             JOIN article ON article.entry = newest.id
             WHERE newest.feed = feed.id
             ORDER BY newest.published DESC, newest.id DESC LIMIT ?2))) AS list
     CROSS JOIN entry ON entry.id = list.value
     LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
     WHERE feed.hidden = 0
     ORDER BY entry.published DESC, entry.id DESC";

/// An entry on its way to a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, FromRow)]
struct Candidate {
    id: i64,
    feed: i64,
    opened: bool,
}

impl Store {
    /// A page of the index, from 0, as `reader` sees it. Entries without an article and those of
    /// hidden feeds are left out.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn index(&self, reader: i64, page: u32) -> Result<IndexPage, StoreError> {
        let number = usize::try_from(page).unwrap_or(usize::MAX);
        let candidates = self.candidates(reader, number.saturating_add(1)).await?;
        let mut pages = arrange(&candidates).skip(number);
        let Some(chosen) = pages.next() else {
            return Ok(IndexPage::default());
        };
        Ok(IndexPage {
            entries: self.index_entries(&chosen).await?,
            has_more: pages.next().is_some(),
        })
    }

    /// The next entry that `reader` has not opened, in the index's order after `entry`; the first
    /// such entry of all where `entry` is not in the index; `None` where none is left.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn after(&self, reader: i64, entry: i64) -> Result<Option<i64>, StoreError> {
        let mut pages = 2;
        loop {
            let candidates = self.candidates(reader, pages).await?;
            let whole = candidates.len() <= pages * ENTRIES_A_PAGE;
            let order: Vec<Candidate> = arrange(&candidates).take(pages).flatten().collect();
            let place = order.iter().position(|candidate| candidate.id == entry);
            if place.is_some() || whole {
                let start = place.map_or(0, |place| place + 1);
                let next = order[start..].iter().find(|candidate| !candidate.opened);
                if next.is_some() || whole {
                    return Ok(next.map(|candidate| candidate.id));
                }
            }
            pages *= 4;
        }
    }

    /// All that the first `pages` pages can need, newest first: of each feed as many entries as
    /// could stand on them, and one more, which tells whether a further page follows.
    async fn candidates(&self, reader: i64, pages: usize) -> Result<Vec<Candidate>, StoreError> {
        let most = pages.saturating_mul(ENTRIES_A_PAGE).saturating_add(1);
        let candidates = sqlx::query_as::<_, Candidate>(CANDIDATES)
            .bind(reader)
            .bind(i64::try_from(most).unwrap_or(i64::MAX))
            .fetch_all(&self.pool)
            .await?;
        Ok(candidates)
    }

    /// What the index shows of the chosen entries, newest first.
    async fn index_entries(&self, chosen: &[Candidate]) -> Result<Vec<IndexEntry>, StoreError> {
        let ids: Vec<i64> = chosen.iter().map(|candidate| candidate.id).collect();
        let opened: HashMap<i64, bool> = chosen
            .iter()
            .map(|candidate| (candidate.id, candidate.opened))
            .collect();
        sqlx::query_as::<_, EntryRow>(
            "SELECT entry.id, article.title, feed.config_title, feed.feed_title,
                    feed.address AS feed_address, entry.published, article.words,
                    article.language, article.direction
             FROM entry
             JOIN feed ON feed.id = entry.feed
             JOIN article ON article.entry = entry.id
             WHERE entry.id IN (SELECT value FROM json_each(?1))
             ORDER BY entry.published DESC, entry.id DESC",
        )
        .bind(serde_json::json!(ids).to_string())
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(|row| {
            let opened = opened.get(&row.id).copied().unwrap_or(false);
            row.into_entry(opened)
        })
        .collect()
    }
}

/// Deals candidates, newest first, onto pages by the rule at the head of this file.
fn arrange(candidates: &[Candidate]) -> impl Iterator<Item = Vec<Candidate>> {
    let mut left: Vec<Candidate> = candidates.to_vec();
    std::iter::from_fn(move || {
        let mut of_feed: HashMap<i64, usize> = HashMap::new();
        let mut on_page = vec![false; left.len()];
        let mut room = ENTRIES_A_PAGE;
        for (taken, candidate) in on_page.iter_mut().zip(&left) {
            let count = of_feed.entry(candidate.feed).or_default();
            if room > 0 && *count < MOST_OF_A_FEED_A_PAGE {
                (*taken, *count, room) = (true, *count + 1, room - 1);
            }
        }
        // Where the other feeds have too few entries left, the page is filled by date alone.
        for taken in on_page.iter_mut().filter(|taken| !**taken).take(room) {
            *taken = true;
        }
        let mut page = Vec::with_capacity(ENTRIES_A_PAGE);
        let mut rest = Vec::with_capacity(left.len());
        for (taken, candidate) in on_page.into_iter().zip(&left) {
            if taken { &mut page } else { &mut rest }.push(*candidate);
        }
        left = rest;
        (!page.is_empty()).then_some(page)
    })
}

#[derive(FromRow)]
struct EntryRow {
    id: i64,
    title: String,
    config_title: Option<String>,
    feed_title: Option<String>,
    feed_address: String,
    published: i64,
    words: u32,
    language: String,
    direction: String,
}

impl EntryRow {
    fn into_entry(self, opened: bool) -> Result<IndexEntry, StoreError> {
        Ok(IndexEntry {
            entry: self.id,
            title: self.title,
            feed_title: shown_title(
                self.config_title.as_deref(),
                self.feed_title.as_deref(),
                &self.feed_address,
            ),
            published: from_column(self.published)?,
            words: self.words,
            language: block_form::language_from(&self.language),
            direction: block_form::direction_from(&self.direction),
            opened,
        })
    }
}

#[cfg(test)]
mod tests;
