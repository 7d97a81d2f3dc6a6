//! What is left of furniture once a page is blocks: lines of links at the ends, the page's own phrases,
//! names and dates that are told already, texts of pictures told twice. Never looks at a feed's text.
//!
//! Links are judged before words, and words only where they are all of a short block.

use std::collections::HashSet;

use unicode_segmentation::UnicodeSegmentation;

use super::block::{Block, BlockKind};
use super::choose::linked_share;
use super::plain::{count_words, one_line};

mod phrases;

use phrases::{is_furniture, is_more_heading, is_of_date};

/// The most words of a block that a phrase can be all of.
const SHORT: u32 = 8;

/// Blocks at the beginning among which lines of names and dates are looked for, and their most words.
const OPENING_BLOCKS: usize = 6;
const OPENING_WORDS: usize = 16;

/// Trims the blocks of a page. `names` are those of its authors.
pub(super) fn trim(blocks: &mut Vec<Block>, title: Option<&str>, names: &[String]) {
    blocks.retain(|block| !is_phrase(block) && !is_arrow(block));
    drop_runs(blocks);
    drop_known_pictures(blocks, title);
    trim_start(blocks, names);
    drop_more(blocks);
    trim_end(blocks);
}

fn is_phrase(block: &Block) -> bool {
    let text = block.text();
    count_words(&text) <= SHORT && is_furniture(&text)
}

/// Whether a block is no more than the arrows and bars between links.
fn is_arrow(block: &Block) -> bool {
    let text = block.text();
    let sign = |sign: char| sign.is_whitespace() || "<>«»‹›|/×←→".contains(sign);
    block.kind != BlockKind::Rule && !text.trim().is_empty() && text.chars().all(sign)
}

/// A short line that stands three times or more in a row is told once: galleries and players have such
/// copies, and show one at a time.
fn drop_runs(blocks: &mut Vec<Block>) {
    let texts: Vec<(String, bool)> = blocks
        .iter()
        .map(|block| {
            let line = matches!(
                block.kind,
                BlockKind::Paragraph | BlockKind::Heading { .. } | BlockKind::ListItem { .. }
            );
            let text = block.text();
            let line = line && count_words(&text) <= SHORT;
            (text, line)
        })
        .collect();
    let mut place = 0;
    let mut kept = Vec::with_capacity(texts.len());
    for run in texts.chunk_by(|one, other| one == other) {
        let once = run.len() >= 3 && run[0].1;
        kept.extend((0..run.len()).map(|copy| copy == 0 || !once));
    }
    blocks.retain(|_| {
        place += 1;
        kept[place - 1]
    });
}

/// A picture's text goes that repeats the title, or an earlier picture's.
fn drop_known_pictures(blocks: &mut Vec<Block>, title: Option<&str>) {
    let mut told: HashSet<String> = title.map(folded).into_iter().collect();
    blocks.retain(|block| block.kind != BlockKind::Picture || told.insert(folded(&block.text())));
}

fn folded(text: &str) -> String {
    one_line(text).to_lowercase()
}

/// Before the first paragraph of running text, links alone, and lines of the authors' names and of
/// dates, go: both are told in other places.
fn trim_start(blocks: &mut Vec<Block>, names: &[String]) {
    let names: HashSet<String> = names
        .iter()
        .flat_map(|name| name.unicode_words())
        .map(str::to_lowercase)
        .collect();
    let found = blocks.iter().take(OPENING_BLOCKS).position(|block| {
        matches!(block.kind, BlockKind::Heading { level } if level > 1)
            || block.kind == BlockKind::Paragraph
                && count_words(&block.text()) > OPENING_WORDS as u32
    });
    // Where no text follows, the links may be all that there is.
    let links_go = found.is_some();
    let end = found.unwrap_or(OPENING_BLOCKS);
    let is_told = |block: &Block| {
        let text = block.text();
        let words: Vec<String> = text.unicode_words().map(str::to_lowercase).collect();
        let known = |word: &String| names.contains(word) || is_of_date(word);
        matches!(
            block.kind,
            BlockKind::Paragraph | BlockKind::ListItem { .. }
        ) && words.len() <= OPENING_WORDS
            && words.iter().all(known)
    };
    let mut place = 0;
    blocks.retain(|block| {
        place += 1;
        place > end || !(is_told(block) || links_go && is_link(block) && !is_heading(block))
    });
}

/// Whether all of a block is links.
fn is_link(block: &Block) -> bool {
    linked_share(block) > 0.9
}

fn is_heading(block: &Block) -> bool {
    matches!(block.kind, BlockKind::Heading { .. })
}

/// A heading that announces other articles goes with the links, pictures and short lines after it.
fn drop_more(blocks: &mut Vec<Block>) {
    let mut dropping = false;
    blocks.retain(|block| {
        let short = count_words(&block.text()) <= SHORT * 2;
        let announces = short && is_more_heading(&block.text());
        dropping = announces
            || dropping
                && (is_link(block)
                    || block.kind == BlockKind::Picture
                    || block.kind == BlockKind::Rule);
        !dropping
    });
}

/// At the end, links alone go with the headings before them, if they are three or more or have a heading;
/// and so do headings that nothing follows.
fn trim_end(blocks: &mut Vec<Block>) {
    let is_label = |block: &Block| {
        let text = block.text();
        is_heading(block)
            && count_words(&text) <= SHORT * 2
            && !text.trim_end().ends_with(['.', '!', '…', '。'])
    };
    let is_tail =
        |block: &Block| is_link(block) || is_label(block) || block.kind == BlockKind::Rule;
    let kept = blocks.iter().rposition(|block| !is_tail(block));
    let Some(kept) = kept.map(|kept| kept + 1) else {
        return;
    };
    let tail = &blocks[kept..];
    let links = tail.iter().filter(|block| is_link(block)).count();
    if links >= 3 || links > 0 && tail.iter().any(is_heading) || links == 0 {
        blocks.truncate(kept);
    }
}

/// Paragraphs, headings and pictures that stand on several parts of an article are told once.
pub(super) fn drop_repeats(blocks: &mut Vec<Block>) {
    let mut told = HashSet::new();
    blocks.retain(|block| {
        let once = matches!(
            block.kind,
            BlockKind::Paragraph | BlockKind::Heading { .. } | BlockKind::Picture
        );
        !once || told.insert(folded(&block.text()))
    });
}

#[cfg(test)]
mod tests;
