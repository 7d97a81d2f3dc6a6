//! From a feed's body to entries ready to be stored: which are new, their web pages, their articles.
//! Knows nothing of schedules.

use std::collections::HashMap;

use jiff::Timestamp;
use tokio::time::Instant;

use super::page::PageAnswer;
use super::sweep::beyond_shelf;
use super::visit::{Visit, rule_name};
use super::{Conductor, FeedReport};
use crate::config;
use crate::distil::feed::{Entry, Feed, Rhythm, read_feed};
use crate::distil::{DISTILLER_VERSION, Source, distil};
use crate::fetch::{Reach, Response};
use crate::pool::PoolError;
use crate::store::{Distilled, FoundEntry, KnownEntry};

/// Entries of one feed that a pass reads at most, so that one feed's archive keeps nobody waiting;
/// later passes read the rest.
pub const ENTRIES_A_PASS: usize = 50;

/// How often an entry's web page is asked for in vain before its teaser has to do.
const MOST_ATTEMPTS: u32 = 5;

/// What was read from a feed's body.
pub(super) struct Read {
    /// The title that the feed gives itself.
    pub(super) feed_title: Option<String>,
    /// BLAKE3 of the body; `None` where it has to be read again.
    pub(super) body_hash: Option<[u8; 32]>,
    /// How often the feed wants to be asked.
    pub(super) rhythm: Rhythm,
    /// New and changed entries.
    pub(super) entries: Vec<FoundEntry>,
}

/// An article packed, when its page says that it was published, and warnings.
type Ready = (Distilled, Option<Timestamp>, Vec<String>);

/// An entry made ready, and whether it has to be read again.
struct Made {
    entry: FoundEntry,
    again: bool,
}

impl Conductor {
    /// Reads a feed's body and makes articles of its new and changed entries.
    ///
    /// # Errors
    /// A sentence for a person, where this is no feed or the store cannot tell what is known.
    pub(super) async fn read(
        &self,
        visit: &Visit<'_>,
        response: &Response,
        report: &mut FeedReport,
    ) -> Result<Read, String> {
        let hash = *blake3::hash(&response.body).as_bytes();
        if visit.knows_body() && visit.feed.body_hash == Some(hash) {
            return Ok(Read {
                feed_title: visit.feed.feed_title.clone(),
                body_hash: Some(hash),
                rhythm: visit.feed.hints.rhythm,
                entries: Vec::new(),
            });
        }
        let feed = self.read_body(response, report).await?;
        let new = self.new_entries(visit, &feed).await?;
        let mut whole = true;
        let mut entries = Vec::with_capacity(new.len().min(ENTRIES_A_PASS));
        let start = Instant::now();
        for (entry, attempts) in new.iter().take(ENTRIES_A_PASS) {
            // One entry is read whatever it takes, so that every visit comes further.
            if !entries.is_empty() && start.elapsed() >= self.entries_budget {
                break;
            }
            let made = self
                .make(visit, &feed, response.reach, (entry, *attempts), report)
                .await;
            whole &= !made.again;
            entries.push(made.entry);
        }
        let rest = new.len() - entries.len();
        if rest > 0 {
            whole = false;
            report.warnings.push(format!(
                "{rest} more entries are new; a pass reads {ENTRIES_A_PASS} of a feed, or what it can in {} s, and the next ones the rest",
                self.entries_budget.as_secs()
            ));
        }
        Ok(Read {
            feed_title: feed.title,
            body_hash: whole.then_some(hash),
            rhythm: feed.rhythm,
            entries,
        })
    }

    async fn read_body(
        &self,
        response: &Response,
        report: &mut FeedReport,
    ) -> Result<Feed, String> {
        let (body, content_type, address) = (
            response.body.clone(),
            response.content_type.clone(),
            response.final_url.clone(),
        );
        let read = self
            .pool
            .run(move || read_feed(&body, content_type.as_deref(), &address))
            .await
            .map_err(|fault| format!("the feed could not be read: {fault}"))?;
        let (feed, warnings) = read.map_err(|fault| fault.to_string())?;
        report.warnings.extend(warnings);
        Ok(feed)
    }

