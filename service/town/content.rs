//! What the town has written: its publications, their articles and their pictures, all compiled in.
//! It knows neither addresses nor the time, and prints nothing.

use std::sync::LazyLock;

use include_dir::{Dir, include_dir};
use serde::Deserialize;

static ARTICLES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/service/town/articles");
static PICTURES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/service/town/pictures");

/// A publication: what one subscribes to.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Publication {
    /// The first part of its paths and of its articles' file names.
    pub key: String,
    /// Its title, in its own language.
    pub title: String,
    /// The group under which a reader may file it.
    pub group: String,
    /// One line about it, in its own language.
    pub description: String,
    /// BCP 47.
    pub language: String,
    /// How it is published.
    pub form: Form,
    /// Its articles, in no order.
    #[serde(rename = "article")]
    pub articles: Vec<Piece>,
}

/// How a publication is published.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Form {
    /// RSS 2.0 with the whole text in `content:encoded`.
    Rss,
    /// Atom with the whole text.
    Atom,
    /// JSON Feed 1.1 with the whole text.
    Json,
    /// RSS 2.0 with the whole text and a sound as an enclosure.
    Talks,
    /// RSS 2.0 with a description only; the text is on the web page.
    Teasers,
}

/// One article's particulars; its text is a file of its own.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Piece {
    /// The last part of its path.
    pub slug: String,
    /// Plain text.
    pub title: String,
    /// Plain text.
    pub author: String,
    /// Hours between its appearance and the publisher's start.
    pub hours: u32,
    /// Plain text, one or two sentences.
    pub summary: String,
    /// The name of the sound that goes with it.
    pub sound: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Catalogue {
    #[serde(rename = "publication")]
    publications: Vec<Publication>,
}

/// All publications.
pub(super) fn publications() -> &'static [Publication] {
    static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(|| {
        // The text is compiled in, so that this fails either always, tests included, or never.
        toml::from_str(include_str!("articles.toml")).expect("articles.toml is a catalogue")
    });
    &CATALOGUE.publications
}

/// The pictures, as file names and bytes of SVG.
pub(super) fn pictures() -> impl Iterator<Item = (&'static str, &'static [u8])> {
    PICTURES
        .files()
        .filter_map(|file| Some((file.path().to_str()?, file.contents())))
}

impl Publication {
    /// The path of its home page below the root; ends in a slash.
    pub fn home_path(&self) -> String {
        format!("{}/", self.key)
    }

    /// The path of its feed below the root.
    pub fn feed_path(&self) -> String {
        let name = match self.form {
            Form::Rss | Form::Talks | Form::Teasers => "feed.xml",
            Form::Atom => "feed.atom",
            Form::Json => "feed.json",
        };
        format!("{}/{name}", self.key)
    }

    /// The path of an article of its own below the root.
    pub fn article_path(&self, piece: &Piece) -> String {
        format!("{}/{}", self.key, piece.slug)
    }

    /// The media type of its feed: RFC 4287 section 7 for Atom, JSON Feed 1.1 "MIME type"; the one
    /// for RSS was never registered and is common practice.
    pub fn media_type(&self) -> &'static str {
        match self.form {
            Form::Rss | Form::Talks | Form::Teasers => "application/rss+xml",
            Form::Atom => "application/atom+xml",
            Form::Json => "application/feed+json",
        }
    }

    /// The text of an article of its own: a fragment of HTML without the title.
    pub fn text(&self, piece: &Piece) -> &'static str {
        let name = format!("{}-{}.html", self.key, piece.slug);
        ARTICLES
            .get_file(&name)
            .and_then(|file| file.contents_utf8())
            .expect("every article of the catalogue has a file in UTF-8")
    }
}

/// How many files of articles there are, for the test that none is left out of the catalogue.
#[cfg(test)]
pub(super) fn article_files() -> usize {
    ARTICLES.files().count()
}
