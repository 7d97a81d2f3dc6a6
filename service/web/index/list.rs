//! A page of entries, of all or of a group, and what leads on from it. Never tells of groups.

use super::kept::kept_row;
use super::rows::{Parts, Said};
use super::{Glance, extent, groups, notices, times};
use crate::store::{IndexEntry, READER};
use crate::typeset::{Lines, Screen, Spacing};
use crate::view::Target;
use crate::web::Web;
use crate::web::error::WebError;
use crate::words::Words;

/// Entries before the choice of articles by their time: always at the same place, and within the first three discs,
/// since whoever has a minute does not turn through the index for it.
const BEFORE_TIMES: usize = 3;

/// A page of the entries of a group, or of all, from 0.
///
/// # Errors
/// The store fails, or there is no such page.
pub(super) async fn of(
    web: &Web,
    glance: &Glance,
    group: Option<String>,
    page: u32,
) -> Result<Parts, WebError> {
    let words = web.words;
    let extent = extent(web, group);
    let index = web.shared.store.index_of(READER, &extent, page).await?;
    if index.entries.is_empty() && page > 0 {
        return Err(WebError::NoPage);
    }
    let group = extent.group.as_deref();
    let mut rows = Vec::new();
    let mut entries: Vec<&IndexEntry> = index.entries.iter().collect();
    entries.retain(|entry| !glance.is_begun(entry));
    if page == 0 {
        rows.extend(begun_row(glance));
        rows.extend(new_line(glance));
        // What came late may be of an older date, and is still what the first look is for.
        entries.sort_by_key(|entry| !glance.is_new(entry));
    }
    let screen = glance.screen;
    let times = rows.len() + entries.len().min(BEFORE_TIMES);
    rows.extend(entries.iter().map(|entry| entry_row(web, glance, entry)));
    if page == 0 && group.is_none() && glance.tally.unread > 0 {
        rows.splice(times..times, times::rows(words, screen));
    }
    if index.has_more {
        let href = groups::page_path(screen, group, page + 1);
        rows.push(Said::control(words, words.older(), String::new(), href));
    }
    rows.push(find_row(words, screen));
    rows.extend(kept_row(glance));
    rows.extend(mark_row(glance, group));
    if page > 0 {
        let href = groups::page_path(screen, group, 0);
        rows.push(Said::control(words, words.newest(), String::new(), href));
    }
    if glance.has_groups {
        let href = format!("/{screen}/");
        rows.push(Said::control(words, words.groups(), String::new(), href));
    }
    let first = if index.entries.is_empty() && glance.begun.is_none() {
        notices::nothing(words, extent.without_read && glance.last > 0)
    } else {
        Vec::new()
    };
    let title = match group {
        Some(group) => group,
        None if glance.has_groups => words.all_groups(),
        None => words.index(),
    };
    Ok(Parts {
        title: words.title_of_page(title, page),
        first,
        rows,
        last: Vec::new(),
    })
}

/// What leads to the field by which articles are found.
pub(super) fn find_row(words: Words, screen: Screen) -> Said {
    Said::control(
        words,
        words.find(),
        String::new(),
        format!("/{screen}/find"),
    )
}

/// What was left last, which leads to the disc where reading stopped.
pub(super) fn begun_row(glance: &Glance) -> Option<Said> {
    let (words, entry) = (glance.words, glance.begun.as_ref()?);
    let target = Target {
        direction: entry.direction,
        ..Target::to(leads_to(glance, entry), &entry.language)
    };
    let label = words.go_on().to_owned();
    Some(Said::entry(words, &entry.title, label, target))
}

/// Where an entry leads: to its article, at the place where reading stopped if one is remembered.
fn leads_to(glance: &Glance, entry: &IndexEntry) -> String {
    let on = if entry.begun { "/on" } else { "" };
    format!("/{}/{}{on}", glance.screen, entry.entry)
}

/// How many entries are new, where any are.
pub(super) fn new_line(glance: &Glance) -> Option<Said> {
    let (words, new) = (glance.words, glance.tally.new);
    (new > 0).then(|| Said::line(words, words.new_entries(new)))
}

/// The button that marks all of a group, or of all, as seen, where anything is unread.
pub(super) fn mark_row(glance: &Glance, group: Option<&str>) -> Option<Said> {
    let (words, unread) = (glance.words, glance.tally.unread);
    (unread > 0).then(|| {
        let action = groups::marks_path(glance.screen, group, glance.last);
        let label = words.unread_of(unread, group);
        let mut said = Said::control(words, words.mark_as_seen(), label, action);
        said.target.sends = true;
        said
    })
}

/// The row of an entry.
pub(super) fn entry_row(web: &Web, glance: &Glance, entry: &IndexEntry) -> Said {
    let target = Target {
        seen: entry.read && entry.changed.is_none(),
        new: glance.is_new(entry),
        direction: entry.direction,
        ..Target::to(leads_to(glance, entry), &entry.language)
    };
    let label = entry_label(web, glance, entry);
    Said::entry(glance.words, &entry.title, label, target)
}

/// What stands below an entry's title. The larger or wider the text, the less has room there.
fn entry_label(web: &Web, glance: &Glance, entry: &IndexEntry) -> String {
    let (words, screen) = (glance.words, glance.screen);
    let (now, zone) = (glance.now, &web.shared.time_zone);
    let source = words.source(&entry.feed_title, entry.other_feeds);
    if let Some(changed) = entry.changed {
        let time = words.short_time(changed, now, zone, screen);
        return match (screen.spacing, screen.lines) {
            (Spacing::Usual, Lines::Eleven | Lines::Ten) => {
                format!("{} {time}\n{source}", words.changed())
            }
            (Spacing::Wide, Lines::Six) => words.changed().to_owned(),
            _ => format!("{}\n{time}", words.changed()),
        };
    }
    let time = words.short_time(entry.published, now, zone, screen);
    let length = words.short_length(glance.pace.minutes(entry.words, &entry.language));
    if let Some(age) = words.age(entry.published, now, zone) {
        let new = if glance.is_new(entry) {
            format!("{} · ", words.newly_come())
        } else {
            String::new()
        };
        return match (screen.spacing, screen.lines) {
            (Spacing::Usual, Lines::Eleven | Lines::Ten) => {
                format!("{time} · {age}\n{new}{length} · {source}")
            }
            (Spacing::Wide, Lines::Six) => format!("{time}\n{age}"),
            _ => format!("{time}\n{new}{age}"),
        };
    }
    if glance.is_new(entry) {
        return match (screen.spacing, screen.lines) {
            (Spacing::Usual, Lines::Eleven | Lines::Ten) => {
                format!("{time} · {length}\n{} · {source}", words.newly_come())
            }
            (Spacing::Wide, Lines::Six) => words.newly_come().to_owned(),
            _ => format!("{time}\n{} · {source}", words.newly_come()),
        };
    }
    match (screen.spacing, screen.lines) {
        (Spacing::Usual, Lines::Eleven | Lines::Ten) => format!("{time} · {length}\n{source}"),
        (Spacing::Usual, Lines::Eight | Lines::Six) => format!("{time}\n{length} · {source}"),
        (Spacing::Wide, Lines::Eleven | Lines::Ten | Lines::Eight) => format!("{time}\n{source}"),
        (Spacing::Wide, Lines::Six) => time,
    }
}
