//! The place in an article, as its page's script tells it and as a wearer comes back to it: at any text size, by
//! whichever browser, after the article was made anew. The script itself runs in tests/browser/place.test.mjs.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, TestRng, TestRunner};
use reqwest::{Method, StatusCode};
use tondo::distil::block::{Block, BlockKind};
use tondo::distil::{DISTILLER_VERSION, distil};
use tondo::store::{Place, READER};

use super::house::{A_DAY, House, SCREENS};
use super::page::{disc_words, rows};

/// Random walks, and what is done in each.
const WALKS: usize = 200;
const STEPS: usize = 8;

async fn turn(house: &House, path: &str, disc: usize) -> StatusCode {
    let origin = house.origin();
    let form = format!("disc={disc}");
    let answer = house
        .post(&format!("{path}/place"), &[("origin", &origin)], &form)
        .await;
    answer.status
}

/// The number of the disc to which a page's address with `/on` leads.
async fn led_to(house: &House, path: &str) -> usize {
    let answer = house.get(&format!("{path}/on")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(answer.header("cache-control"), "no-store");
    let to = answer.header("location").to_owned();
    if to == path {
        return 1;
    }
    let number = to.strip_prefix(&format!("{path}#")).expect("the article");
    number.parse().expect("a number")
}

/// The number of words before each disc of an article on a screen.
async fn words_before(house: &House, path: &str) -> Vec<usize> {
    let html = house.open_page(path).await.text();
    let mut before = 0;
    let counts = disc_words(&html).into_iter().map(|words| {
        before += words.len();
        before - words.len()
    });
    counts.collect()
}

/// The number of the disc on which a word stands, the last of those that begin with it.
fn disc_of(before: &[usize], word: usize) -> usize {
    before.iter().rposition(|count| *count <= word).unwrap_or(0) + 1
}

async fn redistil(house: &House, entry: i64) {
    let old = house
        .store
        .older_sources(DISTILLER_VERSION + 1, entry - 1, 1)
        .await;
    let source = old.expect("the store").remove(0).source.expect("a source");
    let (article, _) = distil(&source);
    let update = house
        .store
        .update_article(entry, &article, DISTILLER_VERSION);
    update.await.expect("the store");
}

#[tokio::test]
async fn the_place_is_kept_over_random_walks() {
    let house = House::with_town().await;
    // A table is a grid at one size and told in other words at another, so that words cannot be counted.
    let is_row = |block: &Block| block.kind == BlockKind::TableRow;
    let mut articles = house.articles().await;
    articles.retain(|article| !article.blocks.iter().any(is_row));
    // Of these each page is set once, and kept.
    articles.sort_by_key(|article| article.words);
    let articles: Vec<_> = articles.into_iter().step_by(5).collect();
    let mut runner = TestRunner::new_with_rng(
        Config::default(),
        TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha),
    );
    let mut kept = 0;
    for _ in 0..WALKS {
        let plan = proptest::collection::vec((0..4_usize, 0..SCREENS.len(), 0.0..1.0_f64), STEPS);
        let plan = (0..articles.len(), plan)
            .new_tree(&mut runner)
            .expect("a walk")
            .current();
        let entry = articles[plan.0].entry;
        let mut screen = SCREENS[1];
        // The first word of the disc that was left.
        let mut left = None;
        for (act, other, share) in plan.1 {
            let path = format!("/{screen}/{entry}");
            match act {
                0 => {
                    let before = words_before(&house, &path).await;
                    // A disc of text.
                    let disc = 2 + ((before.len() - 5) as f64 * share) as usize;
                    assert_eq!(turn(&house, &path, disc).await, StatusCode::NO_CONTENT);
                    left = Some(before[disc - 1]);
                }
                1 => redistil(&house, entry).await,
                _ => screen = SCREENS[other],
            }
            let path = format!("/{screen}/{entry}");
            let disc = led_to(&house, &path).await;
            if let Some(word) = left.filter(|word| *word > 0) {
                let wanted = disc_of(&words_before(&house, &path).await, word);
                assert!(
                    disc.abs_diff(wanted) <= 1,
                    "{path}: {disc}, and not {wanted}"
                );
                kept += 1;
            }
        }
        turn(&house, &format!("/{}/{entry}", SCREENS[1]), 1).await;
    }
    assert!(kept >= WALKS, "{kept} places looked at");
}

#[tokio::test]
async fn the_index_leads_to_the_place_of_what_was_left_last_until_its_end() {
    let house = House::with_town().await;
    let articles = house.articles().await;
    let longest = articles
        .iter()
        .max_by_key(|article| article.words)
        .expect("an article");
    let path = format!("/round-10/{}", longest.entry);
    house.open_page(&path).await;
    let html = house.open_page(&path).await.text();
    let discs = disc_words(&html);
    let last = discs.len();
    let controls = discs
        .iter()
        .rev()
        .take_while(|words| words.is_empty())
        .count();
    let first_row = async || {
        let html = house.open_page("/round-8/").await.text();
        rows(&html).remove(0)
    };
    assert_ne!(first_row().await.href, path);
    assert_eq!(turn(&house, &path, 7).await, StatusCode::NO_CONTENT);
    let row = first_row().await;
    assert_eq!(row.href, format!("/round-8/{}/on", longest.entry));
    assert!(row.text.ends_with("| Go on reading"), "{}", row.text);
    let listed = rows(&house.open_page("/round-8/").await.text());
    let times = listed.iter().filter(|other| other.href == row.href).count();
    assert_eq!(times, 1);
    // Whoever only goes to the last disc keeps the place.
    turn(&house, &path, last).await;
    assert_eq!(first_row().await.href, row.href);
    // Once its text is read, its end is no place to go back to, nor is its opening.
    let text_end = last - controls;
    for (before, disc) in [(text_end, last), (7, 1)] {
        turn(&house, &path, before).await;
        assert_eq!(turn(&house, &path, disc).await, StatusCode::NO_CONTENT);
        assert!(!first_row().await.href.ends_with("/on"));
        assert_eq!(led_to(&house, &path).await, 1);
        let mark = house
            .store
            .mark(READER, longest.entry)
            .await
            .expect("the store");
        assert_eq!(mark.place, None);
    }
}

