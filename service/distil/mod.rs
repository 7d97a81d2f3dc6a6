//! What an article is. PURE: bytes in, values and warnings out.
//!
//! `feed` reads entries; [`wants_page`] says whether an entry's page should be fetched; [`distil`]
//! makes an article of both: `extract` -> `sanitise` -> `block`. Before any parser, `decode` makes
//! text of bytes and `flatten` writes strangers' HTML anew within limits.

use jiff::Timestamp;
use url::Url;

use block::{Block, BlockKind, Link};
use feed::{Enclosure, Entry};
use language::{Direction, Language};

pub mod block;
pub mod decode;
pub mod discover;
pub mod extract;
pub mod feed;
pub mod flatten;
pub mod formula;
pub mod gist;
pub mod language;
pub mod likeness;
pub mod metadata;
pub mod plain;
pub mod same_page;
pub mod sanitise;

mod article;
mod choose;
mod furniture;
mod judge;
mod pace;
mod parts;
mod trim;

pub use article::{distil, distil_page};
pub use judge::NoArticle;
pub use pace::{MostWords, Pace, reading_minutes};
pub use parts::{MOST_PARTS, next_part};

/// Counts up whenever the same source would give other blocks, so that stored articles can be
/// distilled again.
pub const DISTILLER_VERSION: u32 = 5;

/// Whether full text is fetched for a feed's entries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FullText {
    /// Where an entry looks like a teaser.
    #[default]
    Auto,
    /// For every entry that has a link.
    Always,
    /// Never.
    Never,
}

/// What an article is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// The entry's link.
    pub address: Option<Url>,
    /// What relative addresses in the feed's HTML are relative to.
    pub base: Url,
    /// The entry's title, plain text.
    pub title: Option<String>,
    /// The entry's authors.
    pub authors: Vec<String>,
    /// The language that the entry, or else its feed, declares.
    pub declared_language: Option<Language>,
    /// The HTML that the feed has: the entry's content, or else its summary.
    pub content: Option<String>,
    /// The entry's page, where it was fetched.
    pub page: Option<Page>,
    /// The further pages of an article that has several, in order.
    pub further: Vec<Page>,
    /// The entry's files.
    pub enclosures: Vec<Enclosure>,
}

impl Source {
    /// A source of which nothing is known but what relative addresses are relative to.
    pub fn blank(base: Url) -> Self {
        Self {
            address: None,
            base,
            title: None,
            authors: Vec::new(),
            declared_language: None,
            content: None,
            page: None,
            further: Vec::new(),
            enclosures: Vec::new(),
        }
    }
}

/// A web page, decoded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Its HTML.
    pub html: String,
    /// Where it was found at last.
    pub address: Url,
}

/// An entry distilled.
#[derive(Clone, Debug, PartialEq)]
pub struct Article {
    /// Its title, never empty.
    pub title: String,
    /// Who wrote it.
    pub authors: Vec<String>,
    /// When its page says that it was published.
    pub published: Option<Timestamp>,
    /// The language of most of it.
    pub language: Language,
    /// The direction of that language.
    pub direction: Direction,
    /// Its text.
    pub blocks: Vec<Block>,
    /// Its links, to which runs point by index.
    pub links: Vec<Link>,
    /// Its length in words of UAX #29.
    pub words: u32,
}

impl Article {
    /// All its text, a line for each block.
    pub fn text(&self) -> String {
        text_of(&self.blocks)
    }
}

/// Texts of fewer words are teasers, if they could be more (common practice, no source).
const TEASER_WORDS: u32 = 120;

/// A summary alone is a teaser up to this many words: many feeds put whole articles there.
const SUMMARY_WORDS: u32 = 300;

impl Source {
    /// The source that an entry makes, with its page if it was fetched.
    pub fn from_entry(entry: &Entry, feed_language: Option<&Language>, page: Option<Page>) -> Self {
        Self {
            address: entry.link.clone(),
            base: entry.base.clone(),
            title: entry.title.clone(),
            authors: entry.authors.clone(),
            declared_language: entry.language.as_ref().or(feed_language).cloned(),
            content: entry.content.as_ref().or(entry.summary.as_ref()).cloned(),
            page,
            further: Vec::new(),
            enclosures: entry.enclosures.clone(),
        }
    }
}

/// Whether an entry's page should be fetched for its full text.
///
/// By `FullText::Auto` it should if the entry has a link, carries no sound or film, and what the
/// feed has is a teaser: under 120 words, or a summary without content under 300, or a text that
/// ends in an ellipsis.
pub fn wants_page(entry: &Entry, rule: FullText) -> bool {
    if entry.link.is_none() || rule == FullText::Never {
        return false;
    }
    rule == FullText::Always || !entry.enclosures.iter().any(Enclosure::plays) && is_teaser(entry)
}

fn is_teaser(entry: &Entry) -> bool {
    let limit = if entry.content.is_some() {
        TEASER_WORDS
    } else {
        SUMMARY_WORDS
    };
    let html = entry.content.as_ref().or(entry.summary.as_ref());
    let text = html.map(|html| plain::plain_text(html)).unwrap_or_default();
    let end = text.trim_end_matches([']', ')', '.', '…', ' ']);
    let ending = &text[end.len()..];
    plain::count_words(&text) < limit || ending.contains("...") || ending.contains('…')
}

impl Enclosure {
    /// Whether it is sound or film.
    pub fn plays(&self) -> bool {
        let kind = self.media_type.as_deref().unwrap_or_default();
        kind.starts_with("audio/") || kind.starts_with("video/")
    }
}

/// All text of blocks, a line each.
fn text_of(blocks: &[Block]) -> String {
    let texts = blocks
        .iter()
        .filter(|block| block.kind != BlockKind::Rule)
        .map(Block::text);
    texts.collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests;
