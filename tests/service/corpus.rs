//! Feeds beside a second library: the corpus of the Python package `feedparser` 6.0.12, which is the
//! folder `tests` of its source distribution, read there and here.
//!
//! Damaged copies of sound feeds are read there and here as well.
//!
//! Its licence is BSD-2-Clause; nothing of it is kept here, and `tests/run` fetches it. What is
//! asserted are shares: of the feeds that the other reads those that are read here with the same
//! number of entries, and of the values that it finds those that are found here alike.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

use jiff::Timestamp;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use tondo::distil::feed::{Entry, Feed, read_feed};
use url::Url;

use crate::beside::{folder, json};

/// A file of the corpus as the other library reads it.
#[derive(Deserialize)]
struct Reference {
    path: String,
    content_type: Option<String>,
    address: String,
    well_formed: bool,
    is_feed: bool,
    title: Option<String>,
    entries: Vec<ReferenceEntry>,
}

#[derive(Deserialize)]
struct ReferenceEntry {
    title: Option<String>,
    link: Option<String>,
    id: Option<String>,
    seconds: Option<i64>,
}

/// How many agree, of how many, and examples of those that do not.
#[derive(Default)]
struct Share {
    agreed: usize,
    all: usize,
    others: Vec<String>,
}

impl Share {
    fn count(&mut self, agree: bool, other: impl FnOnce() -> String) {
        self.all += 1;
        self.agreed += usize::from(agree);
        if !agree {
            self.others.push(other());
        }
    }

    fn value(&self) -> f64 {
        self.agreed as f64 / self.all as f64
    }
}

/// The corpus by the other library, in one process.
fn references<Read: DeserializeOwned>(arguments: &[&str]) -> Vec<Read> {
    let arguments: Vec<&str> = ["-B", "feeds.py"]
        .into_iter()
        .chain(arguments.iter().copied())
        .collect();
    json("python3", &arguments, "")
}

fn corpus() -> PathBuf {
    folder().join("python_packages/feedparser-6.0.12/tests")
}

fn read(reference: &Reference) -> Result<Feed, String> {
    let bytes = fs::read(corpus().join(&reference.path)).expect("a file of the corpus");
    let address = Url::parse(&reference.address).expect("an address");
    match read_feed(&bytes, reference.content_type.as_deref(), &address) {
        Ok((feed, _)) => Ok(feed),
        Err(error) => Err(error.to_string()),
    }
}

/// The shares by what is compared.
type Shares = BTreeMap<&'static str, Share>;

fn compare(shares: &mut Shares, reference: &Reference, feed: &Feed) {
    let path = &reference.path;
    let mut value = |name, theirs: Option<&str>, ours: Option<&str>| {
        let Some(theirs) = theirs else { return };
        shares
            .entry(name)
            .or_default()
            .count(ours == Some(theirs), || {
                format!("{path}: {theirs:?}, here {ours:?}")
            });
    };
    let code_page = path.starts_with("encoding/x80_");
    value(
        if code_page {
            "code pages"
        } else {
            "feed title"
        },
        reference.title.as_deref(),
        feed.title.as_deref(),
    );
    if reference.entries.len() != feed.entries.len() {
        return;
    }
    for (theirs, ours) in reference.entries.iter().zip(&feed.entries) {
        value("title", theirs.title.as_deref(), ours.title.as_deref());
        value(
            "link",
            theirs.link.as_deref().map(normal).as_deref(),
            ours.link.as_ref().map(Url::as_str),
        );
        value("id", theirs.id.as_deref(), Some(ours.identity.as_str()));
        let date = |seconds: Option<i64>| seconds.map(|seconds| seconds.to_string());
        value(
            "date",
            date(theirs.seconds).as_deref(),
            date(date_of(ours)).as_deref(),
        );
    }
}

fn date_of(entry: &Entry) -> Option<i64> {
    entry.published.map(Timestamp::as_second)
}

/// An address as the URL standard spells it: `http://example.org` is `http://example.org/`.
fn normal(address: &str) -> String {
    Url::parse(address).map_or_else(|_| address.to_owned(), |url| url.to_string())
}

/// The least share of each that must agree, in the order of what is compared.
///
/// Measured: 1,966 of 1,970 well-formed feeds and all of 264 ill-formed ones have as many entries here
/// as there. In the other four two entries say the same in all that is read here, and are one; entries of
/// one id that differ are all read.
///
/// Of the values, each class of those that differ:
/// - code pages, 68 of 131: files `x80_*` whose title is one byte in an encoding that the Encoding
///   Standard does not have under that name (those of DOS, of old Macintoshes, Greek EBCDIC), read as what
///   the bytes look like; that standard and the other library differ about `mac`.
/// - feed title, 359 of 370, and title, 186 of 197: files without a declared encoding, which is
///   guessed here and taken for windows-1252 there (6); titles in base64 are HTML here and plain text
///   there (6); HTML is read as its standard says, where a script has no text and what follows an
///   unclosed comment, document type or `object` is in it (6); the entities `lang` and `rang` by
///   HTML 5 here and by HTML 4 there; an invalid byte becomes U+FFFD here; a title that stands in the
///   image of a category is no entry's.
/// - id, 52 of 58: ids are compared character by character (RFC 4287, 4.2.6.1), so relative ones
///   are not resolved and none is normalised (5); entities that a document type declares are not
///   expanded, since a hostile feed would have them fill the memory (1).
/// - link, 90 of 94: an Atom id that is no address is no link (4).
/// - date: all of 53.
const FLOORS: [(&str, f64); 8] = [
    ("well-formed", 0.99),
    ("ill-formed", 0.95),
    ("feed title", 0.97),
    ("code pages", 0.51),
    ("title", 0.94),
    ("id", 0.89),
    ("link", 0.95),
    ("date", 1.0),
];