    /// The entries that are new, have changed or are to be read again, each with how often its page
    /// was asked for in vain. Those asked for least come first, so that pages that fail keep no other
    /// entry waiting. What was swept away is not read again, and what would be swept at once is not read at
    /// all. Each has an identity of its own: the feed's reader sees to it.
    async fn new_entries<'entry>(
        &self,
        visit: &Visit<'_>,
        feed: &'entry Feed,
    ) -> Result<Vec<(&'entry Entry, u32)>, String> {
        let entries = &feed.entries;
        let identities: Vec<&str> = entries
            .iter()
            .map(|entry| entry.identity.as_str())
            .collect();
        let known: HashMap<String, KnownEntry> = self
            .store
            .known_entries(visit.feed.id, &identities)
            .await
            .map_err(|fault| fault.to_string())?;
        let now = self.clock.now();
        if feed.whole {
            self.store
                .forget_swept(visit.feed.id, &identities, now)
                .await
                .map_err(|fault| fault.to_string())?;
        }
        let beyond = beyond_shelf(entries, visit.subscription.shelf, now);
        let mut new = Vec::new();
        for entry in entries {
            let print = fingerprint(entry, visit.subscription.full_text);
            match known.get(&entry.identity) {
                None if beyond.contains(entry.identity.as_str()) => {}
                None => new.push((entry, 0)),
                Some(known) if known.swept => {}
                Some(known) if known.fingerprint.is_none() => new.push((entry, known.attempts)),
                Some(known) if known.fingerprint != Some(print) => new.push((entry, 0)),
                Some(_) => {}
            }
        }
        new.sort_by_key(|(_, attempts)| *attempts);
        Ok(new)
    }

    /// Makes an entry ready: fetches its page where it needs one, and distils.
    async fn make(
        &self,
        visit: &Visit<'_>,
        feed: &Feed,
        reach: Reach,
        (entry, attempts): (&Entry, u32),
        report: &mut FeedReport,
    ) -> Made {
        let rule = visit.subscription.full_text;
        let mut failed = false;
        let mut further = Vec::new();
        let page = match self.page(visit, entry, reach).await {
            None => None,
            Some(PageAnswer::Pages(page, parts, missing)) => {
                if let Some(missing) = missing {
                    report.warnings.push(warning(entry, &missing.reason));
                    failed = missing.later;
                }
                further = parts;
                Some(page)
            }
            Some(PageAnswer::None(reason)) => {
                report.warnings.push(warning(entry, &reason));
                None
            }
            Some(PageAnswer::Later(reason)) => {
                report.warnings.push(warning(entry, &reason));
                failed = true;
                None
            }
        };
        let mut source = Source::from_entry(entry, feed.language.as_ref(), page);
        source.further = further;
        let distilled = match self.distil(source).await {
            Ok((distilled, published, warnings)) => {
                let warnings = warnings.iter().map(|text| warning(entry, text));
                report.warnings.extend(warnings);
                Some((distilled, published))
            }
            Err(fault) => {
                report.warnings.push(warning(entry, &fault));
                None
            }
        };
        made(entry, rule, attempts + u32::from(failed), failed, distilled)
    }

    /// Distils and packs on the pool. A panic costs this article only.
    pub(super) async fn distil(&self, source: Source) -> Result<Ready, String> {
        let work = move || {
            let (article, warnings) = distil(&source);
            Distilled::new(&article, &source, DISTILLER_VERSION)
                .map(|done| (done, article.published, warnings))
        };
        match self.pool.run(work).await {
            Ok(Ok(done)) => Ok(done),
            Ok(Err(fault)) => Err(fault.to_string()),
            Err(fault @ (PoolError::Panicked(_) | PoolError::Ended)) => {
                Err(format!("no article could be made of it: {fault}"))
            }
        }
    }
}

