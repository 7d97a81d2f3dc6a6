//! The index and the way through it: what is new, what was opened, what comes next.

use std::collections::HashSet;

use reqwest::{Method, StatusCode};
use tondo::config::Subscription;
use tondo::store::ENTRIES_A_PAGE;

use super::house::{A_DAY, House, start, subscription};
use super::page::{Row, buttons, entry_rows, one_line, opening, rows, running_parts};
use super::publisher::{Publisher, Reply, Written, atom};

/// An entry's name, and how many hours it had appeared before the clock's start.
type Dated<'a> = (&'a str, i64);

fn feed(publisher: &Publisher, title: &str, entries: &[Dated]) -> Subscription {
    let written = entries.iter().map(|(name, hours)| Written {
        updated: (start() - jiff::SignedDuration::from_hours(*hours)).to_string(),
        ..Written::new(
            name,
            "<p>The tide turned at noon, and the ferry with it.</p>",
        )
    });
    let written: Vec<Written> = written.collect();
    let body = atom(&publisher.address("/"), title, &written);
    let path = format!("/{title}");
    publisher.set(&path, Reply::atom(body));
    Subscription {
        full_text: tondo::config::FullText::Never,
        ..subscription(&publisher.address(&path))
    }
}

/// A household that has read three entries of one feed, the newest called `one`.
async fn with_three() -> House {
    let publisher = Publisher::start().await;
    let entries = [("three", 9), ("one", 2), ("two", 5)];
    let house = House::open(vec![feed(&publisher, "gazette", &entries)]).await;
    assert_eq!(house.pass().await[0].added, 3);
    house
}

async fn index(house: &House, path: &str) -> Vec<Row> {
    entry_rows(&house.open_page(path).await.text())
}

/// Which entries of the index are shown as opened.
async fn seen(house: &House) -> Vec<bool> {
    let rows = index(house, "/round-10/").await;
    rows.iter().map(|row| row.seen).collect()
}

#[tokio::test]
async fn the_index_says_title_time_length_and_source_newest_first() {
    let house = with_three().await;
    let rows = index(&house, "/round-10/").await;
    let texts: Vec<&str> = rows.iter().map(|row| row.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "Of one | 1 Apr 04:00 · 1 min | gazette",
            "Of two | 1 Apr 01:00 · 1 min | gazette",
            "Of three | 31 Mar 21:00 · 1 min | gazette",
        ]
    );
}

#[tokio::test]
async fn going_to_an_article_dims_it_in_the_index_and_looking_ahead_does_not() {
    let house = with_three().await;
    let rows = index(&house, "/round-10/").await;
    let first = rows[0].href.as_str();
    for headers in [
        &[][..],
        &[("accept", "*/*")],
        &[("accept", "text/html"), ("purpose", "prefetch")],
        &[
            ("accept", "text/html"),
            ("sec-purpose", "prefetch;prerender"),
        ],
        &[
            ("accept", "text/html"),
            ("sec-fetch-mode", "no-cors"),
            ("sec-fetch-dest", "image"),
        ],
        &[
            ("accept", "text/html"),
            ("sec-fetch-mode", "navigate"),
            ("sec-fetch-dest", "iframe"),
        ],
    ] {
        let answer = house.ask(Method::GET, first, headers).await;
        assert_eq!(answer.status, StatusCode::OK);
        assert_eq!(seen(&house).await, [false; 3], "{headers:?}");
    }
    let going = [
        ("sec-fetch-mode", "navigate"),
        ("sec-fetch-dest", "document"),
    ];
    house.ask(Method::GET, first, &going).await;
    assert_eq!(seen(&house).await, [true, false, false]);
    // Asking for a page's headers alone is no reading of it.
    let takes = [("accept", "text/html")];
    house.ask(Method::HEAD, &rows[2].href, &takes).await;
    assert_eq!(seen(&house).await, [true, false, false]);
    // On plain HTTP in the home network a browser sends no more than what it takes.
    house.open_page(&rows[2].href).await;
    assert_eq!(seen(&house).await, [true, false, true]);
    // Another look changes nothing, and no other page counts as the article.
    house.open_page(&format!("{}/links", rows[1].href)).await;
    house.open_page(first).await;
    assert_eq!(seen(&house).await, [true, false, true]);
}

#[tokio::test]
async fn a_page_that_the_browser_has_still_counts_as_opened() {
    let house = with_three().await;
    let first = index(&house, "/round-10/").await.remove(0).href;
    let ahead = house.get(&first).await;
    let headers = [
        ("accept", "text/html"),
        ("if-none-match", ahead.header("etag")),
    ];
    let answer = house.ask(Method::GET, &first, &headers).await;
    assert_eq!(answer.status, StatusCode::NOT_MODIFIED);
    assert_eq!(seen(&house).await, [true, false, false]);
}

