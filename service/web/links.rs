//! The links of an article, in rows that a finger can hit. Never follows them.

use axum::http::HeaderMap;
use axum::response::Response;
use url::Url;

use super::article::bare;
use super::asked::Asked;
use super::cache::Printed;
use super::{Web, message, stored};
use crate::distil::block::Link;
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

/// The link of that number, from 1, of an article.
pub fn link(article: &StoredArticle, number: usize) -> Option<&Link> {
    article.links.get(number.checked_sub(1)?)
}

/// Where a link is followed: sent there by its row, and told there how it stands.
pub fn path(screen: Screen, entry: i64, number: usize) -> String {
    format!("/{screen}/{entry}/links/{number}")
}

/// Whether a link leads to a page of the web that is not the article's own.
pub fn can_be_followed(article: &StoredArticle, link: &Link) -> bool {
    let Ok(mut address) = Url::parse(&link.address) else {
        return false;
    };
    let within = address.fragment().is_some();
    address.set_fragment(None);
    let own = article.address.as_deref().map(Url::parse);
    let own = own.and_then(Result::ok).map(|mut own| {
        own.set_fragment(None);
        own
    });
    matches!(address.scheme(), "http" | "https") && !(within && own == Some(address))
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
    for ((link, place), number) in article.links.iter().zip(&places).zip(1..) {
        // A link without words, such as one around a picture, is called by its address.
        let said = if link.text.trim().is_empty() {
            vec![place.as_str()]
        } else {
            vec![link.text.as_str(), place.as_str()]
        };
        items.push(Item::Entry(row(&said, LineKind::Title, &article.language)));
        let follows = can_be_followed(article, link);
        let href = if follows {
            path(screen, article.entry, number)
        } else {
            link.address.clone()
        };
        targets.push(Target {
            sends: follows,
            leaves: !follows,
            direction: article.direction,
            ..Target::to(href, &article.language)
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