#[test]
fn feeds_are_read_as_by_a_second_library() {
    let mut shares = Shares::new();
    let references = references::<Reference>(&[]);
    for reference in references.iter().filter(|reference| reference.is_feed) {
        let read = read(reference);
        let name = if reference.well_formed {
            "well-formed"
        } else {
            "ill-formed"
        };
        let same = read
            .as_ref()
            .is_ok_and(|feed| feed.entries.len() == reference.entries.len());
        shares.entry(name).or_default().count(same, || {
            let ours = read.as_ref().map(|feed| feed.entries.len());
            let theirs = reference.entries.len();
            format!("{}: {theirs} entries, here {ours:?}", reference.path)
        });
        if let Ok(feed) = &read {
            compare(&mut shares, reference, feed);
        }
    }
    let mut table = String::new();
    assert!(shares["well-formed"].all >= 1_900, "too few files");
    for (name, floor) in FLOORS {
        let share = &shares[name];
        let Share { agreed, all, .. } = share;
        table += &format!("{name}: {agreed} of {all}, {:.4}\n", share.value());
        assert!(
            share.value() >= floor,
            "{name}: {:.4} agree, of {}; not\n{}",
            share.value(),
            share.all,
            share.others.join("\n")
        );
    }
    show(&table);
}

/// A feed of ten entries, `urn:x:e0` to `urn:x:e9`, damaged in one place.
#[derive(Deserialize)]
struct Damaged {
    kind: String,
    text: String,
    /// The ids that the other library finds.
    ids: Vec<Option<String>>,
}

/// How many of the ids are those of the ten entries, each counted once.
fn found<'id>(ids: impl Iterator<Item = &'id str>) -> usize {
    let known = |id: &&str| id.len() == 8 && id.starts_with("urn:x:e");
    ids.filter(known).collect::<BTreeSet<_>>().len()
}

#[test]
fn damaged_feeds_give_as_many_entries_as_by_a_second_library() {
    // Measured, of ten entries a copy: 9.84 with a tag left out, there 9.69; 9.87 to 9.93 with a character put
    // in, there 9.79 to 9.81; 5.32 and 5.31 of copies that are cut off. In no copy are there fewer here.
    let address = Url::parse("http://corpus.example.org/feeds/feed.xml").expect("an address");
    let mut counts = BTreeMap::<String, (usize, usize, usize)>::new();
    for copy in references::<Damaged>(&["damaged"]) {
        let theirs = found(copy.ids.iter().flatten().map(String::as_str));
        let (feed, _) = read_feed(copy.text.as_bytes(), None, &address)
            .unwrap_or_else(|error| panic!("{error}: {}", copy.text));
        let ours = found(feed.entries.iter().map(|entry| entry.identity.as_str()));
        let text = &copy.text;
        assert!(ours >= theirs, "{theirs} entries, here {ours}: {text}");
        let (copies, here, there) = counts.entry(copy.kind).or_default();
        *copies += 1;
        *here += ours;
        *there += theirs;
    }
    let mut table = String::new();
    for (kind, (copies, here, there)) in &counts {
        table += &format!("{kind}: {copies} copies, {here} entries, there {there}\n");
        // A fault costs the entry that it stands in at the most; what is cut off is half on average.
        assert!(kind == "cut" || here * 10 >= copies * 97, "{table}");
    }
    assert_eq!(counts.len(), 8);
    show(&table);
}

/// A spelling of a date, with the second that the other library's own tests expect.
#[derive(Deserialize)]
struct Spelling {
    text: String,
    seconds: Option<i64>,
}

#[test]
fn dates_are_read_as_by_a_second_library() {
    let address = Url::parse("http://corpus.example.org/feeds/feed.xml").expect("an address");
    let mut share = Share::default();
    for spelling in references::<Spelling>(&["dates"]) {
        let Spelling { text, seconds } = spelling;
        let xml = format!(
            "<rss><channel><item><guid>a</guid><pubDate>{text}</pubDate></item></channel></rss>"
        );
        let (feed, _) = read_feed(xml.as_bytes(), None, &address).expect("a feed");
        let ours = date_of(&feed.entries[0]);
        share.count(ours == seconds, || {
            format!("{text}: {seconds:?}, here {ours:?}")
        });
    }
    let Share {
        agreed,
        all,
        others,
    } = &share;
    show(&format!(
        "dates: {agreed} of {all}; not\n{}",
        others.join("\n")
    ));
    // Measured: 61 of 71. The other ten are spelled in Greek, Hungarian and Korean (4) or in ISO 8601's
    // years of two digits and days of the year (5), which may mean another date as well; and a time
    // that is no number, where the day is kept here.
    assert!(share.value() >= 0.85, "{}", others.join("\n"));
}

/// Prints what was measured.
#[expect(
    clippy::print_stdout,
    reason = "figures of a test, shown by --nocapture"
)]
fn show(table: &str) {
    println!("{table}");
}
