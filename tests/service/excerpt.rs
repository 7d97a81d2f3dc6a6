//! The excerpt of a long article: its own sentences, word by word, on discs between its opening and its text.

use tondo::distil::gist::gist;
use tondo::store::StoredArticle;

use super::house::{House, SCREENS};
use super::page::{excerpt_parts, one_line, section_kinds};

/// The articles of the demo that have one: all that are long.
const LEAST_EXCERPTS: usize = 7;

/// The screen whose discs have so few lines that an excerpt would take many of them: it shows none.
const FEWEST_LINES: &str = "round-6-wide";

/// The sentences that an excerpt should show.
fn sentences(article: &StoredArticle) -> Vec<String> {
    let gist = gist(&article.blocks);
    let shown = gist.iter().map(|sentence| sentence.quoted(&article.blocks));
    shown
        .map(|quoted| one_line(&quoted.expect("a block").text()))
        .collect()
}

/// A text without white space, since a sentence may go on on another disc in the middle of a word.
fn letters(texts: &[String]) -> String {
    texts.concat().split_whitespace().collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn long_articles_of_the_town_show_their_own_sentences_before_the_text() {
    let house = House::with_town().await;
    let mut with_excerpt = Vec::new();
    for article in house.articles().await {
        let sentences = sentences(&article);
        for screen in SCREENS {
            let path = format!("/{screen}/{}", article.entry);
            let html = house.open_page(&path).await.text();
            let parts = excerpt_parts(&html);
            let kinds = section_kinds(&html);
            let Some((heading, shown)) = parts.split_first() else {
                assert!(sentences.is_empty() || screen == FEWEST_LINES, "{path}");
                assert!(!kinds.contains(&'a'), "{path}: {kinds:?}");
                continue;
            };
            assert_ne!(screen, FEWEST_LINES, "{path}");
            assert_eq!(heading, "Excerpt", "{path}");
            assert_eq!(letters(shown), letters(&sentences), "{path}");
            // Opening, excerpt, text, what leads on; each together.
            let mut order = kinds;
            order.dedup();
            assert_eq!(order, ['o', 'a', 't', 'x'], "{path}");
        }
        for sentence in &sentences {
            let stands = article
                .blocks
                .iter()
                .any(|block| block.text().contains(sentence));
            assert!(stands, "{sentence}");
        }
        if sentences.is_empty() {
            continue;
        }
        assert!(article.words >= 600, "{}: {}", article.title, article.words);
        assert!((2..=3).contains(&sentences.len()), "{sentences:?}");
        with_excerpt.push((article.title, sentences));
    }
    assert!(with_excerpt.len() >= LEAST_EXCERPTS, "{with_excerpt:#?}");
}
