//! Unread articles by the time that one has: the rows that offer it, the list of a time, and forgetting the pace that its
//! minutes go by. Never counts a word.

use std::ops::RangeInclusive;

use axum::http::HeaderMap;
use axum::response::Response;

use super::notices;
use super::rows::{Parts, Said};
use crate::distil::Pace;
use crate::store::{IndexEntry, READER};
use crate::typeset::{Lines, Screen, Spacing};
use crate::view::Target;
use crate::web::asked::Asked;
use crate::web::error::WebError;
use crate::web::words::is_terse;
use crate::web::{Web, answer, message};
use crate::words::Words;

/// The times that one can have, in minutes: a wait at a door, a short ride, a pause with a cup. Common practice, no
/// source.
const TIMES: [u32; 3] = [1, 3, 8];

/// The first page of what takes a time.
pub async fn fitting(
    web: Web,
    Asked((screen, minutes)): Asked<(String, u32)>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, minutes, 0, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// A further page of it.
pub async fn further(
    web: Web,
    Asked((screen, minutes, page)): Asked<(String, u32, u32)>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, minutes, page, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// Forgets how fast its reader reads, and leads back to the list.
pub async fn forget(
    web: Web,
    Asked((screen, minutes)): Asked<(String, u32)>,
    headers: HeaderMap,
) -> Response {
    let done = async {
        let known: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
        offered(minutes)?;
        web.shared.store.forget_pace(READER).await?;
        Ok(answer::lead_to(&path(known, minutes, 0)))
    };
    let done = done.await;
    message::or_message(&web, &screen, &headers, done).await
}

/// What offers the times, a row each.
pub(super) fn rows(words: Words, screen: Screen) -> impl Iterator<Item = Said> {
    let row = move |minutes| {
        let title = words.time_to_read(minutes);
        Said::control(words, &title, String::new(), path(screen, minutes, 0))
    };
    TIMES.into_iter().map(row)
}

fn path(screen: Screen, minutes: u32, page: u32) -> String {
    match page {
        0 => format!("/{screen}/minutes/{minutes}"),
        _ => format!("/{screen}/minutes/{minutes}/page/{page}"),
    }
}

/// What fills a time that is offered, before what is shorter: each as a range of minutes.
fn offered(minutes: u32) -> Result<Vec<RangeInclusive<u32>>, WebError> {
    let place = TIMES.iter().position(|time| *time == minutes);
    let shorter = TIMES[..place.ok_or(WebError::NoPage)?].last().copied();
    Ok(match shorter {
        Some(shorter) => vec![shorter + 1..=minutes, 0..=shorter],
        None => vec![0..=minutes],
    })
}

async fn show(
    web: &Web,
    screen: &str,
    minutes: u32,
    page: u32,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let (times, store, words) = (offered(minutes)?, &web.shared.store, web.words);
    let own = store.pace(READER).await?;
    let pace = own.unwrap_or(Pace::PUBLISHED);
    let list = store.fitting(READER, pace, &times, page).await?;
    if list.entries.is_empty() && page > 0 {
        // It was read since the page was offered.
        return Ok(answer::lead_to(&path(screen, minutes, 0)));
    }
    let entry = |entry: &IndexEntry| entry_row(web, screen, pace, entry);
    let mut said: Vec<Said> = list.entries.iter().map(entry).collect();
    let control = |title: &str, href| Said::control(words, title, String::new(), href);
    if list.has_more {
        said.push(control(words.further(), path(screen, minutes, page + 1)));
    }
    let here = path(screen, minutes, 0);
    said.extend(
        rows(words, screen).filter(|row| page > 0 || row.target.href.as_ref() != Some(&here)),
    );
    said.extend(own.map(|pace| forget_row(words, screen, minutes, pace)));
    said.push(control(words.index(), format!("/{screen}/")));
    let parts = Parts {
        title: words.title_of_page(&words.time_to_read(minutes), page),
        first: match list.entries.is_empty() {
            true => notices::nothing_fits(words),
            false => Vec::new(),
        },
        rows: said,
        last: Vec::new(),
    };
    let composer = web.clone();
    let compose = move || parts.print(&composer, screen);
    let printed = web.shared.pool.run(compose).await??;
    Ok(answer::fresh_page(headers, &printed))
}

/// The row of an entry: what its reading takes before all else.
fn entry_row(web: &Web, screen: Screen, pace: Pace, entry: &IndexEntry) -> Said {
    let words = web.words;
    let length = words.short_length(pace.minutes(entry.words, &entry.language));
    let source = words.source(&entry.feed_title, entry.other_feeds);
    let now = web.shared.clock.now();
    let time = words.short_time(entry.published, now, &web.shared.time_zone, screen);
    let label = match (screen.spacing, screen.lines) {
        (Spacing::Usual, Lines::Eleven | Lines::Ten) => format!("{length} · {time}\n{source}"),
        (Spacing::Wide, Lines::Six) => length,
        _ => format!("{length}\n{source}"),
    };
    let target = Target {
        direction: entry.direction,
        ..Target::to(format!("/{screen}/{}", entry.entry), &entry.language)
    };
    Said::entry(words, &entry.title, label, target)
}

/// What tells the pace that the minutes go by, and forgets it.
fn forget_row(words: Words, screen: Screen, minutes: u32, pace: Pace) -> Said {
    let label = words.pace(pace.words_a_minute(words.language()), is_terse(screen));
    let action = format!("{}/forget", path(screen, minutes, 0));
    let mut said = Said::control(words, words.forget_pace(), label, action);
    said.target.sends = true;
    said
}
