//! From the parser's model to ours: identities, links, dates, enclosures. Never parses bytes.

use std::collections::HashSet;

use feed_rs::model;
use jiff::Timestamp;
use url::Url;

use super::identity::{tell_apart, text_identity};
use super::json::Extra;
use super::repair::{Particulars, Repaired};
use super::{Enclosure, Entry, Feed, MAXIMUM_ENTRIES, Rhythm};
use crate::distil::language::Language;
use crate::distil::plain::{MOST_TITLE, one_line, plain_text, shortened};

/// How many warnings of one kind are worth a person's time.
pub(super) const MAXIMUM_WARNINGS: usize = 20;

/// How many files of an entry, and how many who wrote it, are read: a stranger's feed may name as many as it
/// has elements. Common practice, no source.
pub(super) const MOST_ENCLOSURES: usize = 64;
pub(super) const MOST_AUTHORS: usize = 64;

/// One reading of a feed, with what the parser's model lacks.
pub(super) struct Reading {
    base: Url,
    opaque: HashSet<String>,
    entries: Vec<Particulars>,
    items: Vec<Extra>,
    json: bool,
    whole: bool,
    pub warnings: Vec<String>,
}

impl Reading {
    pub fn of_xml(address: &Url, repaired: Repaired) -> Self {
        let Repaired {
            base,
            opaque,
            entries,
            warnings,
            whole,
            ..
        } = repaired;
        let base = if base.cannot_be_a_base() {
            address.clone()
        } else {
            base
        };
        Self {
            base,
            opaque,
            entries,
            items: Vec::new(),
            json: false,
            whole,
            warnings,
        }
    }

    pub fn of_json(address: &Url, items: Vec<Extra>, warnings: Vec<String>) -> Self {
        Self {
            base: address.clone(),
            opaque: HashSet::new(),
            entries: Vec::new(),
            items,
            json: true,
            whole: true,
            warnings,
        }
    }

    pub fn feed(&mut self, feed: model::Feed) -> Feed {
        // The texts of RSS are HTML in practice, whatever the parser calls them.
        if self.entries.len() != feed.entries.len() {
            self.entries.clear(); // The parser left items out, so they cannot be told apart.
        }
        let html_titles = !matches!(
            feed.feed_type,
            model::FeedType::Atom | model::FeedType::JSON
        );
        if feed.entries.len() > MAXIMUM_ENTRIES {
            let count = feed.entries.len();
            self.warnings.push(format!(
                "of {count} entries only the first {MAXIMUM_ENTRIES} were read"
            ));
            self.whole = false;
        }
        let read = feed.entries.into_iter().take(MAXIMUM_ENTRIES).enumerate();
        let entries = read.map(|(index, entry)| self.entry(entry, index, html_titles));
        let (entries, warnings) = tell_apart(entries.collect());
        for warning in warnings {
            self.warn(warning);
        }
        Feed {
            title: feed.title.and_then(|title| title_text(&title, html_titles)),
            home: self.alternate(&feed.links),
            language: feed.language.as_deref().and_then(Language::parse),
            rhythm: Rhythm::default(),
            entries,
            whole: self.whole,
        }
    }

    fn warn(&mut self, warning: String) {
        if self.warnings.len() < MAXIMUM_WARNINGS {
            self.warnings.push(warning);
        }
    }

    fn entry(&mut self, mut entry: model::Entry, index: usize, html_titles: bool) -> Entry {
        let enclosures = self.enclosures(&mut entry, index);
        let title = entry
            .title
            .as_ref()
            .and_then(|title| title_text(title, html_titles));
        let id = entry.id.trim();
        let permanent = (!self.opaque.contains(id))
            .then(|| web_address(id))
            .flatten();
        let link = self.alternate(&entry.links).or(permanent);
        // A leap second counts as more than a second's nanoseconds there.
        let published = entry.published.or(entry.updated).and_then(|date| {
            let nanoseconds = date.timestamp_subsec_nanos().min(999_999_999);
            Timestamp::new(date.timestamp(), i32::try_from(nanoseconds).ok()?).ok()
        });
        self.warn_of_missing(&entry, link.is_none(), title.as_deref(), published, index);
        let particulars = self.entries.get(index).cloned().unwrap_or_default();
        let language = self
            .items
            .get(index)
            .and_then(|item| item.language.clone())
            .or(particulars.language);
        let authors = names(&entry.authors);
        let content = entry.content.and_then(content_html);
        let summary = entry
            .summary
            .and_then(|text| summary_html(text, html_titles));
        let identity = if !id.is_empty() {
            id.to_owned()
        } else if let Some(link) = &link {
            link.to_string()
        } else if title.is_some() || published.is_some() {
            let date = published.map(|date| date.to_string()).unwrap_or_default();
            format!("{} {date}", title.as_deref().unwrap_or_default())
                .trim()
                .to_owned()
        } else {
            text_identity([&content, &summary], &authors, &enclosures)
        };
        Entry {
            identity,
            link,
            title,
            authors,
            published,
            content,
            summary,
            base: particulars.base.unwrap_or_else(|| self.base.clone()),
            language: language.as_deref().and_then(Language::parse),
            enclosures,
        }
    }

