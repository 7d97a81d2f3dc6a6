//! The most telling sentences of a long article, as places in its blocks: continuous LexRank with the position of a
//! sentence beside it (Erkan and Radev 2004, "LexRank: Graph-based Lexical Centrality as Salience in Text
//! Summarization", JAIR 22:457). Never rewords.

use std::collections::HashMap;
use std::ops::Range;

use super::block::{Block, BlockKind, Run};
use super::plain::count_words;
use sentence::{Worded, sentences};

mod sentence;

/// A sentence of an article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sentence {
    /// Its block, from 0.
    pub block: usize,
    /// Its characters in the block's text, from 0, without the space around it.
    pub characters: Range<usize>,
}

/// Articles of fewer words are short: they have no gist beside themselves (common practice, no source). So have
/// those with a heading for fewer words than the second number, as bulletins have, and those of which less than
/// three quarters is paragraphs, as lists and tables.
const LEAST_WORDS: u32 = 600;
const LEAST_WORDS_A_HEADING: u32 = 100;
const LEAST_OF_PARAGRAPHS: f64 = 0.75;

/// How many sentences are chosen, and in articles of fewer words than the second number one less. Together they
/// have no more words than the third, two or three discs.
const MOST_CHOSEN: usize = 3;
const MANY_WORDS: u32 = 1_200;
const MOST_CHOSEN_WORDS: usize = 75;

/// The words of a sentence that can be chosen. Longer ones are no excerpt. The paper leaves out those of fewer than 9
/// (from memory); in the demo's articles those of fewer than 13 told little by themselves.
const TELLING_WORDS: Range<usize> = 13..41;

/// Fewer sentences have no centre, and of more the first are looked at: some 6,000 words.
const LEAST_SENTENCES: usize = 12;
const MOST_SENTENCES: usize = 300;

/// How often the reader of the paper's walk goes anywhere.
const DAMPING: f64 = 0.15;

/// Its scores, which are 1 together, stand when they change by less (the paper's power method has such a bound too).
const LEAST_CHANGE: f64 = 1e-7;

/// A sentence this near to one already chosen says the same (the paper leaves such out too, by a threshold of 0.5
/// on the cosine; from memory).
const SAME_ABOVE: f64 = 0.5;

/// The two or three sentences of an article that are nearest to all the others and to its beginning, in reading order;
/// none where the article is short, a bulletin or a list.
pub fn gist(blocks: &[Block]) -> Vec<Sentence> {
    let (mut all, mut running, mut headings) = (0, 0, 0);
    for block in blocks {
        let words = count_words(&block.text());
        all += words;
        match block.kind {
            BlockKind::Paragraph | BlockKind::Quotation => running += words,
            BlockKind::Heading { .. } => headings += 1,
            _ => {}
        }
    }
    if all < LEAST_WORDS
        || f64::from(running) < LEAST_OF_PARAGRAPHS * f64::from(all)
        || all / LEAST_WORDS_A_HEADING < headings
    {
        return Vec::new();
    }
    let sentences = sentences(blocks, MOST_SENTENCES);
    if sentences.len() < LEAST_SENTENCES {
        return Vec::new();
    }
    let most = MOST_CHOSEN - usize::from(all < MANY_WORDS);
    choose(&sentences, most)
}

/// The best sentences that can be chosen and do not say the same, in reading order.
fn choose(sentences: &[Worded], most: usize) -> Vec<Sentence> {
    let similar = cosines(sentences);
    let scores = scores(&similar);
    let mut order: Vec<usize> = (0..sentences.len()).collect();
    order.sort_by(|one, other| scores[*other].total_cmp(&scores[*one]));
    let mut chosen: Vec<usize> = Vec::new();
    let mut room = MOST_CHOSEN_WORDS;
    for place in order {
        let Worded { words, alone, .. } = sentences[place];
        let telling = alone && TELLING_WORDS.contains(&words) && words <= room;
        let same = || {
            chosen
                .iter()
                .any(|other| similar[place][*other] > SAME_ABOVE)
        };
        if chosen.len() < most && telling && !same() {
            room -= words;
            chosen.push(place);
        }
    }
    chosen.sort_unstable();
    // One alone is a sentence torn out.
    if chosen.len() < 2 {
        return Vec::new();
    }
    let chosen = chosen.into_iter();
    chosen
        .map(|place| sentences[place].sentence.clone())
        .collect()
}

