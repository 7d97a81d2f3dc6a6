//! Handing an article over: a code of its address for a telephone's camera, and a short way at home for addresses that
//! are too long for one. Never leads to anything but the link of a stored article.

mod handed;

use axum::http::uri::Authority;
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

use self::handed::{Handed, HandedCode, SHORT};
use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, guard, message, words};
use crate::distil::language::{Direction, Language};
use crate::hand::{smallest_pixels, steps};
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen, typeset};
use crate::view::{First, Fitting, PageView, Pictured, PrintError, Target};

pub use self::handed::{SHORT_WAY, SHORT_WAY_OF_LINK, can_be_handed};

/// The screens for which pictures are fitted: those of one and a half pixels to one of CSS, on which whole pixels of CSS
/// are no whole pixels, and all others. Watches have 1.5 or 2 (common practice, no source).
const DENSITIES: [Option<f64>; 2] = [Some(1.5), None];

/// The most pixels of a module that a picture is drawn with.
const MOST_PIXELS: u32 = 32;

/// The page with the code of an article's address.
pub async fn hand(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    uri: Uri,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, (&screen, entry, None), &uri, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// The page with the code of the address of one of its links.
pub async fn hand_link(
    web: Web,
    Asked((screen, entry, link)): Asked<(String, i64, usize)>,
    uri: Uri,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, (&screen, entry, Some(link)), &uri, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// A code as a picture; its name says which, in which version and how large.
pub async fn picture(
    web: Web,
    Asked((screen, entry, name)): Asked<(String, i64, String)>,
    uri: Uri,
    headers: HeaderMap,
) -> Response {
    let drawn = draw(&web, (entry, None, &name), &uri, &headers).await;
    message::or_message(&web, &screen, &headers, drawn).await
}

/// A code of the address of a link.
pub async fn picture_of_link(
    web: Web,
    Asked((screen, entry, link, name)): Asked<(String, i64, usize, String)>,
    uri: Uri,
    headers: HeaderMap,
) -> Response {
    let drawn = draw(&web, (entry, Some(link), &name), &uri, &headers).await;
    message::or_message(&web, &screen, &headers, drawn).await
}

/// The short way: leads to an article's page, and there to where reading stopped.
pub async fn lead(web: Web, Asked(entry): Asked<i64>, headers: HeaderMap) -> Response {
    lead_to(&web, (entry, None), &headers).await
}

/// The short way to a link of an article.
pub async fn lead_to_link(
    web: Web,
    Asked((entry, link)): Asked<(i64, usize)>,
    headers: HeaderMap,
) -> Response {
    lead_to(&web, (entry, Some(link)), &headers).await
}

async fn lead_to(web: &Web, (entry, link): (i64, Option<usize>), headers: &HeaderMap) -> Response {
    let led = Handed::load(web, entry, link).await.map(|handed| {
        let headers = [
            (header::LOCATION, handed.target),
            (header::CACHE_CONTROL, "no-store".to_owned()),
        ];
        (StatusCode::FOUND, headers).into_response()
    });
    message::or_message(web, "", headers, led).await
}

/// The host and port by which the browser has come, which `guard` knows.
fn host(headers: &HeaderMap, uri: &Uri) -> Option<String> {
    let host = guard::host(headers, uri)?;
    let authority: Authority = host.parse().ok()?;
    Some(authority.to_string())
}

async fn show(
    web: &Web,
    (screen, entry, link): (&str, i64, Option<usize>),
    uri: &Uri,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let handed = Handed::load(web, entry, link).await?;
    let host = host(headers, uri);
    let composer = web.clone();
    let printed = web
        .shared
        .pool
        .run(move || compose(&composer, screen, &handed, host.as_deref()))
        .await??;
    Ok(answer::page(headers, StatusCode::OK, &printed))
}

async fn draw(
    web: &Web,
    (entry, link, name): (i64, Option<usize>, &str),
    uri: &Uri,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let pixels = name.rsplit('-').next().and_then(|last| last.parse().ok());
    let pixels: u32 = pixels.ok_or(WebError::NoPage)?;
    if !(1..=MOST_PIXELS).contains(&pixels) {
        return Err(WebError::NoPage);
    }
    let handed = Handed::load(web, entry, link).await?;
    let (host, name) = (host(headers, uri), name.to_owned());
    let draws = move || {
        let codes = handed.codes(host.as_deref());
        let wanted = codes.iter().find(|code| code.called(pixels) == name);
        wanted.map(|wanted| Printed::new(wanted.code.picture(pixels)))
    };
    let drawn = web.shared.pool.run(draws).await?.ok_or(WebError::NoPage)?;
    Ok(answer::picture(headers, &drawn))
}

fn compose(
    web: &Web,
    screen: Screen,
    handed: &Handed,
    host: Option<&str>,
) -> Result<Printed, PrintError> {
    let (words, own) = (web.words, web.words.language());
    let codes = handed.codes(host);
    let address = handed.address.as_str();
    let whole_address = words.paragraph(words.too_long_for_code(address));
    let mut items = Vec::new();
    let mut targets = Vec::new();
    if codes.is_empty() {
        items.push(Item::Block(&whole_address));
        targets.push(Target::none(own, Direction::Ltr));
    }
    let site = handed.address.host_str().unwrap_or_default();
    let mut labels = vec![words.opens_at(handed.target != address)];
    if codes.iter().any(|code| code.name == SHORT) {
        labels.push(words.only_at_home(codes.len() > 1));
    }
    // Where lines are short, one disc has no room for all of it.
    let beside = match labels.as_slice() {
        [first, rest @ ..] if words::is_terse(screen) => {
            let rows = [
                row(site, LineKind::Title, &[], own),
                row(first, LineKind::Label, rest, own),
            ];
            Vec::from(rows)
        }
        labels => vec![row(site, LineKind::Title, labels, own)],
    };
    for row in beside {
        items.push(Item::Control(row));
        targets.push(Target::none(own, Direction::Ltr));
    }
    for (name, href) in [
        handed.back(words, screen),
        (words.index(), format!("/{screen}/")),
    ] {
        items.push(Item::Control(row(name, LineKind::Control, &[], own)));
        targets.push(Target::to(href, own));
    }
    let (fittings, smallest) = pictures(&handed.path(screen), &codes);
    let told = words.code_of(address);
    let picture = smallest
        .as_deref()
        .map(|smallest| Pictured::new(screen, &fittings, smallest, &told, words));
    let page = PageView {
        title: &words.hand_title(handed.title()),
        language: own,
        direction: Direction::Ltr,
        discs: &typeset(&items, &screen, &web.shared.typeface),
        targets: &targets,
        words,
        sizes_of: None,
        style: &web.shared.style,
        script: None,
    };
    page.print_after(picture.map(First::Picture))
        .map(Printed::new)
}

/// The pictures of codes for discs from a size on, and the one for those below.
fn pictures(path: &str, codes: &[HandedCode]) -> (Vec<Fitting>, Option<String>) {
    let address = |code: &HandedCode, pixels| {
        let picture = code.called(pixels);
        format!("{path}/{picture}")
    };
    let sides: Vec<usize> = codes.iter().map(|code| code.code.side()).collect();
    let steps = steps(&sides);
    let fittings = DENSITIES.into_iter().flat_map(|density| {
        steps.iter().map(move |step| Fitting {
            disc: step.disc,
            density,
            address: address(&codes[step.code], step.pixels),
        })
    });
    let smallest = codes
        .last()
        .map(|code| address(code, smallest_pixels(code.code.side())));
    (fittings.collect(), smallest)
}

fn row<'a>(name: &'a str, kind: LineKind, labels: &[&'a str], language: &'a Language) -> Row<'a> {
    let text = |text, kind, most_lines| RowText {
        text,
        language,
        kind,
        most_lines,
    };
    let mut texts = vec![text(name, kind, 3)];
    texts.extend(labels.iter().map(|label| text(label, LineKind::Label, 2)));
    Row {
        texts,
        height: LEAST_TARGET,
    }
}
