//! Which feeds a web page tells of, and where feeds are found that no page tells of. Reads HTML and
//! addresses alone; never reads a feed.

use std::collections::HashSet;

use dom_query::{Document, NodeRef};
use url::Url;

use super::flatten::{Kind, Limits, flatten};
use super::plain::{MOST_TITLE, one_line, shortened};

/// The most feeds that are taken of one page: a feed for each of its articles is no choice for a
/// person (common practice, no source).
const MOST_DECLARED: usize = 20;

/// Paths under which sites keep a feed that their pages do not tell of (common practice, no source).
const COMMON_PATHS: [&str; 7] = [
    "/feed",
    "/feed.xml",
    "/rss.xml",
    "/atom.xml",
    "/index.xml",
    "/rss",
    "/feed.json",
];

/// A feed that a page tells of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Declared {
    /// Its address, http or https, without a fragment.
    pub address: Url,
    /// What the page calls it, on one line.
    pub title: Option<String>,
}

/// By which media type a page tells of a feed; a lower one is asked first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    /// RSS or Atom, of which the first in tree order is the page's default feed (HTML Living
    /// Standard, section 4.6.7, link type "alternate").
    Xml,
    /// `application/feed+json` (JSON Feed 1.1, "Discovery").
    JsonFeed,
    /// `application/json`, which may be anything: looked at where nothing else is told of, since
    /// JSON Feed 1.0 used it.
    Json,
}

/// The feeds that a page tells of, the page's default first. Empty where there are none; never
/// fails, whatever the HTML is.
///
/// They are the `link`, `a` and `area` elements whose `rel` holds the token `alternate` and whose `type` is
/// that of a feed. `address` is where the page was found at last; a `base` element is obeyed.
pub fn declared_feeds(html: &str, address: &Url) -> Vec<Declared> {
    let flat = flatten(html, Kind::Page, Limits::ORDINARY);
    let document = Document::from(flat.html);
    let base = base_of(&document, address);
    let links = document.select("link[rel], a[rel], area[rel]");
    let mut found: Vec<(Rank, Declared)> = links
        .nodes()
        .iter()
        .filter_map(|link| declared(link, &base))
        .collect();
    if found.iter().any(|(rank, _)| *rank < Rank::Json) {
        found.retain(|(rank, _)| *rank < Rank::Json);
    }
    // A stable order: within a rank it stays that of the tree.
    found.sort_by_key(|(rank, _)| *rank);
    let mut known = HashSet::new();
    found
        .into_iter()
        .map(|(_, declared)| declared)
        .filter(|declared| known.insert(declared.address.clone()))
        .take(MOST_DECLARED)
        .collect()
}

/// Addresses of the same origin under which a feed may be, the most usual first.
pub fn common_places(address: &Url) -> Vec<Url> {
    COMMON_PATHS
        .iter()
        .filter_map(|path| address.join(path).ok())
        .collect()
}

/// What relative addresses of the document are relative to: the first `base` element that has an
/// `href` decides, unless it cannot be read or is a `data:` or `javascript:` address (HTML Living
/// Standard, section 4.2.3, "set the frozen base URL").
fn base_of(document: &Document, address: &Url) -> Url {
    document
        .select("base[href]")
        .nodes()
        .first()
        .and_then(|base| address.join(&base.attr("href")?).ok())
        .filter(|base| !matches!(base.scheme(), "data" | "javascript"))
        .unwrap_or_else(|| address.clone())
}

fn declared(link: &NodeRef<'_>, base: &Url) -> Option<(Rank, Declared)> {
    let rel = link.attr("rel")?;
    let has = |wanted: &str| {
        rel.split_ascii_whitespace()
            .any(|token| token.eq_ignore_ascii_case(wanted))
    };
    // Beside "stylesheet" the word means another style sheet.
    if !has("alternate") || has("stylesheet") {
        return None;
    }
    let rank = rank_of(&link.attr("type")?)?;
    let href = link.attr("href")?;
    if href.trim().is_empty() {
        return None;
    }
    let mut address = base.join(&href).ok()?;
    address.set_fragment(None);
    if !matches!(address.scheme(), "http" | "https") {
        return None;
    }
    let title = link.attr("title").map(|title| one_line(&title));
    let title = title
        .filter(|title| !title.is_empty())
        .map(|title| shortened(&title, MOST_TITLE));
    Some((rank, Declared { address, title }))
}

