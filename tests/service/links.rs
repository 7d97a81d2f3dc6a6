//! Links of articles followed by a tap: fetched, kept in the store, shown as discs; and what is said where that fails.

use std::sync::Arc;
use std::time::Duration;

use reqwest::{Method, StatusCode};
use tokio::sync::Semaphore;
use tondo::config::{FullText, Subscription};
use tondo::fetch::Limits;
use tondo::refresh::LINKS_AT_ONCE;
use tondo::store::READER;
use url::Url;

use super::house::{House, loopback, subscription};
use super::page::{Button, buttons, check_harmless, one_line, opening, rows, running_words};
use super::publisher::{Publisher, Reply, Written, atom};

const SENTENCE: &str = "The dredger came through the north gate on Monday, and by the evening flood \
    the channel was deep enough for the ferry again, as the harbour master said. ";

/// A page with an article of that title, whose last paragraph is this HTML.
fn page(title: &str, last: &str) -> String {
    let text = format!("<p>{}</p>", SENTENCE.repeat(3)).repeat(3);
    format!(
        "<!doctype html><html lang=\"en\"><head><title>{title}</title></head><body><article><h1>{title}</h1>\
         {text}<p>{SENTENCE}{last}</p></article></body></html>"
    )
}

/// The HTML of an article with links to these addresses.
fn linking(addresses: &[String]) -> String {
    let link =
        |(address, number)| format!("<p>{SENTENCE}<a href=\"{address}\">link {number}</a></p>");
    addresses.iter().zip(1..).map(link).collect()
}

/// A household with one article that links to these addresses, and the path of its links.
async fn with_links(
    publisher: &Publisher,
    addresses: &[String],
    limits: Limits,
) -> (House, String) {
    let entry = Written::new("ebb", &linking(addresses));
    let body = atom(&publisher.address("/"), "gazette", &[entry]);
    publisher.set("/feed", Reply::atom(body));
    let feed = Subscription {
        full_text: FullText::Never,
        ..subscription(&publisher.address("/feed"))
    };
    let house = House::open_with(vec![feed], limits).await;
    assert_eq!(house.pass().await[0].added, 1);
    publisher.take_asked();
    let entry = house.articles().await[0].entry;
    (house, format!("/round-10/{entry}/links"))
}

/// Taps a link; the path to which that leads.
async fn tap(house: &House, links: &str, number: usize) -> String {
    let button = Button {
        text: String::new(),
        action: format!("{links}/{number}"),
    };
    house.tap(&button).await
}

/// The running words of a page, and what its rows say that cannot be tapped, in one line.
fn told(html: &str) -> String {
    let document = dom_query::Document::from(html);
    let parts = document.select("section > :not(a):not(form)");
    let texts: Vec<String> = parts.iter().map(|part| one_line(&part.text())).collect();
    texts.join(" ")
}

fn names(html: &str) -> Vec<String> {
    rows(html).into_iter().map(|row| row.text).collect()
}

