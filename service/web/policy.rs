//! The headers of every answer: what a page may load and run. Never decides what is answered.

use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::Response;

use super::Web;

/// Put among an answer's extensions, it says by its hash which style sheet its page has.
#[derive(Clone)]
pub struct StyledBy(pub String);

/// Sets the headers. A page may load nothing but this service's fonts, pictures and sounds, run nothing but
/// this service's script, which tells nobody else anything, be framed by nobody, and has one style element,
/// known by its hash.
pub async fn policy(State(web): State<Web>, request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let style = match response.extensions().get() {
        Some(StyledBy(hash)) if web.shared.style.has(hash) => format!("'sha256-{hash}'"),
        _ => "'none'".to_owned(),
    };
    let policy = format!(
        "default-src 'none'; style-src {style}; font-src 'self'; img-src 'self'; media-src 'self'; \
         script-src 'self'; connect-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    );
    let headers = response.headers_mut();
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    }
    // With `no-referrer` a browser would send `Origin: null` with this service's own forms.
    for (name, value) in [
        ("referrer-policy", "same-origin"),
        ("x-content-type-options", "nosniff"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
    ] {
        headers.insert(
            HeaderName::from_static(name),
            HeaderValue::from_static(value),
        );
    }
    response
}
