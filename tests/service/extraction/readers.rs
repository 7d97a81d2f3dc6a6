//! Ways from a web page to the words of its article: ours, and those of two others. Never judges.

use std::panic::{AssertUnwindSafe, catch_unwind};

use serde::{Deserialize, Serialize};
use tondo::distil::block::{Block, BlockKind, read_blocks};
use tondo::distil::language::Language;
use tondo::distil::sanitise::sanitise;
use tondo::distil::{Page, Source, distil};
use url::Url;

use super::pages::Case;
use crate::beside::json;

/// What one way made of a page.
#[derive(Clone, Default)]
pub struct Reading {
    pub title: String,
    /// All its text.
    pub text: String,
    /// Its text without that of pictures: what people write down of a page has none of it.
    pub running: String,
    pub milliseconds: f64,
}

impl Reading {
    fn new(title: String, blocks: &[Block], milliseconds: f64) -> Self {
        let text = |pictures: bool| {
            let shown = blocks.iter().filter(|block| match block.kind {
                BlockKind::Rule => false,
                BlockKind::Picture => pictures,
                _ => true,
            });
            shown.map(Block::text).collect::<Vec<_>>().join("\n")
        };
        Self {
            title,
            text: text(true),
            running: text(false),
            milliseconds,
        }
    }

    /// What a reader would get of others' HTML: it goes by the same way into blocks.
    pub fn of_html(title: String, html: &str, address: &Url, milliseconds: f64) -> Self {
        let clean = sanitise(html, address);
        let read = read_blocks(&clean, &Language::unknown());
        Self::new(title, &read.blocks, milliseconds)
    }
}

/// What a reader gets of a page alone.
pub fn ours(case: &Case) -> Reading {
    let mut source = Source::blank(case.address.clone());
    source.page = Some(Page {
        html: case.html.clone(),
        address: case.address.clone(),
    });
    let start = std::time::Instant::now();
    let (article, _) = distil(&source);
    let milliseconds = start.elapsed().as_secs_f64() * 1e3;
    Reading::new(article.title, &article.blocks, milliseconds)
}

#[derive(Serialize)]
struct Asked<'a> {
    html: &'a str,
    address: &'a str,
}

#[derive(Deserialize)]
struct Answered {
    title: String,
    html: String,
    milliseconds: f64,
}

/// What the npm package @mozilla/readability 0.6.0 makes of pages, on jsdom, in one process.
pub fn reference(cases: &[&Case]) -> Vec<Reading> {
    let asked: Vec<Asked> = cases
        .iter()
        .map(|case| Asked {
            html: &case.html,
            address: case.address.as_str(),
        })
        .collect();
    let input = serde_json::to_string(&asked).expect("JSON");
    let answers: Vec<Answered> = json("node", &["articles.mjs"], &input);
    assert_eq!(answers.len(), cases.len());
    cases
        .iter()
        .zip(answers)
        .map(|(case, answer)| {
            Reading::of_html(
                answer.title,
                &answer.html,
                &case.address,
                answer.milliseconds,
            )
        })
        .collect()
}

/// What the crate `readability` 0.3.0 makes of a page; nothing where it fails or panics.
pub fn baseline(case: &Case) -> Reading {
    let start = std::time::Instant::now();
    let product = catch_unwind(AssertUnwindSafe(|| {
        readability::extractor::extract(&mut case.html.as_bytes(), &case.address).ok()
    }));
    let milliseconds = start.elapsed().as_secs_f64() * 1e3;
    let Ok(Some(product)) = product else {
        return Reading::default();
    };
    Reading::of_html(product.title, &product.content, &case.address, milliseconds)
}

/// How deep elements may stand in one another for the crate `readability`, which goes down by recursion
/// and would end the process on a deeper page.
pub const MOST_DEPTH: usize = 400;

/// How deep elements stand in one another at the most.
pub fn depth(html: &str) -> usize {
    let document = dom_query::Document::from(html);
    let mut deepest = 0;
    let mut open = vec![(document.root(), 0)];
    while let Some((node, depth)) = open.pop() {
        deepest = deepest.max(depth);
        open.extend(node.children_it(false).map(|child| (child, depth + 1)));
    }
    deepest
}
