//! The index: what is new, a few entries a disc; where the config has groups, the choice of one first. Never reads
//! articles.

mod groups;
mod kept;
mod list;
mod notices;
mod rows;
mod times;

use axum::http::{HeaderMap, Method};
use axum::response::Response;
use jiff::Timestamp;

use super::asked::Asked;
use super::error::WebError;
use super::{Web, answer, message};
use crate::config::ReadEntries;
use crate::distil::Pace;
use crate::store::{Extent, IndexEntry, READER, Tally};
use crate::typeset::Screen;
use crate::words::Words;

pub use self::groups::{named, path};
pub use self::kept::{kept, older_kept};
pub use self::times::{fitting, forget, further};

/// The first page: the choice of groups where there are some, else the newest entries.
pub async fn newest(
    web: Web,
    Asked(screen): Asked<String>,
    method: Method,
    headers: HeaderMap,
) -> Response {
    let wanted = Wanted::default();
    answered(&web, &screen, wanted, &method, &headers).await
}

/// A page of all entries, from 0.
pub async fn older(
    web: Web,
    Asked((screen, page)): Asked<(String, u32)>,
    method: Method,
    headers: HeaderMap,
) -> Response {
    let wanted = Wanted {
        page: Some(page),
        ..Wanted::default()
    };
    answered(&web, &screen, wanted, &method, &headers).await
}

/// The newest entries of a group.
pub async fn of_group(
    web: Web,
    Asked((screen, group)): Asked<(String, String)>,
    method: Method,
    headers: HeaderMap,
) -> Response {
    let wanted = Wanted {
        group: Some(group),
        page: Some(0),
    };
    answered(&web, &screen, wanted, &method, &headers).await
}

/// A further page of a group.
pub async fn older_of_group(
    web: Web,
    Asked((screen, group, page)): Asked<(String, String, u32)>,
    method: Method,
    headers: HeaderMap,
) -> Response {
    let wanted = Wanted {
        group: Some(group),
        page: Some(page),
    };
    answered(&web, &screen, wanted, &method, &headers).await
}

/// What of the index is asked for.
#[derive(Default)]
struct Wanted {
    /// A group by its name in addresses; all where `None`.
    group: Option<String>,
    /// A page of its entries; `None` for the first page of the whole index.
    page: Option<u32>,
}

async fn answered(
    web: &Web,
    screen: &str,
    wanted: Wanted,
    method: &Method,
    headers: &HeaderMap,
) -> Response {
    let goes = method == Method::GET && answer::is_navigation(headers);
    let shown = show(web, screen, &wanted, goes, headers).await;
    message::or_message(web, screen, headers, shown).await
}

async fn show(
    web: &Web,
    screen: &str,
    wanted: &Wanted,
    goes: bool,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let (store, now) = (&web.shared.store, web.shared.clock.now());
    // Before anything is listed: what comes meanwhile is marked as seen by no button of this page.
    let last = store.last_entry().await?;
    let groups = store.groups().await?;
    let group = match &wanted.group {
        Some(name) => Some(named(&groups, name)?),
        None => None,
    };
    let pace = store.pace(READER).await?.unwrap_or(Pace::PUBLISHED);
    let since = if goes && wanted.page.unwrap_or(0) == 0 {
        store.settle_left(READER, pace, now).await?;
        Some(store.look(READER, group.as_deref(), now).await?)
    } else {
        store.last_look(READER).await?
    };
    let tally = store.tally(READER, group.as_deref(), since).await?;
    let failing = match wanted.page {
        None => store.failing_feeds().await?,
        Some(_) => Vec::new(),
    };
    let begun = match (&group, wanted.page.unwrap_or(0)) {
        (None, 0) => store.begun(READER).await?,
        _ => None,
    };
    let kept = match wanted.page.unwrap_or(0) {
        0 => store.kept_count(READER).await?,
        _ => 0,
    };
    let glance = Glance {
        words: web.words,
        pace,
        screen,
        begun,
        now,
        since,
        tally,
        last,
        has_groups: groups.len() >= groups::FEWEST,
        kept,
    };
    let mut parts = if wanted.page.is_none() && glance.has_groups {
        groups::choice(web, &glance, &groups).await?
    } else {
        list::of(web, &glance, group, wanted.page.unwrap_or(0)).await?
    };
    parts.tell_failing(
        notices::failing_lines(&failing, web, screen, now),
        &failing,
        tally,
    );
    let composer = web.clone();
    let compose = move || parts.print(&composer, screen);
    let printed = web.shared.pool.run(compose).await??;
    Ok(answer::fresh_page(headers, &printed))
}

/// What all pages of the index are made by.
struct Glance {
    words: Words,
    /// How fast its reader reads.
    pace: Pace,
    screen: Screen,
    /// What was left last, where it is to be offered.
    begun: Option<IndexEntry>,
    now: Timestamp,
    /// The last entry that is not new; `None` where nothing is.
    since: Option<i64>,
    /// How much there is to read of what is asked for.
    tally: Tally,
    /// The last entry that the page can show.
    last: i64,
    /// Whether there is a choice of groups.
    has_groups: bool,
    /// How many articles are kept, where that is to be said.
    kept: u32,
}

impl Glance {
    /// Whether an entry is offered already, to be gone on with.
    fn is_begun(&self, entry: &IndexEntry) -> bool {
        self.begun
            .as_ref()
            .is_some_and(|begun| begun.entry == entry.entry)
    }

    /// Whether an entry came since the last look and is unread.
    fn is_new(&self, entry: &IndexEntry) -> bool {
        !entry.read && self.since.is_some_and(|since| entry.entry > since)
    }
}

/// Which entries the household wants listed of a group, or of all.
fn extent(web: &Web, group: Option<String>) -> Extent {
    Extent {
        group,
        without_read: web.shared.read_entries == ReadEntries::Gone,
    }
}
