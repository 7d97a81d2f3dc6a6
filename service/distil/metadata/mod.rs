//! What a page says of itself: title, authors, date, language, lead picture, description. Never looks
//! at its text.
//!
//! Three ways to say it are read, each for what the one before does not say: schema.org in JSON-LD,
//! Open Graph and its neighbours in `meta` elements, and plain HTML.

use dom_query::{Document, NodeRef};
use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use url::Url;

use super::language::Language;
use super::plain::{one_line, plain_text, shortened};

mod structured;
mod title;

pub(super) use structured::Structured;
pub(super) use title::cleaned;

/// What a page says of itself.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Metadata {
    /// The title, without the name of the site.
    pub title: Option<String>,
    /// Who wrote it, a name each.
    pub authors: Vec<String>,
    /// When it was published. What has no zone is taken for UTC, and a day for its beginning.
    pub published: Option<Timestamp>,
    /// The language that it declares.
    pub language: Option<Language>,
    /// Where the picture lies that leads it: http or https.
    pub picture: Option<Url>,
    /// The name of the site.
    pub site: Option<String>,
    /// What it is about, in a sentence or two of the publisher.
    pub description: Option<String>,
    /// It says that not all of it is free to read (`isAccessibleForFree`).
    pub paid: bool,
}

/// The most characters of a description. Those of real pages have two or three hundred.
const MOST_DESCRIPTION: usize = 1_000;

/// The most authors, and characters of a name: what is longer is a text.
const MOST_AUTHORS: usize = 10;
const MOST_NAME: usize = 100;

/// Reads what a page says of itself; the title is not yet without the name of the site.
pub(super) fn read(document: &Document, address: &Url) -> Metadata {
    let structured = Structured::read(document);
    let metas = Metas::read(document);
    let base = base(document, address);
    let text = |text: Option<String>| {
        let plain = plain_text(&text?);
        (!plain.is_empty()).then_some(plain)
    };
    let authors = match structured.authors.is_empty() {
        true => metas.all(AUTHORS),
        false => structured.authors,
    };
    let instant = |told: Vec<String>| told.iter().find_map(|told| instant(told));
    let description = text(metas.first(DESCRIPTIONS)).or(text(structured.description));
    Metadata {
        title: text(headline(document, &structured.titles)),
        authors: authors
            .iter()
            .take(4 * MOST_AUTHORS)
            .filter_map(|name| author(name))
            .take(MOST_AUTHORS)
            .collect(),
        published: instant(structured.published)
            .or_else(|| instant(metas.all(DATES)))
            .or_else(|| instant(times(document))),
        language: language(document, &metas, structured.language),
        picture: metas
            .first(PICTURES)
            .or(structured.picture)
            .or_else(|| attribute(document, "link[rel='image_src']", "href"))
            .and_then(|address| base.join(address.trim()).ok())
            .filter(|address| ["http", "https"].contains(&address.scheme())),
        site: text(metas.first(&["og:site_name"])).or(text(structured.site)),
        description: description.map(|text| shortened(&text, MOST_DESCRIPTION)),
        paid: structured.paid,
    }
}

/// Of headline and name the one that the page's own title begins with; the headline, if both or neither.
/// Some publishers put a description into the headline.
fn headline(document: &Document, titles: &[String]) -> Option<String> {
    let own = one_line(&document.select_single("head title").text());
    let told = titles
        .iter()
        .find(|title| own.starts_with(&one_line(title)));
    told.or(titles.first()).cloned()
}

/// The names of `meta` elements by what they say, in the order in which they count. Open Graph and
/// article:* are those of the protocol (ogp.me); dc.* is the Dublin Core in HTML; the others are common
/// practice, no source.
const AUTHORS: &[&str] = &[
    "author",
    "article:author",
    "article:author_name",
    "dc.creator",
    "dcterms.creator",
    "citation_author",
    "byl",
];
const DATES: &[&str] = &[
    "article:published_time",
    "og:article:published_time",
    "datepublished",
    "dcterms.issued",
    "dcterms.created",
    "dc.date.issued",
    "dcterms.date",
    "dc.date",
    "citation_publication_date",
    "publication_date",
    "pubdate",
    "publishdate",
    "publish-date",
    "date",
];
const DESCRIPTIONS: &[&str] = &["og:description", "description", "dc.description"];
const PICTURES: &[&str] = &["og:image:secure_url", "og:image", "og:image:url"];

/// The `meta` elements of a page: their names in lower case and their contents.
struct Metas(Vec<(String, String)>);

