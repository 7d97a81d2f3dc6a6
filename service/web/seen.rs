//! Marking a group, or all, as seen, and taking that back. Never lists entries.

use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;

use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, index, message, words};
use crate::distil::language::Direction;
use crate::store::{Marking, READER};
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen};
use crate::view::{PrintError, Target};
use crate::words::Words;

/// Marks all that is unread as seen, up to the last entry that the button's page could show.
pub async fn mark_all(
    web: Web,
    Asked((screen, upto)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let done = mark(&web, &screen, None, upto).await;
    message::or_message(&web, &screen, &headers, done).await
}

/// The same for a group.
pub async fn mark_group(
    web: Web,
    Asked((screen, group, upto)): Asked<(String, String, i64)>,
    headers: HeaderMap,
) -> Response {
    let done = mark(&web, &screen, Some(&group), upto).await;
    message::or_message(&web, &screen, &headers, done).await
}

async fn mark(
    web: &Web,
    screen: &str,
    group: Option<&str>,
    upto: i64,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let store = &web.shared.store;
    let group = match group {
        Some(name) => Some(index::named(&store.groups().await?, name)?),
        None => None,
    };
    let marking = store.mark_seen(READER, group.as_deref(), upto).await?;
    Ok(answer::lead_to(&format!("/{screen}/seen/{}", marking.id)))
}

/// Takes a marking back, and leads to the index that it was made in.
pub async fn undo(
    web: Web,
    Asked((screen, marking)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let done = take_back(&web, &screen, marking).await;
    message::or_message(&web, &screen, &headers, done).await
}

async fn take_back(web: &Web, screen: &str, marking: i64) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let undone = web.shared.store.undo_seen(READER, marking).await?;
    let undone = undone.ok_or(WebError::Past(Words::undo_is_past))?;
    Ok(answer::lead_to(&index::path(
        screen,
        undone.group.as_deref(),
    )))
}

/// Says what was marked, and offers to take it back.
pub async fn told(
    web: Web,
    Asked((screen, marking)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, marking, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn show(
    web: &Web,
    screen: &str,
    marking: i64,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let marking = web.shared.store.marking(READER, marking).await?;
    let marking = marking.ok_or(WebError::Past(Words::undo_is_past))?;
    let composer = web.clone();
    let compose = move || compose(&composer, screen, &marking);
    let printed = web.shared.pool.run(compose).await??;
    Ok(answer::page(headers, StatusCode::OK, &printed))
}

fn compose(web: &Web, screen: Screen, marking: &Marking) -> Result<Printed, PrintError> {
    let (own, language) = (web.words, web.words.language());
    let text = |text, kind| RowText {
        text,
        language,
        kind,
        most_lines: 1,
    };
    let marked = own.marked_as_seen(marking.entries, words::is_terse(screen));
    let group = marking.group.as_deref().unwrap_or(own.all_groups());
    // Short enough to stand on one disc with the undoing at every size.
    let said = Row {
        texts: vec![text(group, LineKind::Title), text(&marked, LineKind::Label)],
        height: 0.0,
    };
    let control = |name| Row {
        texts: vec![text(name, LineKind::Control)],
        height: LEAST_TARGET,
    };
    let items = [
        Item::Control(said),
        Item::Control(control(own.undo())),
        Item::Control(control(own.index())),
    ];
    let undo = format!("/{screen}/seen/{}/undo", marking.id);
    let targets = [
        Target::none(language, Direction::Ltr),
        Target {
            sends: true,
            ..Target::to(undo, language)
        },
        Target::to(format!("/{screen}/"), language),
    ];
    message::own_page(web, screen, own.mark_as_seen(), &items, &targets)
}
