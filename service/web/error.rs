//! One error of the pages, and the status that each kind is answered with. Never shows a cause.

use std::any::Any;

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::pool::PoolError;
use crate::store::StoreError;
use crate::view::PrintError;

/// Why a page cannot be shown.
#[derive(Debug, thiserror::Error)]
pub enum WebError {
    /// There is no such page, screen or article.
    #[error("there is no such page")]
    NoPage,
    /// A form says something that it cannot.
    #[error("{0}")]
    Unreadable(&'static str),
    /// What was asked to be done can be done no more.
    #[error("{0}")]
    Past(&'static str),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The page could not be set.
    #[error(transparent)]
    Work(#[from] PoolError),
    /// The page could not be set, while others waited for it too.
    #[error("{0}")]
    Unset(String),
    /// The page could not be printed.
    #[error(transparent)]
    Print(#[from] PrintError),
}

impl WebError {
    /// The status of the answer.
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NoPage => StatusCode::NOT_FOUND,
            Self::Past(_) => StatusCode::GONE,
            Self::Unreadable(_) => StatusCode::UNPROCESSABLE_ENTITY,
            Self::Store(_) | Self::Work(_) | Self::Unset(_) | Self::Print(_) => {
                StatusCode::INTERNAL_SERVER_ERROR
            }
        }
    }

    /// What the wearer reads. A fault of the service is told in fixed words.
    pub fn told(&self) -> &'static str {
        match self {
            Self::NoPage => {
                "There is no such page here. It may have gone, or its address was mistyped."
            }
            Self::Unreadable(told) | Self::Past(told) => told,
            Self::Store(_) | Self::Work(_) | Self::Unset(_) | Self::Print(_) => {
                "Something went wrong at home. The service's log says what. Try again in a minute."
            }
        }
    }

    /// Writes the cause of a fault of the service to the log.
    pub fn log(&self) {
        if self.status().is_server_error() {
            tracing::error!(cause = %self, "a page could not be shown");
        }
    }
}

impl IntoResponse for WebError {
    fn into_response(self) -> Response {
        self.log();
        plain(self.status(), self.told())
    }
}

/// An answer in plain text, for where no disc can be set.
pub fn plain(status: StatusCode, told: &'static str) -> Response {
    let kind = HeaderValue::from_static("text/plain; charset=utf-8");
    (status, [(header::CONTENT_TYPE, kind)], told).into_response()
}

/// The answer to a request whose handler panicked.
pub fn panicked(_: Box<dyn Any + Send + 'static>) -> Response {
    tracing::error!("a page's handler panicked");
    plain(
        StatusCode::INTERNAL_SERVER_ERROR,
        "Something went wrong at home. The service's log says what.",
    )
}
