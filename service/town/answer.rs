//! Answers requests for the town's site, with validators. It prints nothing and keeps no state.

use std::sync::Arc;

use axum::{
    Router,
    extract::State,
    http::{HeaderMap, StatusCode, Uri, header},
    response::{IntoResponse, Response},
    routing::get,
};
use jiff::fmt::rfc2822;

use super::{
    print::http_date,
    site::{File, Site},
};

/// A router that serves `site` to GET and HEAD.
pub(super) fn router(site: Arc<Site>) -> Router {
    Router::new()
        .route("/", get(answer))
        .route("/{*path}", get(answer))
        .with_state(site)
}

async fn answer(State(site): State<Arc<Site>>, uri: Uri, request: HeaderMap) -> Response {
    let Some(file) = site.get(uri.path()) else {
        let body = "There is nothing of that name in Kestrel Quay.\n";
        return (StatusCode::NOT_FOUND, body).into_response();
    };
    let validators = [
        (header::ETAG, file.etag.clone()),
        (header::LAST_MODIFIED, http_date(file.modified)),
        (header::CACHE_CONTROL, "no-cache".to_owned()),
    ];
    if is_current(file, &request) {
        return (StatusCode::NOT_MODIFIED, validators).into_response();
    }
    let content_type = [(header::CONTENT_TYPE, file.content_type.clone())];
    (validators, content_type, file.body.clone()).into_response()
}

/// Whether the asker already has `file`: by its ETag, compared weakly, and only where none was sent
/// by its date (RFC 9110 sections 13.1.2, 13.1.3 and 13.2.2).
fn is_current(file: &File, request: &HeaderMap) -> bool {
    let mut tags = request.get_all(header::IF_NONE_MATCH).iter().peekable();
    if tags.peek().is_some() {
        // The town's own tags hold no comma, so that a list may be split at every one.
        return tags
            .filter_map(|value| value.to_str().ok())
            .flat_map(|value| value.split(','))
            .map(str::trim)
            .any(|tag| tag == "*" || tag.strip_prefix("W/").unwrap_or(tag) == file.etag);
    }
    request
        .get(header::IF_MODIFIED_SINCE)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| rfc2822::DateTimeParser::new().parse_timestamp(value).ok())
        .is_some_and(|since| file.modified <= since)
}