/// The rank of a media type. Case makes no difference, nor do parameters such as a charset.
fn rank_of(media_type: &str) -> Option<Rank> {
    let essence = media_type.split(';').next().unwrap_or_default().trim();
    match essence.to_ascii_lowercase().as_str() {
        "application/rss+xml" | "application/atom+xml" => Some(Rank::Xml),
        "application/feed+json" => Some(Rank::JsonFeed),
        "application/json" => Some(Rank::Json),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn page() -> Url {
        Url::parse("https://quay.example.org/news/index.html").unwrap()
    }

    fn check(html: &str, expected: &[&str]) {
        let found = declared_feeds(html, &page());
        let found: Vec<&str> = found.iter().map(|feed| feed.address.as_str()).collect();
        assert_eq!(found, expected, "{html}");
    }

    /// HTML Living Standard, section 4.6.7: the first in tree order is the default.
    #[test]
    fn rss_and_atom_are_taken_in_the_order_of_the_tree() {
        check(
            "<head><link rel=alternate type=application/atom+xml href=/tides.atom>\
             <link rel='alternate' type='application/rss+xml' href='catches.rss'>",
            &[
                "https://quay.example.org/tides.atom",
                "https://quay.example.org/news/catches.rss",
            ],
        );
    }

    /// The same section: `rel` is a set of tokens, which case does not tell apart. That `a` and
    /// `area` count too is from memory.
    #[test]
    fn rel_is_a_set_of_tokens_on_link_a_and_area() {
        check(
            "<link rel='me ALTERNATE' type='Application/RSS+XML; charset=utf-8' href=1>\
             <body><a rel=alternate type=application/atom+xml href=2>All</a>\
             <area rel='alternate nofollow' type=application/rss+xml href=3>\
             <link rel=alternate type=application/rss+xml href=4>",
            &[
                "https://quay.example.org/news/1",
                "https://quay.example.org/news/2",
                "https://quay.example.org/news/3",
                "https://quay.example.org/news/4",
            ],
        );
        check(
            "<link rel=alternates type=application/rss+xml href=1>\
             <link rel='alternate stylesheet' type=application/rss+xml href=2>\
             <link rel=alternate type=text/html href=3>\
             <link rel=alternate href=4>\
             <link rel=alternate type=application/rss+xml>\
             <link rel=alternate type=application/rss+xml href=' '>\
             <link type=application/rss+xml href=5>\
             <!-- <link rel=alternate type=application/rss+xml href=6> -->\
             <script><link rel=alternate type=application/rss+xml href=7></script>\
             <link rel=alternate type=application/rss+xml href='mailto:quay@example.org'>\
             <link rel=alternate type=application/rss+xml href='https://[broken/'>",
            &[],
        );
    }

    /// JSON Feed 1.1, "Discovery": application/feed+json, and application/json as the fall-back.
    #[test]
    fn json_feeds_follow_and_plain_json_counts_only_alone() {
        let plain = "<link rel=alternate type=application/json href=api>";
        let json = "<link rel=alternate type=application/feed+json href=feed.json>";
        let xml = "<link rel=alternate type=application/rss+xml href=feed.xml>";
        let address = |name: &str| format!("https://quay.example.org/news/{name}");
        check(plain, &[&address("api")]);
        check(&format!("{plain}{json}"), &[&address("feed.json")]);
        check(
            &format!("{json}{plain}{xml}"),
            &[&address("feed.xml"), &address("feed.json")],
        );
        check(&format!("{plain}{xml}"), &[&address("feed.xml")]);
    }

    /// HTML Living Standard, section 4.2.3. The addresses are those of RFC 3986, section 5.4.
    #[test]
    fn addresses_are_resolved_against_the_base_of_the_document() {
        let link = "<link rel=alternate type=application/rss+xml href=../g>";
        check(link, &["https://quay.example.org/g"]);
        let with = |base: &str| format!("<head>{base}{link}</head>");
        check(&with("<base href='http://a/b/c/d;p?q'>"), &["http://a/b/g"]);
        check(
            &with("<base href='/b/c/d/e'>"),
            &["https://quay.example.org/b/c/g"],
        );
        check(
            &with("<base target=_top><base href='http://a/b/c/'><base href='http://z/'>"),
            &["http://a/b/g"],
        );
        for unusable in ["data:text/html,x", "http://[broken/"] {
            check(
                &with(&format!("<base href='{unusable}'>")),
                &["https://quay.example.org/g"],
            );
        }
        // A base that stands after the link holds for it too.
        check(
            &format!("{link}<base href=http://a/b/c/>"),
            &["http://a/b/g"],
        );
    }

    #[test]
    fn an_address_is_listed_once_and_titles_are_one_line() {
        let feeds = declared_feeds(
            "<link rel=alternate type=application/rss+xml href='f?a=1&amp;b=2#top' title=' Tides\n&amp; weather '>\
             <link rel=alternate type=application/atom+xml href='f?a=1&b=2' title=Again>\
             <link rel=alternate type=application/atom+xml href=g title=' '>",
            &page(),
        );
        assert_eq!(feeds.len(), 2, "{feeds:?}");
        assert_eq!(
            feeds[0].address.as_str(),
            "https://quay.example.org/news/f?a=1&b=2"
        );
        assert_eq!(feeds[0].title.as_deref(), Some("Tides & weather"));
        assert_eq!(feeds[1].title, None);
    }

    #[test]
    fn a_page_with_thousands_of_links_gives_a_short_list() {
        let links: String = (0..5_000)
            .map(|n| format!("<link rel=alternate type=application/rss+xml href=/{n}>"))
            .collect();
        assert_eq!(declared_feeds(&links, &page()).len(), MOST_DECLARED);
        let deep = "<div>".repeat(100_000) + &links;
        assert!(declared_feeds(&deep, &page()).len() <= MOST_DECLARED);
    }

    #[test]
    fn common_places_stay_at_the_origin() {
        let address = Url::parse("https://quay.example.org:8443/a/b?c#d").unwrap();
        let places = common_places(&address);
        assert_eq!(places[0].as_str(), "https://quay.example.org:8443/feed");
        assert!(
            places
                .iter()
                .all(|place| place.origin() == address.origin())
        );
        assert_eq!(places.len(), COMMON_PATHS.len());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn nothing_that_is_handed_in_breaks_it(
            pieces in prop::collection::vec(
                prop::sample::select(vec![
                    "<link ", "<base ", "rel=alternate ", "type=application/rss+xml ", "href=", "'", "\"",
                    "http://", "//", "a", ">", "<", "&amp", "\0", "é", "<svg>", "<!--", "</",
                ]),
                0..40,
            )
        ) {
            for feed in declared_feeds(&pieces.concat(), &page()) {
                prop_assert!(matches!(feed.address.scheme(), "http" | "https"));
                prop_assert_eq!(feed.address.fragment(), None);
            }
        }
    }
}
