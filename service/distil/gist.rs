//! The most telling sentences of a long article, as places in its blocks: LexRank (Erkan and Radev 2004, "LexRank:
//! Graph-based Lexical Centrality as Salience in Text Summarization", JAIR 22:457). Never rewords, and knows no
//! language.

use std::collections::HashMap;
use std::ops::Range;

use unicode_segmentation::UnicodeSegmentation;

use super::block::{Block, BlockKind, Run};
use super::plain::count_words;

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

/// The words of a sentence that can be chosen: shorter ones say little, longer ones are no excerpt.
const TELLING_WORDS: Range<usize> = 8..41;

/// Fewer sentences have no centre, and of more the first are looked at: some 6,000 words.
const LEAST_SENTENCES: usize = 12;
const MOST_SENTENCES: usize = 300;

/// Sentences are neighbours above this cosine; the best of the paper's thresholds, and its damping.
const NEIGHBOURS_ABOVE: f64 = 0.1;
const DAMPING: f64 = 0.15;

/// A sentence this near to one already chosen says the same (the paper leaves such out too, by a threshold of 0.5
/// on the cosine; from memory).
const SAME_ABOVE: f64 = 0.5;

/// The two or three sentences of an article that are nearest to all the others, in reading order; none where the
/// article is short, a bulletin or a list.
pub fn gist(blocks: &[Block]) -> Vec<Sentence> {
    let words = |kind: fn(&BlockKind) -> bool| -> u32 {
        let blocks = blocks.iter().filter(|block| kind(&block.kind));
        blocks.map(|block| count_words(&block.text())).sum()
    };
    let all = words(|_| true);
    let running = words(|kind| matches!(kind, BlockKind::Paragraph | BlockKind::Quotation));
    let headings = blocks
        .iter()
        .filter(|block| matches!(block.kind, BlockKind::Heading { .. }));
    let headings = u32::try_from(headings.count()).unwrap_or(u32::MAX);
    if all < LEAST_WORDS
        || f64::from(running) < LEAST_OF_PARAGRAPHS * f64::from(all)
        || all / LEAST_WORDS_A_HEADING < headings
    {
        return Vec::new();
    }
    let sentences = sentences(blocks);
    if sentences.len() < LEAST_SENTENCES {
        return Vec::new();
    }
    let most = MOST_CHOSEN - usize::from(all < MANY_WORDS);
    choose(&sentences, most)
}

/// A sentence with its words in lower case.
struct Worded {
    sentence: Sentence,
    words: Vec<String>,
    /// Whether it stands by itself: it ends as sentences do, and nothing hints that it is a piece of one.
    whole: bool,
}

/// The sentences of all paragraphs by UAX #29.
fn sentences(blocks: &[Block]) -> Vec<Worded> {
    let paragraphs = blocks
        .iter()
        .enumerate()
        .filter(|(_, block)| block.kind == BlockKind::Paragraph);
    let found = paragraphs.flat_map(|(place, block)| sentences_of(place, &block.text()));
    found.take(MOST_SENTENCES).collect()
}

fn sentences_of(block: usize, text: &str) -> Vec<Worded> {
    let mut start = 0;
    let mut after_piece = false;
    let mut found = Vec::new();
    for piece in text.split_sentence_bounds() {
        let told = piece.trim();
        let before = piece.len() - piece.trim_start().len();
        let first = start + piece[..before].chars().count();
        start += piece.chars().count();
        let ends = ends_within(told);
        let whole = !after_piece && !ends && told.ends_with(is_end);
        after_piece = ends;
        let words: Vec<String> = told.unicode_words().map(str::to_lowercase).collect();
        if words.is_empty() {
            continue;
        }
        found.push(Worded {
            sentence: Sentence {
                block,
                characters: first..first + told.chars().count(),
            },
            words,
            whole: whole && !told.contains('\n'),
        });
    }
    found
}

/// The ends of sentences, and what closes after them.
fn is_end(character: char) -> bool {
    ".!?…。！？।؟։።”’»\")）」』".contains(character)
}

/// Whether what looks like a sentence ends at an abbreviation, as in “Mr. Smith”, which the rules of UAX #29 cannot
/// know: at a word of up to three letters with a capital.
fn ends_within(sentence: &str) -> bool {
    let Some(last) = sentence.strip_suffix('.') else {
        return false;
    };
    let mut words = last.rsplit(|character: char| !character.is_alphanumeric());
    let last = words.next().unwrap_or_default();
    last.chars().count() <= 3 && last.chars().next().is_some_and(char::is_uppercase)
}