/// The idf-modified cosines of all pairs of sentences (the paper's equation 1). An article is its own corpus: the
/// idf of a word is the logarithm of all its sentences over those that have the word.
///
/// Few pairs share a word, so the products are summed word by word, over the sentences that have it.
fn cosines(sentences: &[Worded]) -> Vec<Vec<f64>> {
    let mut products = vec![vec![0.0; sentences.len()]; sentences.len()];
    for having in sentences_by_word(sentences) {
        let idf = (sentences.len() as f64 / having.len() as f64).ln();
        for (place, (one, times)) in having.iter().enumerate() {
            for (other, other_times) in &having[..=place] {
                products[*one][*other] += times * other_times * idf * idf;
            }
        }
    }
    let lengths: Vec<f64> = (0..sentences.len())
        .map(|one| products[one][one].sqrt())
        .collect();
    let mut cosines = products;
    for one in 0..sentences.len() {
        for other in 0..one {
            let lengths = lengths[one] * lengths[other];
            let cosine = if lengths > 0.0 {
                cosines[one][other] / lengths
            } else {
                0.0
            };
            cosines[one][other] = cosine;
            cosines[other][one] = cosine;
        }
        cosines[one][one] = 1.0;
    }
    cosines
}

/// For each word, in the order of their first places, the sentences that have it and how many times.
fn sentences_by_word(sentences: &[Worded]) -> Vec<Vec<(usize, f64)>> {
    let mut numbers: HashMap<&str, usize> = HashMap::new();
    let mut found: Vec<Vec<(usize, f64)>> = Vec::new();
    for (place, sentence) in sentences.iter().enumerate() {
        for word in &sentence.telling {
            let number = *numbers.entry(word).or_insert(found.len());
            if number == found.len() {
                found.push(Vec::new());
            }
            match found[number].last_mut() {
                Some((last, times)) if *last == place => *times += 1.0,
                _ => found[number].push((place, 1.0)),
            }
        }
    }
    found
}

/// How central each sentence is, the most central being 1, and how near to the beginning, the first being 1. The paper
/// joins these two as features of MEAD, whose own position falls by equal steps from the first sentence to the last
/// (from memory). Without it the sentences that were chosen of the demo's articles gave away how they end, and spoke of
/// people whom only the beginning makes known.
fn scores(similar: &[Vec<f64>]) -> Vec<f64> {
    let central = centrality(similar);
    let highest = central.iter().copied().fold(0.0, f64::max);
    let count = similar.len() as f64;
    let central = central.iter().enumerate();
    central
        .map(|(place, score)| score / highest + (count - place as f64) / count)
        .collect()
}

/// LexRank: how often a reader is at each sentence who goes from it to any, itself among them, as likely as their tie is strong, and
/// now and then anywhere. Where ties are cosines it is the paper's continuous one, and where they are 1 above a
/// threshold and else 0 it is the paper's algorithm 3.
fn centrality(ties: &[Vec<f64>]) -> Vec<f64> {
    let ties: Vec<Vec<(usize, f64)>> = ties
        .iter()
        .map(|row| {
            let sum: f64 = row.iter().sum();
            let row = row.iter().enumerate().filter(|(_, tie)| **tie > 0.0);
            row.map(|(place, tie)| (place, tie / sum)).collect()
        })
        .collect();
    let count = ties.len() as f64;
    let mut scores = vec![1.0 / count; ties.len()];
    // By the damping an error shrinks to 0.85 of it at least each time: to a ten-millionth at the end.
    for _ in 0..100 {
        let mut next = vec![DAMPING / count; ties.len()];
        for (row, score) in ties.iter().zip(&scores) {
            for (place, tie) in row {
                next[*place] += (1.0 - DAMPING) * score * tie;
            }
        }
        let changes = scores
            .iter()
            .zip(&next)
            .map(|(one, other)| (one - other).abs());
        let change: f64 = changes.sum();
        scores = next;
        if change < LEAST_CHANGE {
            break;
        }
    }
    scores
}

impl Sentence {
    /// The sentence as a quotation of its own, word by word as it stands and looks, but for its links.
    pub fn quoted(&self, blocks: &[Block]) -> Option<Block> {
        let block = blocks.get(self.block)?;
        let mut at = 0;
        let mut runs = Vec::new();
        for run in &block.runs {
            let count = run.text.chars().count();
            let from = self.characters.start.clamp(at, at + count) - at;
            let to = self.characters.end.clamp(at, at + count) - at;
            if from < to {
                runs.push(Run {
                    text: run.text.chars().take(to).skip(from).collect(),
                    style: run.style,
                    link: None,
                    cell: None,
                });
            }
            at += count;
        }
        Some(Block {
            kind: BlockKind::Quotation,
            runs,
            ..block.clone()
        })
    }
}

#[cfg(test)]
mod tests;
