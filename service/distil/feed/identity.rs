//! What tells an entry from others of its feed, where ids are missing or stand for several. Parses nothing.

use std::collections::{HashMap, HashSet};

use super::entry::MAXIMUM_WARNINGS;
use super::{Enclosure, Entry};

/// The identity of an entry without id, link, title and date, which RSS 2.0 allows where there is a
/// description: a hash of all that it says. Once that changes it is another entry.
pub(super) fn text_identity(
    texts: [&Option<String>; 2],
    authors: &[String],
    enclosures: &[Enclosure],
) -> String {
    let mut hasher = blake3::Hasher::new();
    let texts = texts.map(|text| text.as_deref().unwrap_or_default());
    let addresses = enclosures
        .iter()
        .map(|enclosure| enclosure.address.as_str());
    let authors = authors.iter().map(String::as_str);
    for part in texts.into_iter().chain(authors).chain(addresses) {
        hasher.update(part.as_bytes());
        hasher.update(&[0]);
    }
    format!("blake3:{}", hasher.finalize().to_hex())
}

/// By what entries of one identity are told apart, the first first.
const PARTICULARS: [fn(&Entry) -> Option<String>; 4] = [link, title, date, text_alone];

/// Gives every entry an identity of its own where one stands for several that differ, and leaves of those
/// that do not differ the first.
///
/// All that share an identity get another, made of it and of what they say themselves: one that
/// came to be without a look at the places of others is the same when new ones stand above it.
pub(super) fn tell_apart(mut entries: Vec<Entry>) -> (Vec<Entry>, Vec<String>) {
    let mut warnings = Vec::new();
    for (step, particular) in PARTICULARS.iter().enumerate() {
        let shared = shared_identities(&entries);
        if step == 0 {
            warnings.extend(shared.iter().map(|identity| {
                format!(
                    "several entries are all called {identity}; they are told apart by their links, titles \
                     and dates"
                )
            }));
        }
        for entry in &mut entries {
            if let Some(part) = particular(entry)
                && part != entry.identity
                && shared.contains(&entry.identity)
            {
                entry.identity = format!("{} {part}", entry.identity);
            }
        }
    }
    warnings.sort();
    let mut seen = HashSet::new();
    entries.retain(|entry| {
        let first = seen.insert(entry.identity.clone());
        if !first {
            let name = entry.title.as_deref().unwrap_or(&entry.identity);
            warnings.push(format!(
                "the entry “{name}” stands twice in the feed; the first one counts"
            ));
        }
        first
    });
    warnings.truncate(MAXIMUM_WARNINGS);
    (entries, warnings)
}

/// The identities of entries that are not the same in all their particulars.
fn shared_identities(entries: &[Entry]) -> HashSet<String> {
    let mut of_first: HashMap<&str, &Entry> = HashMap::new();
    let mut shared = HashSet::new();
    for entry in entries {
        let first = of_first.entry(&entry.identity).or_insert(entry);
        if PARTICULARS.iter().any(|part| part(first) != part(entry)) {
            shared.insert(entry.identity.clone());
        }
    }
    shared
}

fn link(entry: &Entry) -> Option<String> {
    entry.link.as_ref().map(ToString::to_string)
}

fn title(entry: &Entry) -> Option<String> {
    entry.title.clone()
}

fn date(entry: &Entry) -> Option<String> {
    entry.published.map(|date| date.to_string())
}

/// What an entry says that says nothing else. With a link, a title or a date, another text is another edition.
fn text_alone(entry: &Entry) -> Option<String> {
    let bare = entry.link.is_none() && entry.title.is_none() && entry.published.is_none();
    bare.then(|| {
        text_identity(
            [&entry.content, &entry.summary],
            &entry.authors,
            &entry.enclosures,
        )
    })
}
