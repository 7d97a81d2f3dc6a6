//! Every word of the stored blocks stands on the discs, in order, once.

use tondo::distil::block::Block;

use super::house::{House, SCREENS};
use super::page::{check_harmless, running_words};

/// The fewest articles that the demo shows.
const LEAST_ARTICLES: usize = 24;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_word_of_the_town_stands_on_the_discs_once_at_every_size() {
    let house = House::with_town().await;
    let articles = house.articles().await;
    assert!(articles.len() >= LEAST_ARTICLES, "{}", articles.len());
    for article in &articles {
        let text = article.blocks.iter().map(Block::text);
        let text = text.collect::<Vec<_>>().join("\n");
        let wanted: Vec<&str> = text.split_whitespace().collect();
        assert!(wanted.len() >= 100, "{} is too short", article.title);
        for screen in SCREENS {
            let path = format!("/{screen}/{}", article.entry);
            let html = house.open_page(&path).await.text();
            check_same(&running_words(&html), &wanted, &path, &article.title);
            check_harmless(&html, &path);
        }
    }
}

/// Compares words, and says where the first difference is.
fn check_same(found: &[String], wanted: &[&str], path: &str, title: &str) {
    let differs = |(place, (found, wanted)): (usize, (&String, &&str))| {
        (found != wanted).then(|| format!("word {place}: found {found:?}, not {wanted:?}"))
    };
    let pairs = found.iter().zip(wanted).enumerate();
    let first = pairs.into_iter().find_map(differs);
    assert_eq!(first, None, "{path} {title}");
    assert_eq!(found.len(), wanted.len(), "{path} {title}");
}
