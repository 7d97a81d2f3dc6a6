//! Handing an article over: the code's page, its pictures, and the short way at home.

use dom_query::Document;
use reqwest::{Method, StatusCode};
use tondo::store::{Place, READER};

use super::house::{House, NAME, subscription};
use super::page::{entry_rows, one_line, rows, running_words};
use super::publisher::{Publisher, Reply, Written, atom};

const CONTENT: &str = "<p>The tide turned at noon, and the ferry with it.</p>\
    <p>Nobody waited on the well-known quay, nor on the slip. It rained until the evening.</p>";

/// A household with one article that links to this address; its path.
async fn with_link(link: &str) -> (House, String) {
    let publisher = Publisher::start().await;
    let mut entry = Written::new("ebb", CONTENT);
    entry.title = "Ebb".to_owned();
    let body = atom(&publisher.address("/"), "gazette", &[entry]);
    let own = publisher.address("/page/ebb");
    let body = body.replace(own.as_str(), &super::publisher::escaped(link));
    publisher.set("/feed", Reply::atom(body));
    let feed = tondo::config::Subscription {
        full_text: tondo::config::FullText::Never,
        ..subscription(&publisher.address("/feed"))
    };
    let house = House::open(vec![feed]).await;
    assert_eq!(house.pass().await[0].added, 1);
    let index = house.open_page("/round-10/").await.text();
    let path = entry_rows(&index).remove(0).href;
    (house, path)
}

fn entry_of(path: &str) -> i64 {
    let last = path.rsplit('/').next().expect("a path");
    last.parse().expect("an entry's number")
}

/// Where the short way leads.
async fn led(house: &House, entry: i64) -> String {
    let answer = house.get(&format!("/H/{entry}")).await;
    assert_eq!(answer.status, StatusCode::FOUND);
    assert_eq!(answer.header("cache-control"), "no-store");
    answer.header("location").to_owned()
}

/// The pictures of a page by the least size of the disc, the smallest last.
fn pictures(html: &str) -> Vec<String> {
    let document = Document::from(html);
    let sources = document.select("main > section:first-of-type source");
    let mut pictures: Vec<String> = sources
        .iter()
        .map(|source| source.attr_or("srcset", "").to_string())
        .map(|picture| picture.split(' ').next().unwrap_or_default().to_owned())
        .collect();
    let image = document.select("main > section:first-of-type img");
    pictures.extend(
        image
            .iter()
            .map(|image| image.attr_or("src", "").to_string()),
    );
    pictures
}

/// What a page says beside its code, in one line.
fn said(html: &str) -> String {
    let document = Document::from(html);
    let texts = document.select("main > section.x > p > *");
    let texts: Vec<String> = texts.iter().map(|text| one_line(&text.text())).collect();
    texts.join(" ")
}

#[tokio::test]
async fn an_article_leads_to_the_code_of_its_address() {
    let link = "https://gazette.example/ebb";
    let (house, path) = with_link(link).await;
    let controls = rows(&house.open_page(&path).await.text());
    let row = controls.iter().find(|row| row.text == "To the phone");
    let page = house.open_page(&row.expect("a row").href).await.text();
    let document = Document::from(page.as_str());
    let told = document.select("img").attr_or("alt", "").to_string();
    assert_eq!(told, format!("Code for a phone’s camera: {link}"));
    let named: Vec<(String, String)> = rows(&page)
        .into_iter()
        .map(|row| (row.text, row.href))
        .collect();
    let row = |text: &str, href: &str| (text.to_owned(), href.to_owned());
    let expected = [row("Back to the text", &path), row("Index", "/round-10/")];
    assert_eq!(named, expected);
    assert_eq!(said(&page), "gazette.example Opens at the beginning");
    let pictures = pictures(&page);
    assert!(pictures.len() > 5, "{pictures:?}");
    for picture in &pictures {
        // 27 bytes take version 2, which with its quiet zones is 33 modules wide (ISO/IEC 18004).
        let name = picture.strip_prefix(&format!("{path}/hand/whole-2-"));
        let pixels: u32 = name.and_then(|pixels| pixels.parse().ok()).expect(picture);
        let answer = house.get(picture).await;
        assert_eq!(answer.status, StatusCode::OK, "{picture}");
        assert_eq!(answer.header("content-type"), "image/svg+xml");
        let size = 33 * pixels;
        let size = format!("width=\"{size}\" height=\"{size}\" viewBox=\"0 0 {size} {size}\"");
        assert!(answer.text().contains(&size), "{picture}");
    }
    let absent = [
        "whole-3-4",
        "whole-2-0",
        "whole-2-33",
        "short-2-4",
        "whole",
        "whole-2-x",
    ];
    for name in absent {
        let answer = house.get(&format!("{path}/hand/{name}")).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{name}");
    }
}

