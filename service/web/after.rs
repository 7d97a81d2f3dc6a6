//! What comes next, found out when it is asked for, so that an article's page never changes with it. It stays in the
//! group whose index was gone to last.

use axum::http::HeaderMap;
use axum::response::Response;

use super::asked::Asked;
use super::error::WebError;
use super::{Web, answer, index, message};
use crate::store::READER;
use crate::typeset::Screen;

/// Leads to the next entry that was not read, or to the index where none is left.
pub async fn after(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = lead(&web, &screen, entry).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn lead(web: &Web, screen: &str, entry: i64) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let store = &web.shared.store;
    store.leave_at_end(READER, entry).await?;
    let group = store.group_gone_through(READER, entry).await?;
    let next = store.after(READER, entry, group.as_deref()).await?;
    let to = next.map_or_else(
        || index::path(screen, group.as_deref()),
        |next| format!("/{screen}/{next}"),
    );
    Ok(answer::lead_to(&to))
}
