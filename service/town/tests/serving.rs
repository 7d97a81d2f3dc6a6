//! The feeds parse, the links lead somewhere, and the publisher answers over HTTP.

use std::collections::BTreeSet;

use dom_query::Document;
use feed_rs::model::Feed;
use jiff::Timestamp;
use reqwest::StatusCode;
use tokio::net::TcpListener;
use tokio_util::sync::CancellationToken;
use url::Url;

use super::pieces;
use crate::town::{
    content::{self, Form},
    publish,
    site::Site,
    sound, subscriptions,
};

fn base() -> Url {
    Url::parse("http://127.0.0.1:8091/").unwrap()
}

fn now() -> Timestamp {
    "2026-11-25T09:00:00.5Z".parse().unwrap()
}

fn parse_feed(site: &Site, path: &str) -> Feed {
    feed_rs::parser::parse(site.get(path).unwrap().body.as_ref()).unwrap()
}

#[test]
fn each_feed_parses_with_all_its_entries() {
    let site = Site::build(&base(), now());
    for (publication, feed) in content::publications().iter().zip(subscriptions(&base())) {
        let parsed = parse_feed(&site, feed.address.path());
        assert_eq!(
            parsed.entries.len(),
            publication.articles.len(),
            "{}",
            feed.title
        );
        assert_eq!(parsed.title.unwrap().content, feed.title);
        for entry in &parsed.entries {
            let link = Url::parse(&entry.links[0].href).unwrap();
            assert!(site.get(link.path()).is_some(), "{link}");
            let age = now().duration_since(entry.published.unwrap().to_rfc3339().parse().unwrap());
            assert!(age.as_hours() >= 4, "{link} is too young");
        }
    }
}

#[test]
fn feeds_carry_the_text_unchanged_but_teasers_do_not_carry_it() {
    let site = Site::build(&base(), now());
    for publication in content::publications() {
        let parsed = parse_feed(&site, &format!("/{}", publication.feed_path()));
        for piece in &publication.articles {
            let path = publication.article_path(piece);
            let entry = parsed
                .entries
                .iter()
                .find(|entry| entry.links[0].href.ends_with(&path));
            let entry = entry.unwrap();
            assert_eq!(entry.title.as_ref().unwrap().content, piece.title);
            let body = entry
                .content
                .as_ref()
                .and_then(|content| content.body.as_deref());
            let expected = (publication.form != Form::Teasers).then(|| publication.text(piece));
            assert_eq!(body.map(str::trim), expected.map(str::trim), "{path}");
        }
    }
}

#[test]
fn enclosures_state_the_length_and_duration_of_the_sound_that_is_served() {
    let site = Site::build(&base(), now());
    let talks = parse_feed(&site, "/talks/feed.xml");
    for entry in &talks.entries {
        let media = entry
            .media
            .iter()
            .find(|media| !media.content.is_empty())
            .unwrap();
        let content = &media.content[0];
        let file = site.get(content.url.as_ref().unwrap().path()).unwrap();
        assert_eq!(content.size, Some(file.body.len() as u64));
        assert_eq!(
            content.content_type.as_ref().unwrap().to_string(),
            file.content_type
        );
        // 44 bytes of header, then 8,000 samples of two bytes a second.
        let seconds = (file.body.len() as u64 - 44) / 16_000;
        let durations = entry.media.iter().flat_map(|media| {
            media
                .duration
                .into_iter()
                .chain(media.content.iter().filter_map(|c| c.duration))
        });
        assert!(
            durations
                .into_iter()
                .any(|duration| duration.as_secs() == seconds)
        );
    }
}

#[test]
fn sounds_are_waves_and_not_silence() {
    for (name, sound) in sound::sounds() {
        assert_eq!(&sound.wav[..4], b"RIFF", "{name}");
        let riff_bytes = u32::from_le_bytes(sound.wav[4..8].try_into().unwrap()) as usize;
        assert_eq!(riff_bytes + 8, sound.wav.len(), "{name}");
        let samples = sound.wav[44..].chunks_exact(2);
        let loudest = samples.map(|pair| i16::from_le_bytes([pair[0], pair[1]]).unsigned_abs());
        assert!(loudest.max().unwrap() > 25_000, "{name}");
    }
}

#[test]
fn every_link_and_picture_of_every_page_is_served() {
    let site = Site::build(&base(), now());
    for path in site.paths() {
        let file = site.get(path).unwrap();
        if !file.content_type.starts_with("text/html") {
            continue;
        }
        let address = base().join(path).unwrap();
        let document = Document::from(std::str::from_utf8(&file.body).unwrap());
        for node in &document.select("[href], [src]") {
            let target = node.attr("href").or_else(|| node.attr("src")).unwrap();
            let target = address.join(&target).unwrap();
            let is_ours = target.origin() == base().origin();
            assert!(
                !is_ours || site.get(target.path()).is_some(),
                "{path} leads to {target}"
            );
            let host = target.host_str().unwrap_or_default();
            let is_reserved = host.ends_with("example.org") || target.scheme() == "mailto";
            assert!(is_ours || is_reserved, "{path} leads out to {target}");
        }
    }
}

