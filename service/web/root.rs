//! The address that a wearer types: it leads to the index for that browser's screen.

use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};

use super::Web;
use crate::typeset::Screen;

/// The name of the one cookie: which screen this browser has.
pub const SCREEN_COOKIE: &str = "screen";

/// Leads to the index by the cookie, which nothing else depends on.
pub async fn root(web: Web, headers: HeaderMap) -> Response {
    let known = headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(name, value)| (name == SCREEN_COOKIE).then(|| value.parse::<Screen>().ok())?);
    let screen = known.unwrap_or(web.shared.screen);
    (
        [(header::CACHE_CONTROL, "no-store")],
        Redirect::to(&format!("/{screen}/")),
    )
        .into_response()
}
