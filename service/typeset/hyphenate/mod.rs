//! Where words may be divided: Liang's algorithm with the patterns of each language. Never breaks
//! lines, and never divides what an author has divided. The only user of the hyphenation crate.

use hyphenation::{Hyphenator, Standard};
use unicode_normalization::UnicodeNormalization;
use unicode_segmentation::UnicodeSegmentation;

use crate::distil::language::Language;

mod fold;
mod known;
mod patterns;

use fold::Lowered;
pub(super) use fold::may_extend;

/// The soft points of one language's words.
#[derive(Clone, Copy)]
pub struct Divider(Option<&'static Standard>);

/// Words of fewer letters are never divided, whatever the patterns say: on a line of some twenty
/// characters the eye takes them in whole. Common practice, no source.
const LEAST_LETTERS: usize = 5;

/// Words of fewer clusters are never divided in scripts whose vowels are marks: a cluster is a
/// syllable there. The sum of the least minima.
const LEAST_SYLLABLES: usize = 4;

/// Words of capitals alone stay whole up to so many letters: most are initials, which patterns know
/// nothing of. Common practice, no source.
const LONGEST_INITIALS: usize = 6;

impl Divider {
    /// The divider of a language, loaded on first use; of one without patterns, one that finds no
    /// points.
    pub fn of(language: &Language) -> Self {
        Self(patterns::dictionary(language))
    }

    /// A divider that finds no points, for titles.
    pub fn none() -> Self {
        Self(None)
    }

    /// The byte offsets within a word at which it may be divided, in order: never at its start or
    /// end, and always between clusters (UAX #29). A word is letters with their marks; one that
    /// holds anything else, a soft hyphen too, has no points: that is the caller's to split on.
    pub fn points(&self, word: &str) -> Vec<usize> {
        let Some(dictionary) = self.0 else {
            return Vec::new();
        };
        let (mut letters, mut capitals, mut marked) = (0, 0, false);
        for character in word.chars() {
            letters += 1;
            capitals += usize::from(character.is_uppercase());
            if may_extend(character) {
                marked = true;
            } else if !character.is_alphabetic() {
                return Vec::new();
            }
        }
        if marked {
            return points_between_clusters(dictionary, word);
        }
        if letters < LEAST_LETTERS || (capitals == letters && letters <= LONGEST_INITIALS) {
            return Vec::new();
        }
        plain_points(dictionary, word, capitals > 0)
    }

    /// The byte offsets at which the words of a text may be divided, in order.
    pub fn points_within(&self, text: &str) -> Vec<usize> {
        let mut points = Vec::new();
        if self.0.is_none() {
            return points;
        }
        let mut start = None;
        for (at, character) in text.char_indices().chain([(text.len(), ' ')]) {
            // A mark belongs to the word that it follows, though it is no letter.
            let within = character.is_alphabetic() || (start.is_some() && may_extend(character));
            match (within, start) {
                (true, None) => start = Some(at),
                (false, Some(from)) => {
                    self.known_points(&text[from..at], |point| points.push(from + point));
                    start = None;
                }
                _ => {}
            }
        }
        points
    }

    /// Tells the points of a word, as [`Self::points`] finds them, from memory where it was asked
    /// for before.
    fn known_points(&self, word: &str, tell: impl FnMut(usize)) {
        if let Some(dictionary) = self.0
            && word.len() >= LEAST_SYLLABLES
        {
            known::points(dictionary, word, || self.points(word), tell);
        }
    }
}

/// The points of a word each of whose characters is a letter. The crate's own lower-casing is never
/// used, since its offsets go astray where a letter changes its length.
fn plain_points(dictionary: &Standard, word: &str, capitals: bool) -> Vec<usize> {
    let mut points = if capitals {
        let lowered = Lowered::of(word);
        let mut points = dictionary.opportunities(&lowered.text);
        lowered.map_back(word, &mut points);
        points
    } else {
        dictionary.opportunities(word)
    };
    points.retain(|&at| 0 < at && at < word.len() && word.is_char_boundary(at));
    points
}

/// The points of a word in which marks may follow letters. Patterns are written in composed
/// letters, so a composed copy is divided; equivalent strings have the same clusters, by whose
/// numbers the points are carried over.
fn points_between_clusters(dictionary: &Standard, word: &str) -> Vec<usize> {
    let composed: String = word.nfc().collect();
    let starts = |text: &str| -> Option<Vec<usize>> {
        text.grapheme_indices(true)
            .map(|(at, cluster)| cluster.starts_with(char::is_alphabetic).then_some(at))
            .collect()
    };
    let (Some(own), Some(inner)) = (starts(word), starts(&composed)) else {
        return Vec::new();
    };
    let least = if composed.chars().any(may_extend) {
        LEAST_SYLLABLES
    } else {
        LEAST_LETTERS
    };
    if own.len() != inner.len() || own.len() < least {
        return Vec::new();
    }
    let (left, right) = dictionary.minima;
    plain_points(dictionary, &composed, true)
        .into_iter()
        .filter_map(|point| inner.binary_search(&point).ok())
        .filter(|&number| left <= number && number + right <= own.len())
        .map(|number| own[number])
        .collect()
}

#[cfg(test)]
#[path = "../hyphenate_tests.rs"]
mod tests;
