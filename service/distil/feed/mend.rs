//! The repairs of single names, attributes and texts of XML feeds. Each is small and has a reason;
//! none knows where in the feed it stands.

use url::Url;

use super::FeedError;

/// The family of a feed, by its root.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Family {
    Rss,
    Rdf,
    Atom,
}

pub(super) fn local(name: &str) -> &str {
    name.rsplit(':').next().unwrap_or(name)
}

pub(super) fn family(root: &str) -> Result<Family, FeedError> {
    match local(root) {
        "rss" => Ok(Family::Rss),
        "RDF" => Ok(Family::Rdf),
        "feed" | "entry" => Ok(Family::Atom),
        name if name.eq_ignore_ascii_case("html") => Err(FeedError::NotAFeed(
            "it is a web page; give the address of its feed instead",
        )),
        _ => Err(FeedError::NotAFeed(
            "its outermost element is none that RSS or Atom has; look at its address in a browser",
        )),
    }
}

/// Mends one attribute; false where it is to be left out.
pub(super) fn mend_attribute(key: &str, value: &mut String, base: &Url) -> bool {
    if key == "xml:base" {
        *value = base.to_string();
    } else if key == "xmlns" || key.starts_with("xmlns:") {
        if let Some(known) = known_namespace(value) {
            known.clone_into(value);
        }
    } else if key == "duration" {
        match whole_duration(value) {
            Some(whole) => *value = whole,
            None => return false,
        }
    } else if ["time", "start", "end"].contains(&key) {
        return false; // Times of media that nobody here reads, and odd ones panic.
    }
    true
}

/// Namespaces by the spellings that occur, and as the parser knows them.
fn known_namespace(address: &str) -> Option<&'static str> {
    let plain = address.trim().to_ascii_lowercase();
    let plain = plain
        .trim_start_matches("https://")
        .trim_start_matches("http://");
    match plain.trim_end_matches(['/', '#']) {
        "www.w3.org/2005/atom" | "purl.org/atom/ns" => Some("http://www.w3.org/2005/Atom"),
        "purl.org/rss/1.0"
        | "my.netscape.com/rdf/simple/0.9"
        | "channel.netscape.com/rdf/simple/0.9" => Some("http://purl.org/rss/1.0/"),
        "purl.org/rss/1.0/modules/content" => Some("http://purl.org/rss/1.0/modules/content/"),
        "purl.org/dc/elements/1.1" | "purl.org/dc/elements/1.0" => {
            Some("http://purl.org/dc/elements/1.1/")
        }
        "search.yahoo.com/mrss" => Some("http://search.yahoo.com/mrss/"),
        "www.itunes.com/dtds/podcast-1.0.dtd" => Some("http://www.itunes.com/dtds/podcast-1.0.dtd"),
        _ => None,
    }
}

/// Gives a root the version and the namespaces without which the parser reads nothing.
pub(super) fn mend_root(family: Family, attributes: &mut Vec<(String, String)>) {
    if family == Family::Rss {
        // RSS has no namespace of its own, and versions differ in nothing that is read here.
        attributes.retain(|(key, _)| key != "version" && key != "xmlns");
        attributes.push(("version".to_owned(), "2.0".to_owned()));
    }
    if family == Family::Atom {
        return;
    }
    for (prefix, address) in [
        ("xmlns:content", "http://purl.org/rss/1.0/modules/content/"),
        ("xmlns:dc", "http://purl.org/dc/elements/1.1/"),
        ("xmlns:media", "http://search.yahoo.com/mrss/"),
        ("xmlns:itunes", "http://www.itunes.com/dtds/podcast-1.0.dtd"),
        ("xmlns:atom", "http://www.w3.org/2005/Atom"),
    ] {
        if attributes.iter().all(|(key, _)| key != prefix) {
            attributes.push((prefix.to_owned(), address.to_owned()));
        }
    }
}

pub(super) fn is_text_construct(name: &str) -> bool {
    matches!(
        name,
        "title" | "summary" | "content" | "subtitle" | "rights"
    )
}

/// Content that is text; pictures and the like inside an entry, or elsewhere, are not read.
pub(super) fn is_readable_content(attributes: &[(String, String)]) -> bool {
    let kind = attributes
        .iter()
        .find(|(key, _)| key == "type")
        .map(|(_, value)| value.to_ascii_lowercase());
    attributes.iter().all(|(key, _)| key != "src")
        && kind.is_none_or(|kind| {
            ["text", "html", "xhtml", "application/xml", ""].contains(&kind.trim())
                || kind.contains("html")
                || kind.trim().starts_with("text/")
        })
}

/// One odd type fails the whole feed, so each becomes one of the three that RFC 4287 (3.1.1) has.
/// Atom 0.3 says `mode="escaped"` of what is HTML.
pub(super) fn mend_type(attributes: &mut Vec<(String, String)>) {
    let value = |name: &str| {
        let found = attributes.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.trim().to_ascii_lowercase())
    };
    let escaped = value("mode").is_some_and(|mode| mode == "escaped");
    let mended = match value("type").as_deref() {
        Some(kind) if kind.contains("xhtml") && !escaped => "xhtml",
        Some(kind) if kind.contains("html") => "html",
        Some("application/xml" | "text/xml") => "xhtml",
        _ => "text",
    };
    attributes.retain(|(key, _)| key != "type");
    attributes.push(("type".to_owned(), mended.to_owned()));
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
pub(super) fn set_mail_apart(text: &str) -> String {
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
