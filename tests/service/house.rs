//! A household: the rooms put together as the commands do it, in a folder of its own, on port 0,
//! with a clock that the test moves. It never checks anything by itself.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use reqwest::header::{HeaderMap, HeaderName, HeaderValue};
use reqwest::{Client, Method, StatusCode};
use tempfile::TempDir;
use tokio::net::TcpListener;
use tokio_util::sync::{CancellationToken, DropGuard};
use tondo::address::{Allowed, Policy};
use tondo::clock::Clock;
use tondo::config::{FullText, ReadEntries, Shelf, Shelves, Subscription};
use tondo::fetch::{Fetcher, Limits};
use tondo::pool::Pool;
use tondo::refresh::{Conductor, FeedReport, Progress};
use tondo::store::{READER, Store, StoredArticle};
use tondo::town;
use tondo::web::{Settings, Web};
use url::Url;

use super::page::Button;

/// The screens that the service knows, smallest text first, then once more with wide spacing.
pub const SCREENS: [&str; 8] = [
    "round-11",
    "round-10",
    "round-8",
    "round-6",
    "round-11-wide",
    "round-10-wide",
    "round-8-wide",
    "round-6-wide",
];

/// Minutes after which every feed that answered, or failed once, is due again: a day, which is what one has
/// whose server sends no validators, its jitter of half an hour, and some.
pub const A_DAY: i64 = 24 * 60 + 40;

/// A name beside the address by number that the household answers to.
pub const NAME: &str = "tondo.home.arpa";

/// A running household. Its end is the end of the service.
pub struct House {
    pub store: Store,
    conductor: Conductor,
    base: Url,
    client: Client,
    milliseconds: Arc<AtomicI64>,
    _stop: DropGuard,
    _folder: TempDir,
}

/// An answer, read to its end as it was sent.
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub bytes: Vec<u8>,
}

impl Answer {
    /// The body as text.
    pub fn text(&self) -> String {
        String::from_utf8(self.bytes.clone()).expect("pages are UTF-8")
    }

    /// A header's value; empty where there is none.
    pub fn header(&self, name: &str) -> &str {
        self.headers
            .get(name)
            .and_then(|value| value.to_str().ok())
            .unwrap_or_default()
    }
}

impl House {
    /// A household with these subscriptions, none of them fetched yet.
    pub async fn open(subscriptions: Vec<Subscription>) -> Self {
        Self::open_with(subscriptions, Limits::default()).await
    }

    /// A household without feeds whose config says a screen.
    pub async fn open_on(screen: &str) -> Self {
        Self::open_as(Vec::new(), Limits::default(), ReadEntries::Dimmed, screen).await
    }

    /// The same, with an index that leaves out what was read.
    pub async fn open_without_read(subscriptions: Vec<Subscription>) -> Self {
        Self::open_as(
            subscriptions,
            Limits::default(),
            ReadEntries::Gone,
            "round-10",
        )
        .await
    }

    /// The same, with other limits of fetching.
    pub async fn open_with(subscriptions: Vec<Subscription>, limits: Limits) -> Self {
        Self::open_as(subscriptions, limits, ReadEntries::Dimmed, "round-10").await
    }

    async fn open_as(
        subscriptions: Vec<Subscription>,
        limits: Limits,
        read_entries: ReadEntries,
        screen: &str,
    ) -> Self {
        let milliseconds = Arc::new(AtomicI64::new(0));
        let read = Arc::clone(&milliseconds);
        let passed = move || SignedDuration::from_millis(read.load(Ordering::SeqCst));
        let clock = Clock::from_fn(move || start() + passed());
        let folder = tempfile::tempdir().expect("a folder can be made");
        let store = Store::open(folder.path(), &clock).await.expect("a store");
        let allowed = vec![Allowed::Host("127.0.0.1".to_owned())];
        let fetcher = Fetcher::new(Policy::new(allowed), limits).expect("a fetcher");
        let pool = Pool::new(2);
        let conductor = Conductor::new(
            store.clone(),
            fetcher,
            pool.clone(),
            clock.clone(),
            subscriptions,
            Shelves::default(),
        );
        conductor.subscribe().await.expect("subscriptions");
        let settings = Settings {
            time_zone: TimeZone::UTC,
            screen: screen.parse().expect("a screen"),
            hosts: vec![NAME.to_owned()],
            read_entries,
        };
        let web = Web::new(store.clone(), conductor.clone(), pool, clock, settings).expect("pages");
        let listener = loopback().await;
        let address = listener.local_addr().expect("an address");
        let stop = CancellationToken::new();
        tokio::spawn(web.serve(listener, stop.clone()));
        Self {
            store,
            conductor,
            base: Url::parse(&format!("http://{address}/")).expect("an address"),
            client: client(),
            milliseconds,
            _stop: stop.drop_guard(),
            _folder: folder,
        }
    }

    /// A household that has gathered the demo's town.
    pub async fn with_town() -> Self {
        Self::in_town(false).await
    }

    /// The same, with the town's groups, and with a look at the index before anything had come, so that all is new.
    pub async fn with_town_in_groups() -> Self {
        Self::in_town(true).await
    }

