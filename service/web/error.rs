//! One error of the pages, and the status that each kind is answered with. Never shows a cause.

use std::any::Any;

use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::pool::PoolError;
use crate::store::StoreError;
use crate::view::PrintError;
use crate::words::Words;

/// What the wearer reads, in some language.
type Said = fn(Words) -> &'static str;

/// Why a page cannot be shown.
#[derive(Debug, thiserror::Error)]
pub enum WebError {
    /// There is no such page, screen or article.
    #[error("there is no such page")]
    NoPage,
    /// A form says something that it cannot.
    #[error("{}", .0(Words::default()))]
    Unreadable(Said),
    /// What was asked to be done can be done no more.
    #[error("{}", .0(Words::default()))]
    Past(Said),
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
    pub fn told(&self, words: Words) -> &'static str {
        match self {
            Self::NoPage => words.no_page(),
            Self::Unreadable(said) | Self::Past(said) => said(words),
            Self::Store(_) | Self::Work(_) | Self::Unset(_) | Self::Print(_) => words.went_wrong(),
        }
    }

    /// Writes the cause of a fault of the service to the log.
    pub fn log(&self) {
        if self.status().is_server_error() {
            tracing::error!(cause = %self, "a page could not be shown");
        }
    }

    /// An answer in plain text, for where no disc can be set.
    pub fn plain(&self, words: Words) -> Response {
        self.log();
        plain(self.status(), self.told(words))
    }
}

/// The same for what is no fault of a page.
pub fn plain(status: StatusCode, told: &'static str) -> Response {
    let kind = HeaderValue::from_static("text/plain; charset=utf-8");
    let varies = HeaderValue::from_static("accept-language");
    let headers = [(header::CONTENT_TYPE, kind), (header::VARY, varies)];
    (status, headers, told).into_response()
}

/// The answer to a request whose handler panicked.
pub fn panicked(_: Box<dyn Any + Send + 'static>) -> Response {
    tracing::error!("a page's handler panicked");
    plain(
        StatusCode::INTERNAL_SERVER_ERROR,
        Words::default().went_wrong(),
    )
}
