//! What the answers' headers say, who is answered, and that an absent page is a disc too.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use dom_query::Document;
use flate2::read::GzDecoder;
use reqwest::{Method, StatusCode};
use sha2::{Digest, Sha256};
use std::io::Read;

use super::house::{Answer, House, NAME, SCREENS, subscription};
use super::page::{check_harmless, rows};
use super::publisher::{Publisher, Reply, Written, atom};

/// A household with one article, whose number is given back too.
async fn with_one_article() -> (House, i64) {
    let publisher = Publisher::start().await;
    let base = publisher.address("/");
    let content =
        "<p>Low water at six. See <a href=\"https://tides.example.org/\">the table</a>.</p>";
    let feed = atom(
        &base,
        "Gazette",
        &[Written::new("ebb", &content.repeat(40))],
    );
    publisher.set("/feed", Reply::atom(feed));
    let house = House::open(vec![subscription(&publisher.address("/feed"))]).await;
    let reports = house.pass().await;
    assert_eq!((reports[0].added, &reports[0].fault), (1, &None));
    let entry = house.articles().await[0].entry;
    (house, entry)
}

#[tokio::test]
async fn a_page_that_the_browser_has_is_not_sent_again() {
    let (house, entry) = with_one_article().await;
    // One step back is to show the index as it is now.
    for (path, kept) in [
        ("/round-10/".to_owned(), "no-store"),
        (format!("/round-8/{entry}"), "private, no-cache"),
    ] {
        let first = house.get(&path).await;
        assert_eq!(first.status, StatusCode::OK);
        assert_eq!(first.header("cache-control"), kept);
        let tag = first.header("etag");
        assert!(tag.len() > 10, "{tag}");
        let known = [("if-none-match", tag)];
        let again = house.ask(Method::GET, &path, &known).await;
        assert_eq!(again.status, StatusCode::NOT_MODIFIED, "{path}");
        assert_eq!((again.header("etag"), again.bytes.len()), (tag, 0));
        let other = [("if-none-match", "W/\"another\"")];
        let other = house.ask(Method::GET, &path, &other).await;
        assert_eq!((other.status, &other.bytes), (StatusCode::OK, &first.bytes));
    }
}

#[tokio::test]
async fn an_index_has_another_tag_once_something_was_opened() {
    let (house, entry) = with_one_article().await;
    let before = house.get("/round-10/").await;
    house.open_page(&format!("/round-10/{entry}")).await;
    let known = [("if-none-match", before.header("etag"))];
    let after = house.ask(Method::GET, "/round-10/", &known).await;
    assert_eq!(after.status, StatusCode::OK);
}

#[tokio::test]
async fn gzip_and_plain_bytes_are_the_same_page() {
    let (house, entry) = with_one_article().await;
    for path in ["/round-10/".to_owned(), format!("/round-6/{entry}")] {
        let plain = house.get(&path).await;
        assert_eq!(plain.header("content-encoding"), "");
        let wants = [("accept-encoding", "gzip, deflate")];
        let packed = house.ask(Method::GET, &path, &wants).await;
        assert_eq!(packed.header("content-encoding"), "gzip");
        for answer in [&plain, &packed] {
            assert_eq!(answer.header("vary"), "accept-encoding, accept-language");
        }
        let mut unpacked = Vec::new();
        let mut reader = GzDecoder::new(packed.bytes.as_slice());
        reader.read_to_end(&mut unpacked).expect("gzip");
        assert_eq!(unpacked, plain.bytes);
        assert!(packed.bytes.len() < plain.bytes.len());
    }
}

#[tokio::test]
async fn head_has_the_headers_of_get_and_no_body() {
    let (house, entry) = with_one_article().await;
    for path in ["/round-10/".to_owned(), format!("/round-10/{entry}")] {
        let get = house.get(&path).await;
        let head = house.ask(Method::HEAD, &path, &[]).await;
        assert_eq!((head.status, head.bytes.len()), (StatusCode::OK, 0));
        for name in ["etag", "content-type", "content-length", "cache-control"] {
            assert_eq!(head.header(name), get.header(name), "{name} of {path}");
        }
    }
}

#[tokio::test]
async fn the_root_leads_by_the_cookie_to_the_index() {
    let house = House::open(Vec::new()).await;
    let check = async |cookie: &str, wanted: &str| {
        let answer = house.ask(Method::GET, "/", &[("cookie", cookie)]).await;
        assert_eq!(
            answer.status.is_redirection(),
            !wanted.is_empty(),
            "{cookie}"
        );
        assert_eq!(answer.header("location"), wanted, "{cookie}");
        assert_eq!(answer.header("cache-control"), "no-store");
    };
    check("screen=round-6", "/round-6/").await;
    check("other=1; screen=round-11", "/round-11/").await;
    check("screen=round-8-wide", "/round-8-wide/").await;
    check(
        "screen=round-8-wide-top12-light",
        "/round-8-wide-top12-light/",
    )
    .await;
    // Where it names no screen, it is a first visit.
    check("other=1", "").await;
    check("screen=square-7", "").await;
    check("screen=//stranger.example.org/", "").await;
}

