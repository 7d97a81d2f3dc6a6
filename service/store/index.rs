//! The index: which entries stand on which of its pages, and what comes after an article. Owns no table.
//!
//! Its order is newest first, with one rule so that no chatty feed floods it: a page takes at most
//! [`MOST_OF_A_FEED_A_PAGE`] entries of one feed as long as other feeds have entries left; what a
//! page passes over, the next one takes first. Within its page an entry stands by its date.
//!
//! Of a story that several entries tell, and of a text that feeds have in common, one is shown: one that the reader
//! has opened, then one marked otherwise, then one that was marked as seen with its feed, then one that is no teaser by its length, then the newest version, be it published or
//! changed, then the first that was known. Stories and texts go by one order, so that of all entries that hang
//! together the first by it always shows.

use std::cmp::Reverse;
use std::collections::HashMap;

use jiff::Timestamp;
use sqlx::FromRow;

use self::queries::{NEWEST, NEWEST_OF_EACH, READ_AND_STAYING, UNREAD_OF_EACH};
use super::feed::shown_title;
use super::{Store, StoreError, block_form, from_column};
use crate::distil::language::{Direction, Language};

pub(super) mod queries;

/// Entries on a page of the index: 8 to 24 discs of one to three entries, as many as a hand turns through.
pub const ENTRIES_A_PAGE: usize = 24;

/// Entries of one feed on a page while others have some left: a quarter of it.
pub const MOST_OF_A_FEED_A_PAGE: usize = 6;

/// Which entries the index lists.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Extent {
    /// The group of the config whose feeds it lists; all where `None`.
    pub group: Option<String>,
    /// Whether what was read is left out, but for what is kept and what has changed since.
    pub without_read: bool,
}

/// An entry as the index shows it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IndexEntry {
    /// The entry.
    pub entry: i64,
    /// Its article's title, plain text.
    pub title: String,
    /// The title of its feed.
    pub feed_title: String,
    /// How many other feeds tell the same.
    pub other_feeds: u32,
    /// When it was published.
    pub published: Timestamp,
    /// How many words its article has.
    pub words: u32,
    /// The language of most of its article.
    pub language: Language,
    /// The way most of its article's text runs.
    pub direction: Direction,
    /// Whether the reader has opened it, or has marked its feed as seen up to it.
    pub read: bool,
    /// Whether a place in it is remembered, at which reading goes on.
    pub begun: bool,
    /// When its publisher last changed it, where that is since the reader last opened it.
    pub changed: Option<Timestamp>,
}

/// A page of the index.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IndexPage {
    /// Its entries, newest first; none where the index has no such page.
    pub entries: Vec<IndexEntry>,
    /// Whether a further page follows.
    pub has_more: bool,
}

/// How many entries are taken, newest first, for each one that the first pages show. Where no feed
/// crowds the others out that is enough, however many feeds there are.
const NEWEST_TAKEN: usize = 8;

/// How many entries are looked at for each one that is taken: where a group has fewer among the newest ones, or
/// where fewer of them are unread, its feeds are asked one by one.
const LOOKED_AT: usize = 4;

/// An entry on its way to a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, FromRow)]
pub(super) struct Candidate {
    pub(super) id: i64,
    feed: i64,
    published: i64,
    read: bool,
}

