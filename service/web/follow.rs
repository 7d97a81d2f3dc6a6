//! A link that is followed: its page is fetched by the conductor, and shown as an article once it is stored. Only links
//! of stored articles are, told by their numbers. Never fetches by itself.

use std::time::Duration;

use axum::http::HeaderMap;
use axum::response::Response;
use url::Url;

use super::article::bare;
use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, links, message};
use crate::distil::language::{Direction, Language};
use crate::refresh::{Followed, Unfetched};
use crate::store::READER;
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen};
use crate::view::{PrintError, Target};

/// For how long a tap is kept waiting before it is told that the page is being fetched: after a second a person's
/// thought is broken off (Nielsen, Usability Engineering, 1993, chapter 5; from memory).
const PATIENCE: Duration = Duration::from_secs(1);

/// Follows a link: leads to its article where it is stored or comes at once, else to how it stands.
pub async fn follow(
    web: Web,
    Asked((screen, entry, number)): Asked<(String, i64, usize)>,
    headers: HeaderMap,
) -> Response {
    let done = send(&web, &screen, entry, number).await;
    message::or_message(&web, &screen, &headers, done).await
}

async fn send(web: &Web, screen: &str, entry: i64, number: usize) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    check(web, entry, number).await?;
    let followed = web.shared.conductor.follow(entry, number, PATIENCE).await?;
    Ok(match followed.ok_or(WebError::NoPage)? {
        Followed::Stored(target) => answer::lead_to(&format!("/{screen}/{target}")),
        _ => answer::lead_to(&links::path(screen, entry, number)),
    })
}

/// How it stands with a link; leads to its article once that is stored. By an address of its own, so that the step back
/// from the article passes it by: a browser puts what is reached from a page by its own address in that page's place
/// (HTML Living Standard, "navigate", history handling).
pub async fn told(
    web: Web,
    Asked((screen, entry, number)): Asked<(String, i64, usize)>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, entry, number, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn show(
    web: &Web,
    screen: &str,
    entry: i64,
    number: usize,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let told = check(web, entry, number).await?;
    let followed = web.shared.conductor.followed(entry, number).await?;
    let followed = followed.ok_or(WebError::NoPage)?;
    if let Followed::Stored(target) = followed {
        return Ok(answer::lead_to(&format!("/{screen}/{target}")));
    }
    let composer = web.clone();
    let compose = move || compose(&composer, screen, (entry, number), &told, &followed);
    let printed = web.shared.pool.run(compose).await??;
    Ok(answer::fresh_page(headers, &printed))
}

/// The address of a link that can be followed.
async fn check(web: &Web, entry: i64, number: usize) -> Result<String, WebError> {
    let article = web.shared.store.article(READER, entry).await?;
    let article = article.ok_or(WebError::NoPage)?;
    let link = links::link(&article, number).ok_or(WebError::NoPage)?;
    if !links::can_be_followed(&article, link) {
        return Err(WebError::NoPage);
    }
    Ok(link.address.clone())
}

/// A control of the page: its name, where it leads, whether it changes something there, whether it leads away.
struct Control(&'static str, String, bool, bool);

fn compose(
    web: &Web,
    screen: Screen,
    (entry, number): (i64, usize),
    address: &str,
    followed: &Followed,
) -> Result<Printed, PrintError> {
    let (words, own) = (web.words, web.words.language());
    let site = Url::parse(address).ok();
    let site = site.as_ref().and_then(Url::host_str).unwrap_or(address);
    let path = links::path(screen, entry, number);
    let back = Control(
        words.back_to_links(),
        format!("/{screen}/{entry}/links"),
        false,
        false,
    );
    let (title, told, mut controls) = match followed {
        Followed::Failed(fault) => {
            let (title, told) = words.unfetched(fault, site);
            let again = Control(words.try_again(), path.clone(), true, false);
            let again = may_pass(fault).then_some(again);
            let hand = Control(words.hand(), format!("{path}/hand"), false, false);
            let itself = Control(words.open_itself(), address.to_owned(), false, true);
            let controls = again.into_iter().chain([hand, itself, back]);
            (title, Some(told), controls.collect::<Vec<_>>())
        }
        Followed::UnderWay | Followed::Stored(_) => {
            let look = Control(words.look_again(), path, false, false);
            (words.being_fetched(), None, vec![look, back])
        }
        Followed::Unasked => {
            let fetch = Control(words.fetch(), path, true, false);
            (words.not_fetched(), None, vec![fetch, back])
        }
    };
    controls.push(Control(words.index(), format!("/{screen}/"), false, false));
    let blocks = told.map(|told| [words.heading(title), words.paragraph(told)]);
    let mut items: Vec<Item> = Vec::new();
    let bare = bare(address);
    match &blocks {
        Some(blocks) => items.extend(blocks.iter().map(Item::Block)),
        // Short enough to stand on one disc with what leads on.
        None => items.push(Item::Control(row(&[title, &bare], own, 0.0))),
    }
    let mut targets = vec![Target::none(own, Direction::Ltr); items.len()];
    for Control(name, href, sends, leaves) in &controls {
        items.push(Item::Control(row(&[name], own, LEAST_TARGET)));
        targets.push(Target {
            sends: *sends,
            leaves: *leaves,
            ..Target::to(href.clone(), own)
        });
    }
    message::own_page(web, screen, title, &items, &targets)
}

/// Whether trying again may help.
fn may_pass(fault: &Unfetched) -> bool {
    !matches!(
        fault,
        Unfetched::Refused | Unfetched::TooLarge | Unfetched::Kind(_) | Unfetched::NoArticle(_)
    )
}

fn row<'a>(texts: &[&'a str], language: &'a Language, height: f64) -> Row<'a> {
    let kinds = match height {
        0.0 => [LineKind::Title, LineKind::Label],
        _ => [LineKind::Control, LineKind::Label],
    };
    let texts = texts.iter().zip(kinds).map(|(text, kind)| RowText {
        text,
        language,
        kind,
        most_lines: if kind == LineKind::Label { 1 } else { 2 },
    });
    Row {
        texts: texts.collect(),
        height,
    }
}
