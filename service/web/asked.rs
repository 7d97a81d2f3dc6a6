//! What an address names, such as a screen and an entry. Never looks it up.

use axum::extract::{FromRequestParts, Path, State};
use axum::http::request::Parts;
use axum::response::Response;
use serde::de::DeserializeOwned;

use super::{Web, message};

/// The parts of a page's path. A path that cannot be read, as where an entry is no number, is one
/// that no page has, and is answered with the disc that says so.
pub struct Asked<T>(pub T);

impl<T: DeserializeOwned + Send> FromRequestParts<Web> for Asked<T> {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, web: &Web) -> Result<Self, Response> {
        match Path::from_request_parts(parts, web).await {
            Ok(Path(asked)) => Ok(Self(asked)),
            Err(_) => {
                let (uri, headers) = (parts.uri.clone(), parts.headers.clone());
                Err(message::no_page(State(web.clone()), uri, headers).await)
            }
        }
    }
}
