//! The list of what is kept, and the row of the index that leads there. Never keeps.

use axum::http::HeaderMap;
use axum::response::Response;

use super::list::entry_row;
use super::rows::{Parts, Said};
use super::{Glance, notices};
use crate::distil::Pace;
use crate::store::{READER, Tally};
use crate::typeset::Screen;
use crate::web::asked::Asked;
use crate::web::error::WebError;
use crate::web::{Web, answer, message};

/// What is kept, the latest kept first.
pub async fn kept(web: Web, Asked(screen): Asked<String>, headers: HeaderMap) -> Response {
    let shown = show(&web, &screen, 0, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// A page of it, from 0.
pub async fn older_kept(
    web: Web,
    Asked((screen, page)): Asked<(String, u32)>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, page, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// The row that leads to the list, where anything is kept.
pub(super) fn kept_row(glance: &Glance) -> Option<Said> {
    (glance.kept > 0).then(|| {
        let words = glance.words;
        let href = format!("/{}/kept", glance.screen);
        Said::control(words, words.kept(), words.kept_articles(glance.kept), href)
    })
}

async fn show(
    web: &Web,
    screen: &str,
    page: u32,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let kept = web.shared.store.kept(READER, page).await?;
    if kept.entries.is_empty() && page > 0 {
        // It was let go since the page was offered.
        return Ok(answer::lead_to(&format!("/{screen}/kept")));
    }
    let words = web.words;
    let glance = Glance {
        words,
        pace: web
            .shared
            .store
            .pace(READER)
            .await?
            .unwrap_or(Pace::PUBLISHED),
        screen,
        begun: None,
        now: web.shared.clock.now(),
        since: None,
        tally: Tally::default(),
        last: 0,
        has_groups: false,
        kept: 0,
    };
    let entries = kept.entries.iter();
    let mut rows: Vec<Said> = entries
        .map(|entry| entry_row(web, &glance, entry))
        .collect();
    // What is kept was read as a rule, so that dimming it would tell nothing.
    rows.iter_mut().for_each(|row| row.target.seen = false);
    if kept.has_more {
        let href = format!("/{screen}/kept/{}", page + 1);
        rows.push(Said::control(words, words.older(), String::new(), href));
    }
    let index = format!("/{screen}/");
    rows.push(Said::control(words, words.index(), String::new(), index));
    let parts = Parts {
        title: words.title_of_page(words.kept(), page),
        first: if kept.entries.is_empty() {
            notices::nothing_kept(words)
        } else {
            Vec::new()
        },
        rows,
        last: Vec::new(),
    };
    let composer = web.clone();
    let compose = move || parts.print(&composer, screen);
    let printed = web.shared.pool.run(compose).await??;
    Ok(answer::fresh_page(headers, &printed))
}
