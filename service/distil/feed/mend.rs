//! The repairs of single names, attributes and texts of XML feeds. Each is small and has a reason;
//! none knows where in the feed it stands.

use std::borrow::Cow;

use base64::Engine as _;
use url::Url;

use super::FeedError;
use super::fields::Place;
use super::markup::push_attribute;
use super::names::WRITTEN;

/// The family of a feed, by its root.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Family {
    Rss,
    Rdf,
    /// The Channel Definition Format of 1997 (W3C note NOTE-CDFsubmit).
    Cdf,
    Atom,
}

pub(super) fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

pub(super) fn family(root: &str) -> Result<Family, FeedError> {
    match local(root) {
        "RDF" => Ok(Family::Rdf),
        "feed" | "entry" => Ok(Family::Atom),
        name if name.eq_ignore_ascii_case("rss") => Ok(Family::Rss),
        name if name.eq_ignore_ascii_case("channel") => Ok(Family::Cdf),
        // The tags of `html` and `head` may be left out (HTML, 13.1.2.4).
        name if ["html", "head", "title", "meta", "body"]
            .iter()
            .any(|page| name.eq_ignore_ascii_case(page)) =>
        {
            Err(FeedError::WebPage)
        }
        _ => Err(FeedError::NotAFeed(
            "its outermost element is none that RSS or Atom has; look at its address in a browser",
        )),
    }
}

/// The start of the root, with the version and the namespaces without which the parser reads
/// nothing; the root's name; and the place inside it. All that is not Atom becomes RSS 2.0, whose
/// one channel holds everything: versions differ in nothing else that is read here.
pub(super) fn root_start(
    family: Family,
    source: &str,
    base: &Url,
    language: Option<&str>,
) -> (String, &'static str, Place) {
    let (name, place) = match family {
        Family::Atom if local(source) == "entry" => ("entry", Place::Entry),
        Family::Atom => ("feed", Place::Feed),
        _ => ("rss", Place::Feed),
    };
    let mut start = format!("<{name}");
    let mut attribute = |key: &str, value: &str| push_attribute(&mut start, key, value);
    match family {
        Family::Atom => attribute("xmlns", "http://www.w3.org/2005/Atom"),
        _ => attribute("version", "2.0"),
    }
    for (prefix, address) in WRITTEN {
        attribute(&format!("xmlns:{prefix}"), address);
    }
    attribute("xml:base", base.as_str());
    if let Some(language) = language {
        attribute("xml:lang", language);
    }
    start.push('>');
    if name == "rss" {
        start.push_str("<channel>");
    }
    (start, name, place)
}

/// An attribute as it is written; none where it is left out. Namespaces, bases and languages are
/// the writer's.
pub(super) fn mend_attribute<'a>(
    element: &str,
    key: &'a str,
    value: &'a str,
) -> Option<(&'a str, Cow<'a, str>)> {
    match key {
        // Times of media that nobody here reads, and odd ones panic.
        "xmlns" | "time" | "start" | "end" => None,
        "duration" => Some((key, whole_duration(value)?.into())),
        // A link of Atom that is an enclosure of RSS.
        "href" if element == "enclosure" => Some(("url", value.into())),
        _ if key.contains(':') => None,
        _ => Some((key, value.into())),
    }
}

/// What the attributes of an entry or a feed say that RSS 2.0 says by elements: RSS 1.0's `about` is
/// the item's identity (section 5.5), and CDF's channels and items have their address and date so.
pub(super) fn said_instead(attributes: &[(String, String)]) -> Vec<(&'static str, &str)> {
    let name = |key: &str| match key {
        "rdf:about" => Some("guid"),
        "HREF" => Some("link"),
        "LASTMOD" => Some("updated"),
        _ => None,
    };
    attributes
        .iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .filter_map(|(key, value)| Some((name(key)?, value.as_str())))
        .collect()
}

