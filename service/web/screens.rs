//! Choosing the text size and the spacing: kept for that browser, in a cookie.

use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::error::WebError;
use super::root::SCREEN_COOKIE;
use super::{Web, message};
use crate::typeset::Screen;
use crate::words::Words;

/// What the form says.
#[derive(Deserialize)]
pub struct Choice {
    screen: String,
}

/// How long the cookie is kept: a year, in seconds.
const YEAR_SECONDS: u32 = 31_536_000;

/// Keeps the choice and leads to the index for that screen.
pub async fn choose(
    web: Web,
    headers: HeaderMap,
    choice: Result<Form<Choice>, FormRejection>,
) -> Response {
    let screen = choice
        .ok()
        .and_then(|Form(choice)| choice.screen.parse::<Screen>().ok());
    let Some(screen) = screen else {
        let fault = WebError::Unreadable(Words::choose_on_index);
        return message::or_message(&web, "", &headers, Err(fault)).await;
    };
    let cookie =
        format!("{SCREEN_COOKIE}={screen}; Path=/; Max-Age={YEAR_SECONDS}; HttpOnly; SameSite=Lax");
    let headers = [
        (header::SET_COOKIE, cookie),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    (headers, Redirect::to(&format!("/{screen}/"))).into_response()
}
