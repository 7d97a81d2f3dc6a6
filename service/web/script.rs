//! The script of the pages, for a year. Never decides which page has it.

use axum::http::header;
use axum::response::{IntoResponse, Response};

use super::Web;
use super::asked::Asked;
use super::error::WebError;

/// The script. Its name is made of its content, so that it never changes.
pub async fn script(web: Web, Asked(name): Asked<String>) -> Response {
    let script = &web.shared.script;
    if name != script.name {
        return WebError::NoPage.plain(web.words);
    }
    let headers = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    (headers, script.text).into_response()
}