/// What an attribute says in the place of a text that is missing: the address of a link as in Atom.
pub(super) fn stand_in(written: &str, attributes: &[(String, String)]) -> Option<String> {
    let address = attributes
        .iter()
        .find(|(key, _)| key.eq_ignore_ascii_case("href"));
    let address = address.filter(|(_, address)| written == "link" && !address.trim().is_empty());
    address.map(|(_, address)| address.trim().to_owned())
}

/// Content that is text; pictures and the like inside an entry, or elsewhere, are not read.
pub(super) fn is_readable_content(attributes: &[(String, String)]) -> bool {
    let kind = attributes
        .iter()
        .find(|(key, _)| key == "type")
        .map(|(_, value)| value.to_ascii_lowercase());
    attributes.iter().all(|(key, _)| key != "src")
        && kind.is_none_or(|kind| {
            [
                "text",
                "html",
                "xhtml",
                "application/xml",
                "application/octet-stream",
                "",
            ]
            .contains(&kind.trim())
                || kind.contains("html")
                || kind.trim().starts_with("text/")
        })
}

/// The type of a text of Atom.
pub(super) struct TextType {
    /// One that the parser knows, of four letters.
    pub name: &'static str,
    /// The text is tags that are not escaped.
    pub is_markup: bool,
}

/// One odd type fails the whole feed, so each becomes one of those that RFC 4287 (3.1.1) has; XHTML
/// becomes the HTML that it is. Atom 0.3 says `mode="escaped"` of what is HTML.
pub(super) fn mend_type(attributes: &[(String, String)], html: bool) -> TextType {
    let value = |name: &str| {
        let found = attributes.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.trim().to_ascii_lowercase())
    };
    let mode = value("mode");
    let escaped = matches!(mode.as_deref(), Some("escaped" | "base64"));
    let kind = value("type").unwrap_or_default();
    let is_markup =
        !escaped && (kind.contains("xhtml") || kind == "application/xml" || kind == "text/xml");
    let is_html = html || is_markup || kind.contains("html") || is_base64(mode.as_deref(), &kind);
    TextType {
        name: if is_html { "html" } else { "text" },
        is_markup,
    }
}

/// Text in base64 (Atom 0.3's `mode`; RFC 4287, 4.1.3.3, for types that are no text).
fn is_base64(mode: Option<&str>, kind: &str) -> bool {
    mode.is_some_and(|mode| mode.eq_ignore_ascii_case("base64"))
        || kind.eq_ignore_ascii_case("application/octet-stream")
}

/// A text decoded where it says that it is encoded, and as it is where that was not true.
pub(super) fn mend_text(text: String, mode: Option<&str>, kind: Option<&str>) -> String {
    if !is_base64(mode, kind.unwrap_or_default()) {
        return text;
    }
    let packed: String = text.split_whitespace().collect();
    let bytes = base64::engine::general_purpose::STANDARD.decode(packed);
    bytes
        .ok()
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .unwrap_or(text)
}

/// A length of time as the parser reads it right: `45:30` is minutes and seconds, and no number
/// is longer than it can hold.
pub(super) fn whole_duration(text: &str) -> Option<String> {
    let parts: Vec<u64> = text
        .trim()
        .split(':')
        .map(|part| {
            part.split('.')
                .next()
                .unwrap_or("")
                .trim()
                .parse::<u32>()
                .ok()
                .map(u64::from)
        })
        .collect::<Option<_>>()?;
    if parts.len() > 3 {
        return None;
    }
    Some(
        parts
            .iter()
            .fold(0, |seconds, part| seconds * 60 + part)
            .to_string(),
    )
}

/// Sets spaces around what may be a mail address: the parser cuts one byte beside it, which may
/// be the middle of a character.
pub(super) fn mend_person(text: &str) -> String {
    if !text.contains('@') || text.is_ascii() {
        return text.to_owned();
    }
    let mut apart = String::with_capacity(text.len() + 8);
    let mut previous_ascii = true;
    for character in text.chars() {
        if character.is_ascii() != previous_ascii {
            apart.push(' ');
        }
        previous_ascii = character.is_ascii();
        apart.push(character);
    }
    apart
}