#[tokio::test]
async fn a_tap_on_a_link_shows_its_page_as_discs_and_the_next_one_shows_it_from_the_store() {
    let publisher = Publisher::start().await;
    let target = publisher.address("/slip").to_string();
    publisher.set("/slip", Reply::html(page("The slip", "")));
    let (house, links) = with_links(&publisher, &[target], Limits::default()).await;
    let button = buttons(&house.open_page(&links).await.text()).remove(0);
    assert_eq!(button.action, format!("{links}/1"));
    let article = house.tap(&button).await;
    let html = house.open_page(&article).await.text();
    check_harmless(&html, &article);
    assert!(
        opening(&html).starts_with("The slip\n127.0.0.1\n"),
        "{}",
        opening(&html)
    );
    let words = running_words(&html);
    let first: Vec<&str> = SENTENCE.split_whitespace().collect();
    assert_eq!(words[..first.len()], first[..]);
    assert!(buttons(&html)[0].text.starts_with("Keep"));
    assert_eq!(publisher.take_asked(), ["/slip"]);
    assert_eq!(house.tap(&button).await, article);
    let answer = house.get(&format!("{links}/1")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(answer.header("location"), article);
    assert_eq!(publisher.take_asked(), [""; 0]);
    // It is in no index and counts nowhere as unread.
    assert_eq!(house.articles().await.len(), 1);
    assert_eq!(
        house
            .store
            .counts(READER)
            .await
            .expect("the store")
            .articles,
        1
    );
}

#[tokio::test]
async fn links_of_a_page_that_a_link_led_to_are_followed_likewise() {
    let publisher = Publisher::start().await;
    let (first, second) = (publisher.address("/slip"), publisher.address("/crane"));
    let last = format!("<a href=\"{second}\">the crane</a>");
    publisher.set("/slip", Reply::html(page("The slip", &last)));
    publisher.set("/crane", Reply::html(page("The crane", "")));
    let (house, links) = with_links(&publisher, &[first.to_string()], Limits::default()).await;
    let slip = tap(&house, &links, 1).await;
    let crane = tap(&house, &format!("{slip}/links"), 1).await;
    let html = house.open_page(&crane).await.text();
    assert!(
        opening(&html).starts_with("The crane"),
        "{}",
        opening(&html)
    );
}

#[tokio::test]
async fn what_is_stored_already_opens_without_being_fetched() {
    let publisher = Publisher::start().await;
    let own = publisher.address("/page/ebb?utm_source=quay").to_string();
    let short = publisher.address("/s").to_string();
    let page_of = publisher.address("/slip");
    publisher.set("/s", Reply::status(302).with("Location", page_of.as_str()));
    publisher.set("/slip", Reply::html(page("The slip", "")));
    let targets = [own, short, page_of.to_string()];
    let (house, links) = with_links(&publisher, &targets, Limits::default()).await;
    assert_eq!(
        tap(&house, &links, 1).await,
        links.trim_end_matches("/links")
    );
    assert_eq!(publisher.take_asked(), [""; 0]);
    let slip = tap(&house, &links, 2).await;
    assert_eq!(publisher.take_asked(), ["/s", "/slip"]);
    assert_eq!(tap(&house, &links, 2).await, slip);
    assert_eq!(tap(&house, &links, 3).await, slip);
    assert_eq!(publisher.take_asked(), [""; 0]);
}

#[tokio::test]
async fn only_links_of_that_article_are_fetched_and_only_by_a_tap_here() {
    let publisher = Publisher::start().await;
    let target = publisher.address("/slip").to_string();
    let own = publisher.address("/page/ebb#notes").to_string();
    let mail = "mailto:harbour@quay.example".to_owned();
    publisher.set("/slip", Reply::html(page("The slip", "")));
    let targets = [target.clone(), own.clone(), mail.clone()];
    let (house, links) = with_links(&publisher, &targets, Limits::default()).await;
    let html = house.open_page(&links).await.text();
    assert_eq!(
        buttons(&html).len(),
        1,
        "what is no other page is not fetched"
    );
    let leaving: Vec<String> = rows(&html)
        .into_iter()
        .map(|row| row.href)
        .take(2)
        .collect();
    assert_eq!(leaving, [own, mail]);

    let origin = house.origin();
    let from_here = [("origin", origin.as_str())];
    let other = links.replace("/links", "1/links");
    for forged in [
        format!("{links}/0"),
        format!("{links}/2"),
        format!("{links}/3"),
        format!("{links}/4"),
        format!("{links}/-1"),
        format!("{links}/18446744073709551616"),
        format!("{links}/{}", target.replace('/', "%2F")),
        format!("{other}/1"),
        links.replace("round-10", "round-7") + "/1",
    ] {
        let form = format!("url={target}&address={target}");
        let answer = house.post(&forged, &from_here, &form).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{forged}");
        assert_eq!(
            house.get(&forged).await.status,
            StatusCode::NOT_FOUND,
            "{forged}"
        );
    }
    let elsewhere = [("origin", "http://elsewhere.example")];
    let tapped = format!("{links}/1");
    assert_eq!(
        house.post(&tapped, &elsewhere, "").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        house.post(&tapped, &[], "").await.status,
        StatusCode::FORBIDDEN
    );
    // Going there, or looking ahead, fetches nothing.
    let html = house.open_page(&tapped).await.text();
    assert!(told(&html).starts_with("Not fetched"), "{}", told(&html));
    assert_eq!(buttons(&html)[0].action, tapped);
    house.ask(Method::HEAD, &tapped, &[]).await;
    assert_eq!(publisher.take_asked(), [""; 0]);
}

#[tokio::test]
async fn each_fault_is_said_with_the_way_back_and_the_code_for_the_phone() {
    let publisher = Publisher::start().await;
    let closed = loopback().await.local_addr().expect("an address");
    let address = |path: &str| publisher.address(path).to_string();
    let list = "<li><a href=\"/a\">One link among many of this list</a></li>".repeat(40);
    publisher.set(
        "/to-private",
        Reply::status(302).with("Location", "http://10.0.0.1/"),
    );
    publisher.set("/round", Reply::status(302).with("Location", "/round"));
    publisher.set("/huge", Reply::html(vec![b'a'; 200_000]));
    publisher.set("/slow", Reply::Silence);
    publisher.set(
        "/broken",
        Reply::Short {
            body: Arc::new([60; 9]),
            missing: 9,
        },
    );
    publisher.set("/pdf", Reply::of("application/pdf", "%PDF-1.7"));
    publisher.set("/picture", Reply::of("Image/PNG; q=1", [137, 80, 78, 71]));
    publisher.set("/empty", Reply::html("<p>Hello.</p>"));
    publisher.set(
        "/list",
        Reply::html(format!("<html><body><ul>{list}</ul></body></html>")),
    );
    publisher.set("/fault", Reply::status(503));
    let expected = [
        ("http://10.0.0.1/".to_owned(), "No open address", false),
        ("http://127.0.0.2:1/".to_owned(), "No open address", false),
        ("http://[::1]:1/".to_owned(), "No open address", false),
        (address("/to-private"), "No open address", false),
        (format!("http://{closed}/"), "Not reached", true),
        (address("/round"), "Damaged", true),
        (address("/huge"), "Too large", false),
        (address("/slow"), "Too slow", true),
        (address("/broken"), "Damaged", true),
        (address("/pdf"), "A PDF", false),
        (address("/picture"), "A picture", false),
        (address("/empty"), "No article", false),
        (address("/list"), "No article", false),
        (address("/gone"), "Not there", true),
        (address("/fault"), "No page", true),
    ];
    let targets: Vec<String> = expected
        .iter()
        .map(|(address, ..)| address.clone())
        .collect();
    let limits = Limits {
        hop_timeout: Duration::from_millis(500),
        body_bytes: 100_000,
        ..Limits::default()
    };
    let (house, links) = with_links(&publisher, &targets, limits).await;
    for ((address, says, again), number) in expected.iter().zip(1..) {
        let mut path = tap(&house, &links, number).await;
        assert_eq!(path, format!("{links}/{number}"), "{address}");
        let mut html = house.open_page(&path).await.text();
        while told(&html).starts_with("Being fetched") {
            path.clone_from(&rows(&html)[0].href);
            html = house.open_page(&path).await.text();
        }
        assert!(told(&html).starts_with(says), "{address}: {}", told(&html));
        check_harmless(&html, &path);
        let tries: Vec<String> = buttons(&html)
            .into_iter()
            .map(|button| button.text)
            .collect();
        assert_eq!(tries, vec!["Try again"; usize::from(*again)], "{address}");
        assert_eq!(
            names(&html),
            [
                "To the phone",
                "Open it itself",
                "Back to the links",
                "Index"
            ]
        );
        let ways = rows(&html);
        assert_eq!(ways[1].href, *address);
        assert_eq!(ways[2].href, links);
        let code = house.open_page(&ways[0].href).await.text();
        assert!(code.contains("<img"), "{address}");
        let back = rows(&code);
        assert_eq!(
            (back[0].text.as_str(), back[0].href.as_str()),
            ("Back to the links", links.as_str())
        );
    }
    assert_eq!(house.articles().await.len(), 1);
    let stored = house.store.last_entry().await.expect("the store");
    assert_eq!(
        stored,
        house.articles().await[0].entry,
        "no fault is stored"
    );
}

#[tokio::test]
async fn a_page_that_takes_long_is_said_to_be_on_its_way_and_fetched_once() {
    let publisher = Publisher::start().await;
    let permits = Arc::new(Semaphore::new(0));
    let reply = Reply::html(page("The slip", ""));
    publisher.set("/slip", Reply::After(Arc::clone(&permits), Box::new(reply)));
    let target = publisher.address("/slip").to_string();
    let same = format!("{target}#top");
    let (house, links) = with_links(&publisher, &[target, same], Limits::default()).await;
    for number in [1, 2, 1] {
        let path = tap(&house, &links, number).await;
        assert_eq!(path, format!("{links}/{number}"));
        let answer = house.open_page(&path).await;
        assert_eq!(answer.header("cache-control"), "no-store");
        assert_eq!(answer.header("refresh"), "");
        let html = answer.text();
        assert!(!html.contains("http-equiv"));
        assert!(
            told(&html).starts_with("Being fetched127.0.0.1"),
            "{}",
            told(&html)
        );
        assert_eq!(names(&html), ["Look again", "Back to the links", "Index"]);
        assert_eq!(
            rows(&html)[0].href,
            path,
            "looking again takes the place of this page"
        );
    }
    assert_eq!(
        publisher.take_asked(),
        ["/slip"],
        "one request for all of them"
    );
    permits.add_permits(1);
    let article = loop {
        let path = tap(&house, &links, 1).await;
        if !path.starts_with(&links) {
            break path;
        }
    };
    let html = house.open_page(&article).await.text();
    assert!(opening(&html).starts_with("The slip"));
    assert_eq!(publisher.take_asked(), [""; 0]);
}

#[tokio::test]
async fn no_more_than_a_few_pages_are_fetched_at_once() {
    let publisher = Publisher::start().await;
    let permits = Arc::new(Semaphore::new(0));
    let paths: Vec<String> = (0..=LINKS_AT_ONCE)
        .map(|number| format!("/slip{number}"))
        .collect();
    for path in &paths {
        let reply = Box::new(Reply::html(page("The slip", "")));
        publisher.set(path, Reply::After(Arc::clone(&permits), reply));
    }
    let targets: Vec<String> = paths
        .iter()
        .map(|path| publisher.address(path).to_string())
        .collect();
    let (house, links) = with_links(&publisher, &targets, Limits::default()).await;
    for number in 1..=LINKS_AT_ONCE {
        tap(&house, &links, number).await;
    }
    let path = tap(&house, &links, LINKS_AT_ONCE + 1).await;
    let html = house.open_page(&path).await.text();
    assert!(
        told(&html).starts_with("Too many at once"),
        "{}",
        told(&html)
    );
    permits.add_permits(LINKS_AT_ONCE + 1);
    let again = buttons(&html).remove(0);
    while house.tap(&again).await.starts_with(&links) {}
}

#[tokio::test]
async fn a_long_address_of_a_link_has_a_short_way_at_home() {
    let publisher = Publisher::start().await;
    let long = format!("https://quay.example/{}", "a".repeat(300));
    let (house, links) =
        with_links(&publisher, std::slice::from_ref(&long), Limits::default()).await;
    let code = house.open_page(&format!("{links}/1/hand")).await.text();
    assert!(code.contains("/1/hand/short-"), "{code}");
    let entry = links.split('/').nth(2).expect("an entry");
    let answer = house.get(&format!("/H/{entry}/1")).await;
    assert_eq!(answer.status, StatusCode::FOUND);
    assert_eq!(
        answer.header("location"),
        Url::parse(&long).expect("an address").as_str()
    );
    for other in [
        format!("/H/{entry}/2"),
        format!("/H/{entry}/0"),
        "/H/99/1".to_owned(),
    ] {
        assert_eq!(
            house.get(&other).await.status,
            StatusCode::NOT_FOUND,
            "{other}"
        );
    }
}

#[tokio::test]
async fn what_is_kept_stands_in_a_list_of_its_own_pages_of_links_among_it() {
    let publisher = Publisher::start().await;
    let target = publisher.address("/slip").to_string();
    publisher.set("/slip", Reply::html(page("The slip", "")));
    let (house, links) = with_links(&publisher, &[target], Limits::default()).await;
    let has_row = |html: &str| {
        rows(html)
            .into_iter()
            .find(|row| row.text.starts_with("Kept"))
    };
    assert_eq!(has_row(&house.open_page("/round-10/").await.text()), None);
    let slip = tap(&house, &links, 1).await;
    let own = links.trim_end_matches("/links").to_owned();
    let origin = house.origin();
    for (path, minutes) in [(&slip, 1), (&own, 2)] {
        house.pass_time(minutes);
        let kept = house
            .post(&format!("{path}/keep"), &[("origin", &origin)], "")
            .await;
        assert_eq!(kept.status, StatusCode::SEE_OTHER);
    }
    let row = has_row(&house.open_page("/round-10/").await.text()).expect("a row");
    assert_eq!(
        (row.text.as_str(), row.href.as_str()),
        ("Kept | 2 articles", "/round-10/kept")
    );
    let answer = house.open_page(&row.href).await;
    assert_eq!(answer.header("cache-control"), "no-store");
    let listed = rows(&answer.text());
    let hrefs: Vec<&str> = listed.iter().map(|row| row.href.as_str()).collect();
    assert_eq!(hrefs, [own.as_str(), slip.as_str(), "/round-10/"]);
    assert!(
        listed[1].text.starts_with("The slip | "),
        "{}",
        listed[1].text
    );
    for path in [&slip, &own] {
        house
            .post(&format!("{path}/let-go"), &[("origin", &origin)], "")
            .await;
    }
    assert_eq!(has_row(&house.open_page("/round-10/").await.text()), None);
    let none = house.open_page("/round-10/kept").await.text();
    assert!(told(&none).starts_with("Nothing kept"), "{}", told(&none));
    // A page that was there until its articles were let go leads to the first.
    let emptied = house.get("/round-10/kept/1").await;
    assert_eq!(emptied.status, StatusCode::SEE_OTHER);
    assert_eq!(emptied.header("location"), "/round-10/kept");
}
