//! The address that a wearer types: it leads to the index for that browser's screen, and asks a browser on its first
//! visit which that is. Never keeps an answer.

use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::http::{HeaderMap, header};
use axum::response::Response;

use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::screens::Choice;
use super::{Web, answer, message};
use crate::distil::language::Direction;
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen, typeset};
use crate::view::{First, PageView, PrintError, ReadsDisc, Target, WholeDisc};
use crate::words::Words;

/// The name of the one cookie: which screen this browser has.
pub const SCREEN_COOKIE: &str = "screen";

/// Leads to the index by the cookie, which nothing else depends on; without one, asks which disc is whole.
pub async fn root(web: Web, headers: HeaderMap) -> Response {
    let known = headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(name, value)| (name == SCREEN_COOKIE).then(|| value.parse::<Screen>().ok())?);
    if let Some(screen) = known {
        return answer::lead_to(&format!("/{screen}/"));
    }
    let screen = web.shared.screen;
    let shown = shown(&web, screen, whole, &headers).await;
    message::or_message(&web, "", &headers, shown).await
}

/// Leads from the first answer to the second question, which has all that was answered in its address.
pub async fn answered(
    web: Web,
    headers: HeaderMap,
    choice: Result<Form<Choice>, FormRejection>,
) -> Response {
    match Choice::screen(choice) {
        Some(screen) => answer::lead_to(&format!("/{screen}/reads")),
        None => {
            let fault = WebError::Unreadable(Words::choose_on_index);
            message::or_message(&web, "", &headers, Err(fault)).await
        }
    }
}

/// Asks which text reads well.
pub async fn sizes(web: Web, Asked(screen): Asked<String>, headers: HeaderMap) -> Response {
    let shown = match screen.parse() {
        Ok(screen) => shown(&web, screen, reads, &headers).await,
        Err(_) => Err(WebError::NoPage),
    };
    message::or_message(&web, &screen, &headers, shown).await
}

async fn shown(
    web: &Web,
    screen: Screen,
    compose: fn(&Web, Screen) -> Result<Printed, PrintError>,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let composer = web.clone();
    let make = move || compose(&composer, screen);
    let printed = web.shared.pool.run(make).await??;
    Ok(answer::fresh_page(headers, &printed))
}

fn whole(web: &Web, screen: Screen) -> Result<Printed, PrintError> {
    let words = web.words;
    let language = words.language();
    let told = words.paragraph(words.whole_told());
    let as_set = RowText {
        text: words.as_set_at_home(),
        language,
        kind: LineKind::Control,
        most_lines: 2,
    };
    let row = Row {
        texts: vec![as_set],
        height: LEAST_TARGET,
    };
    let items = [Item::Block(&told), Item::Control(row)];
    let targets = [
        Target::none(language, Direction::Ltr),
        Target::to(format!("/{screen}/"), language),
    ];
    let first = First::Whole(WholeDisc::new(words, screen, words.caution_and_whole()));
    // Nobody has said yet that there is a bar.
    let bare = Screen {
        strip: None,
        ..screen
    };
    print(web, bare, words.first_visit(), first, (&items, &targets))
}

fn reads(web: &Web, screen: Screen) -> Result<Printed, PrintError> {
    let first = ReadsDisc::new(
        web.words,
        screen,
        web.words.which_reads_well(),
        web.words.sample(),
    );
    let title = web.words.which_reads_well();
    print(web, screen, title, First::Reads(first), (&[], &[]))
}

fn print(
    web: &Web,
    screen: Screen,
    title: &str,
    first: First,
    (items, targets): (&[Item], &[Target]),
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
    page.print_after(Some(first)).map(Printed::new)
}
