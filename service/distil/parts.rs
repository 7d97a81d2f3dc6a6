//! Articles over several pages: which page is the next part. Fetches nothing.
//!
//! A link to the next page may as well lead to the next article, since weblogs name those so too. So the
//! address itself must count: it is the address of the page before but for one number in a place where
//! parts are counted, and that number is one more.

use dom_query::Document;
use url::Url;

use super::Page;
use super::flatten::{Kind, Limits, flatten};
use super::metadata::base;

/// The most parts of an article, the first among them.
pub const MOST_PARTS: usize = 8;

/// The highest number of a part: higher ones are years, days of a date or ids of articles.
const HIGHEST: u32 = 50;

/// Names of the parameter or the segment that counts parts: English, German, French, Spanish and
/// Portuguese, Italian (common practice, no source).
const NAMES: &[&str] = &[
    "page", "p", "pg", "part", "seite", "teil", "pagina", "página", "partie", "parte", "paged",
];

/// The address of the part after a page, if the page leads to one. `place` is the page's own number, 1
/// for the first.
pub fn next_part(page: &Page, place: usize) -> Option<Url> {
    let flat = flatten(&page.html, Kind::Page, Limits::ORDINARY);
    let document = Document::from(flat.html);
    let base = base(&document, &page.address);
    let own = Part::of(&page.address);
    let place = u32::try_from(place).ok()?;
    if own.number.unwrap_or(1) != place {
        return None;
    }
    let links = document.select("link[href], a[href]");
    links.nodes().iter().find_map(|link| {
        let mut address = base.join(link.attr("href")?.trim()).ok()?;
        address.set_fragment(None);
        let leads = leads_on(&link.attr_or("rel", ""), &link.text(), place + 1);
        let part = Part::of(&address);
        let follows = part.number == Some(place + 1) && part.stem == own.stem;
        (leads && follows && address != page.address).then_some(address)
    })
}

/// Whether a link says that it leads to the part of that number: by its relation (HTML Living Standard,
/// link type "next"), or by its text, which is the number.
fn leads_on(relation: &str, text: &str, number: u32) -> bool {
    let next = relation
        .split_ascii_whitespace()
        .any(|relation| relation.eq_ignore_ascii_case("next"));
    next || text.trim() == number.to_string()
}

/// An address, parted into what all parts of an article have and the number of this one.
#[derive(Debug, PartialEq)]
struct Part {
    stem: String,
    number: Option<u32>,
}

impl Part {
    fn of(address: &Url) -> Self {
        let origin = address.origin().ascii_serialization();
        let mut number = None;
        let mut pairs: Vec<String> = Vec::new();
        for (name, value) in address.query_pairs() {
            let counted = NAMES.contains(&name.to_lowercase().as_str());
            match part_number(&value).filter(|_| counted && number.is_none()) {
                Some(found) => number = Some(found),
                None => pairs.push(format!("{name}={value}")),
            }
        }
        let mut path = address.path().trim_end_matches('/').to_owned();
        if number.is_none()
            && let Some((stem, found)) = numbered_path(&path)
        {
            number = Some(found);
            path = stem;
        }
        Self {
            stem: format!("{origin}{path}?{}", pairs.join("&")),
            number,
        }
    }
}

fn part_number(text: &str) -> Option<u32> {
    let plain = text.len() <= 2 && text.bytes().all(|byte| byte.is_ascii_digit());
    let number = text.parse().ok().filter(|_| plain)?;
    (1..=HIGHEST).contains(&number).then_some(number)
}

/// A path that ends in a number: `/story/2`, `/story/page/2`, `/story/page-2`, `/story-2.html`.
fn numbered_path(path: &str) -> Option<(String, u32)> {
    let (folder, last) = path.rsplit_once('/')?;
    if let Some(number) = part_number(last) {
        let named = folder
            .rsplit_once('/')
            .filter(|(_, name)| NAMES.contains(name));
        let stem = named.map_or(folder, |(stem, _)| stem);
        return Some((stem.to_owned(), number));
    }
    let (name, ending) = match last.rsplit_once('.') {
        Some((name, ending)) => (name, format!(".{ending}")),
        None => (last, String::new()),
    };
    let (before, number) = name.rsplit_once(['-', '_', ','])?;
    let number = part_number(number)?;
    if NAMES.contains(&before) && ending.is_empty() {
        return Some((folder.to_owned(), number));
    }
    // `story-page-2.html` belongs to `story.html`.
    let before = before
        .rsplit_once(['-', '_', ','])
        .filter(|(_, name)| NAMES.contains(name))
        .map_or(before, |(before, _)| before);
    Some((format!("{folder}/{before}{ending}"), number))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn next(address: &str, place: usize, link: &str) -> Option<String> {
        let page = Page {
            html: format!("<html><head></head><body><p>Text</p>{link}</body></html>"),
            address: Url::parse(address).expect("an address"),
        };
        next_part(&page, place).map(String::from)
    }

    const ROOT: &str = "https://gazette.example";

    fn check(own: &str, place: usize, to: &str, follows: bool) {
        for link in [
            format!("<link rel=next href='{to}'>"),
            format!("<a rel='nofollow next' href='{to}'>on</a>"),
            format!("<a href='{to}#top'> {} </a>", place + 1),
        ] {
            let found = next(&format!("{ROOT}{own}"), place, &link);
            let expected = follows.then(|| format!("{ROOT}{to}"));
            assert_eq!(found, expected, "from {own} by {link}");
        }
    }

    // The link type "next" is that of the HTML Living Standard; the spellings are common practice, no
    // source.
    #[test]
    fn the_next_part_is_known_by_its_address() {
        check("/tides", 1, "/tides/2", true);
        check("/tides/", 1, "/tides/page/2/", true);
        check("/tides", 1, "/tides?page=2", true);
        check("/tides?id=7", 1, "/tides?id=7&seite=2", true);
        check("/tides.html", 1, "/tides-2.html", true);
        check("/tides.html", 1, "/tides-page-2.html", true);
        check("/tides?page=1", 1, "/tides?page=2", true);
        check("/tides/2", 2, "/tides/3", true);
        check("/tides/page-2", 2, "/tides/page-3", true);
    }

    #[test]
    fn the_next_article_is_no_part() {
        check("/tides", 1, "/ferry", false);
        check("/2026/11/25", 1, "/2026/11/26", false);
        check("/notes/11", 1, "/notes/12", false);
        check("/tides", 1, "/tides/3", false);
        check("/tides", 1, "/tides", false);
        check("/tides/2", 2, "/tides/2", false);
        check("/tides?id=7", 1, "/tides?id=8&page=2", false);
        let other = "<a rel=next href='https://other.example/tides/2'>2</a>";
        assert_eq!(next("https://gazette.example/tides", 1, other), None);
        let unsaid = "<a href='/tides/2'>The tides of the second week</a>";
        assert_eq!(next("https://gazette.example/tides", 1, unsaid), None);
    }
}
