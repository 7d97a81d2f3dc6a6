//! What comes next, found out when it is asked for, so that an article's page never changes with it.

use axum::extract::State;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};

use super::asked::Asked;
use super::error::WebError;
use super::{Web, message};
use crate::store::READER;
use crate::typeset::Screen;

/// Leads to the next entry that was not opened, or to the index where none is left.
pub async fn after(
    State(web): State<Web>,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = lead(&web, &screen, entry).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn lead(web: &Web, screen: &str, entry: i64) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let next = web.shared.store.after(READER, entry).await?;
    let to = next.map_or_else(|| format!("/{screen}/"), |next| format!("/{screen}/{next}"));
    Ok(([(header::CACHE_CONTROL, "no-store")], Redirect::to(&to)).into_response())
}