#[tokio::test]
async fn a_text_size_and_a_spacing_are_chosen_by_a_form_of_this_service_only() {
    let house = House::open(Vec::new()).await;
    let origin = house.origin();
    let own = [("origin", origin.as_str())];
    let more = [
        "round-10-top8",
        "round-6-wide-bottom16-light",
        "round-11-light",
    ];
    for screen in SCREENS.into_iter().chain(more) {
        let form: &'static str = Box::leak(format!("screen={screen}").into_boxed_str());
        let chosen = house.post("/screen", &own, form).await;
        assert_eq!(chosen.status, StatusCode::SEE_OTHER);
        assert_eq!(chosen.header("location"), format!("/{screen}/"));
        let cookie = chosen.header("set-cookie");
        assert!(cookie.starts_with(&format!("screen={screen};")), "{cookie}");
        assert!(cookie.contains("SameSite=Lax") && cookie.contains("HttpOnly"));
        assert_eq!(chosen.header("cache-control"), "no-store");
    }
    let refused = async |headers: &[(&str, &str)], form: &'static str, status: StatusCode| {
        let answer = house.post("/screen", headers, form).await;
        assert_eq!(answer.status, status, "{headers:?} {form}");
        assert_eq!(answer.header("set-cookie"), "");
        assert!(!answer.text().is_empty());
    };
    refused(&[], "screen=round-8", StatusCode::FORBIDDEN).await;
    refused(
        &[("origin", "null")],
        "screen=round-8",
        StatusCode::FORBIDDEN,
    )
    .await;
    refused(
        &[("origin", "http://stranger.example.org")],
        "screen=round-8",
        StatusCode::FORBIDDEN,
    )
    .await;
    refused(
        &[("origin", "http://127.0.0.1:1")],
        "screen=round-8",
        StatusCode::FORBIDDEN,
    )
    .await;
    for form in [
        "screen=round-7",
        "screen=round-8-narrow",
        "screen=round-8-top9",
        "screen=round-8-light-wide",
        "screen=round-8-wide%0d%0aset-cookie:%20a=b",
        "screen=",
        "",
        "lines=8",
    ] {
        refused(&own, form, StatusCode::UNPROCESSABLE_ENTITY).await;
    }
    let large: &'static str = Box::leak("screen=".repeat(10_000).into_boxed_str());
    refused(&own, large, StatusCode::UNPROCESSABLE_ENTITY).await;
    // What changes state is no GET.
    let got = house.get("/screen?screen=round-8").await;
    assert!(got.status.is_client_error(), "{}", got.status);
    assert_eq!(got.header("set-cookie"), "");
}

#[tokio::test]
async fn only_known_names_are_answered() {
    let house = House::open(Vec::new()).await;
    let port = house
        .origin()
        .rsplit(':')
        .next()
        .unwrap_or_default()
        .to_owned();
    let check = async |host: &str, wanted: StatusCode| {
        let headers = [("host", host)];
        let answer = house.ask(Method::GET, "/round-10/", &headers).await;
        assert_eq!(answer.status, wanted, "{host}");
    };
    for host in ["127.0.0.1", "localhost", "[::1]", NAME, "TONDO.home.arpa"] {
        check(host, StatusCode::OK).await;
        check(&format!("{host}:{port}"), StatusCode::OK).await;
    }
    for host in [
        "stranger.example.org",
        "127.0.0.1.stranger.example.org",
        "xtondo.home.arpa",
        "localhost.stranger.example.org",
    ] {
        check(host, StatusCode::MISDIRECTED_REQUEST).await;
        check(&format!("{host}:{port}"), StatusCode::MISDIRECTED_REQUEST).await;
    }
}

