//! Keeping an article and letting it go by the control of its last discs.

use dom_query::Document;
use reqwest::StatusCode;
use tondo::store::READER;

use super::house::{House, SCREENS};
use super::page::one_line;

/// The control of keeping: what it says, where it is sent, and the number of its disc.
fn control(html: &str) -> (String, String, usize) {
    let document = Document::from(html);
    let form = document.select("section.x > form");
    assert_eq!(form.length(), 1);
    assert_eq!(form.attr_or("method", "").as_ref(), "post");
    let texts = form.select("button.r > *");
    let texts: Vec<String> = texts.iter().map(|text| one_line(&text.text())).collect();
    let disc = form
        .parent()
        .attr_or("id", "")
        .trim_start_matches('d')
        .parse();
    (
        texts.join(" | "),
        form.attr_or("action", "").to_string(),
        disc.expect("a number"),
    )
}

#[tokio::test]
async fn an_article_is_kept_and_let_go_by_a_tap_each() {
    let house = House::with_town().await;
    let entry = house.articles().await[0].entry;
    let origin = house.origin();
    for screen in SCREENS {
        let path = format!("/{screen}/{entry}");
        for (says, next, kept) in [("Keep", "Let go", true), ("Let go", "Keep", false)] {
            let (text, address, disc) = control(&house.open_page(&path).await.text());
            assert_eq!(text, says, "{path}");
            let answer = house.post(&address, &[("origin", &origin)], "").await;
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{path}");
            assert_eq!(answer.header("location"), format!("{path}#{disc}"));
            assert_eq!(answer.header("cache-control"), "no-store");
            let mark = house.store.mark(READER, entry).await.expect("the store");
            assert_eq!(mark.kept.is_some(), kept);
            assert_eq!(control(&house.open_page(&path).await.text()).0, next);
        }
    }
}

#[tokio::test]
async fn keeping_from_elsewhere_or_of_nothing_changes_nothing() {
    let house = House::with_town().await;
    let entry = house.articles().await[0].entry;
    let path = format!("/round-10/{entry}/keep");
    let elsewhere = [("origin", "http://elsewhere.example")];
    assert_eq!(
        house.post(&path, &elsewhere, "").await.status,
        StatusCode::FORBIDDEN
    );
    assert_eq!(
        house.get(&path).await.status,
        StatusCode::METHOD_NOT_ALLOWED
    );
    let origin = house.origin();
    let none = house
        .post("/round-10/999999/keep", &[("origin", &origin)], "")
        .await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
    assert_eq!(
        house
            .store
            .mark(READER, entry)
            .await
            .expect("the store")
            .kept,
        None
    );
}