#[test]
fn pages_declare_language_title_and_author_and_lead_to_their_feed() {
    let site = Site::build(&base(), now());
    for (publication, piece) in pieces() {
        let page = site
            .get(&format!("/{}", publication.article_path(piece)))
            .unwrap();
        let document = Document::from(std::str::from_utf8(&page.body).unwrap());
        assert_eq!(
            *document.select("html").attr("lang").unwrap(),
            *publication.language
        );
        assert_eq!(*document.select("article h1").text(), *piece.title);
        let author = document.select("meta[name=author]").attr("content");
        assert_eq!(*author.unwrap(), *piece.author);
        let feed = document.select("link[rel=alternate]").attr("href").unwrap();
        assert!(feed.ends_with(&publication.feed_path()), "{feed}");
        assert_eq!(document.select("article").length(), 1);
    }
}

#[test]
fn an_essay_stands_among_furniture_that_is_outside_its_article() {
    let site = Site::build(&base(), now());
    let page = site.get("/lantern/wrong-way").unwrap();
    let document = Document::from(std::str::from_utf8(&page.body).unwrap());
    for part in [
        "header.site-header",
        "nav.site-navigation a",
        "aside.sidebar",
        ".cookie-notice button",
        ".related-links a",
        "footer.site-footer",
    ] {
        assert!(document.select(part).exists(), "no {part}");
        assert!(
            !document.select(&format!("article {part}")).exists(),
            "{part} is inside"
        );
    }
}

#[test]
fn subscriptions_lie_below_the_base_in_three_forms() {
    let feeds = subscriptions(&base());
    assert_eq!(feeds.len(), 6);
    assert!(
        feeds
            .iter()
            .all(|feed| feed.address.as_str().starts_with(base().as_str()))
    );
    let forms: BTreeSet<&str> = feeds
        .iter()
        .filter_map(|feed| feed.address.path().rsplit_once('.'))
        .map(|(_, ending)| ending)
        .collect();
    assert_eq!(forms, BTreeSet::from(["xml", "atom", "json"]));
}

#[tokio::test]
async fn the_publisher_answers_with_types_and_validators_until_it_is_shut_down() {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let base = Url::parse(&format!("http://{}/", listener.local_addr().unwrap())).unwrap();
    let shutdown = CancellationToken::new();
    let publisher = tokio::spawn(publish(listener, now(), shutdown.clone()));
    let client = reqwest::Client::builder().no_proxy().build().unwrap();
    let get = |path: &str| client.get(base.join(path).unwrap());

    for (path, content_type) in [
        ("", "text/html; charset=utf-8"),
        ("gazette/", "text/html; charset=utf-8"),
        ("gazette/feed.xml", "application/rss+xml; charset=utf-8"),
        ("bulletin/feed.atom", "application/atom+xml; charset=utf-8"),
        ("anglers/feed.json", "application/feed+json"),
        ("lantern/umbrella", "text/html; charset=utf-8"),
        ("pictures/ferry.svg", "image/svg+xml"),
        ("sounds/bell-buoy.wav", "audio/wav"),
    ] {
        let response = get(path).send().await.unwrap();
        assert_eq!(response.status(), StatusCode::OK, "{path}");
        assert_eq!(response.headers()["content-type"], content_type, "{path}");
        let etag = response.headers()["etag"].clone();
        let modified = response.headers()["last-modified"].clone();
        assert!(!response.bytes().await.unwrap().is_empty(), "{path}");

        let status = async |name: &str, value: &str| {
            get(path).header(name, value).send().await.unwrap().status()
        };
        let etag = etag.to_str().unwrap();
        let listed = format!("\"another\", W/{etag}");
        let modified = modified.to_str().unwrap();
        assert_eq!(
            status("if-none-match", etag).await,
            StatusCode::NOT_MODIFIED
        );
        assert_eq!(
            status("if-none-match", &listed).await,
            StatusCode::NOT_MODIFIED
        );
        assert_eq!(status("if-none-match", "\"another\"").await, StatusCode::OK);
        assert_eq!(
            status("if-modified-since", modified).await,
            StatusCode::NOT_MODIFIED
        );
        let long_ago = "Sun, 06 Nov 1994 08:49:37 GMT"; // The sample of RFC 9110 section 5.6.7.
        assert_eq!(status("if-modified-since", long_ago).await, StatusCode::OK);
        // A tag that does not match decides alone, whatever the date says.
        let both = get(path).header("if-none-match", "\"another\"");
        let both = both
            .header("if-modified-since", modified)
            .send()
            .await
            .unwrap();
        assert_eq!(both.status(), StatusCode::OK);
    }
    assert_eq!(
        get("gazette/nothing").send().await.unwrap().status(),
        StatusCode::NOT_FOUND
    );
    let feed = get("gazette/feed.xml")
        .send()
        .await
        .unwrap()
        .text()
        .await
        .unwrap();
    assert!(feed.contains(base.join("gazette/ferry-of-bread").unwrap().as_str()));

    drop(client);
    shutdown.cancel();
    publisher.await.unwrap().unwrap();
}
