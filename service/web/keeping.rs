//! Keeping an article and letting it go: sent by a control of its last discs, which is shown anew then. Never lists
//! what is kept.

use axum::Form;
use axum::extract::State;
use axum::extract::rejection::FormRejection;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::asked::Asked;
use super::error::WebError;
use super::{Web, article, message, stored};
use crate::store::{Place, READER};

/// What the control sends.
#[derive(Deserialize)]
pub struct Keeping {
    /// Whether the article is to be kept from now on.
    keeps: bool,
}

/// Keeps the article or lets it go, and leads back to the disc of the control.
pub async fn keep(
    State(web): State<Web>,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
    told: Result<Form<Keeping>, FormRejection>,
) -> Response {
    let keeps = told.ok().map(|Form(told)| told.keeps);
    let shown = mark(&web, &screen, entry, keeps).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn mark(
    web: &Web,
    screen: &str,
    entry: i64,
    keeps: Option<bool>,
) -> Result<Response, WebError> {
    let printed = stored::printed(web, (screen, entry), "text", article::compose).await?;
    let keeps = keeps.ok_or(WebError::Unreadable(
        "Keep articles by the row on their last disc.",
    ))?;
    let at = keeps.then(|| web.shared.clock.now());
    web.shared.store.keep(READER, entry, at).await?;
    let to = format!("/{screen}/{entry}#d{}", first_of_end(&printed.starts));
    Ok(([(header::CACHE_CONTROL, "no-store")], Redirect::to(&to)).into_response())
}

/// The number of the first disc of controls: the first that begins where the last does.
fn first_of_end(starts: &[Place]) -> usize {
    let end = starts.last();
    starts.iter().take_while(|start| Some(*start) < end).count() + 1
}
