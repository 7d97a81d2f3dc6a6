//! Finding articles by their words, as a browser does it: the field, what is found, and the last searches.

use dom_query::Document;
use reqwest::{Method, StatusCode};
use tondo::config::{FullText, Subscription};
use tondo::store::ENTRIES_A_PAGE;

use super::house::{Answer, House, SCREENS, subscription};
use super::page::{Row, check_harmless, entry_rows, one_line, rows, running_parts};
use super::publisher::{Publisher, Reply, Written, atom};

/// A household that has read these entries, each a title and a text.
async fn household(entries: &[(&str, &str)]) -> House {
    let publisher = Publisher::start().await;
    let written = entries
        .iter()
        .enumerate()
        .map(|(number, (title, text))| Written {
            title: (*title).to_owned(),
            ..Written::new(&number.to_string(), &format!("<p>{text}</p>"))
        });
    let written: Vec<Written> = written.collect();
    let body = atom(&publisher.address("/"), "gazette", &written);
    publisher.set("/gazette", Reply::atom(body));
    let feed = Subscription {
        full_text: FullText::Never,
        ..subscription(&publisher.address("/gazette"))
    };
    let house = House::open(vec![feed]).await;
    assert_eq!(house.pass().await[0].added as usize, entries.len());
    house
}

/// Three articles about the harbour.
async fn harbour() -> House {
    household(&[
        ("The bell buoy", "It rings at night, and the rope hums."),
        ("Café on the quay", "Hélène’s stew, and a rope of onions."),
        ("Night bus", "The last one at 23:17."),
    ])
    .await
}

/// The titles of what a page lists.
fn titles(html: &str) -> Vec<String> {
    let title = |row: Row| row.text.split(" | ").next().unwrap_or_default().to_owned();
    entry_rows(html).into_iter().map(title).collect()
}

async fn found(house: &House, query: &str) -> Vec<String> {
    let html = house
        .open_page(&format!("/round-10/find?q={query}"))
        .await
        .text();
    let mut titles = titles(&html);
    titles.sort();
    titles
}

/// The rows of the field's page that make a search again, as they are shown.
async fn searches(house: &House) -> Vec<String> {
    let html = house.open_page("/round-10/find").await.text();
    let mut rows = rows(&html);
    rows.retain(|row| row.href.contains("/find?q="));
    rows.into_iter().map(|row| row.text).collect()
}

/// What stands above the field.
fn said(html: &str) -> String {
    let document = Document::from(html);
    document
        .select("form > label, form > p[role=status]")
        .text()
        .to_string()
}

/// What the field holds.
fn value(html: &str) -> String {
    Document::from(html)
        .select("input[name=q]")
        .attr_or("value", "")
        .to_string()
}

#[tokio::test]
async fn words_find_articles_by_title_text_and_feed_without_accents() {
    let house = harbour().await;
    assert_eq!(
        found(&house, "rope").await,
        ["Café on the quay", "The bell buoy"]
    );
    assert_eq!(found(&house, "helene").await, ["Café on the quay"]);
    assert_eq!(found(&house, "CAF%C3%89+onio").await, ["Café on the quay"]);
    assert_eq!(found(&house, "gazette+bus").await, ["Night bus"]);
    assert_eq!(found(&house, "23%3A17").await, ["Night bus"]);
    let html = house.open_page("/round-10/find?q=rope").await.text();
    let first = &entry_rows(&html)[0];
    assert!(
        first.text.ends_with("1 Apr 06:00 | gazette") || first.text.ends_with("| gazette"),
        "{}",
        first.text
    );
    let controls: Vec<Row> = rows(&html).split_off(2);
    let texts: Vec<&str> = controls.iter().map(|row| row.text.as_str()).collect();
    assert_eq!(texts, ["Find | 2 found", "Index"]);
}

