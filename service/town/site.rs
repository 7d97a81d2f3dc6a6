//! The town's web site, printed whole when the publisher starts: what stands at which path.
//! It knows nothing of requests.

use std::collections::HashMap;

use axum::body::Bytes;
use jiff::{Timestamp, ToSpan};
use url::Url;

use super::{
    content::{self, Form, Piece, Publication},
    print::{self, Enclosure, Entry, Issue},
    sound,
};

/// Everything that the publisher serves.
pub(super) struct Site {
    files: HashMap<String, File>,
}

/// One thing that is served.
pub(super) struct File {
    /// The value of `Content-Type`.
    pub content_type: String,
    /// The bytes.
    pub body: Bytes,
    /// The value of `ETag`, with its quotation marks.
    pub etag: String,
    /// When it last changed, in whole seconds.
    pub modified: Timestamp,
}

/// The address of `path` below `base`.
pub(super) fn address(base: &Url, path: &str) -> Url {
    base.join(path)
        .expect("the town's paths are plain, and any base of http takes them")
}

impl Site {
    /// Prints the site as it stands at `now` under `base`.
    pub fn build(base: &Url, now: Timestamp) -> Self {
        let now = Timestamp::from_second(now.as_second()).unwrap_or(now);
        let mut site = Self {
            files: HashMap::new(),
        };
        let issues: Vec<Issue> = content::publications()
            .iter()
            .map(|publication| issue(base, now, publication))
            .collect();
        for (publication, issue) in content::publications().iter().zip(&issues) {
            site.add_publication(publication, issue, &issues);
        }
        site.add("/", HTML, print::town(&issues), now);
        for (name, picture) in content::pictures() {
            site.add(&format!("/pictures/{name}"), "image/svg+xml", picture, now);
        }
        for (name, sound) in sound::sounds() {
            let path = format!("/{}", sound_path(name));
            site.add(&path, WAV, sound.wav.as_slice(), now);
        }
        site
    }

    /// What stands at `path`, which begins with a slash.
    pub fn get(&self, path: &str) -> Option<&File> {
        self.files.get(path)
    }

    /// Every path, for the tests that walk the site.
    #[cfg(test)]
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }

    fn add_publication(&mut self, publication: &Publication, issue: &Issue, all: &[Issue]) {
        let feed = match publication.form {
            Form::Rss | Form::Talks | Form::Teasers => print::rss(issue),
            Form::Atom => print::atom(issue),
            Form::Json => print::json_feed(issue),
        };
        let content_type = match publication.form {
            // JSON is UTF-8 always, and its media types have no charset (RFC 8259 section 11).
            Form::Json => publication.media_type().to_owned(),
            _ => format!("{}; charset=utf-8", publication.media_type()),
        };
        let feed_path = format!("/{}", publication.feed_path());
        let home_path = format!("/{}", publication.home_path());
        self.add(&feed_path, &content_type, feed, issue.updated);
        self.add(&home_path, HTML, print::home(issue), issue.updated);
        for entry in &issue.entries {
            let page = match publication.form {
                Form::Teasers => print::essay(issue, entry, all),
                _ => print::article(issue, entry),
            };
            self.add(&entry.path, HTML, page, entry.published);
        }
    }

    fn add(
        &mut self,
        path: &str,
        content_type: &str,
        body: impl Into<Vec<u8>>,
        modified: Timestamp,
    ) {
        let body = body.into();
        let file = File {
            content_type: content_type.to_owned(),
            etag: format!("\"{}\"", &blake3::hash(&body).to_hex()[..16]),
            body: body.into(),
            modified,
        };
        self.files.insert(path.to_owned(), file);
    }
}

const HTML: &str = "text/html; charset=utf-8";
const WAV: &str = "audio/wav";

fn sound_path(name: &str) -> String {
    format!("sounds/{name}.wav")
}

/// A publication with its articles dated and addressed, the newest first.
fn issue(base: &Url, now: Timestamp, publication: &'static Publication) -> Issue {
    let mut entries: Vec<Entry> = publication
        .articles
        .iter()
        .map(|piece| entry(base, now, publication, piece))
        .collect();
    entries.sort_by_key(|entry| std::cmp::Reverse(entry.published));
    Issue {
        title: &publication.title,
        description: &publication.description,
        language: &publication.language,
        form: publication.form,
        media_type: publication.media_type(),
        home: address(base, &publication.home_path()),
        feed: address(base, &publication.feed_path()),
        updated: entries.first().map_or(now, |entry| entry.published),
        entries,
    }
}

fn entry(
    base: &Url,
    now: Timestamp,
    publication: &'static Publication,
    piece: &'static Piece,
) -> Entry {
    let enclosure = piece.sound.as_deref().map(|name| {
        let sound = sound::sounds()
            .get(name)
            .expect("a talk names a sound that is made");
        Enclosure {
            address: address(base, &sound_path(name)),
            media_type: WAV,
            length_bytes: sound.wav.len(),
            seconds: sound.seconds,
        }
    });
    Entry {
        path: format!("/{}", publication.article_path(piece)),
        address: address(base, &publication.article_path(piece)),
        title: &piece.title,
        author: &piece.author,
        summary: &piece.summary,
        html: publication.text(piece),
        published: now
            .saturating_sub(i64::from(piece.hours).hours())
            .unwrap_or(now),
        enclosure,
    }
}