/// Checks the policy of a page against its own style element.
fn check_policy(answer: &Answer, path: &str) {
    let html = answer.text();
    let document = Document::from(html.as_str());
    let style = document.select("style").text();
    assert!(!style.is_empty(), "{path}");
    let hash = STANDARD.encode(Sha256::digest(style.as_bytes()));
    let wanted = format!(
        "default-src 'none'; style-src 'sha256-{hash}'; font-src 'self'; img-src 'self'; \
         media-src 'self'; script-src 'self'; connect-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    );
    assert_eq!(answer.header("content-security-policy"), wanted, "{path}");
    assert_eq!(answer.header("x-content-type-options"), "nosniff");
    assert_eq!(answer.header("content-type"), "text/html; charset=utf-8");
    check_harmless(&html, path);
    let root = document.select("html");
    assert!(
        !root.attr_or("lang", "").is_empty(),
        "{path} has no language"
    );
}

#[tokio::test]
async fn every_page_has_the_policy_that_its_style_element_needs() {
    let (house, entry) = with_one_article().await;
    for screen in SCREENS {
        for rest in [
            "".to_owned(),
            format!("{entry}"),
            format!("{entry}/links"),
            "0".to_owned(),
            "find".to_owned(),
            "find?q=%21".to_owned(),
            "find?q=tide".to_owned(),
        ] {
            let path = format!("/{screen}/{rest}");
            check_policy(&house.get(&path).await, &path);
        }
    }
    // Answers that are no page have it as well.
    for path in ["/", "/favicon.ico", "/font/licence", "/font/absent"] {
        let answer = house.get(path).await;
        let policy = answer.header("content-security-policy");
        assert!(
            policy.starts_with("default-src 'none';"),
            "{path}: {policy}"
        );
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
    }
}

#[tokio::test]
async fn a_page_says_its_language_and_its_direction() {
    let publisher = Publisher::start().await;
    let base = publisher.address("/");
    let hebrew = "<div lang=\"he\" dir=\"rtl\"><p>\u{5d4}\u{5e1}\u{5e4}\u{5d9}\u{5e0}\u{5d4} \
                  \u{5d1}\u{5d0}\u{5d4} \u{5d0}\u{5dc} \u{5d4}\u{5e0}\u{5de}\u{5dc} \
                  \u{5d1}\u{5d1}\u{5d5}\u{5e7}\u{5e8}.</p></div>";
    let feed = atom(
        &base,
        "Gazette",
        &[Written::new("ship", &hebrew.repeat(10))],
    );
    publisher.set(
        "/feed",
        Reply::atom(feed.replace("xml:lang=\"en\"", "xml:lang=\"he\"")),
    );
    let house = House::open(vec![subscription(&publisher.address("/feed"))]).await;
    house.pass().await;
    let entry = house.articles().await[0].entry;
    let html = house.open_page(&format!("/round-10/{entry}")).await.text();
    let document = Document::from(html.as_str());
    let root = document.select("html");
    assert_eq!(&*root.attr_or("lang", ""), "he");
    assert_eq!(&*root.attr_or("dir", ""), "rtl");
    let index = house.get("/round-10/").await.text();
    let document = Document::from(index.as_str());
    assert_eq!(&*document.select("html").attr_or("lang", ""), "en");
    // The row is written from the right, and its title alone is in the article's language.
    assert!(document.select("a.r[dir=rtl] > [lang=he]").exists());
}

#[tokio::test]
async fn an_absent_page_is_a_disc_that_leads_back() {
    let (house, _) = with_one_article().await;
    for (path, index) in [
        ("/nothing", "/round-10/"),
        ("/nothing/", "/round-10/"),
        ("/nothing/at/all/here", "/round-10/"),
        ("/round-7/", "/round-10/"),
        ("/round-8/0", "/round-8/"),
        ("/round-8/-1", "/round-8/"),
        ("/round-8/4000", "/round-8/"),
        ("/round-8/9223372036854775807", "/round-8/"),
        ("/round-8/99999999999999999999999999", "/round-8/"),
        ("/round-8/ebb", "/round-8/"),
        ("/round-8/%FF", "/round-8/"),
        ("/round-8/1%2F2", "/round-8/"),
        ("/round-8/ebb/links", "/round-8/"),
        ("/round-8/4000/links", "/round-8/"),
        ("/round-8/page/9", "/round-8/"),
        ("/round-8/page/-1", "/round-8/"),
        ("/round-8/page/many", "/round-8/"),
        ("/round-8/page/4294967295", "/round-8/"),
        ("/round-8/page/99999999999", "/round-8/"),
        ("/round-8/after/ebb", "/round-8/"),
        ("/round-7/after/1", "/round-10/"),
        ("/%FF/", "/round-10/"),
        ("/%FF/1", "/round-10/"),
    ] {
        let answer = house.get(path).await;
        assert_eq!(
            answer.status,
            StatusCode::NOT_FOUND,
            "{path}: {}",
            answer.text()
        );
        check_policy(&answer, path);
        let rows = rows(&answer.text());
        assert!(rows.iter().any(|row| row.href == index), "{path}: {rows:?}");
    }
}
