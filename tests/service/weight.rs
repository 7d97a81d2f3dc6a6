//! What the pages and the font weigh on the wire.

use dom_query::Document;
use reqwest::Method;
use reqwest::StatusCode;
use tondo::store::ENTRIES_A_PAGE;

use super::house::{Answer, House, SCREENS};
use super::page::{entry_rows, rows};

/// Caps in bytes of gzip: an index of 24 entries, an article of about 800 words, one of about 2,000.
const MOST_OF_AN_INDEX: usize = 4_096;
const MOST_OF_800_WORDS: usize = 6_000;
const MOST_OF_2000_WORDS: usize = 10_000;

/// The cap of the font file that every page needs, in bytes: 14 KB.
const MOST_OF_THE_FONT: usize = 14_000;

/// A page in gzip in the language of the interface in which it is the heaviest.
async fn in_gzip(house: &House, path: &str) -> Answer {
    let english = in_gzip_and(house, path, "en").await;
    let german = in_gzip_and(house, path, "de").await;
    if english.bytes.len() < german.bytes.len() {
        german
    } else {
        english
    }
}

async fn in_gzip_and(house: &House, path: &str, language: &str) -> Answer {
    let headers = [("accept-encoding", "gzip"), ("accept-language", language)];
    let answer = house.ask(Method::GET, path, &headers).await;
    assert_eq!(answer.status, StatusCode::OK, "{path}");
    assert_eq!(answer.header("content-encoding"), "gzip", "{path}");
    let length = answer.header("content-length").parse::<usize>();
    assert_eq!(length.ok(), Some(answer.bytes.len()), "{path}");
    answer
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_are_light_with_gzip() {
    let house = House::with_town().await;
    let articles = house.articles().await;
    let mut too_heavy = Vec::new();
    let mut measured = [0; 3];
    for screen in SCREENS {
        let path = format!("/{screen}/");
        let html = house.get(&path).await.text();
        assert_eq!(entry_rows(&html).len(), ENTRIES_A_PAGE);
        let mut weigh = |kind: usize, cap: usize, path: String, bytes: usize| {
            measured[kind] += 1;
            if bytes > cap {
                too_heavy.push(format!("{path}: {bytes} bytes, over {cap}"));
            }
        };
        let bytes = in_gzip(&house, &path).await.bytes.len();
        weigh(0, MOST_OF_AN_INDEX, path, bytes);
        for article in &articles {
            let (kind, cap) = match article.words {
                750..=850 => (1, MOST_OF_800_WORDS),
                1_900..=2_100 => (2, MOST_OF_2000_WORDS),
                _ => continue,
            };
            let path = format!("/{screen}/{}", article.entry);
            let bytes = in_gzip(&house, &path).await.bytes.len();
            weigh(kind, cap, path, bytes);
        }
    }
    assert!(
        measured.iter().all(|count| *count >= SCREENS.len()),
        "{measured:?}"
    );
    assert_eq!(too_heavy, [""; 0]);
}

/// The pages of an index with groups, each with all that it can say: what is new, and what can be marked as seen.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_index_with_groups_is_no_heavier() {
    let house = House::with_town_in_groups().await;
    let mut too_heavy = Vec::new();
    for screen in SCREENS {
        let choice = house.get(&format!("/{screen}/")).await.text();
        let groups: Vec<String> = rows(&choice)
            .into_iter()
            .map(|row| row.href)
            .filter(|href| href.contains("/group/"))
            .collect();
        assert_eq!(groups.len(), 4);
        let all = format!("/{screen}/page/0");
        let entries = entry_rows(&house.get(&all).await.text());
        assert!(entries.len() == ENTRIES_A_PAGE && entries.iter().all(|row| row.new));
        for path in [vec![format!("/{screen}/"), all], groups].concat() {
            let bytes = in_gzip(&house, &path).await.bytes.len();
            if bytes > MOST_OF_AN_INDEX {
                too_heavy.push(format!("{path}: {bytes} bytes, over {MOST_OF_AN_INDEX}"));
            }
        }
    }
    assert_eq!(too_heavy, [""; 0]);
}

#[tokio::test]
async fn the_font_is_light_and_kept_for_a_year() {
    let house = House::open(Vec::new()).await;
    let html = house.get("/round-10/").await.text();
    let document = Document::from(html.as_str());
    let needed = document.select("link[rel=preload]").attr_or("href", "");
    let style = document.select("style").text();
    let named: Vec<&str> = style
        .split("url(")
        .skip(1)
        .filter_map(|rest| rest.split(')').next())
        .collect();
    assert!(named.contains(&&*needed), "{needed} is not among {named:?}");
    for path in named {
        let font = house.get(path).await;
        assert_eq!(font.status, StatusCode::OK, "{path}");
        assert_eq!(font.header("content-type"), "font/woff2");
        let kept = "public, max-age=31536000, immutable";
        assert_eq!(font.header("cache-control"), kept);
        // The signature of WOFF2 (W3C, WOFF File Format 2.0, section 4.1).
        assert!(font.bytes.starts_with(b"wOF2"), "{path}");
        if path == &*needed {
            assert!(font.bytes.len() <= MOST_OF_THE_FONT, "{}", font.bytes.len());
        }
    }
    let absent = house.get("/font/absent.woff2").await;
    assert_eq!(absent.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_fonts_licence_is_served_and_names_it() {
    let house = House::open(Vec::new()).await;
    let licence = house.get("/font/licence").await;
    assert_eq!(licence.status, StatusCode::OK);
    assert_eq!(licence.header("content-type"), "text/plain; charset=utf-8");
    let text = licence.text();
    assert!(text.contains("Noto Sans"), "{text}");
    // What the font file's own name table says (OpenType, name identifier 13).
    assert!(text.contains("Apache License, Version 2.0"), "{text}");
}
