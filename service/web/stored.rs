//! A page of a stored article: loaded, made once, kept compressed. Knows no page.

use std::sync::Arc;

use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use tokio_util::sync::CancellationToken;

use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer};
use crate::store::{READER, StoredArticle};
use crate::typeset::Screen;
use crate::view::PrintError;

/// Makes a page of an article. What is last asked is whether anybody still waits for it; a page that
/// is given up may be anything, since nobody sees it.
pub type Compose =
    fn(&Web, Screen, &StoredArticle, &(dyn Fn() -> bool + Sync)) -> Result<Printed, PrintError>;

/// Answers with a page of an article; `page` names which, beside the article's other pages.
///
/// # Errors
/// There is no such screen or article, or the page cannot be made.
pub async fn page(
    web: &Web,
    asked: (&str, i64),
    page: &'static str,
    compose: Compose,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let printed = printed(web, asked, page, compose).await?;
    Ok(answer::page(headers, StatusCode::OK, &printed))
}

/// A page of an article, made if it is not kept.
///
/// # Errors
/// There is no such screen or article, or the page cannot be made.
pub async fn printed(
    web: &Web,
    (screen, entry): (&str, i64),
    page: &'static str,
    compose: Compose,
) -> Result<Arc<Printed>, WebError> {
    let shared = &web.shared;
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let article = shared
        .store
        .article(READER, entry)
        .await?
        .ok_or(WebError::NoPage)?;
    let key = key(web, screen, page, &article);
    let composer = web.clone();
    let given_up = CancellationToken::new();
    let asker = given_up.clone();
    let make = async {
        // Where the asker goes away, this future is dropped, and the work ends at the next block.
        let _asks = asker.drop_guard();
        let wanted = move || !given_up.is_cancelled();
        let printed = shared
            .pool
            .run(move || compose(&composer, screen, &article, &wanted))
            .await;
        printed
            .map_err(|fault| fault.to_string())?
            .map_err(|fault| fault.to_string())
    };
    shared
        .cache
        .get(key, make)
        .await
        .map_err(|fault| WebError::Unset(fault.to_string()))
}

/// A digest of all that the page is made of. The article's hash covers all that it shows.
fn key(web: &Web, screen: Screen, page: &str, article: &StoredArticle) -> [u8; 32] {
    let shared = &web.shared;
    let zone = shared.time_zone.iana_name().unwrap_or_default();
    let mut hasher = blake3::Hasher::new();
    hasher.update(article.hash.as_bytes());
    let (entry, screen) = (article.entry.to_string(), screen.to_string());
    for part in [
        web.words.language().tag(),
        &entry,
        &screen,
        page,
        zone,
        &shared.typeface.digest,
        &shared.style.hash,
        &shared.script.name,
    ] {
        hasher.update(part.as_bytes()).update(&[0]);
    }
    hasher.finalize().into()
}
