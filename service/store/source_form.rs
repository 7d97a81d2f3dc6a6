//! The form in which an article's source is stored: gzipped JSON with a version, the store's own.
//! Never touches the database.

use std::io::{Read, Write};

use flate2::Compression;
use flate2::read::GzDecoder;
use flate2::write::GzEncoder;
use serde::{Deserialize, Serialize};
use url::Url;

use super::StoreError;
use super::block_form::language_from;
use crate::distil::feed::Enclosure;
use crate::distil::{Page, Source};

/// The version of the form. The first had no further pages of an article; it is read as one without.
const VERSION: u32 = 2;

/// Writes and compresses a source.
pub(super) fn write(source: &Source) -> Result<Vec<u8>, StoreError> {
    let text = serde_json::to_vec(&Form::from(source)).map_err(unreadable)?;
    let mut gzip = GzEncoder::new(Vec::new(), Compression::default());
    gzip.write_all(&text).map_err(unreadable)?;
    gzip.finish().map_err(unreadable)
}

/// Reads a source back.
///
/// # Errors
/// [`StoreError::Unreadable`] where it is not of a version known here.
pub(super) fn read(bytes: &[u8]) -> Result<Source, StoreError> {
    let mut text = Vec::new();
    GzDecoder::new(bytes)
        .read_to_end(&mut text)
        .map_err(unreadable)?;
    let form: Form = serde_json::from_slice(&text).map_err(unreadable)?;
    if !(1..=VERSION).contains(&form.version) {
        return Err(unreadable(format!("version {}", form.version)));
    }
    Source::try_from(form).map_err(unreadable)
}

fn unreadable(fault: impl std::fmt::Display) -> StoreError {
    StoreError::Unreadable(format!("a source: {fault}"))
}

#[derive(Serialize, Deserialize)]
struct Form {
    version: u32,
    address: Option<String>,
    base: String,
    title: Option<String>,
    authors: Vec<String>,
    declared_language: Option<String>,
    content: Option<String>,
    page: Option<StoredPage>,
    #[serde(default)]
    further: Vec<StoredPage>,
    enclosures: Vec<StoredEnclosure>,
}

#[derive(Serialize, Deserialize)]
struct StoredPage {
    html: String,
    address: String,
}

#[derive(Serialize, Deserialize)]
struct StoredEnclosure {
    address: String,
    media_type: Option<String>,
    length_bytes: Option<u64>,
    duration_seconds: Option<u64>,
}

impl From<&Source> for Form {
    fn from(source: &Source) -> Self {
        Self {
            version: VERSION,
            address: source.address.as_ref().map(Url::to_string),
            base: source.base.to_string(),
            title: source.title.clone(),
            authors: source.authors.clone(),
            declared_language: source
                .declared_language
                .as_ref()
                .map(|language| language.tag().to_owned()),
            content: source.content.clone(),
            page: source.page.as_ref().map(StoredPage::from),
            further: source.further.iter().map(StoredPage::from).collect(),
            enclosures: source
                .enclosures
                .iter()
                .map(StoredEnclosure::from)
                .collect(),
        }
    }
}

impl TryFrom<Form> for Source {
    type Error = url::ParseError;

    fn try_from(form: Form) -> Result<Self, Self::Error> {
        Ok(Self {
            address: form.address.map(|address| address.parse()).transpose()?,
            base: form.base.parse()?,
            title: form.title,
            authors: form.authors,
            declared_language: form.declared_language.as_deref().map(language_from),
            content: form.content,
            page: form.page.map(Page::try_from).transpose()?,
            further: form
                .further
                .into_iter()
                .map(Page::try_from)
                .collect::<Result<_, _>>()?,
            enclosures: form
                .enclosures
                .into_iter()
                .map(Enclosure::try_from)
                .collect::<Result<_, _>>()?,
        })
    }
}