#[tokio::test]
async fn a_long_address_goes_by_the_short_way_of_the_host_that_was_asked() {
    let link = format!("https://gazette.example/{}", "ebb-and-flow-".repeat(20));
    let (house, path) = with_link(&link).await;
    let page = house.open_page(&format!("{path}/hand")).await.text();
    let expected = "gazette.example Opens at the beginning Only at home";
    assert_eq!(said(&page), expected);
    let asked = pictures(&page);
    assert!(
        asked
            .iter()
            .all(|picture| picture.contains("/hand/short-2-"))
    );
    let named = [("host", NAME), ("accept", "text/html")];
    let hand = format!("{path}/hand");
    let page = house.ask(Method::GET, &hand, &named).await.text();
    let first = pictures(&page).remove(0);
    let by_name = house.ask(Method::GET, &first, &named).await.text();
    let by_number = house.get(&first).await;
    // The same version holds either host, and what it says differs.
    assert_eq!(by_number.status, StatusCode::OK);
    assert_ne!(by_name, by_number.text());
    assert_eq!(led(&house, entry_of(&path)).await, link);
    let strange = [("host", "stranger.example")];
    let answer = house.ask(Method::GET, &hand, &strange).await;
    assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST);
}

#[tokio::test]
async fn an_address_for_which_there_is_no_room_is_told_in_words() {
    let link = format!("https://gazette.example/{}", "ebb-and-flow-".repeat(20));
    let (house, path) = with_link(&link).await;
    // A port is digits, as many as one likes (RFC 3986, 3.2.3).
    let host = format!("127.0.0.1:{}8090", "0".repeat(200));
    let headers = [("host", host.as_str()), ("accept", "text/html")];
    let answer = house
        .ask(Method::GET, &format!("{path}/hand"), &headers)
        .await;
    let page = answer.text();
    assert_eq!(pictures(&page), [""; 0]);
    let told = running_words(&page).concat();
    assert_eq!(told, format!("Toolongforacode:{link}"));
}

#[tokio::test]
async fn what_is_handed_over_opens_where_reading_stopped() {
    let (house, path) = with_link("https://gazette.example/ebb").await;
    let entry = entry_of(&path);
    assert_eq!(led(&house, entry).await, "https://gazette.example/ebb");
    let hand = format!("{path}/hand");
    let text = house.open_page(&path).await;
    let tag = text.header("etag").to_owned();
    for (block, character, directive) in [
        (0, 0, ""),
        (1, 0, "#:~:text=Nobody%20waited%20on%20the"),
        (1, 30, "#:~:text=Nobody%20waited%20on%20the"),
        (1, 60, "#:~:text=It%20rained%20until%20the%20evening"),
    ] {
        let place = Place { block, character };
        let set = house.store.set_place(READER, entry, Some(place)).await;
        set.expect("the store");
        let expected = format!("https://gazette.example/ebb{directive}");
        assert_eq!(led(&house, entry).await, expected);
        let page = house.open_page(&hand).await.text();
        // With the words, the address is too long for the discs of some sizes.
        let expected = match directive {
            "" => "gazette.example Opens at the beginning",
            _ => "gazette.example Opens where you stopped Perhaps only at home",
        };
        assert_eq!(said(&page), expected, "{block}, {character}");
        assert!(pictures(&page)[0].contains("/hand/whole-"), "{page}");
        // The article's own page stays as it was kept.
        assert_eq!(house.open_page(&path).await.header("etag"), tag);
    }
}

#[tokio::test]
async fn nothing_but_a_stored_page_of_the_web_is_handed_over() {
    for link in [
        "javascript:alert(1)",
        "JavaScript:alert(1)",
        "data:text/html,ebb",
        "file:///etc/hostname",
        "ftp://gazette.example/ebb",
        "",
    ] {
        let (house, path) = with_link(link).await;
        let page = house.open_page(&path).await.text();
        let entry = entry_of(&path);
        let article = house.store.article(READER, entry).await.expect("a store");
        let address = article.expect("an article").address;
        if let Some(address) = address.filter(|address| address.starts_with("http")) {
            // A feed that says no address of the web has one made for it, of its own.
            assert!(
                address.starts_with("http://127.0.0.1:"),
                "{link}: {address}"
            );
            assert_eq!(led(&house, entry).await, address, "{link}");
            continue;
        }
        assert!(
            !rows(&page).iter().any(|row| row.text == "To the phone"),
            "{link}"
        );
        for path in [format!("{path}/hand"), format!("/H/{entry}")] {
            let answer = house.get(&path).await;
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{link}: {path}");
            assert_eq!(answer.header("location"), "", "{link}: {path}");
        }
    }
    let (house, _) = with_link("https://gazette.example/ebb").await;
    for path in [
        "/H/4711",
        "/H/-1",
        "/H/ebb",
        "/H/https://gazette.example/ebb",
    ] {
        let answer = house.get(path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert_eq!(answer.header("location"), "", "{path}");
    }
}