#[tokio::test]
async fn the_index_leads_to_the_field_which_has_a_name_a_button_and_a_way_back() {
    let house = harbour().await;
    let index = rows(&house.open_page("/round-10/").await.text());
    assert_eq!(
        index.last().map(|row| row.href.as_str()),
        Some("/round-10/find")
    );
    for screen in SCREENS {
        let path = format!("/{screen}/find");
        let html = house.open_page(&path).await.text();
        check_harmless(&html, &path);
        let document = Document::from(html.as_str());
        let form = document.select("main > section:first-of-type > form");
        assert_eq!(&*form.attr_or("action", ""), path.as_str());
        assert!(!form.has_attr("method"), "a form without a method is a GET");
        assert_eq!(said(&html), "Find words");
        let input = form.select("input");
        assert_eq!(
            form.select("label").attr_or("for", ""),
            input.attr_or("id", "no id")
        );
        for (name, wanted) in [
            ("type", "search"),
            ("name", "q"),
            ("enterkeyhint", "search"),
            ("autocomplete", "off"),
            ("maxlength", "100"),
            ("value", ""),
        ] {
            assert_eq!(&*input.attr_or(name, "none"), wanted, "{name}");
        }
        assert_eq!(form.select("button").length(), 1);
        // Nothing was looked for yet: there is nothing to look for again, and nothing to forget.
        assert_eq!(rows(&html).len(), 1);
        assert_eq!(document.select("form[method=post]").length(), 0);
    }
}

#[tokio::test]
async fn where_nothing_is_found_the_words_stand_in_the_field_and_it_says_what_to_do() {
    let house = harbour().await;
    for (query, above, inside, advice) in [
        (
            "zeppelin+rope",
            "Nothing found",
            "zeppelin rope",
            "No article has all of: zeppelin rope.",
        ),
        ("", "Type a word", "", "Type one word or more"),
        ("%20%21%3F", "Type a word", " !?", "signs are not"),
        ("%F0%9F%8C%8A", "Type a word", "🌊", "signs are not"),
        (
            "a+b+c+d+e+f+g+h+i",
            "Fewer words",
            "a b c d e f g h i",
            "8 words of 100 characters",
        ),
    ] {
        let answer = house.open_page(&format!("/round-10/find?q={query}")).await;
        let html = answer.text();
        assert_eq!(
            (said(&html).as_str(), value(&html).as_str()),
            (above, inside),
            "{query}"
        );
        let told = one_line(&running_parts(&html).join(" "));
        assert!(told.contains(advice), "{told}");
        let name = Document::from(html.as_str())
            .select("input")
            .attr_or("aria-label", "")
            .to_string();
        assert_eq!(name, "Find words");
    }
    let long = "x".repeat(2_000);
    let html = house
        .open_page(&format!("/round-10/find?q={long}"))
        .await
        .text();
    assert_eq!(
        (said(&html).as_str(), value(&html).len()),
        ("Fewer words", 100)
    );
    assert_eq!(
        searches(&house).await,
        [""; 0],
        "what found nothing is not kept"
    );
}

#[tokio::test]
async fn no_words_are_a_fault_nor_markup() {
    let house = harbour().await;
    for query in [
        "%22",
        "rope%22",
        "NOT",
        "rope+AND",
        "NEAR(",
        "title%3A%22",
        "*",
        "rope*",
        "%5Erope",
        "a%00b",
        "%FF%FE",
        "%22%3E%3Cscript%3Ealert(1)%3C/script%3E",
        "%27+onfocus%3Dalert(1)+x%3D%27",
        "rope%3C/title%3E%3Cimg+src=x%3E",
    ] {
        let path = format!("/round-10/find?q={query}");
        check_harmless(&house.open_page(&path).await.text(), &path);
    }
    check_harmless(
        &house.open_page("/round-10/find").await.text(),
        "/round-10/find",
    );
    for path in [
        "/round-10/find?q=rope&page=x",
        "/round-10/find?q=rope&page=1",
        "/round-99/find?q=rope",
        "/round-99/find",
    ] {
        let answer = house
            .ask(Method::GET, path, &[("accept", "text/html")])
            .await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
    }
}

