//! Prints the town's feeds and pages from facts that are ready: askama for RSS, Atom and HTML,
//! serde_json for JSON Feed. It decides nothing about what is served where.

use askama::Template;
use jiff::{Timestamp, fmt::rfc2822};
use serde_json::{Value, json};
use url::Url;

use super::content::Form;

/// A publication with addresses and dates.
pub(super) struct Issue {
    pub title: &'static str,
    pub description: &'static str,
    /// BCP 47.
    pub language: &'static str,
    pub form: Form,
    /// Of the feed.
    pub media_type: &'static str,
    pub home: Url,
    pub feed: Url,
    /// When its newest article appeared.
    pub updated: Timestamp,
    /// The newest first.
    pub entries: Vec<Entry>,
}

/// An article with address and date.
pub(super) struct Entry {
    /// The path of `address`.
    pub path: String,
    pub address: Url,
    pub title: &'static str,
    pub author: &'static str,
    /// Plain text.
    pub summary: &'static str,
    /// The text: trusted HTML of our own.
    pub html: &'static str,
    pub published: Timestamp,
    pub enclosure: Option<Enclosure>,
}

/// A file that goes with an article.
pub(super) struct Enclosure {
    pub address: Url,
    pub media_type: &'static str,
    pub length_bytes: usize,
    pub seconds: u32,
}

/// RSS 2.0, with the modules `content` (the text), `dc` (authors) and `itunes` (duration of sound).
pub(super) fn rss(issue: &Issue) -> String {
    print(&Rss { issue })
}

/// Atom (RFC 4287).
pub(super) fn atom(issue: &Issue) -> String {
    print(&Atom { issue })
}

/// JSON Feed 1.1 (<https://www.jsonfeed.org/version/1.1/>).
pub(super) fn json_feed(issue: &Issue) -> String {
    let item = |entry: &Entry| -> Value {
        json!({
            "id": entry.address,
            "url": entry.address,
            "title": entry.title,
            "summary": entry.summary,
            "content_html": entry.html,
            "date_published": entry.published.to_string(),
            "authors": [{ "name": entry.author }],
        })
    };
    let feed = json!({
        "version": "https://jsonfeed.org/version/1.1",
        "title": issue.title,
        "description": issue.description,
        "home_page_url": issue.home,
        "feed_url": issue.feed,
        "language": issue.language,
        "items": issue.entries.iter().map(item).collect::<Vec<Value>>(),
    });
    format!("{feed:#}")
}

/// A publication's home page: what it is and a list of its articles.
pub(super) fn home(issue: &Issue) -> String {
    print(&Home { issue })
}

/// An article's page, plainly made.
pub(super) fn article(issue: &Issue, entry: &Entry) -> String {
    print(&Article { issue, entry })
}

/// An article's page with all that surrounds a text on the web: navigation, a notice about cookies,
/// a sidebar, related links and a foot. `all` are the publications that its navigation leads to.
pub(super) fn essay(issue: &Issue, entry: &Entry, all: &[Issue]) -> String {
    print(&Essay { issue, entry, all })
}

/// The town's own home page: a list of its publications.
pub(super) fn town(all: &[Issue]) -> String {
    print(&Town { all })
}

#[derive(Template)]
#[template(path = "town/rss.xml")]
struct Rss<'a> {
    issue: &'a Issue,
}

#[derive(Template)]
#[template(path = "town/atom.xml")]
struct Atom<'a> {
    issue: &'a Issue,
}

#[derive(Template)]
#[template(path = "town/home.html")]
struct Home<'a> {
    issue: &'a Issue,
}

#[derive(Template)]
#[template(path = "town/article.html")]
struct Article<'a> {
    issue: &'a Issue,
    entry: &'a Entry,
}

#[derive(Template)]
#[template(path = "town/essay.html")]
struct Essay<'a> {
    issue: &'a Issue,
    entry: &'a Entry,
    all: &'a [Issue],
}

#[derive(Template)]
#[template(path = "town/town.html")]
struct Town<'a> {
    all: &'a [Issue],
}

fn print(template: &impl Template) -> String {
    template
        .render()
        .expect("the templates print plain fields into memory, where nothing fails")
}

impl Issue {
    /// Whether the feed carries the whole text.
    fn has_text(&self) -> bool {
        self.form != Form::Teasers
    }

    /// The newest article's date as RSS writes it.
    fn updated_rfc2822(&self) -> String {
        http_date(self.updated)
    }
}

impl Entry {
    /// The date as RSS writes it.
    fn published_rfc2822(&self) -> String {
        http_date(self.published)
    }

    /// The date as a person reads it, such as `24 November 2026, 08:15 UTC`.
    fn published_in_words(&self) -> String {
        self.published.strftime("%-d %B %Y, %H:%M UTC").to_string()
    }

    /// The text inside a CDATA section, which is cut in two wherever the text would end it.
    fn html_in_cdata(&self) -> String {
        self.html.replace("]]>", "]]]]><![CDATA[>")
    }
}

/// An instant as RFC 9110 section 5.6.7 writes it, which is also good RFC 2822.
pub(super) fn http_date(instant: Timestamp) -> String {
    rfc2822::DateTimePrinter::new()
        .timestamp_to_rfc9110_string(&instant)
        .expect("the town's dates have years of four digits")
}