impl From<&Page> for StoredPage {
    fn from(page: &Page) -> Self {
        Self {
            html: page.html.clone(),
            address: page.address.to_string(),
        }
    }
}

impl TryFrom<StoredPage> for Page {
    type Error = url::ParseError;

    fn try_from(page: StoredPage) -> Result<Self, Self::Error> {
        Ok(Self {
            html: page.html,
            address: page.address.parse()?,
        })
    }
}

impl From<&Enclosure> for StoredEnclosure {
    fn from(enclosure: &Enclosure) -> Self {
        Self {
            address: enclosure.address.to_string(),
            media_type: enclosure.media_type.clone(),
            length_bytes: enclosure.length_bytes,
            duration_seconds: enclosure.duration_seconds,
        }
    }
}

impl TryFrom<StoredEnclosure> for Enclosure {
    type Error = url::ParseError;

    fn try_from(enclosure: StoredEnclosure) -> Result<Self, Self::Error> {
        Ok(Self {
            address: enclosure.address.parse()?,
            media_type: enclosure.media_type,
            length_bytes: enclosure.length_bytes,
            duration_seconds: enclosure.duration_seconds,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distil::language::Language;

    fn address(text: &str) -> Url {
        text.parse().unwrap()
    }

    fn check(source: &Source) {
        assert_eq!(&read(&write(source).unwrap()).unwrap(), source);
    }

    #[test]
    fn whatever_is_stored_is_read_back_the_same() {
        let bare = Source::blank(address("https://example.org/feed"));
        check(&bare);
        check(&Source {
            address: Some(address("https://example.org/ebb")),
            title: Some("Ebb & flow".to_owned()),
            authors: vec!["Ada Quill".to_owned(), "ß".to_owned()],
            declared_language: Language::parse("en-gb"),
            content: Some("<p>short\u{0}\u{301}</p>".to_owned()),
            page: Some(Page {
                html: "<p>long</p>".to_owned(),
                address: address("https://example.org/ebb?page"),
            }),
            further: vec![Page {
                html: "<p>longer</p>".to_owned(),
                address: address("https://example.org/ebb/2"),
            }],
            enclosures: vec![Enclosure {
                address: address("https://example.org/ebb.mp3"),
                media_type: Some("audio/mpeg".to_owned()),
                length_bytes: Some(u64::MAX),
                duration_seconds: None,
            }],
            ..bare
        });
    }

    #[test]
    fn a_long_page_is_stored_small() {
        let source = Source {
            address: None,
            base: address("https://example.org/feed"),
            title: None,
            authors: Vec::new(),
            declared_language: None,
            content: Some("<p>The harbour was still.</p>".repeat(1_000)),
            page: None,
            further: Vec::new(),
            enclosures: Vec::new(),
        };
        assert!(write(&source).unwrap().len() < 1_000);
    }

    #[test]
    fn the_first_version_is_still_read() {
        let old = r#"{"version":1,"address":null,"base":"https://example.org/feed","title":"Ebb","authors":[],
            "declared_language":null,"content":null,"page":{"html":"<p>long</p>","address":"https://example.org/ebb"},
            "enclosures":[]}"#;
        let mut gzip = GzEncoder::new(Vec::new(), Compression::default());
        gzip.write_all(old.as_bytes()).unwrap();
        let source = read(&gzip.finish().unwrap()).unwrap();
        assert_eq!(source.title.as_deref(), Some("Ebb"));
        assert_eq!(source.page.unwrap().html, "<p>long</p>");
        assert!(source.further.is_empty());
        let mut gzip = GzEncoder::new(Vec::new(), Compression::default());
        gzip.write_all(old.replace(":1", ":3").as_bytes()).unwrap();
        assert!(read(&gzip.finish().unwrap()).is_err());
    }

    #[test]
    fn what_is_not_a_source_is_an_error() {
        assert!(read(b"").is_err());
        assert!(read(b"no gzip").is_err());
    }
}
