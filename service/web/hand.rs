//! Handing an article over: a code of its address for a telephone's camera, and a short way at home for addresses that
//! are too long for one. Never leads to anything but the link of a stored article.

use axum::http::uri::Authority;
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use url::Url;

use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, guard, links, message, words};
use crate::distil::block::{Block, BlockKind, Run};
use crate::distil::language::{Direction, Language};
use crate::hand::{
    Code, MOST_SHORT_VERSION, MOST_VERSION, opening_at, passage, smallest_pixels, steps,
};
use crate::store::{READER, StoredArticle};
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Item, LineKind, Row, RowText, Screen, typeset};
use crate::view::{First, Fitting, PageView, Pictured, PrintError, Target};
use crate::words::Words;

/// The route of the short way. A capital, so that its address can be written in capitals and figures alone, of which a
/// code holds half as many again (ISO/IEC 18004:2015, table 7); case tells nothing in what stands before it
/// (RFC 3986, 6.2.2.1).
pub const SHORT_WAY: &str = "/H/{entry}";

/// The same for a link of an article, by its number, from 1.
pub const SHORT_WAY_OF_LINK: &str = "/H/{entry}/{link}";

/// What the code of an article's own address is called, and that of the short way to it.
const WHOLE: &str = "whole";
const SHORT: &str = "short";

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

/// Whether an article has an address that can be handed over.
pub fn can_be_handed(article: &StoredArticle) -> bool {
    article.address.as_deref().and_then(page_address).is_some()
}

/// An address that can be handed over: of the web, and spelt in ASCII.
fn page_address(address: &str) -> Option<Url> {
    let address = Url::parse(address).ok()?;
    matches!(address.scheme(), "http" | "https").then_some(address)
}

/// What is handed over: an article, or one of its links.
struct Handed {
    article: StoredArticle,
    /// The number of the link, from 1.
    link: Option<usize>,
    /// The address of the page.
    address: Url,
    /// The same, with the words where reading stopped.
    target: String,
}

impl Handed {
    async fn load(web: &Web, entry: i64, link: Option<usize>) -> Result<Self, WebError> {
        let store = &web.shared.store;
        let article = store.article(READER, entry).await?;
        let article = article.ok_or(WebError::NoPage)?;
        let address = match link {
            None => article.address.as_deref(),
            Some(number) => links::link(&article, number).map(|link| link.address.as_str()),
        };
        let address = address.and_then(page_address).ok_or(WebError::NoPage)?;
        let place = match link {
            None => store.mark(READER, entry).await?.place,
            Some(_) => None,
        };
        let stopped = place.and_then(|place| {
            let (title, blocks) = (&article.title, &article.blocks);
            passage(title, blocks, place.block, place.character)
        });
        let target = stopped.map_or_else(
            || address.to_string(),
            |words| opening_at(address.as_str(), &words),
        );
        Ok(Self {
            article,
            link,
            address,
            target,
        })
    }

    fn codes(&self, host: Option<&str>) -> Vec<HandedCode> {
        let entry = self.article.entry.to_string();
        let way = match self.link {
            None => SHORT_WAY.replace("{entry}", &entry),
            Some(link) => SHORT_WAY_OF_LINK
                .replace("{entry}", &entry)
                .replace("{link}", &link.to_string()),
        };
        codes(&self.target, &way, host)
    }

    /// Where its page stands.
    fn path(&self, screen: Screen) -> String {
        let entry = self.article.entry;
        match self.link {
            None => format!("/{screen}/{entry}/hand"),
            Some(link) => format!("{}/hand", links::path(screen, entry, link)),
        }
    }

    /// The control that leads back from it.
    fn back(&self, words: Words, screen: Screen) -> (&'static str, String) {
        let article = format!("/{screen}/{}", self.article.entry);
        match self.link {
            None => (words.back_to_text(), article),
            Some(_) => (words.back_to_links(), format!("{article}/links")),
        }
    }
}

/// The codes of an address and of the short way to it, in the order in which they are wanted: the short one only where
/// some discs cannot show the other. None where there is no room for either.
fn codes(target: &str, way: &str, host: Option<&str>) -> Vec<HandedCode> {
    let whole = Code::of(target, MOST_VERSION).map(|code| HandedCode { name: WHOLE, code });
    if whole.as_ref().is_some_and(HandedCode::fits_everywhere) {
        return whole.into_iter().collect();
    }
    let short = host.and_then(|host| {
        let address = format!("HTTP://{}{way}", host.to_ascii_uppercase());
        let code = Code::of(&address, MOST_SHORT_VERSION)?;
        Some(HandedCode { name: SHORT, code })
    });
    short.map_or_else(Vec::new, |short| whole.into_iter().chain([short]).collect())
}

struct HandedCode {
    name: &'static str,
    code: Code,
}

impl HandedCode {
    fn fits_everywhere(&self) -> bool {
        self.code.version() <= MOST_SHORT_VERSION
    }

    /// What its picture is called; the version is in it, so that a picture is never larger than its page reckoned.
    fn called(&self, pixels: u32) -> String {
        format!("{}-{}-{pixels}", self.name, self.code.version())
    }
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
    let whole_address = paragraph(words.too_long_for_code(address), own);
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
        title: &words.hand_title(&handed.article.title),
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

fn paragraph(text: String, own: &Language) -> Block {
    Block {
        kind: BlockKind::Paragraph,
        runs: vec![Run {
            text,
            ..Run::default()
        }],
        language: own.clone(),
        direction: Direction::Ltr,
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The names and versions of the codes of an address of so many bytes.
    fn check(bytes: usize, host: &str, expected: &[(&str, i16)]) {
        let found = codes(&"a".repeat(bytes), "/H/42", Some(host));
        let found: Vec<_> = found
            .iter()
            .map(|code| (code.name, code.code.version()))
            .collect();
        assert_eq!(found, expected, "{bytes} bytes, {host}");
    }

    #[test]
    fn an_address_is_told_whole_where_it_fits_and_by_the_short_way_elsewhere() {
        // What versions hold: ISO/IEC 18004:2015, table 7, from memory.
        let host = "192.168.178.20:8090";
        check(53, host, &[("whole", 3)]);
        check(54, host, &[("whole", 4), ("short", 2)]);
        check(154, host, &[("whole", 7), ("short", 2)]);
        check(155, host, &[("short", 2)]);
        check(155, "10.0.0.7:8090", &[("short", 1)]);
        check(155, "[2001:db8:10:20:30:40:50:60]:8090", &[("short", 3)]);
        // 7 signs before the host and 5 after it: version 3 holds 77 in capitals and figures.
        check(155, &"h".repeat(65), &[("short", 3)]);
        check(155, &"h".repeat(66), &[]);
        check(100, &"h".repeat(66), &[]);
        check(53, &"h".repeat(66), &[("whole", 3)]);
        let without = codes(&"a".repeat(100), "/H/42", None);
        assert_eq!(without.len(), 0);
    }
}