#[tokio::test]
async fn a_search_that_was_gone_to_and_found_something_is_one_tap_away_until_it_is_forgotten() {
    let house = harbour().await;
    let look =
        |headers: &'static [(&str, &str)]| house.ask(Method::GET, "/round-10/find?q=rope", headers);
    for headers in [
        &[][..],
        &[
            ("accept", "text/html"),
            ("sec-purpose", "prefetch;prerender"),
        ],
        &[("sec-fetch-mode", "no-cors"), ("sec-fetch-dest", "image")],
    ] {
        assert_eq!(look(headers).await.status, StatusCode::OK);
        assert_eq!(searches(&house).await, [""; 0], "{headers:?}");
    }
    for query in ["rope", "Night++bus", "CAFE", "%26%3D+quay", "Rope!"] {
        house.open_page(&format!("/round-10/find?q={query}")).await;
        house.pass_time(1);
    }
    assert_eq!(
        searches(&house).await,
        ["Rope!", "&= quay", "CAFE", "Night bus"]
    );
    let html = house.open_page("/round-6/find").await.text();
    let again = rows(&html).remove(1);
    assert_eq!(again.href, "/round-6/find?q=%26%3D+quay");
    assert_eq!(
        titles(&house.open_page(&again.href).await.text()),
        ["Café on the quay"]
    );
    let document = Document::from(html.as_str());
    let forget = document.select("main > section:last-child > form[method=post]");
    assert_eq!(&*forget.attr_or("action", ""), "/round-6/find/forget");
    let strange = house
        .post(
            "/round-6/find/forget",
            &[("origin", "http://stranger.example")],
            "",
        )
        .await;
    assert_eq!(strange.status, StatusCode::FORBIDDEN);
    assert_eq!(searches(&house).await.len(), 4);
    let origin = house.origin();
    let done: Answer = house
        .post("/round-6/find/forget", &[("origin", &origin)], "")
        .await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert_eq!(
        (done.header("location"), done.header("cache-control")),
        ("/round-6/find", "no-store")
    );
    assert_eq!(searches(&house).await, [""; 0]);
}

#[tokio::test]
async fn what_is_found_is_private_kept_by_no_other_and_marks_nothing() {
    let house = harbour().await;
    let answer = house.open_page("/round-10/find?q=rope").await;
    assert_eq!(answer.header("cache-control"), "private, no-cache");
    let tag = answer.header("etag").to_owned();
    let again = house
        .ask(
            Method::GET,
            "/round-10/find?q=rope",
            &[("if-none-match", &tag)],
        )
        .await;
    assert_eq!(again.status, StatusCode::NOT_MODIFIED);
    let index = entry_rows(&house.open_page("/round-10/").await.text());
    assert!(index.iter().all(|row| !row.seen));
    let first = entry_rows(&answer.text()).remove(0).href;
    house.open_page(&first).await;
    let seen = entry_rows(&house.open_page("/round-10/find?q=rope").await.text());
    let seen: Vec<bool> = seen.iter().map(|row| row.seen).collect();
    assert_eq!(seen, [true, false]);
}

#[tokio::test]
async fn more_than_a_page_goes_on_and_nothing_stands_twice() {
    let names: Vec<String> = (0..30).map(|number| format!("Tide {number}")).collect();
    let entries: Vec<(&str, &str)> = names
        .iter()
        .map(|name| (name.as_str(), "Low water."))
        .collect();
    let house = household(&entries).await;
    let first = house.open_page("/round-10/find?q=low+tid").await.text();
    assert_eq!(entry_rows(&first).len(), ENTRIES_A_PAGE);
    let further = rows(&first).remove(ENTRIES_A_PAGE);
    assert_eq!(
        (further.text.as_str(), further.href.as_str()),
        ("Further", "/round-10/find?q=low+tid&page=1")
    );
    let second = house.open_page(&further.href).await.text();
    let all: std::collections::BTreeSet<String> = [titles(&first), titles(&second)]
        .concat()
        .into_iter()
        .collect();
    assert_eq!(all, names.into_iter().collect());
    assert!(rows(&second).iter().all(|row| row.text != "Further"));
}
