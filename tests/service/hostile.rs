//! A publisher that sends what it should not: it is named, hinders nobody, and costs nothing that
//! was stored. `odd.rs` has the feeds that are well formed and hold odd things.

use std::io::Write;
use std::time::Duration;

use flate2::Compression;
use flate2::write::GzEncoder;
use reqwest::StatusCode;
use tondo::fetch::Limits;
use tondo::refresh::FeedReport;

use super::house::{A_DAY, House, SCREENS, subscription};
use super::page::{entry_rows, one_line, running_parts};
use super::publisher::{Publisher, Reply, Written, atom};

/// What a feed is answered with, under a name, and what its fault says: what is wrong, and what is
/// to be done or will be.
struct Bad {
    name: &'static str,
    reply: Reply,
    wrong: &'static str,
    mend: &'static str,
}

fn bad(name: &'static str, reply: Reply, wrong: &'static str, mend: &'static str) -> Bad {
    Bad {
        name,
        reply,
        wrong,
        mend,
    }
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).expect("memory takes it");
    encoder.finish().expect("memory takes it")
}

/// XML of so many elements, each in the one before, in a feed.
fn nested_feed(depth: usize) -> String {
    let (open, close) = ("<a>".repeat(depth), "</a>".repeat(depth));
    format!("<rss version=\"2.0\"><channel><title>well</title>{open}{close}</channel></rss>")
}

fn all_bad(good: &str) -> Vec<Bad> {
    let xml = "application/rss+xml";
    let half = good.as_bytes()[..good.len() / 2].into();
    let page = "<!DOCTYPE html><html><body><p>Under repair</p></body></html>";
    let bomb = Reply::of(xml, gzip(&vec![b' '; 64 << 20])).with("Content-Encoding", "gzip");
    let junk = Reply::of(xml, "no gzip at all").with("Content-Encoding", "gzip");
    let brackets = "[".repeat(100_000);
    vec![
        bad("page", Reply::html(page), "not a feed", "give the address"),
        bad(
            "words",
            Reply::of(xml, "Under repair"),
            "not a feed",
            "look at its address",
        ),
        bad("empty", Reply::of(xml, ""), "empty", "mend"),
        bad("fault", Reply::status(500), "status 500", "tried again"),
        bad("absent", Reply::status(404), "status 404", "config"),
        bad("closed", Reply::Closed, "127.0.0.1", "tried again"),
        bad(
            "short",
            Reply::Short {
                body: half,
                missing: good.len() / 2,
            },
            "damaged",
            "tried again",
        ),
        bad(
            "large",
            Reply::of(xml, vec![b'<'; 50_000_000]),
            "cap",
            "not read",
        ),
        bad("bomb", bomb, "cap", "not read"),
        bad("junk", junk, "damaged", "tried again"),
        bad(
            "well",
            Reply::of(xml, nested_feed(100_000)),
            "deep",
            "report",
        ),
        bad(
            "brackets",
            Reply::of("application/feed+json", brackets),
            "not a feed",
            "look at its address",
        ),
    ]
}

/// A feed with an entry of that name and, once more is wanted, one more.
fn good(publisher: &Publisher, name: &str, more: bool) -> String {
    let content = format!("<p>The {name} came in with the tide.</p>").repeat(30);
    let mut entries = vec![Written::new(name, &content)];
    if more {
        entries.push(Written::new(&format!("{name}-again"), &content));
    }
    atom(
        &publisher.address("/"),
        &format!("Post of {name}"),
        &entries,
    )
}

fn report<'a>(reports: &'a [FeedReport], name: &str) -> &'a FeedReport {
    let path = format!("/feed/{name}");
    let found = reports
        .iter()
        .find(|report| report.address.ends_with(&path));
    found.expect("every feed has a report")
}

fn check_fault(report: &FeedReport, bad: &Bad) {
    let fault = report.fault.as_deref().unwrap_or_default();
    assert!(!fault.is_empty(), "{} has no fault", bad.name);
    for said in [bad.wrong, bad.mend] {
        assert!(fault.contains(said), "{}: {fault}", bad.name);
    }
}