/// The most central sentences that can be chosen and do not say the same, in reading order.
fn choose(sentences: &[Worded], most: usize) -> Vec<Sentence> {
    let similar = cosines(sentences);
    let scores = centrality(&similar);
    let mut order: Vec<usize> = (0..sentences.len()).collect();
    // The sort is stable: of equals the earlier comes first.
    order.sort_by(|one, other| scores[*other].total_cmp(&scores[*one]));
    let mut chosen: Vec<usize> = Vec::new();
    let mut room = MOST_CHOSEN_WORDS;
    for place in order {
        let Worded { words, whole, .. } = &sentences[place];
        let telling = *whole && TELLING_WORDS.contains(&words.len()) && words.len() <= room;
        let same = || {
            chosen
                .iter()
                .any(|other| similar[place][*other] > SAME_ABOVE)
        };
        if chosen.len() < most && telling && !same() {
            room -= words.len();
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
fn cosines(sentences: &[Worded]) -> Vec<Vec<f64>> {
    let mut having: HashMap<&str, usize> = HashMap::new();
    for sentence in sentences {
        let mut words: Vec<&str> = sentence.words.iter().map(String::as_str).collect();
        words.sort_unstable();
        words.dedup();
        words
            .into_iter()
            .for_each(|word| *having.entry(word).or_default() += 1);
    }
    let all = sentences.len() as f64;
    let vectors: Vec<Vec<(&str, f64)>> = sentences
        .iter()
        .map(|sentence| {
            let mut words: Vec<&str> = sentence.words.iter().map(String::as_str).collect();
            words.sort_unstable();
            let runs = words.chunk_by(|one, other| one == other);
            let weight = |run: &[&str]| run.len() as f64 * (all / having[run[0]] as f64).ln();
            runs.map(|run| (run[0], weight(run))).collect()
        })
        .collect();
    let length = |vector: &[(&str, f64)]| product(vector, vector).sqrt();
    let lengths: Vec<f64> = vectors.iter().map(|vector| length(vector)).collect();
    let mut cosines = vec![vec![0.0; vectors.len()]; vectors.len()];
    for (one, vector) in vectors.iter().enumerate() {
        cosines[one][one] = 1.0;
        for (other, earlier) in vectors[..one].iter().enumerate() {
            let lengths = lengths[one] * lengths[other];
            let cosine = if lengths > 0.0 {
                product(vector, earlier) / lengths
            } else {
                0.0
            };
            cosines[one][other] = cosine;
            cosines[other][one] = cosine;
        }
    }
    cosines
}

/// The scalar product of two vectors in the order of their words.
fn product(one: &[(&str, f64)], other: &[(&str, f64)]) -> f64 {
    let mut rest = other;
    let mut sum = 0.0;
    for (word, weight) in one {
        while let [(theirs, _), later @ ..] = rest
            && theirs < word
        {
            rest = later;
        }
        if let [(theirs, other_weight), ..] = rest
            && theirs == word
        {
            sum += weight * other_weight;
        }
    }
    sum
}

/// LexRank with a threshold (the paper's algorithm 3): how often a reader is at each sentence who goes from it to
/// any of its neighbours, itself among them, and now and then anywhere.
fn centrality(similar: &[Vec<f64>]) -> Vec<f64> {
    let neighbours: Vec<Vec<usize>> = similar
        .iter()
        .map(|row| {
            let row = row.iter().enumerate();
            row.filter(|(_, cosine)| **cosine > NEIGHBOURS_ABOVE)
                .map(|(place, _)| place)
                .collect()
        })
        .collect();
    let count = similar.len() as f64;
    let mut scores = vec![1.0 / count; similar.len()];
    // By the damping an error shrinks to 0.85 of it at least each time: to a ten-millionth.
    for _ in 0..100 {
        let mut next = vec![DAMPING / count; similar.len()];
        for (row, score) in neighbours.iter().zip(&scores) {
            for place in row {
                next[*place] += (1.0 - DAMPING) * score / row.len() as f64;
            }
        }
        scores = next;
    }
    scores
}

impl Sentence {
    /// The sentence as a paragraph of its own, word by word as it stands and looks, but for its links.
    pub fn paragraph(&self, blocks: &[Block]) -> Option<Block> {
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
            runs,
            ..block.clone()
        })
    }
}

#[cfg(test)]
mod tests;