#[tokio::test]
async fn next_leads_through_all_that_was_not_opened_and_then_to_the_index() {
    let house = with_three().await;
    let rows = index(&house, "/round-8/").await;
    house.open_page(&rows[1].href).await;
    let mut at = rows[0].href.clone();
    let mut way = Vec::new();
    while at != "/round-8/" {
        let html = house.open_page(&at).await.text();
        way.push(at);
        assert!(way.len() <= rows.len(), "{way:?}");
        let controls = super::page::rows(&html);
        let next = controls.iter().find(|row| row.text == "Next");
        let next = house.get(&next.expect("a way on").href).await;
        assert_eq!(next.status, StatusCode::SEE_OTHER);
        assert_eq!(next.header("cache-control"), "no-store");
        at = next.header("location").to_owned();
    }
    assert_eq!(way, [rows[0].href.as_str(), rows[2].href.as_str()]);
}

#[tokio::test]
async fn an_article_ends_in_original_handing_over_links_next_and_index() {
    let publisher = Publisher::start().await;
    let content = "<p>See <a href=\"https://tides.example.org/table\">the table</a>.</p>";
    let base = publisher.address("/");
    let body = atom(
        &base,
        "gazette",
        &[Written::new("ebb", &content.repeat(30))],
    );
    publisher.set("/feed", Reply::atom(body));
    let house = House::open(vec![subscription(&publisher.address("/feed"))]).await;
    house.pass().await;
    let article = index(&house, "/round-10/").await.remove(0).href;
    let controls = rows(&house.open_page(&article).await.text());
    let named: Vec<&str> = controls
        .iter()
        .map(|row| row.text.split(" | ").next().unwrap_or_default())
        .collect();
    assert_eq!(
        named,
        ["Original", "To the phone", "Links", "Next", "Index"]
    );
    assert_eq!(controls[0].href, publisher.address("/page/ebb").as_str());
    let page = house.open_page(&controls[2].href).await.text();
    let links = buttons(&page);
    assert_eq!(links[0].action, format!("{}/1", controls[2].href));
    assert_eq!(links[0].text, "the table | tides.example.org/table");
    let links = rows(&page);
    let back: Vec<&str> = links.iter().map(|row| row.href.as_str()).collect();
    assert_eq!(back, [article.as_str(), "/round-10/"]);
}

#[tokio::test]
async fn a_page_of_the_index_has_24_entries_and_no_feed_floods_it() {
    let publisher = Publisher::start().await;
    let names: Vec<String> = (0..60).map(|number| format!("gull{number}")).collect();
    // Every one of the chatty feed's is newer than any of the others'.
    let chatty: Vec<Dated> = names.iter().map(String::as_str).zip(0..).collect();
    let quiet = [("ebb", 100), ("flow", 130)];
    let calm = [("lamp", 110), ("rope", 120)];
    let house = House::open(vec![
        feed(&publisher, "chatty", &chatty),
        feed(&publisher, "quiet", &quiet),
        feed(&publisher, "calm", &calm),
    ])
    .await;
    // A pass takes so many entries of a feed at most, the next one takes the rest.
    house.pass().await;
    house.pass_time(A_DAY);
    house.pass().await;
    let mut path = "/round-10/".to_owned();
    let mut pages: Vec<Vec<Row>> = Vec::new();
    loop {
        let html = house.open_page(&path).await.text();
        pages.push(entry_rows(&html));
        let controls = rows(&html);
        let newest = controls.iter().find(|row| row.text.starts_with("Newest"));
        assert_eq!(newest.is_some(), pages.len() > 1);
        match controls.iter().find(|row| row.text.starts_with("Older")) {
            Some(older) => path = older.href.clone(),
            None => break,
        }
    }
    let counts: Vec<usize> = pages.iter().map(Vec::len).collect();
    assert_eq!(counts, [ENTRIES_A_PAGE, ENTRIES_A_PAGE, 16]);
    let of = |row: &&Row, source: &str| row.text.ends_with(source);
    for source in ["quiet", "calm"] {
        let found = pages[0].iter().filter(|row| of(row, source)).count();
        assert_eq!(found, 2, "{source}");
    }
    let all: HashSet<&str> = pages
        .iter()
        .flatten()
        .map(|row| row.href.as_str())
        .collect();
    assert_eq!(all.len(), 64);
    let titles = |page: &[Row]| -> Vec<String> {
        let title = |row: &Row| row.text.split(" | ").next().unwrap_or_default().to_owned();
        page.iter().map(title).collect()
    };
    let mut wanted: Vec<String> = (0..20).map(|number| format!("Of gull{number}")).collect();
    wanted.extend(["ebb", "lamp", "rope", "flow"].map(|name| format!("Of {name}")));
    assert_eq!(titles(&pages[0]), wanted);
}

