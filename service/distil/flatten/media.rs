//! What is told of embedded sound and film, whose elements go: a line that says what it was, with its
//! title and its address. Never looks at where it leads beyond what its address says.

use super::foreign::{decoded, push_escaped};
use super::hidden::is_speck;
use super::tokens::Attribute;
use crate::distil::plain::{one_line, shortened};

/// What is known of an embedded thing while its content goes by.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Embedded {
    /// What it is, in a word; none where it is not told.
    word: Option<&'static str>,
    title: Option<String>,
    address: Option<String>,
}

/// The most characters of its title.
const MOST_TITLE: usize = 120;

impl Embedded {
    /// What an element tells of itself; `None` where it embeds nothing that plays.
    pub fn of(name: &str, attributes: &[Attribute<'_>]) -> Option<Self> {
        let value = |wanted: &str| {
            let found = attributes.iter().find(|attribute| attribute.name == wanted);
            found.map(|attribute| one_line(&decoded(attribute.value)))
        };
        let given = |wanted: &[&str]| {
            let values = wanted.iter().filter_map(|name| value(name));
            values.into_iter().find(|value| !value.is_empty())
        };
        let address = given(&["src", "data-src", "data", "data-lazy-src"])
            .filter(|address| leads_out(address));
        let kind = value("type").unwrap_or_default().to_ascii_lowercase();
        let word = match name {
            "video" => Some("Video"),
            "audio" => Some("Audio"),
            "iframe" | "object" | "embed" => {
                word(&kind, address.as_deref().unwrap_or_default(), attributes)
            }
            _ => return None,
        };
        let shown = word.is_some() && !is_speck(attributes);
        shown.then(|| Self {
            word,
            title: given(&["title", "aria-label", "data-title"])
                .map(|title| shortened(&title, MOST_TITLE)),
            address,
        })
    }

    /// Takes from an element within it what it did not say itself: where its file lies, mostly.
    pub fn add(&mut self, name: &str, attributes: &[Attribute<'_>]) {
        let wanted = match name {
            "source" | "embed" => "src",
            "a" => "href",
            _ => return,
        };
        let found = attributes.iter().find(|attribute| attribute.name == wanted);
        let address = found.map(|attribute| one_line(&decoded(attribute.value)));
        self.address = self
            .address
            .take()
            .or(address.filter(|address| leads_out(address)));
    }

    /// The line as HTML: what it was, and its title. Where `linked`, it leads to its address.
    pub fn told(&self, linked: bool) -> String {
        let mut html = String::new();
        let address = self.address.as_ref().filter(|_| linked);
        if let Some(address) = address {
            html.push_str("<a href=\"");
            push_escaped(&mut html, address);
            html.push_str("\">");
        }
        html.push_str(self.word.unwrap_or_default());
        if let Some(title) = &self.title {
            html.push_str(": ");
            push_escaped(&mut html, title);
        }
        if address.is_some() {
            html.push_str("</a>");
        }
        html
    }
}

/// Whether an address is of the web: whole, or counted from the page's own.
fn leads_out(address: &str) -> bool {
    let lower = address.to_ascii_lowercase();
    let whole = ["http://", "https://", "/", "./", "../"]
        .iter()
        .any(|start| lower.starts_with(start));
    let named = !lower.is_empty() && !lower.contains(':') && !lower.starts_with('#');
    whole || named
}

/// What an `iframe`, `object` or `embed` plays, by its type, else by its address and by what it is
/// allowed to do. Only what is shown on purpose asks for the whole screen; advertisements do not. The words are those of players' addresses,
/// common practice without a source.
fn word(kind: &str, address: &str, attributes: &[Attribute<'_>]) -> Option<&'static str> {
    match kind.split('/').next().unwrap_or_default() {
        "audio" => return Some("Audio"),
        "video" => return Some("Video"),
        "image" => return None,
        "application" if kind.ends_with("/pdf") => return Some("PDF"),
        _ => {}
    }
    if address.is_empty() {
        return None;
    }
    let path = address
        .split(['?', '#'])
        .next()
        .unwrap_or_default()
        .to_ascii_lowercase();
    let says = |words: &[&str]| {
        path.split(['/', '.', '-', '_'])
            .any(|part| words.contains(&part))
    };
    let allowed = |what: &str| {
        attributes.iter().any(|attribute| {
            attribute.name == "allow" && attribute.value.to_ascii_lowercase().contains(what)
        })
    };
    let wide = attributes
        .iter()
        .any(|attribute| attribute.name.ends_with("allowfullscreen"));
    if says(&[
        "audio", "podcast", "podcasts", "mp3", "ogg", "m4a", "episode", "episodes",
    ]) {
        Some("Audio")
    } else if says(&["video", "videos", "player", "mp4", "webm"]) || allowed("picture-in-picture") {
        Some("Video")
    } else {
        (wide || allowed("fullscreen") || says(&["embed", "embedded"])).then_some("Embedded")
    }
}