    async fn in_town(grouped: bool) -> Self {
        let publisher = loopback().await;
        let address = publisher.local_addr().expect("an address");
        let base = Url::parse(&format!("http://{address}/")).expect("an address");
        let feeds = town::subscriptions(&base);
        let subscriptions = feeds.into_iter().map(|feed| Subscription {
            group: grouped.then(|| feed.group.to_owned()),
            ..subscription(&feed.address)
        });
        let house = Self::open(subscriptions.collect()).await;
        if grouped {
            house.open_page("/round-10/").await;
        }
        let stop = CancellationToken::new();
        let _stop = stop.clone().drop_guard();
        tokio::spawn(town::publish(publisher, start(), stop));
        for report in house.pass().await {
            assert_eq!(report.fault, None, "{}", report.title);
            assert_eq!(report.warnings, [""; 0], "{}", report.title);
        }
        house
    }

    /// One pass over what is due; the reports in the order in which the feeds were done.
    pub async fn pass(&self) -> Vec<FeedReport> {
        let mut reports = Vec::new();
        let tell = |progress| {
            if let Progress::Done(report) = progress {
                reports.push(report);
            }
        };
        self.conductor.refresh_due(tell).await.expect("a pass");
        reports
    }

    /// Moves the clock on by so many minutes, [`A_DAY`] for one.
    pub fn pass_time(&self, minutes: i64) {
        self.milliseconds
            .fetch_add(60_000 * minutes, Ordering::SeqCst);
    }

    /// Moves the clock on by so many seconds.
    pub fn pass_seconds(&self, seconds: f64) {
        let passed = (1_000.0 * seconds) as i64;
        self.milliseconds.fetch_add(passed, Ordering::SeqCst);
    }

    /// Every article that the index lists, in its order.
    pub async fn articles(&self) -> Vec<StoredArticle> {
        let mut articles = Vec::new();
        for number in 0.. {
            let page = self.store.index(READER, number).await.expect("the index");
            for entry in &page.entries {
                let article = self
                    .store
                    .article(READER, entry.entry)
                    .await
                    .expect("the store");
                articles.push(article.expect("the index lists articles"));
            }
            if !page.has_more {
                break;
            }
        }
        articles
    }

    /// Asks for a page with no header of its own.
    pub async fn get(&self, path: &str) -> Answer {
        self.ask(Method::GET, path, &[]).await
    }

    /// Asks for a page as a browser does that a person sends there, and checks that it comes.
    pub async fn open_page(&self, path: &str) -> Answer {
        let answer = self
            .ask(Method::GET, path, &[("accept", "text/html,*/*;q=0.8")])
            .await;
        assert_eq!(answer.status, StatusCode::OK, "{path}");
        answer
    }

    /// Asks with headers; a redirect is an answer, and a compressed body stays so.
    pub async fn ask(&self, method: Method, path: &str, headers: &[(&str, &str)]) -> Answer {
        self.send(method, path, headers, "").await
    }

    /// Sends a form.
    pub async fn post(&self, path: &str, headers: &[(&str, &str)], form: &str) -> Answer {
        let kind = ("content-type", "application/x-www-form-urlencoded");
        let headers = [headers, &[kind]].concat();
        self.send(Method::POST, path, &headers, form).await
    }

    /// Taps a button of a page, and goes where that leads; the path of it.
    pub async fn tap(&self, button: &Button) -> String {
        let origin = self.origin();
        let headers = [("origin", origin.as_str())];
        let answer = self.post(&button.action, &headers, "").await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{button:?}");
        assert_eq!(answer.header("cache-control"), "no-store");
        answer.header("location").to_owned()
    }

    async fn send(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Answer {
        let address = format!("{}{path}", self.origin());
        let mut sent = HeaderMap::new();
        for (name, value) in headers {
            let name = HeaderName::from_bytes(name.as_bytes()).expect("a header's name");
            sent.append(
                name,
                HeaderValue::from_str(value).expect("a header's value"),
            );
        }
        let request = self
            .client
            .request(method, address)
            .headers(sent)
            .body(body.to_owned());
        let response = request.send().await.expect("an answer");
        Answer {
            status: response.status(),
            headers: response.headers().clone(),
            bytes: response.bytes().await.expect("a body").into(),
        }
    }

    /// The origin of the pages, as a browser writes it.
    pub fn origin(&self) -> String {
        self.base.origin().ascii_serialization()
    }
}

/// A subscription as a config names it with its address alone.
pub fn subscription(address: &Url) -> Subscription {
    Subscription {
        url: address.clone(),
        title: None,
        group: None,
        full_text: FullText::Auto,
        every_minutes: 60,
        headers: Vec::new(),
        shelf: Shelf::default(),
        outline: Vec::new(),
    }
}

/// A client that follows no redirect and opens nothing that is compressed.
pub fn client() -> Client {
    Client::builder()
        .no_proxy()
        .redirect(reqwest::redirect::Policy::none())
        .build()
        .expect("a client")
}

/// A listener on loopback at a free port.
pub async fn loopback() -> TcpListener {
    TcpListener::bind("127.0.0.1:0").await.expect("a free port")
}

/// When every test's clock starts.
pub fn start() -> Timestamp {
    "2031-04-01T06:00:00Z".parse().expect("an instant")
}