/// The pages of all articles at all sizes, by path.
async fn pages(house: &House) -> Vec<(String, Vec<u8>)> {
    let mut pages = Vec::new();
    for article in house.articles().await {
        for screen in SCREENS {
            let path = format!("/{screen}/{}", article.entry);
            let answer = house.get(&path).await;
            assert_eq!(answer.status, StatusCode::OK, "{path}");
            pages.push((path, answer.bytes));
        }
    }
    pages.sort();
    pages
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_feed_that_turns_bad_is_named_and_what_was_stored_is_served_as_before() {
    let publisher = Publisher::start().await;
    let bads = all_bad(&good(&publisher, "half", false));
    let names = || bads.iter().map(|bad| bad.name).chain(["good"]);
    for name in names() {
        let body = good(&publisher, name, false);
        publisher.set(&format!("/feed/{name}"), Reply::atom(body));
    }
    let feeds = names().map(|name| subscription(&publisher.address(&format!("/feed/{name}"))));
    let house = House::open(feeds.collect()).await;
    for report in house.pass().await {
        assert_eq!((report.fault, report.added), (None, 1), "{}", report.title);
    }
    let before = pages(&house).await;
    assert_eq!(before.len(), SCREENS.len() * names().count());

    for bad in &bads {
        publisher.set(&format!("/feed/{}", bad.name), bad.reply.clone());
    }
    publisher.set("/feed/good", Reply::atom(good(&publisher, "good", true)));
    house.pass_time(A_DAY);
    let reports = house.pass().await;
    assert_eq!(reports.len(), names().count());
    for bad in &bads {
        check_fault(report(&reports, bad.name), bad);
    }
    let well = report(&reports, "good");
    assert_eq!((&well.fault, well.added), (&None, 1));

    let after = pages(&house).await;
    assert_eq!(after.len(), before.len() + SCREENS.len());
    for page in &before {
        assert!(after.contains(page), "{} is not as before", page.0);
    }
    let html = house.open_page("/round-10/").await.text();
    assert_eq!(entry_rows(&html).len(), bads.len() + 2);
    let said = one_line(&running_parts(&html).join(" "));
    for bad in &bads {
        let line = format!("Post of {}: no answer since", bad.name);
        assert!(said.contains(&line), "{line} is not in {said}");
    }
    assert!(!said.contains("Post of good"), "{said}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_feed_that_is_bad_from_the_first_hinders_no_other() {
    let publisher = Publisher::start().await;
    let bads = all_bad(&good(&publisher, "half", false));
    let mut feeds = Vec::new();
    for bad in &bads {
        let path = format!("/feed/{}", bad.name);
        publisher.set(&path, bad.reply.clone());
        feeds.push(subscription(&publisher.address(&path)));
    }
    publisher.set("/feed/good", Reply::atom(good(&publisher, "good", true)));
    feeds.push(subscription(&publisher.address("/feed/good")));
    let house = House::open(feeds).await;
    let reports = house.pass().await;
    for bad in &bads {
        check_fault(report(&reports, bad.name), bad);
    }
    assert_eq!(report(&reports, "good").added, 2);
    let titles: Vec<String> = house
        .articles()
        .await
        .into_iter()
        .map(|article| article.title)
        .collect();
    assert_eq!(titles.len(), 2, "{titles:?}");
    house.open_page("/round-6/").await;
}

#[tokio::test]
async fn a_feed_that_says_nothing_is_given_up() {
    let publisher = Publisher::start().await;
    publisher.set("/feed/mute", Reply::Silence);
    publisher.set("/feed/good", Reply::atom(good(&publisher, "good", false)));
    let limits = Limits {
        hop_timeout: Duration::from_secs(1),
        ..Limits::default()
    };
    let feeds =
        ["mute", "good"].map(|name| subscription(&publisher.address(&format!("/feed/{name}"))));
    let house = House::open_with(feeds.into(), limits).await;
    let reports = house.pass().await;
    let mute = bad(
        "mute",
        Reply::Silence,
        "did not finish its answer",
        "tried again",
    );
    check_fault(report(&reports, "mute"), &mute);
    assert_eq!(report(&reports, "good").added, 1);
}
