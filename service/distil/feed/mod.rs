//! Feeds: bytes in, entries and warnings out. The only user of feed-rs; never cleans HTML.

use jiff::Timestamp;
use thiserror::Error;
use url::Url;

use super::decode::decode;
use super::language::Language;

mod dates;
mod entry;
mod fields;
mod identity;
mod json;
mod markup;
mod mend;
mod names;
mod repair;
mod rhythm;

pub use rhythm::Rhythm;

/// How many entries are read of one feed; it lists the newest first (common practice, no source).
const MAXIMUM_ENTRIES: usize = 2_000;

/// What a feed says.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// Its title as plain text.
    pub title: Option<String>,
    /// The address of the site that it belongs to.
    pub home: Option<Url>,
    /// The language that it declares.
    pub language: Option<Language>,
    /// How often and when it wants to be asked.
    pub rhythm: Rhythm,
    /// Its entries in its own order.
    pub entries: Vec<Entry>,
    /// Whether these are all that it lists: it neither ends in the middle nor lists more than are read.
    pub whole: bool,
}

/// One entry of a feed.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What tells it from others of its feed, the same at each reading: its id or guid, else its
    /// link, else its title and date, else a hash of all that it says. Where others of its feed have the same,
    /// it is that and what tells them apart.
    pub identity: String,
    /// The address of its page.
    pub link: Option<Url>,
    /// Its title as plain text.
    pub title: Option<String>,
    /// Names of those who wrote it.
    pub authors: Vec<String>,
    /// When it was published, or else last changed.
    pub published: Option<Timestamp>,
    /// Its text as HTML, as the feed has it.
    pub content: Option<String>,
    /// Its summary as HTML, as the feed has it.
    pub summary: Option<String>,
    /// What relative addresses in its HTML are relative to.
    pub base: Url,
    /// The language that it declares for itself.
    pub language: Option<Language>,
    /// Its sound, film and files.
    pub enclosures: Vec<Enclosure>,
}

/// A file that belongs to an entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Enclosure {
    /// Where it is.
    pub address: Url,
    /// Its media type, such as `audio/mpeg`.
    pub media_type: Option<String>,
    /// Its size in bytes.
    pub length_bytes: Option<u64>,
    /// How long it plays, in seconds.
    pub duration_seconds: Option<u64>,
}

/// Why nothing was read of a feed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum FeedError {
    /// There is nothing in it.
    #[error("the feed is empty; look at its address in a browser")]
    Empty,
    /// It is a web page, which may lead to a feed.
    #[error("this is not a feed: it is a web page; give the address of its feed instead")]
    WebPage,
    /// It is something else.
    #[error("this is not a feed: {0}")]
    NotAFeed(&'static str),
    /// Its elements nest too deeply.
    #[error("the feed nests more than 64 deep and was refused; report it to its publisher")]
    TooDeep,
    /// It has too many elements.
    #[error("the feed has more than 250,000 elements and was refused; report it to its publisher")]
    TooMuch,
    /// The parser could make nothing of it.
    #[error("the feed cannot be read: {0}; report it to its publisher")]
    Unreadable(String),
}

/// Reads an RSS, Atom or JSON feed.
///
/// `content_type` is the HTTP header, `address` where the feed was found at last; relative links
/// are resolved against it where the feed names no other base. The strings are warnings for a person.
///
/// # Errors
/// If it is no feed, or beyond the limits. It never panics, whatever the bytes are.
pub fn read_feed(
    bytes: &[u8],
    content_type: Option<&str>,
    address: &Url,
) -> Result<(Feed, Vec<String>), FeedError> {
    let text = decode(bytes, content_type);
    let text =
        text.trim_start_matches(|c: char| c.is_whitespace() || c.is_control() || c == '\u{feff}');
    if text.is_empty() {
        return Err(FeedError::Empty);
    }
    let (model, mut reading) = if text.starts_with('{') {
        let mended = json::mend(text)?;
        let reading = entry::Reading::of_json(address, mended.items, mended.warnings);
        (parse(&mended.json, address)?, reading)
    } else {
        let repaired = repair::repair(text, address)?;
        let model = parse(&repaired.xml, address)?;
        (model, entry::Reading::of_xml(address, repaired))
    };
    let mut feed = reading.feed(model);
    if !text.starts_with('{') {
        feed.rhythm = rhythm::read_rhythm(text);
    }
    Ok((feed, reading.warnings))
}

/// The parser's model. It is known to panic on odd input, so a panic is caught as an error; an
/// entry without an id keeps an empty one, since the parser would draw lots for it.
fn parse(text: &str, address: &Url) -> Result<feed_rs::model::Feed, FeedError> {
    let parsed = std::panic::catch_unwind(|| {
        feed_rs::parser::Builder::new()
            .base_uri(Some(address.as_str()))
            .sanitize_content(false)
            .id_generator(|_, _, _| String::new())
            .build()
            .parse(text.as_bytes())
    });
    match parsed {
        Ok(Ok(feed)) => Ok(feed),
        Ok(Err(error)) => Err(FeedError::Unreadable(error.to_string())),
        Err(_) => Err(FeedError::Unreadable("its parser gave up".to_owned())),
    }
}

#[cfg(test)]
mod tests;
