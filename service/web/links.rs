//! The links of an article, in rows that a finger can hit. Never follows them.

use axum::http::HeaderMap;
use axum::response::Response;

use super::article::bare;
use super::asked::Asked;
use super::cache::Printed;
use super::{Web, message, stored};
use crate::distil::language::Language;
use crate::store::StoredArticle;
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen};
use crate::view::{PrintError, Target};

/// The links of an article.
pub async fn links(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = stored::page(&web, (&screen, entry), "links", compose, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

fn compose(
    web: &Web,
    screen: Screen,
    article: &StoredArticle,
    _: &(dyn Fn() -> bool + Sync),
) -> Result<Printed, PrintError> {
    let (words, own) = (web.words, web.words.language());
    let places: Vec<String> = article
        .links
        .iter()
        .map(|link| bare(&link.address))
        .collect();
    let mut items = Vec::new();
    let mut targets = Vec::new();
    for (link, place) in article.links.iter().zip(&places) {
        // A link without words, such as one around a picture, is called by its address.
        let said = if link.text.trim().is_empty() {
            vec![place.as_str()]
        } else {
            vec![link.text.as_str(), place.as_str()]
        };
        items.push(Item::Entry(row(&said, LineKind::Title, &article.language)));
        targets.push(Target {
            leaves: true,
            direction: article.direction,
            ..Target::to(link.address.clone(), &article.language)
        });
    }
    for (name, href) in [
        (words.back_to_text(), format!("/{screen}/{}", article.entry)),
        (words.index(), format!("/{screen}/")),
    ] {
        items.push(Item::Control(row(&[name], LineKind::Control, own)));
        targets.push(Target::to(href, own));
    }
    let title = words.links_of(&article.title);
    message::own_page(web, screen, &title, &items, &targets)
}

/// The text of a link may take two lines, its address one.
fn row<'a>(said: &[&'a str], kind: LineKind, language: &'a Language) -> Row<'a> {
    let texts = said.iter().enumerate().map(|(place, text)| RowText {
        text,
        language,
        kind: if place == 0 { kind } else { LineKind::Label },
        most_lines: if place == 0 { 2 } else { 1 },
    });
    Row {
        texts: texts.collect(),
        height: LEAST_TARGET,
    }
}