impl Metas {
    fn read(document: &Document) -> Self {
        let mut found = Vec::new();
        for node in document.select("meta[content]").nodes() {
            let content = node.attr_or("content", "").trim().to_owned();
            for name in ["property", "name", "itemprop", "http-equiv"] {
                let names = node.attr_or(name, "").to_ascii_lowercase();
                for name in names.split_ascii_whitespace() {
                    if !content.is_empty() {
                        found.push((name.to_owned(), content.clone()));
                    }
                }
            }
        }
        Self(found)
    }

    /// All contents of the first of the names that has any.
    fn all(&self, names: &[&str]) -> Vec<String> {
        let of = |name: &&str| -> Vec<String> {
            let of_name = self.0.iter().filter(|(known, _)| known == name);
            of_name.map(|(_, content)| content.clone()).collect()
        };
        let usable = |contents: &Vec<String>| {
            // Addresses of profiles are no names.
            contents.iter().any(|content| !content.contains("://"))
        };
        let found = names.iter().map(of).find(usable);
        found.unwrap_or_default()
    }

    fn first(&self, names: &[&str]) -> Option<String> {
        names.iter().find_map(|name| {
            let found = self.0.iter().find(|(known, _)| known == name)?;
            Some(found.1.clone())
        })
    }
}

/// What relative addresses of a page are relative to.
pub(super) fn base(document: &Document, address: &Url) -> Url {
    let told = attribute(document, "base[href]", "href");
    told.and_then(|told| address.join(&told).ok())
        .unwrap_or_else(|| address.clone())
}

fn attribute(document: &Document, selector: &str, name: &str) -> Option<String> {
    let found = document.select_single(selector);
    let value = found.attr(name)?;
    Some(value.to_string())
}

/// Words before a name: English, German, French, Spanish and Portuguese, Italian, Dutch, Swedish and
/// Norwegian, Danish, Polish.
const BY: &[&str] = &[
    "by ", "von ", "par ", "por ", "di ", "door ", "av ", "af ", "autor: ", "author: ", "text: ",
];

/// A name as it is shown; none where it is an address or a text.
pub(super) fn author(told: &str) -> Option<String> {
    let name = plain_text(told);
    let lower = name.to_lowercase();
    let before = BY.iter().find(|by| lower.starts_with(**by));
    let name = match before {
        Some(by) => name.get(by.len()..).unwrap_or_default().trim(),
        None => name.as_str(),
    };
    let name = name.trim_end_matches([',', '|', '·', '-', ' ']);
    let is_name = !name.is_empty()
        && name.chars().count() <= MOST_NAME
        && !name.contains("://")
        && !name.starts_with('@')
        && name.chars().any(char::is_alphabetic);
    is_name.then(|| name.to_owned())
}

/// The instant that a date names.
fn instant(told: &str) -> Option<Timestamp> {
    let told = told.trim();
    let utc = |time: DateTime| TimeZone::UTC.to_timestamp(time).ok();
    told.parse::<Timestamp>()
        .ok()
        .or_else(|| told.parse::<DateTime>().ok().and_then(utc))
        .or_else(|| {
            let day = told.parse::<Date>().ok()?;
            utc(day.at(0, 0, 0, 0))
        })
        .or_else(|| {
            let zoned = jiff::fmt::rfc2822::parse(told).ok()?;
            Some(zoned.timestamp())
        })
}

/// Dates of `time` elements that are the page's own: those that say so, else the only one.
fn times(document: &Document) -> Vec<String> {
    let own = document.select("time[itemprop='datePublished'][datetime], time[pubdate][datetime]");
    let only = document.select("article time[datetime], main time[datetime]");
    let of = |nodes: &[NodeRef<'_>]| -> Vec<String> {
        nodes
            .iter()
            .map(|node| node.attr_or("datetime", "").to_string())
            .collect()
    };
    match (own.nodes(), only.nodes()) {
        ([], [only]) => of(&[*only]),
        (own, _) => of(own),
    }
}

fn language(document: &Document, metas: &Metas, structured: Option<String>) -> Option<Language> {
    attribute(document, "html[lang]", "lang")
        .filter(|lang| !lang.trim().is_empty())
        .or_else(|| attribute(document, "body[lang]", "lang"))
        .or(structured)
        .or_else(|| metas.first(&["content-language", "og:locale", "dc.language"]))
        .and_then(|tag| Language::parse(&tag.trim().replace('_', "-")))
}

#[cfg(test)]
mod tests;
