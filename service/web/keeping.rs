//! Keeping an article and letting it go: sent by a control of its last discs, which is shown anew then. Never shows
//! what is kept.

use axum::http::HeaderMap;
use axum::response::Response;

use super::asked::Asked;
use super::error::WebError;
use super::{Web, answer, article, message, stored};
use crate::store::{Place, READER};

/// The last part of the address to which the control is sent that keeps, or lets go.
pub fn name(keeps: bool) -> &'static str {
    if keeps { "keep" } else { "let-go" }
}

/// Keeps the article.
pub async fn keep(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = mark(&web, &screen, entry, true).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// Lets it go.
pub async fn let_go(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = mark(&web, &screen, entry, false).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn mark(web: &Web, screen: &str, entry: i64, keeps: bool) -> Result<Response, WebError> {
    let printed = stored::printed(web, (screen, entry), "text", article::compose).await?;
    let at = keeps.then(|| web.shared.clock.now());
    web.shared.store.keep(READER, entry, at).await?;
    let to = format!("/{screen}/{entry}#{}", first_of_end(&printed.starts));
    Ok(answer::lead_to(&to))
}

/// The number of the first disc of controls: the first that begins where the last does.
fn first_of_end(starts: &[Place]) -> usize {
    starts
        .iter()
        .take_while(|start| Some(*start) < starts.last())
        .count()
        + 1
}
