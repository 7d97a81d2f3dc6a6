//! Checks of how entries become articles: web pages, and a better distiller.

use super::*;
use crate::distil::block::{BlockKind, Run};
use crate::distil::language::{Direction, Language};
use crate::distil::{Article, DISTILLER_VERSION, Source};
use crate::store::sample::{found, outcome};
use crate::store::{Distilled, Place};

#[tokio::test]
async fn a_teaser_gets_the_text_of_its_page() {
    for rule in [FullText::Auto, FullText::Always] {
        let house = House::with(|subscription| subscription.full_text = rule).await;
        let teaser = [("barque", "<p>A barque came in …</p>")];
        house
            .server
            .set("/feed", Reply::feed(&atom(&house.server, &teaser)));
        house.server.set(
            "/page/barque",
            Reply::ok("text/html; charset=utf-8", &page("barque")),
        );
        let report = house.pass().await.remove(0);
        assert_eq!((report.added, report.fault), (1, None));
        assert_eq!(house.server.take_paths(), ["/feed", "/page/barque"]);
        let text = house.text("barque").await;
        assert_eq!(
            text.matches("The barque came in with the tide").count(),
            8,
            "{text}"
        );
        assert!(!text.contains("Start"), "{text}");
        house.later().await;
        assert_eq!(
            house.server.take_paths(),
            ["/feed"],
            "what is known is not fetched again"
        );
    }
}

/// A page that leads to another as the next.
fn leading(word: &str, next: &str) -> Reply {
    let html = page(word).replace(
        "</body>",
        &format!("<a rel=next href='{next}'>on</a></body>"),
    );
    assert!(html.contains(next));
    Reply::ok("text/html; charset=utf-8", &html)
}

/// A household with an entry whose page leads to a second part, which is not there yet.
async fn with_a_second_part() -> House {
    let house = House::with(|subscription| subscription.full_text = FullText::Always).await;
    let teaser = [("ebb", "<p>An ebb came in …</p>")];
    house
        .server
        .set("/feed", Reply::feed(&atom(&house.server, &teaser)));
    house.server.set("/page/ebb", leading("ebb", "/page/ebb/2"));
    house
}

#[tokio::test]
async fn an_article_over_several_pages_is_followed_to_its_end_or_to_the_cap() {
    let house = with_a_second_part().await;
    for part in 2..=9 {
        let next = format!("/page/ebb/{}", part + 1);
        let word = format!("part{part}");
        house
            .server
            .set(&format!("/page/ebb/{part}"), leading(&word, &next));
    }
    let report = house.pass().await.remove(0);
    let mut expected = vec!["/feed".to_owned(), "/page/ebb".to_owned()];
    expected.extend((2..=8).map(|part| format!("/page/ebb/{part}")));
    assert_eq!(house.server.take_paths(), expected);
    let text = house.text("ebb").await;
    assert!(text.contains("The ebb came in") && text.contains("The part8 came in"));
    assert!(!text.contains("part9"));
    assert!(
        report.warnings[0].contains("goes on at"),
        "{:?}",
        report.warnings
    );
}

#[tokio::test]
async fn a_part_that_fails_is_asked_for_again_and_the_others_are_shown_meanwhile() {
    let house = with_a_second_part().await;
    house.server.set("/page/ebb/2", Reply::status(503));
    let report = house.pass().await.remove(0);
    assert!(
        report.warnings[0].contains("status 503"),
        "{:?}",
        report.warnings
    );
    assert!(house.text("ebb").await.contains("The ebb came in"));
    house.server.take_paths();
    // It leads back to the first page, which is not asked for again.
    house
        .server
        .set("/page/ebb/2", leading("flow", "/page/ebb"));
    house.later().await;
    assert_eq!(
        house.server.take_paths(),
        ["/feed", "/page/ebb", "/page/ebb/2"]
    );
    assert!(house.text("ebb").await.contains("The flow came in"));
}

#[tokio::test]
async fn a_page_that_is_not_there_leaves_the_teaser_and_is_not_asked_for_again() {
    let replies = [
        (Reply::status(404), "status 404"),
        (Reply::status(410), "status 410"),
        (Reply::ok("application/pdf", "%PDF"), "application/pdf"),
    ];
    for (reply, expected) in replies {
        let house = House::with(|subscription| subscription.full_text = FullText::Always).await;
        house.server.set(
            "/feed",
            Reply::feed(&atom(&house.server, &[("ebb", "<p>Teaser.</p>")])),
        );
        house.server.set("/page/ebb", reply);
        let report = house.pass().await.remove(0);
        assert!(
            report.warnings[0].starts_with("“ebb”: "),
            "{:?}",
            report.warnings
        );
        assert!(
            report.warnings[0].contains(expected),
            "{:?}",
            report.warnings
        );
        assert_eq!(house.text("ebb").await, "Teaser.");
        house.server.take_paths();
        assert!(house.later().await.unchanged);
        assert_eq!(house.server.take_paths(), ["/feed"]);
    }
}

