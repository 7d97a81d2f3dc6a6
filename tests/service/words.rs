//! Every word of the stored blocks stands on the discs, in order, once.

use std::collections::BTreeMap;

use tondo::distil::block::Block;

use super::house::{House, SCREENS};
use super::page::{check_harmless, grids, running_words};

/// The fewest articles that the demo shows.
const LEAST_ARTICLES: usize = 24;
/// The fewest grids on all its pages.
const LEAST_GRIDS: usize = 8;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_word_of_the_town_stands_on_the_discs_once_at_every_size() {
    let house = House::with_town().await;
    let articles = house.articles().await;
    assert!(articles.len() >= LEAST_ARTICLES, "{}", articles.len());
    let mut shown_as_grids = 0;
    for article in &articles {
        for screen in SCREENS {
            let path = format!("/{screen}/{}", article.entry);
            let html = house.open_page(&path).await.text();
            let grids = grids(&html);
            let text = text_of(&article.blocks, &grids);
            let wanted: Vec<&str> = text.split_whitespace().collect();
            assert!(wanted.len() >= 100, "{} is too short", article.title);
            check_same(&running_words(&html), &wanted, &path, &article.title);
            check_harmless(&html, &path);
            shown_as_grids += grids.len();
        }
    }
    assert!(shown_as_grids >= LEAST_GRIDS, "{shown_as_grids}");
}

/// The text of blocks, where the tables that stand as grids tell each head once: before the rows.
fn text_of(blocks: &[Block], grids: &[String]) -> String {
    let mut texts = Vec::new();
    let mut grids = grids.iter().peekable();
    let row = |block: &Block| {
        block
            .runs
            .iter()
            .filter_map(|run| run.cell)
            .map(|cell| cell.row)
            .max()
    };
    for rows in blocks.chunk_by(|one, other| row(one).is_some() && row(one) < row(other)) {
        let grid = grid_of(rows);
        match grids.next_if(|shown| **shown == grid) {
            Some(_) => texts.push(grid),
            None => texts.extend(rows.iter().map(Block::text)),
        }
    }
    assert_eq!(grids.next(), None, "is no table of the article");
    texts.join("\n")
}

/// What a table says as a grid, each cell on a line: its heads by their columns, then its values.
fn grid_of(rows: &[Block]) -> String {
    let mut heads: BTreeMap<u32, String> = BTreeMap::new();
    let mut values: BTreeMap<(u32, u32), String> = BTreeMap::new();
    for row in rows {
        let mut told: BTreeMap<u32, String> = BTreeMap::new();
        for run in &row.runs {
            match run.cell {
                Some(cell) if cell.head => told.entry(cell.column).or_default().push_str(&run.text),
                Some(cell) => {
                    let value = values.entry((cell.row, cell.column)).or_default();
                    value.push_str(&run.text);
                }
                None => {}
            }
        }
        for (column, head) in told {
            let known = heads.entry(column).or_insert_with(|| head.clone());
            assert_eq!(*known, head);
        }
    }
    let texts: Vec<String> = heads.into_values().chain(values.into_values()).collect();
    texts.join("\n")
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
