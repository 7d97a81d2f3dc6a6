//! The font files, for a year, and their licence. Never makes them.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use super::Web;
use super::asked::Asked;
use super::error::WebError;

/// A font file. Its name is made of its content, so that it never changes.
pub async fn font(web: Web, Asked(name): Asked<String>) -> Response {
    match web.shared.fonts.find(&name) {
        Some(file) => {
            let headers = [
                (header::CONTENT_TYPE, "font/woff2"),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ];
            (headers, file.bytes.clone()).into_response()
        }
        None => WebError::NoPage.plain(web.words),
    }
}

/// Whose the font is and what may be done with it, in the words of the font file.
pub async fn licence(web: Web) -> Response {
    let typeface = &web.shared.typeface;
    let text = format!(
        "Font: {}, cut down to the characters that pages use.\n{}\n",
        typeface.name,
        typeface.licence.join("\n")
    );
    ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], text).into_response()
}

/// Browsers ask for a page's icon of their own accord; there is none.
pub async fn no_icon() -> Response {
    (
        StatusCode::NO_CONTENT,
        [(header::CACHE_CONTROL, "public, max-age=604800")],
    )
        .into_response()
}
