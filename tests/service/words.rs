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

/// The characters of a word that may go on over the end of a disc: no line holds more of them.
const MORE_THAN_A_LINE: usize = 25;

/// Whether a word goes on over the end of a disc: a very long one, or a compound at its own hyphen.
fn goes_on(word: &str, wanted: &str) -> bool {
    let parts = wanted.chars().count() > MORE_THAN_A_LINE || word.ends_with('-');
    parts && word != wanted && wanted.starts_with(word)
}

/// Compares words, and says where the first difference is.
fn check_same(found: &[String], wanted: &[&str], path: &str, title: &str) {
    let mut found = found.iter();
    for (place, wanted) in wanted.iter().enumerate() {
        let mut word = found.next().cloned().unwrap_or_default();
        while goes_on(&word, wanted)
            && let Some(rest) = found.next()
        {
            word.push_str(rest);
        }
        assert_eq!(word, *wanted, "word {place} of {path}, {title}");
    }
    assert_eq!(found.next(), None, "after the last word of {path}, {title}");
}