#[tokio::test]
async fn a_page_that_fails_is_tried_again_although_the_feed_is_unchanged() {
    let house = House::with(|subscription| subscription.full_text = FullText::Always).await;
    let body = atom(&house.server, &[("barque", "<p>Teaser.</p>")]);
    house
        .server
        .set("/feed", Reply::feed(&body).with("ETag", b"\"1\""));
    house.server.set("/page/barque", Reply::status(503));
    let report = house.pass().await.remove(0);
    assert!(
        report.warnings[0].contains("status 503"),
        "{:?}",
        report.warnings
    );
    assert_eq!(house.text("barque").await, "Teaser.");
    let entry = house.article("barque").await.entry;
    house
        .server
        .set("/page/barque", Reply::ok("text/html", &page("barque")));
    assert_eq!(house.later().await.changed, 1);
    assert!(house.text("barque").await.contains("came in with the tide"));
    assert_eq!(house.article("barque").await.entry, entry);
    assert!(house.later().await.unchanged);
}

#[tokio::test]
async fn a_page_that_always_fails_is_given_up_after_five_tries() {
    let house = House::with(|subscription| subscription.full_text = FullText::Always).await;
    house.server.set(
        "/feed",
        Reply::feed(&atom(&house.server, &[("ebb", "<p>Teaser.</p>")])),
    );
    house.server.set("/page/ebb", Reply::status(500));
    house.pass().await;
    for _ in 0..6 {
        house.later().await;
    }
    let paths = house.server.take_paths();
    assert_eq!(paths.iter().filter(|path| *path == "/page/ebb").count(), 5);
    assert_eq!(paths.iter().filter(|path| *path == "/feed").count(), 7);
}

#[tokio::test]
async fn a_visit_whose_time_is_up_leaves_the_rest_to_the_next_ones() {
    let mut house = House::with(|subscription| subscription.full_text = FullText::Always).await;
    house.conductor.entries_budget = Duration::ZERO;
    let names = ["ebb", "flow", "slack"];
    let body = atom(&house.server, &names.map(|name| (name, "<p>Teaser.</p>")));
    let reply = Reply::feed(&body).with("ETag", b"\"1\"");
    house.server.set(
        "/feed",
        Reply {
            conditional: true,
            ..reply
        },
    );
    house.server.set("/page/ebb", Reply::status(503));
    let report = house.pass().await.remove(0);
    assert_eq!(report.added, 1);
    let told = |warning: &String| warning.starts_with("2 more entries are new");
    assert!(report.warnings.iter().any(told), "{:?}", report.warnings);
    for name in names {
        let reply = Reply::ok("text/html", &page("barque"));
        house.server.set(&format!("/page/{name}"), reply);
    }
    for _ in 0..3 {
        let report = house.later().await;
        assert_eq!(report.added + report.changed, 1);
    }
    assert!(house.later().await.unchanged);
    // The page that failed is asked for again once no other entry waits.
    let mut paths = house.server.take_paths();
    paths.retain(|path| path != "/feed");
    assert_eq!(
        paths,
        ["/page/ebb", "/page/flow", "/page/slack", "/page/ebb"]
    );
}

#[tokio::test]
async fn a_better_distiller_reaches_old_articles_and_keeps_marks_and_places() {
    let house = House::new().await;
    let store = &house.bench.store;
    let poor = Article {
        title: "Poor".to_owned(),
        authors: Vec::new(),
        published: None,
        language: Language::unknown(),
        direction: Direction::Ltr,
        blocks: vec![Block {
            kind: BlockKind::Paragraph,
            runs: vec![Run {
                text: "poor".to_owned(),
                ..Run::default()
            }],
            language: Language::unknown(),
            direction: Direction::Ltr,
        }],
        links: Vec::new(),
        words: 1,
    };
    let source = Source {
        address: None,
        base: house.server.url("/feed"),
        title: Some("Rich".to_owned()),
        authors: Vec::new(),
        declared_language: None,
        content: Some("<p>Low water at dawn.</p>".to_owned()),
        page: None,
        further: Vec::new(),
        enclosures: Vec::new(),
    };
    let names: Vec<String> = (0..20).map(|number| format!("n{number}")).collect();
    let entries = names.iter().map(|name| {
        let mut entry = found(name, 1);
        entry.distilled = Some(Distilled::new(&poor, &source, DISTILLER_VERSION - 1).unwrap());
        entry
    });
    let feed = store.scheduled_feeds().await.unwrap()[0].id;
    store
        .save(feed, &outcome(2, entries.collect()))
        .await
        .unwrap();
    let entry = house.article("Poor").await.entry;
    let place = Place {
        block: 0,
        character: 2,
    };
    store.set_place(READER, entry, Some(place)).await.unwrap();
    let mut told = Vec::new();
    let outcome = house
        .conductor
        .redistil(|done, all| told.push((done, all)))
        .await
        .unwrap();
    assert_eq!((outcome.found, outcome.renewed), (20, 20));
    assert_eq!(outcome.warnings, [""; 0]);
    assert_eq!(told.last(), Some(&(20, 20)));
    let article = store.article(READER, entry).await.unwrap().unwrap();
    assert_eq!((article.title.as_str(), article.words), ("Rich", 4));
    assert_eq!(store.mark(READER, entry).await.unwrap().place, Some(place));
    assert_eq!(house.conductor.redistil(|_, _| {}).await.unwrap().found, 0);
    assert_eq!(house.server.take_paths(), [""; 0]);
}