#[tokio::test]
async fn without_scripts_the_index_offers_what_was_requested_last_and_left_in_its_midst() {
    let house = House::with_town().await;
    let articles = house.articles().await;
    let longest = articles.iter().max_by_key(|article| article.words);
    let longest = longest.expect("an article").entry;
    let path = format!("/round-10/{longest}");
    let first_row = async || {
        let html = house.open_page("/round-10/").await.text();
        rows(&html).remove(0)
    };
    let opened = async |path: &str, seconds: f64| {
        house.open_page(path).await;
        house.pass_seconds(seconds);
    };
    // A glance at its opening is no reading.
    opened(&path, 10.0).await;
    assert!(!first_row().await.href.ends_with("/on"));
    opened(&path, 40.0).await;
    let row = first_row().await;
    assert_eq!(row.href, format!("{path}/on"));
    assert!(row.text.ends_with("| Go on reading"), "{}", row.text);
    // It leads to where the text begins, which is as near as can be told.
    let to = led_to(&house, &path).await;
    let before = words_before(&house, &path).await;
    assert_eq!(to, disc_of(&before, 0));
    // It is offered until it was read as long as it takes, or was left from its end.
    house.pass_time(A_DAY);
    assert_eq!(first_row().await.href, row.href);
    opened(&path, 20.0).await;
    house.get(&format!("/round-10/after/{longest}")).await;
    assert!(!first_row().await.href.ends_with("/on"));
    opened(&path, 40.0).await;
    assert_eq!(first_row().await.href, row.href);
    // 8,000 words and more take longer than a look lasts, so a shorter article is read to its end.
    let short = articles
        .iter()
        .find(|article| (300..900).contains(&article.words));
    let short = format!("/round-10/{}", short.expect("a short article").entry);
    opened(&short, 20.0).await;
    assert_eq!(first_row().await.href, format!("{short}/on"));
    opened(&short, 290.0).await;
    assert_eq!(first_row().await.href, row.href);
}

#[tokio::test]
async fn what_is_no_disc_or_comes_from_elsewhere_changes_nothing() {
    let house = House::with_town().await;
    let entry = house.articles().await[0].entry;
    let path = format!("/round-10/{entry}");
    turn(&house, &path, 3).await;
    let before = house
        .store
        .mark(READER, entry)
        .await
        .expect("the store")
        .place;
    assert!(before > Some(Place::START));
    for disc in [0, 5_000] {
        assert_eq!(
            turn(&house, &path, disc).await,
            StatusCode::UNPROCESSABLE_ENTITY
        );
    }
    let origin = house.origin();
    let place = format!("{path}/place");
    let odd = house.post(&place, &[("origin", &origin)], "disc=x").await;
    assert_eq!(odd.status, StatusCode::UNPROCESSABLE_ENTITY);
    let elsewhere = [("origin", "http://elsewhere.example")];
    let refused = house.post(&place, &elsewhere, "disc=2").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    assert_eq!(
        turn(&house, "/round-10/999999", 2).await,
        StatusCode::NOT_FOUND
    );
    let by_get = house.ask(Method::GET, &place, &[]).await;
    assert_eq!(by_get.status, StatusCode::METHOD_NOT_ALLOWED);
    let after = house
        .store
        .mark(READER, entry)
        .await
        .expect("the store")
        .place;
    assert_eq!(after, before);
}

#[tokio::test]
async fn an_articles_page_has_the_script_for_a_year_and_no_other_page_has_one() {
    let house = House::with_town().await;
    let entry = house.articles().await[0].entry;
    let html = house.open_page(&format!("/round-10/{entry}")).await.text();
    let (_, after) = html.split_once("<script async src=").expect("a script");
    let (address, after) = after.split_once("></script>").expect("its end");
    assert!(!after.contains("<script"));
    let script = house.get(address).await;
    assert_eq!(
        script.header("content-type"),
        "text/javascript; charset=utf-8"
    );
    assert!(script.header("cache-control").contains("immutable"));
    assert!(script.bytes.len() <= 1_000, "{} bytes", script.bytes.len());
    assert_eq!(
        house.get("/script/other.js").await.status,
        StatusCode::NOT_FOUND
    );
    for path in [
        "/round-10/",
        &format!("/round-10/{entry}/links"),
        "/round-10/none",
    ] {
        assert!(!house.get(path).await.text().contains("<script"), "{path}");
    }
}
