//! Checks of whole passes against publishers on loopback.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use jiff::Timestamp;
use url::Url;

use super::{Conductor, FeedReport, Progress};
use crate::address::{Allowed, Policy};
use crate::clock::Clock;
use crate::config::{Config, FullText, Shelf, Shelves, Subscription};
use crate::distil::block::Block;
use crate::fetch::{self, Fetcher, Limits, Reach};
use crate::pool::Pool;
use crate::store::sample::Bench;
use crate::store::{READER, StoredArticle};

mod articles;
mod day;
mod failing;
mod finding;
mod moving;
mod reading;
mod server;
mod settling;
mod sweeping;

use server::{Reply, Server};

/// A household with one publisher, a clock that the test moves, and a database.
struct House {
    server: Server,
    bench: Bench,
    clock: Clock,
    minute: Arc<AtomicI64>,
    conductor: Conductor,
}

impl House {
    /// With one subscription to the publisher's `/feed`, asked hourly, read without web pages.
    async fn new() -> Self {
        Self::with(|_| {}).await
    }

    /// With the one subscription changed.
    async fn with(change: impl FnOnce(&mut Subscription)) -> Self {
        let server = Server::start().await;
        let mut subscription = subscription(&server.url("/feed"));
        change(&mut subscription);
        Self::open(server, vec![subscription]).await
    }

    async fn open(server: Server, subscriptions: Vec<Subscription>) -> Self {
        let bench = Bench::new().await;
        let minute = Arc::new(AtomicI64::new(0));
        let read = Arc::clone(&minute);
        let clock = Clock::from_fn(move || at_minute(read.load(Ordering::SeqCst)));
        let conductor = conductor(&bench, &clock, subscriptions);
        conductor.subscribe().await.unwrap();
        Self {
            server,
            bench,
            clock,
            minute,
            conductor,
        }
    }

    fn pass_time(&self, minutes: i64) {
        self.minute.fetch_add(minutes, Ordering::SeqCst);
    }

    /// One pass; the reports in the order in which the feeds were done.
    async fn pass(&self) -> Vec<FeedReport> {
        let mut reports = Vec::new();
        let mut due = None;
        let summary = self
            .conductor
            .refresh_due(|progress| match progress {
                Progress::Due(count) => due = Some(count),
                Progress::Done(report) => reports.push(report),
            })
            .await
            .unwrap();
        assert_eq!(due, Some(reports.len()));
        assert_eq!(summary.feeds, reports.len());
        let failed = reports.iter().filter(|report| report.fault.is_some());
        assert_eq!(summary.failed, failed.count());
        reports
    }

    /// Once it is due, one pass over the one feed.
    async fn later(&self) -> FeedReport {
        self.pass_time(self.minutes_left().await + 1);
        let mut reports = self.pass().await;
        assert_eq!(reports.len(), 1);
        reports.remove(0)
    }

    /// How many whole minutes it is until the first feed is due.
    async fn minutes_left(&self) -> i64 {
        let feeds = self.bench.store.scheduled_feeds().await.unwrap();
        let due = feeds.iter().map(|feed| feed.next_due).min().unwrap();
        due.duration_since(self.clock.now()).as_mins()
    }

    async fn titles(&self) -> Vec<String> {
        let page = self.bench.store.index(READER, 0).await.unwrap();
        page.entries.into_iter().map(|entry| entry.title).collect()
    }

    async fn article(&self, title: &str) -> StoredArticle {
        let page = self.bench.store.index(READER, 0).await.unwrap();
        let entry = page.entries.iter().find(|entry| entry.title == title);
        let entry = entry.unwrap().entry;
        self.bench
            .store
            .article(READER, entry)
            .await
            .unwrap()
            .unwrap()
    }

    async fn text(&self, title: &str) -> String {
        let article = self.article(title).await;
        let texts: Vec<String> = article.blocks.iter().map(Block::text).collect();
        texts.join("\n")
    }
}

fn conductor(bench: &Bench, clock: &Clock, subscriptions: Vec<Subscription>) -> Conductor {
    let allowed = Allowed::Range("127.0.0.0/8".parse().unwrap());
    let limits = Limits {
        hop_timeout: Duration::from_millis(500),
        ..Limits::default()
    };
    let fetcher = Fetcher::new(Policy::new(vec![allowed]), limits).unwrap();
    Conductor::new(
        bench.store.clone(),
        fetcher,
        Pool::new(2),
        clock.clone(),
        subscriptions,
        Shelves::default(),
    )
}

fn at_minute(minute: i64) -> Timestamp {
    let start: Timestamp = "2031-04-01T06:00:00Z".parse().unwrap();
    Timestamp::from_second(start.as_second() + minute * 60).unwrap()
}

fn subscription(url: &Url) -> Subscription {
    Subscription {
        url: url.clone(),
        title: None,
        group: None,
        full_text: FullText::Never,
        every_minutes: 60,
        headers: Vec::new(),
        shelf: Shelf::default(),
        outline: Vec::new(),
    }
}

/// A subscription with a password in a header, as the config makes it.
fn subscription_with_password(url: &Url) -> Subscription {
    let text = format!(
        "[[feed]]\nurl = \"{url}\"\nfull_text = \"always\"\nheaders = {{ Authorization = \"Basic c2VhOnNhbHQ=\" }}\n"
    );
    Config::parse(&text, "test.toml").unwrap().feeds.remove(0)
}

/// An Atom feed of entries: a name, and their HTML. An entry's link is `/page/` and its name.
fn atom(server: &Server, entries: &[(&str, &str)]) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\"?><feed xmlns=\"http://www.w3.org/2005/Atom\" xml:lang=\"en\">\
         <id>urn:example:gazette</id><title>Harbour Gazette</title><updated>2031-03-30T00:00:00Z</updated>",
    );
    for (name, html) in entries {
        let link = server.url(&format!("/page/{name}"));
        let html = html.replace('&', "&amp;").replace('<', "&lt;");
        text += &format!(
            "<entry><id>urn:example:{name}</id><title>{name}</title><link href=\"{link}\"/>\
             <updated>2031-03-30T00:00:00Z</updated><content type=\"html\">{html}</content></entry>"
        );
    }
    text + "</feed>"
}

/// A web page with an article that extraction finds: long paragraphs among navigation.
fn page(word: &str) -> String {
    let paragraph = format!(
        "<p>The {word} came in with the tide, and the harbour master wrote it down, as he had \
         written down each one before it, in ink, with the hour and the state of the wind.</p>"
    );
    format!(
        "<!DOCTYPE html><html lang=\"en\"><head><title>The {word}</title></head><body>\
         <nav><a href=\"/\">Start</a></nav><article><h1>The {word}</h1>{}</article></body></html>",
        paragraph.repeat(8)
    )
}