impl Store {
    /// A page of the index of all that there is, from 0, as `reader` sees it. Entries without an article and
    /// those of hidden feeds are left out.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn index(&self, reader: i64, page: u32) -> Result<IndexPage, StoreError> {
        self.index_of(reader, &Extent::default(), page).await
    }

    /// The same for an extent of it.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn index_of(
        &self,
        reader: i64,
        extent: &Extent,
        page: u32,
    ) -> Result<IndexPage, StoreError> {
        let number = usize::try_from(page).unwrap_or(usize::MAX);
        let pages = number.saturating_add(1);
        let candidates = self.candidates(reader, extent, pages).await?;
        let mut pages = arrange(&candidates).skip(number);
        let Some(chosen) = pages.next() else {
            return Ok(IndexPage::default());
        };
        Ok(IndexPage {
            entries: self.index_entries(reader, &chosen).await?,
            has_more: pages.next().is_some(),
        })
    }

    /// The entry that `reader` opened last, if a place in it is remembered: what reading goes on with.
    ///
    /// # Errors
    /// [`StoreError::Database`], [`StoreError::Unreadable`].
    pub async fn begun(&self, reader: i64) -> Result<Option<IndexEntry>, StoreError> {
        let latest = sqlx::query_as::<_, Candidate>(
            "SELECT entry.id, entry.feed, entry.published, mark.opened IS NOT NULL AS read
             FROM mark
             JOIN entry ON entry.id = mark.entry
             JOIN feed ON feed.id = entry.feed AND (feed.hidden = 0 OR feed.site = 1)
             JOIN article ON article.entry = entry.id
             WHERE mark.reader = ?1 AND mark.place_block IS NOT NULL
             ORDER BY mark.last_opened DESC LIMIT 1",
        )
        .bind(reader)
        .fetch_optional(&self.pool)
        .await?;
        let Some(latest) = latest else {
            return Ok(None);
        };
        Ok(self.index_entries(reader, &[latest]).await?.pop())
    }

    /// The next entry that `reader` has not read, in the index's order after `entry`, within the group where one is
    /// named and the entry is of it; the first such entry of all where `entry` is not in the index; `None` where none
    /// is left.
    ///
    /// # Errors
    /// [`StoreError::Database`].
    pub async fn after(
        &self,
        reader: i64,
        entry: i64,
        group: Option<&str>,
    ) -> Result<Option<i64>, StoreError> {
        // What was read stays in the order, since the entry itself has just been.
        let extent = Extent {
            group: group.map(str::to_owned),
            without_read: false,
        };
        let mut pages = 2;
        loop {
            let candidates = self.candidates(reader, &extent, pages).await?;
            let whole = candidates.len() <= pages * ENTRIES_A_PAGE;
            let order: Vec<Candidate> = arrange(&candidates).take(pages).flatten().collect();
            let place = order.iter().position(|candidate| candidate.id == entry);
            if place.is_some() || whole {
                let start = place.map_or(0, |place| place + 1);
                let next = order[start..].iter().find(|candidate| !candidate.read);
                if next.is_some() || whole {
                    return Ok(next.map(|candidate| candidate.id));
                }
            }
            pages *= 4;
        }
    }

    /// All that the first `pages` pages can need, newest first, and at least one entry more where a further
    /// page follows.
    async fn candidates(
        &self,
        reader: i64,
        extent: &Extent,
        pages: usize,
    ) -> Result<Vec<Candidate>, StoreError> {
        let shown = pages.saturating_mul(ENTRIES_A_PAGE);
        let limit = shown.saturating_mul(NEWEST_TAKEN).saturating_add(1);
        let newest = self.newest(reader, extent, limit).await?;
        if fills(&newest, pages) {
            return Ok(newest);
        }
        let limit = shown.saturating_add(1);
        let of_each = async |which| self.of_each(which, reader, extent, limit).await;
        if !extent.without_read {
            return of_each(NEWEST_OF_EACH).await;
        }
        let mut candidates = of_each(UNREAD_OF_EACH).await?;
        candidates.extend(of_each(READ_AND_STAYING).await?);
        candidates.sort_unstable_by_key(|candidate| Reverse((candidate.published, candidate.id)));
        Ok(candidates)
    }

    async fn newest(
        &self,
        reader: i64,
        extent: &Extent,
        most: usize,
    ) -> Result<Vec<Candidate>, StoreError> {
        let candidates = sqlx::query_as::<_, Candidate>(NEWEST)
            .bind(reader)
            .bind(i64::try_from(most).unwrap_or(i64::MAX))
            .bind(extent.group.as_deref())
            .bind(extent.without_read)
            .bind(i64::try_from(most.saturating_mul(LOOKED_AT)).unwrap_or(i64::MAX))
            .fetch_all(&self.pool)
            .await?;
        Ok(candidates)
    }

    async fn of_each(
        &self,
        which: &'static str,
        reader: i64,
        extent: &Extent,
        most: usize,
    ) -> Result<Vec<Candidate>, StoreError> {
        let candidates = sqlx::query_as::<_, Candidate>(which)
            .bind(reader)
            .bind(i64::try_from(most).unwrap_or(i64::MAX))
            .bind(extent.group.as_deref())
            .fetch_all(&self.pool)
            .await?;
        Ok(candidates)
    }

    /// What the index shows of the chosen entries to `reader`, newest first.
    pub(super) async fn index_entries(
        &self,
        reader: i64,
        chosen: &[Candidate],
    ) -> Result<Vec<IndexEntry>, StoreError> {
        let ids: Vec<i64> = chosen.iter().map(|candidate| candidate.id).collect();
        sqlx::query_as::<_, EntryRow>(
            "SELECT entry.id, article.title, feed.config_title, feed.feed_title,
                    feed.address AS feed_address, entry.published, article.words,
                    article.language, article.direction,
                    mark.opened IS NOT NULL OR entry.id <= coalesce(seen.upto, 0) AS read,
                    mark.place_block IS NOT NULL AS begun,
                    CASE WHEN article.edited > mark.last_opened THEN article.edited END AS changed,
                    (SELECT count(DISTINCT other.feed) FROM entry AS other
                     JOIN feed AS its_feed ON its_feed.id = other.feed AND its_feed.hidden = 0
                     JOIN article AS its_article ON its_article.entry = other.id
                     WHERE (other.story = entry.story OR other.alike = entry.alike)
                       AND other.feed <> entry.feed) AS other_feeds
             FROM entry
             JOIN feed ON feed.id = entry.feed
             JOIN article ON article.entry = entry.id
             LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
             LEFT JOIN seen ON seen.feed = entry.feed AND seen.reader = ?1
             WHERE entry.id IN (SELECT value FROM json_each(?2))
             ORDER BY entry.published DESC, entry.id DESC",
        )
        .bind(reader)
        .bind(serde_json::json!(ids).to_string())
        .fetch_all(&self.pool)
        .await?
        .into_iter()
        .map(IndexEntry::try_from)
        .collect()
    }
}