/// An entry ready to be stored. One whose page failed is read again by the next pass, a few times; one
/// of which no article could be made is read again when its feed is, by a better distiller at the latest.
fn made(
    entry: &Entry,
    rule: config::FullText,
    attempts: u32,
    failed: bool,
    distilled: Option<(Distilled, Option<Timestamp>)>,
) -> Made {
    let (distilled, page_published) = distilled.unzip();
    let again = failed && attempts < MOST_ATTEMPTS;
    let done = !again && distilled.is_some();
    Made {
        entry: FoundEntry {
            identity: entry.identity.clone(),
            link: entry.link.as_ref().map(ToString::to_string),
            title: entry.title.clone(),
            published: entry.published.or(page_published.flatten()),
            fingerprint: done.then(|| fingerprint(entry, rule)),
            attempts,
            distilled,
        },
        again,
    }
}

/// A warning that names its entry.
fn warning(entry: &Entry, text: &str) -> String {
    let name = entry.title.as_deref().unwrap_or(&entry.identity);
    format!("“{name}”: {text}")
}

/// Names all that a feed says of an entry, and the rule that it is read by: an entry with another
/// fingerprint has changed. Each part goes in with its length, so that no part runs into the next.
fn fingerprint(entry: &Entry, rule: config::FullText) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new();
    let mut add = |part: Option<&[u8]>| {
        let length = part.map_or(u64::MAX, |part| part.len() as u64);
        hasher.update(&length.to_le_bytes());
        hasher.update(part.unwrap_or_default());
    };
    add(Some(rule_name(rule).as_bytes()));
    add(entry.link.as_ref().map(|link| link.as_str().as_bytes()));
    add(entry.title.as_ref().map(String::as_bytes));
    add(entry.content.as_ref().map(String::as_bytes));
    add(entry.summary.as_ref().map(String::as_bytes));
    add(entry
        .language
        .as_ref()
        .map(|language| language.tag().as_bytes()));
    let published = entry
        .published
        .map(|instant| instant.as_millisecond().to_le_bytes());
    add(published.as_ref().map(<[u8; 8]>::as_slice));
    for author in &entry.authors {
        add(Some(author.as_bytes()));
    }
    add(None);
    for enclosure in &entry.enclosures {
        add(Some(enclosure.address.as_str().as_bytes()));
        add(enclosure.media_type.as_ref().map(String::as_bytes));
        add(enclosure
            .length_bytes
            .map(u64::to_le_bytes)
            .as_ref()
            .map(<[u8; 8]>::as_slice));
        add(enclosure
            .duration_seconds
            .map(u64::to_le_bytes)
            .as_ref()
            .map(<[u8; 8]>::as_slice));
    }
    *hasher.finalize().as_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::config::FullText::{Always, Auto};

    fn entry() -> Entry {
        Entry {
            identity: "one".to_owned(),
            link: Some("https://example.org/one".parse().unwrap()),
            title: Some("One".to_owned()),
            authors: vec!["Ada Quill".to_owned()],
            published: None,
            content: None,
            summary: None,
            base: "https://example.org/".parse().unwrap(),
            language: None,
            enclosures: Vec::new(),
        }
    }

    #[test]
    fn an_entry_that_broke_the_distiller_is_stored_and_read_again_with_its_feed() {
        let made = made(&entry(), Auto, 0, false, None);
        assert!(made.entry.distilled.is_none() && made.entry.fingerprint.is_none());
        assert!(!made.again, "the feed itself is done with until it changes");
    }

    #[test]
    fn the_fingerprint_changes_with_each_part_and_with_the_rule() {
        let change: [fn(&mut Entry); 8] = [
            |_| {},
            |entry| entry.link = None,
            |entry| entry.title = Some("Two".to_owned()),
            |entry| entry.authors.push("Ben Tarn".to_owned()),
            |entry| entry.published = Some(Timestamp::UNIX_EPOCH),
            |entry| entry.content = Some(String::new()),
            |entry| entry.summary = Some(String::new()),
            |entry| entry.language = crate::distil::language::Language::parse("de"),
        ];
        let mut prints: Vec<[u8; 32]> = change
            .iter()
            .map(|change| {
                let mut entry = entry();
                change(&mut entry);
                fingerprint(&entry, Auto)
            })
            .collect();
        prints.push(fingerprint(&entry(), Always));
        assert_eq!(prints[0], fingerprint(&entry(), Auto));
        for (position, print) in prints.iter().enumerate() {
            assert!(!prints[..position].contains(print), "part {position}");
        }
    }
}
