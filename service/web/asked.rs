//! What an address names, such as a screen and an entry. Never looks it up.

use std::sync::Arc;

use axum::extract::{FromRequestParts, Path};
use axum::http::request::Parts;
use axum::response::Response;
use serde::de::DeserializeOwned;

use super::{Shared, Web, message};

/// The parts of a page's path. A path that cannot be read, as where an entry is no number, is one
/// that no page has, and is answered with the disc that says so.
pub struct Asked<T>(pub T);

impl<T: DeserializeOwned + Send> FromRequestParts<Arc<Shared>> for Asked<T> {
    type Rejection = Response;

    async fn from_request_parts(parts: &mut Parts, shared: &Arc<Shared>) -> Result<Self, Response> {
        match Path::from_request_parts(parts, shared).await {
            Ok(Path(asked)) => Ok(Self(asked)),
            Err(_) => {
                let Ok(web) = Web::from_request_parts(parts, shared).await;
                let (uri, headers) = (parts.uri.clone(), parts.headers.clone());
                Err(message::no_page(web, uri, headers).await)
            }
        }
    }
}
