//! How a page is sent: compressed where the browser takes it, not at all where it has it. Knows no
//! page.

use axum::body::Body;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

use super::cache::Printed;
use super::policy::StyledBy;

/// Leads to a page of the service. No browser keeps where it leads, since that changes.
pub fn lead_to(path: &str) -> Response {
    ([(header::CACHE_CONTROL, "no-store")], Redirect::to(path)).into_response()
}

/// Answers with a page that shows what was done on others: a browser keeps none of it, so that one step back shows it
/// as it is now.
pub fn fresh_page(headers: &HeaderMap, printed: &Printed) -> Response {
    let mut response = page(headers, StatusCode::OK, printed);
    let set = response.headers_mut();
    set.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    response
}

/// Answers with a page. It may be kept by the browser, and is asked for again each time, so that
/// what was opened is known; an unchanged one is answered with 304 (RFC 9110, 15.4.5). Its words are in the language
/// that the browser wants.
pub fn page(headers: &HeaderMap, status: StatusCode, printed: &Printed) -> Response {
    let mut response = printed_as("text/html; charset=utf-8", headers, status, printed);
    let varies = HeaderValue::from_static("accept-encoding, accept-language");
    response.headers_mut().insert(header::VARY, varies);
    response
}

/// Answers with a picture in SVG, in the same way.
pub fn picture(headers: &HeaderMap, printed: &Printed) -> Response {
    printed_as("image/svg+xml", headers, StatusCode::OK, printed)
}

fn printed_as(
    kind: &'static str,
    headers: &HeaderMap,
    status: StatusCode,
    printed: &Printed,
) -> Response {
    // Weak, since the same tag names the plain and the compressed bytes (RFC 9110, 8.8.1).
    let tag = format!("W/\"{}\"", printed.digest);
    let mut response = if status == StatusCode::OK && has(headers, &tag) {
        StatusCode::NOT_MODIFIED.into_response()
    } else if takes_gzip(headers) && !printed.gzip.is_empty() {
        let mut response = (status, Body::from(printed.gzip.clone())).into_response();
        response
            .headers_mut()
            .insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
        response
    } else {
        (status, Body::from(printed.plain.clone())).into_response()
    };
    if let Some(hash) = &printed.style {
        response.extensions_mut().insert(StyledBy(hash.clone()));
    }
    let set = response.headers_mut();
    set.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    set.insert(
        header::CACHE_CONTROL,
        HeaderValue::from_static("private, no-cache"),
    );
    set.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        set.insert(header::ETAG, tag);
    }
    response
}

/// Whether the browser has what the tag names, by weak comparison (RFC 9110, 13.1.2).
fn has(headers: &HeaderMap, tag: &str) -> bool {
    let opaque = |tag: &str| tag.trim().trim_start_matches("W/").to_owned();
    let known = headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok());
    known
        .flat_map(|value| value.split(','))
        .any(|known| known.trim() == "*" || opaque(known) == opaque(tag))
}

/// Whether the browser takes gzip: named, and not with a weight of nought (RFC 9110, 12.5.3).
fn takes_gzip(headers: &HeaderMap) -> bool {
    let codings = headers
        .get_all(header::ACCEPT_ENCODING)
        .iter()
        .filter_map(|value| value.to_str().ok());
    codings.flat_map(|value| value.split(',')).any(|coding| {
        let mut parts = coding.split(';').map(str::trim);
        let named = parts
            .next()
            .is_some_and(|name| name.eq_ignore_ascii_case("gzip"));
        let weight = parts
            .find_map(|part| part.strip_prefix("q="))
            .and_then(|weight| weight.parse::<f64>().ok());
        named && weight.is_none_or(|weight| weight > 0.0)
    })
}

/// Whether a request is a person's going to a page, not a look ahead by the browser.
///
/// Browsers say so by Sec-Fetch-Mode, but not on plain HTTP in the home network; there, asking for
/// HTML without a prefetch's mark counts.
pub fn is_navigation(headers: &HeaderMap) -> bool {
    let value = |name: &str| {
        headers
            .get(name)
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default()
    };
    let ahead = ["sec-purpose", "purpose", "x-moz"]
        .iter()
        .any(|name| value(name).contains("prefetch"));
    let going = match value("sec-fetch-mode") {
        "" => value("accept").contains("text/html"),
        mode => mode == "navigate" && value("sec-fetch-dest") == "document",
    };
    going && !ahead
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.append(*name, HeaderValue::from_static(value));
        }
        headers
    }

    #[test]
    fn a_page_that_the_browser_has_is_not_sent_again() {
        let printed = Printed::new("<p>Ebb</p>".repeat(50));
        let first = page(&headers(&[]), StatusCode::OK, &printed);
        assert_eq!(first.status(), StatusCode::OK);
        let tag = first.headers()[header::ETAG].to_str().unwrap().to_owned();
        let mut known = HeaderMap::new();
        known.insert(
            header::IF_NONE_MATCH,
            HeaderValue::from_str(&format!("\"other\", {tag}")).unwrap(),
        );
        let again = page(&known, StatusCode::OK, &printed);
        assert_eq!(again.status(), StatusCode::NOT_MODIFIED);
        assert_eq!(again.headers()[header::ETAG].to_str().unwrap(), tag);
    }

    #[test]
    fn gzip_goes_to_those_who_take_it() {
        for (accepts, wanted) in [
            ("gzip, deflate, br", true),
            ("br;q=1.0, gzip;q=0.8", true),
            ("gzip;q=0", false),
            ("", false),
        ] {
            assert_eq!(
                takes_gzip(&headers(&[("accept-encoding", accepts)])),
                wanted,
                "{accepts}"
            );
        }
    }

    #[test]
    fn only_a_persons_going_to_a_page_counts() {
        let check = |pairs: &[(&'static str, &'static str)], wanted: bool| {
            assert_eq!(is_navigation(&headers(pairs)), wanted, "{pairs:?}");
        };
        check(
            &[
                ("sec-fetch-mode", "navigate"),
                ("sec-fetch-dest", "document"),
            ],
            true,
        );
        check(
            &[
                ("sec-fetch-mode", "navigate"),
                ("sec-fetch-dest", "document"),
                ("sec-purpose", "prefetch;prerender"),
            ],
            false,
        );
        check(
            &[
                ("sec-fetch-mode", "no-cors"),
                ("sec-fetch-dest", "empty"),
                ("accept", "text/html"),
            ],
            false,
        );
        check(&[("accept", "text/html,application/xhtml+xml")], true);
        check(&[("accept", "text/html"), ("purpose", "prefetch")], false);
        check(&[("accept", "*/*")], false);
    }
}