    fn warn_of_missing(
        &mut self,
        entry: &model::Entry,
        no_link: bool,
        title: Option<&str>,
        published: Option<Timestamp>,
        index: usize,
    ) {
        let missing = [
            ("id", entry.id.trim().is_empty()),
            ("link", no_link),
            ("title", title.is_none()),
            ("date", published.is_none()),
        ];
        let missing: Vec<&str> = missing
            .iter()
            .filter(|(_, gone)| *gone)
            .map(|(name, _)| *name)
            .collect();
        if !missing.is_empty() {
            self.warn(format!(
                "entry {} has no {}",
                index + 1,
                missing.join(", no ")
            ));
        }
    }

    /// The link to the thing itself: Atom marks it `alternate`, RSS and JSON Feed mark nothing.
    fn alternate(&self, links: &[model::Link]) -> Option<Url> {
        let plain = |link: &&model::Link| {
            link.target.is_none()
                && match link.rel.as_deref() {
                    None => link.media_type.is_none(),
                    Some(rel) => rel == "alternate",
                }
        };
        let is_page = |link: &&model::Link| {
            link.media_type
                .as_deref()
                .is_none_or(|kind| kind.contains("html"))
        };
        let found = links
            .iter()
            .filter(plain)
            .find(is_page)
            .or_else(|| links.iter().find(plain));
        let address = self.base.join(found?.href.trim()).ok()?;
        ["http", "https"]
            .contains(&address.scheme())
            .then_some(address)
    }

    /// The files of an entry, each once, as many as are read.
    fn enclosures(&mut self, entry: &mut model::Entry, index: usize) -> Vec<Enclosure> {
        let mut enclosures = self.linked(entry, index);
        self.add_media(&mut enclosures, std::mem::take(&mut entry.media), index);
        enclosures.retain(|enclosure| ["http", "https"].contains(&enclosure.address.scheme()));
        if enclosures.len() > MOST_ENCLOSURES {
            enclosures.truncate(MOST_ENCLOSURES);
            self.warn(format!(
                "entry {} has more than {MOST_ENCLOSURES} files; only these are read",
                index + 1
            ));
        }
        enclosures
    }

    /// The files that links lead to; one more than are read at the most.
    fn linked(&self, entry: &model::Entry, index: usize) -> Vec<Enclosure> {
        let mut enclosures: Vec<Enclosure> = Vec::new();
        let mut durations = self
            .items
            .get(index)
            .into_iter()
            .flat_map(|item| item.durations.iter().copied());
        for link in &entry.links {
            let attached =
                link.rel.as_deref() == Some("enclosure") || self.json && link.media_type.is_some();
            if !attached {
                continue;
            }
            if enclosures.len() > MOST_ENCLOSURES {
                break;
            }
            let duration_seconds = durations.next().flatten();
            if let Ok(address) = self.base.join(&link.href) {
                let media_type = link.media_type.clone();
                enclosures.push(Enclosure {
                    address,
                    media_type,
                    length_bytes: link.length,
                    duration_seconds,
                });
            }
        }
        enclosures
    }

    /// Adds the files of the media module that no link leads to.
    fn add_media(
        &self,
        enclosures: &mut Vec<Enclosure>,
        media: Vec<model::MediaObject>,
        index: usize,
    ) {
        let lone = self.entries.get(index).and_then(|entry| entry.duration);
        for media in media {
            for content in media.content {
                if enclosures.len() > MOST_ENCLOSURES {
                    return;
                }
                let duration = content
                    .duration
                    .or(media.duration)
                    .map(|duration| duration.as_secs())
                    .or(lone);
                let Some(address) = content.url else { continue };
                if enclosures.iter().all(|other| other.address != address) {
                    enclosures.push(Enclosure {
                        address,
                        media_type: content.content_type.map(|kind| kind.to_string()),
                        length_bytes: content.size.filter(|size| *size > 0),
                        duration_seconds: duration,
                    });
                }
            }
        }
    }
}

fn web_address(text: &str) -> Option<Url> {
    Url::parse(text)
        .ok()
        .filter(|url| ["http", "https"].contains(&url.scheme()))
}

fn title_text(title: &model::Text, html: bool) -> Option<String> {
    let is_html = html || title.content_type.subty().as_str() != "plain";
    let text = if is_html {
        plain_text(&title.content)
    } else {
        one_line(&title.content)
    };
    Some(shortened(&text, MOST_TITLE)).filter(|text| !text.is_empty())
}

fn content_html(content: model::Content) -> Option<String> {
    let plain = content.content_type.subty().as_str() == "plain";
    html_of(content.body?, plain)
}

fn summary_html(summary: model::Text, html: bool) -> Option<String> {
    let plain = summary.content_type.subty().as_str() == "plain" && !html;
    html_of(summary.content, plain)
}

/// Plain text becomes paragraphs where it has empty lines.
fn html_of(text: String, plain: bool) -> Option<String> {
    if text.trim().is_empty() {
        return None;
    }
    if !plain {
        return Some(text);
    }
    let escaped = text
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('\r', "");
    let paragraphs = escaped
        .split("\n\n")
        .filter(|paragraph| !paragraph.trim().is_empty());
    Some(
        paragraphs
            .map(|paragraph| format!("<p>{}</p>", paragraph.trim()))
            .collect(),
    )
}

/// Names, or else mail addresses, each once.
fn names(people: &[model::Person]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for person in people.iter().take(MOST_AUTHORS) {
        let name = person
            .name
            .as_deref()
            .map(plain_text)
            .filter(|name| !name.is_empty());
        if let Some(name) = name.or_else(|| person.email.clone()) {
            let name = name
                .trim_matches(|c: char| "()<>".contains(c) || c.is_whitespace())
                .to_owned();
            if !name.is_empty() && !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names
}
