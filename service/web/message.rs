//! A disc that says what went wrong and leads back. Never logs.

use axum::http::{HeaderMap, Uri};
use axum::response::Response;

use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer};
use crate::distil::language::Direction;
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen, typeset};
use crate::view::{PageView, PrintError, Target};

/// The answer to an address that no page has.
pub async fn no_page(web: Web, uri: Uri, headers: HeaderMap) -> Response {
    let screen = uri.path().split('/').nth(1).unwrap_or_default().to_owned();
    or_message(&web, &screen, &headers, Err(WebError::NoPage)).await
}

/// The page, or a disc that says why there is none.
pub async fn or_message(
    web: &Web,
    screen: &str,
    headers: &HeaderMap,
    shown: Result<Response, WebError>,
) -> Response {
    let fault = match shown {
        Ok(response) => return response,
        Err(fault) => fault,
    };
    let screen = screen.parse().unwrap_or(web.shared.screen);
    let (status, told) = (fault.status(), fault.told(web.words));
    let composer = web.clone();
    match web
        .shared
        .pool
        .run(move || compose(&composer, screen, told))
        .await
    {
        Ok(Ok(printed)) => {
            fault.log();
            answer::page(headers, status, &printed)
        }
        _ => fault.plain(web.words),
    }
}

fn compose(web: &Web, screen: Screen, told: &'static str) -> Result<Printed, PrintError> {
    let language = web.words.language();
    let block = web.words.paragraph(told);
    let index = RowText {
        text: web.words.index(),
        language,
        kind: LineKind::Control,
        most_lines: 1,
    };
    let items = [
        Item::Block(&block),
        Item::Control(Row {
            texts: vec![index],
            height: LEAST_TARGET,
        }),
    ];
    let targets = [
        Target::none(language, Direction::Ltr),
        Target::to(format!("/{screen}/"), language),
    ];
    own_page(web, screen, web.words.not_shown(), &items, &targets)
}

/// Prints a page in the service's own language, without the choice of sizes.
pub fn own_page(
    web: &Web,
    screen: Screen,
    title: &str,
    items: &[Item],
    targets: &[Target],
) -> Result<Printed, PrintError> {
    let page = PageView {
        title,
        language: web.words.language(),
        direction: Direction::Ltr,
        discs: &typeset(items, &screen, &web.shared.typeface),
        targets,
        words: web.words,
        sizes_of: None,
        style: &web.shared.style,
        script: None,
    };
    page.print().map(Printed::new)
}
