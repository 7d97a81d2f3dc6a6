//! The choice of groups, and where each is to be found. Never tells of further pages.

use super::kept::kept_row;
use super::list::{begun_row, entry_row, find_row, mark_row, new_line};
use super::rows::{Parts, Said};
use super::{Glance, extent, times};
use crate::store::{Extent, IndexEntry, READER, Tally};
use crate::typeset::Screen;
use crate::web::Web;
use crate::web::error::WebError;
use crate::words::Words;

/// So many groups are a choice.
pub(super) const FEWEST: usize = 2;

/// The letters of a group's name in addresses: a hash of its name, so that it stays when the config's order changes,
/// and any name can be written; 32 bits part the groups of any household.
const LETTERS: usize = 8;

/// Where the index of a group begins, or the whole one.
pub fn path(screen: Screen, group: Option<&str>) -> String {
    group.map_or_else(
        || format!("/{screen}/"),
        |group| format!("/{screen}/group/{}/", key(group)),
    )
}

/// A page of it, from 0.
pub(super) fn page_path(screen: Screen, group: Option<&str>, page: u32) -> String {
    match (group, page) {
        (Some(_), 0) => path(screen, group),
        _ => format!("{}page/{page}", path(screen, group)),
    }
}

/// Where its entries are marked as seen up to the last one.
pub(super) fn marks_path(screen: Screen, group: Option<&str>, last: i64) -> String {
    format!("{}upto/{last}", path(screen, group))
}

/// The group that an address names.
///
/// # Errors
/// There is none.
pub fn named(groups: &[String], name: &str) -> Result<String, WebError> {
    let mut named = groups.iter().filter(|group| key(group) == name);
    named.next().cloned().ok_or(WebError::NoPage)
}

fn key(group: &str) -> String {
    blake3::hash(group.as_bytes()).to_hex()[..LETTERS].to_owned()
}

/// The choice: what is new, then all and each group with how much there is to read. One entry stands before it, so
/// that reading is one tap away here too.
///
/// # Errors
/// The store fails.
pub(super) async fn choice(
    web: &Web,
    glance: &Glance,
    groups: &[String],
) -> Result<Parts, WebError> {
    let (words, screen) = (glance.words, glance.screen);
    let first = begun_row(glance).into_iter().chain(new_line(glance));
    let mut rows: Vec<Said> = first.collect();
    if let Some(entry) = first_unread(web, glance).await? {
        rows.push(entry_row(web, glance, &entry));
        rows.extend(times::rows(words, screen));
    }
    let all = page_path(screen, None, 0);
    rows.push(row(words, screen, words.all_groups(), all, glance.tally));
    for group in groups {
        let tally = web
            .shared
            .store
            .tally(READER, Some(group), glance.since)
            .await?;
        rows.push(row(words, screen, group, path(screen, Some(group)), tally));
    }
    rows.push(find_row(words, screen));
    rows.extend(kept_row(glance));
    rows.extend(mark_row(glance, None));
    Ok(Parts {
        title: words.index().to_owned(),
        first: Vec::new(),
        rows,
        last: Vec::new(),
    })
}

/// The first entry of the index that is new, or else unread.
async fn first_unread(web: &Web, glance: &Glance) -> Result<Option<IndexEntry>, WebError> {
    let unread = Extent {
        without_read: true,
        ..extent(web, None)
    };
    let index = web.shared.store.index_of(READER, &unread, 0).await?;
    let mut entries: Vec<IndexEntry> = index.entries;
    entries.retain(|entry| !entry.read && !glance.is_begun(entry));
    let new = entries.iter().position(|entry| glance.is_new(entry));
    Ok((!entries.is_empty()).then(|| entries.swap_remove(new.unwrap_or(0))))
}

/// A group's row; dimmed where nothing of it is unread.
fn row(words: Words, screen: Screen, name: &str, href: String, tally: Tally) -> Said {
    let label = words.tally(tally, screen);
    let mut said = Said::control(words, name, label, href);
    said.target.seen = tally.unread == 0;
    said
}