/// Whether older candidates could change nothing about the first `pages` pages: each is full, none needs more
/// of a feed than its share, and something is left for a further page.
fn fills(candidates: &[Candidate], pages: usize) -> bool {
    let mut dealt = arrange(candidates);
    let shares_kept = |page: &Vec<Candidate>| {
        let mut of_feed: HashMap<i64, usize> = HashMap::new();
        page.iter()
            .for_each(|candidate| *of_feed.entry(candidate.feed).or_default() += 1);
        page.len() == ENTRIES_A_PAGE
            && of_feed
                .values()
                .all(|count| *count <= MOST_OF_A_FEED_A_PAGE)
    };
    dealt.by_ref().take(pages).filter(shares_kept).count() == pages && dealt.next().is_some()
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
    read: bool,
    begun: bool,
    changed: Option<i64>,
    other_feeds: u32,
}

impl TryFrom<EntryRow> for IndexEntry {
    type Error = StoreError;

    fn try_from(row: EntryRow) -> Result<Self, StoreError> {
        Ok(Self {
            entry: row.id,
            title: row.title,
            feed_title: shown_title(
                row.config_title.as_deref(),
                row.feed_title.as_deref(),
                &row.feed_address,
            ),
            other_feeds: row.other_feeds,
            published: from_column(row.published)?,
            words: row.words,
            language: block_form::language_from(&row.language),
            direction: block_form::direction_from(&row.direction),
            read: row.read,
            begun: row.begun,
            changed: row.changed.map(from_column).transpose()?,
        })
    }
}

#[cfg(test)]
mod tests;