#[tokio::test]
async fn a_failing_feed_is_said_in_a_line_of_the_index_until_it_answers_again() {
    let publisher = Publisher::start().await;
    let entries = [("ebb", 2)];
    let house = House::open(vec![
        feed(&publisher, "gazette", &entries),
        feed(&publisher, "anglers", &[("conger", 3)]),
    ])
    .await;
    house.pass().await;
    assert_eq!(index(&house, "/round-10/").await.len(), 2);
    let notices = async || running_parts(&house.open_page("/round-10/").await.text());
    assert_eq!(notices().await, [""; 0]);
    house.pass_time(A_DAY);
    publisher.set("/gazette", Reply::status(500));
    house.pass().await;
    let said: Vec<String> = notices().await.iter().map(|said| one_line(said)).collect();
    assert_eq!(said, ["gazette: no answer since 2 Apr 06:40"]);
    assert_eq!(index(&house, "/round-10/").await.len(), 2);
    house.pass_time(A_DAY);
    feed(&publisher, "gazette", &entries);
    house.pass().await;
    assert_eq!(notices().await, [""; 0]);
}

#[tokio::test]
async fn an_entry_that_was_edited_says_so_to_who_has_read_it() {
    let publisher = Publisher::start().await;
    let house = House::open(vec![
        feed(&publisher, "gazette", &[("ebb", 2)]),
        feed(&publisher, "anglers", &[("conger", 3)]),
    ])
    .await;
    house.pass().await;
    let rows = index(&house, "/round-10/").await;
    for row in &rows {
        house.open_page(&row.href).await;
    }
    // Left at once, none of them is begun.
    index(&house, "/round-10/").await;
    let edited = Written {
        updated: "2031-04-01T04:00:00Z".to_owned(),
        ..Written::new("ebb", "<p>The tide turns at one, not at noon.</p>")
    };
    let body = atom(&publisher.address("/"), "gazette", &[edited]);
    publisher.set("/gazette", Reply::atom(body));
    house.pass_time(A_DAY);
    assert_eq!(
        house
            .pass()
            .await
            .iter()
            .map(|report| report.changed)
            .sum::<u32>(),
        1
    );
    let again = index(&house, "/round-10/").await;
    assert_eq!(again[0].text, "Of ebb | Changed 2 Apr 06:40 | gazette");
    assert_eq!((again[0].seen, again[1].seen), (false, true));
    assert_eq!(again[0].href, rows[0].href);
    let says_so = async |path: &str| {
        let opening = opening(&house.open_page(path).await.text());
        opening.lines().nth(1) == Some("Changed since you read it")
    };
    assert!(!says_so(&rows[1].href).await, "it is as it was");
    assert!(says_so(&rows[0].href).await);
    assert!(!says_so(&rows[0].href).await, "it has been read again");
    assert!(index(&house, "/round-10/").await[0].seen);
}

#[tokio::test]
async fn a_page_that_two_feeds_link_to_is_one_row() {
    let publisher = Publisher::start().await;
    let page = publisher.address("/page/ebb?utm_source=anglers&utm_medium=feed");
    let house = House::open(vec![
        feed(&publisher, "gazette", &[("ebb", 2), ("flow", 4)]),
        feed(&publisher, "anglers", &[("conger", 3)]),
    ])
    .await;
    let body = atom(
        &publisher.address("/"),
        "anglers",
        &[Written::new("ebb", "<p>Read this.</p>")],
    );
    let own = publisher.address("/page/ebb");
    publisher.set(
        "/anglers",
        Reply::atom(body.replace(own.as_str(), &page.as_str().replace('&', "&amp;"))),
    );
    let added: u32 = house.pass().await.iter().map(|report| report.added).sum();
    assert_eq!(added, 3);
    let rows = index(&house, "/round-10/").await;
    let texts: Vec<&str> = rows.iter().map(|row| row.text.as_str()).collect();
    // The longer of the two tellings stands for both.
    let expected = [
        "Of ebb | 1 Apr 04:00 · 1 min | gazette and 1 more",
        "Of flow | 1 Apr 02:00 · 1 min | gazette",
    ];
    assert_eq!(texts, expected);
    house.open_page(&rows[0].href).await;
    let next = house
        .get(&rows[0].href.replace("/round-10/", "/round-10/after/"))
        .await;
    assert_eq!(next.header("location"), rows[1].href);
}

#[tokio::test]
async fn an_index_without_entries_says_what_to_do() {
    let house = House::open(Vec::new()).await;
    let html = house.open_page("/round-10/").await.text();
    let text = one_line(&running_parts(&html).join(" "));
    assert!(text.starts_with("Nothing to read yet The first"), "{text}");
    assert!(text.ends_with("Open this page again then."), "{text}");
}
