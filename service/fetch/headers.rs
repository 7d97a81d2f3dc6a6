//! The headers of a request and of an answer. Sends nothing.

use reqwest::header::{self, HeaderMap, HeaderName, HeaderValue};

use super::hop::Hop;
use super::{FetchError, Request, body};

/// Turns configured headers into ones that HTTP can carry.
pub fn read_headers(headers: &[(String, String)]) -> Result<HeaderMap, FetchError> {
    let mut read = HeaderMap::new();
    for (name, value) in headers {
        let fault = || FetchError::Header { name: name.clone() };
        let key = HeaderName::from_bytes(name.as_bytes()).map_err(|_| fault())?;
        let mut value = HeaderValue::from_bytes(value.as_bytes()).map_err(|_| fault())?;
        // Keeps the value out of the client's own debug output and of HTTP/2's header tables.
        value.set_sensitive(true);
        read.append(key, value);
    }
    Ok(read)
}

/// The header of one hop. Configured headers win over the client's own.
pub fn request_headers(request: &Request, private_headers: &HeaderMap, hop: &Hop) -> HeaderMap {
    let mut headers = HeaderMap::new();
    headers.insert(
        header::ACCEPT,
        HeaderValue::from_static(request.kind.accept()),
    );
    if hop.carries_validators() {
        // Validators that came from a server can be sent; others are as good as none.
        for (name, value) in [
            (header::IF_NONE_MATCH, &request.validators.etag),
            (header::IF_MODIFIED_SINCE, &request.validators.last_modified),
        ] {
            if let Some(value) = value.as_deref().map(HeaderValue::from_bytes)
                && let Ok(value) = value
            {
                headers.insert(name, value);
                // Most answers are "not modified", after which nothing is asked of the host for an hour: with
                // a thousand feeds, connections kept for it would be a thousand. HTTP/2 leaves this out.
                headers.insert(header::CONNECTION, HeaderValue::from_static("close"));
            }
        }
    }
    if hop.carries_private_headers() {
        for name in private_headers.keys() {
            headers.remove(name);
            for value in private_headers.get_all(name) {
                headers.append(name.clone(), value.clone());
            }
        }
    }
    // What is offered must stay what can be decoded.
    headers.insert(
        header::ACCEPT_ENCODING,
        HeaderValue::from_static(body::ACCEPT_ENCODING),
    );
    headers
}

pub fn header_bytes(headers: &HeaderMap, name: &HeaderName) -> Option<Vec<u8>> {
    headers.get(name).map(|value| value.as_bytes().to_vec())
}

pub fn header_text(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    header_bytes(headers, name).map(|value| String::from_utf8_lossy(&value).into_owned())
}
