//! Where words may be divided: Liang's algorithm with the patterns of each language. Never breaks
//! lines. The only user of the hyphenation crate.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use hyphenation::{Hyphenator, Language as Patterns, Load, Standard};

use crate::distil::language::Language;

/// The soft points of one language's words.
#[derive(Clone, Copy)]
pub struct Divider(Option<&'static Standard>);

/// Words of fewer letters are never divided, whatever the patterns say: on a line of some twenty
/// characters the eye takes them in whole. Common practice, no source.
const LEAST_LETTERS: usize = 5;

impl Divider {
    /// The divider of a language; of one without patterns, one that finds no points.
    pub fn of(language: &Language) -> Self {
        Self(patterns(language).and_then(dictionary))
    }

    /// A divider that finds no points, for titles.
    pub fn none() -> Self {
        Self(None)
    }

    /// The byte offsets within a word at which it may be divided. A word is letters alone;
    /// anything else in it, a soft hyphen too, is the caller's to split on first.
    pub fn points(&self, word: &str) -> Vec<usize> {
        let Some(dictionary) = self.0 else {
            return Vec::new();
        };
        if word.chars().count() < LEAST_LETTERS
            || word.contains(UNSAFE)
            || !word.chars().all(char::is_alphabetic)
        {
            return Vec::new();
        }
        let breaks = dictionary.hyphenate(word).breaks;
        breaks
            .into_iter()
            .filter(|&at| 0 < at && at < word.len() && word.is_char_boundary(at))
            .collect()
    }

    /// The byte offsets at which the words of a text may be divided.
    pub fn points_within(&self, text: &str) -> Vec<usize> {
        let mut points = Vec::new();
        let mut start = None;
        for (at, character) in text.char_indices().chain([(text.len(), ' ')]) {
            match (character.is_alphabetic(), start) {
                (true, None) => start = Some(at),
                (false, Some(from)) => {
                    let inner = self.points(&text[from..at]).into_iter();
                    points.extend(inner.map(|point| from + point));
                    start = None;
                }
                _ => {}
            }
        }
        points
    }
}

/// The capital sharp s, whose lower case is longer in bytes: the crate's offsets go astray on it.
const UNSAFE: char = '\u{1e9e}';

/// The patterns of a language. The crate names most of them by the primary subtag; the languages
/// whose patterns have a further part in their names are listed.
fn patterns(language: &Language) -> Option<Patterns> {
    let tag = language.tag();
    let code = match language.primary() {
        "en" if ["en-gb", "en-ie", "en-au", "en-nz", "en-za", "en-in"].contains(&tag) => "en-gb",
        "en" => "en-us",
        "de" if tag.starts_with("de-1901") => "de-1901",
        "de" => "de-1996",
        "el" => "el-monoton",
        "no" => "nb",
        "mn" => "mn-cyrl",
        "sr" if tag.starts_with("sr-latn") => "sh-latn",
        "sr" => "sr-cyrl",
        "bs" | "sh" => "sh-latn",
        primary => primary,
    };
    Patterns::try_from_code(code)
}

/// The dictionary of a language, decoded on first use and kept for good: 0.1 to 0.4 ms each.
fn dictionary(patterns: Patterns) -> Option<&'static Standard> {
    static LOADED: Mutex<BTreeMap<&str, Option<&Standard>>> = Mutex::new(BTreeMap::new());
    let mut loaded = LOADED.lock().unwrap_or_else(PoisonError::into_inner);
    *loaded.entry(patterns.code()).or_insert_with(|| {
        let dictionary = Standard::from_embedded(patterns).ok()?;
        Some(&*Box::leak(Box::new(dictionary)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(tag: &str, word: &str, wanted: &str) {
        let divider = Divider::of(&Language::parse(tag).unwrap());
        let mut found = String::new();
        let mut from = 0;
        for point in divider.points(word) {
            found.push_str(&word[from..point]);
            found.push('-');
            from = point;
        }
        found.push_str(&word[from..]);
        assert_eq!(found, wanted);
    }

    #[test]
    fn words_are_divided_by_their_language() {
        // Outputs of TeX's patterns hyph-en-us and de-1996 on the worked examples of Liang's
        // thesis (STAN-CS-83-977, 1983) and of the German patterns' own documentation.
        check("en", "typesetting", "type-set-ting");
        check("en", "algorithm", "al-go-rithm");
        check("en-us", "manuscript", "man-u-script");
        check("de", "Silbentrennung", "Sil-ben-tren-nung");
        check("de", "zuckers", "zu-ckers");
        check("es", "biblioteca", "bi-blio-te-ca");
    }

    #[test]
    fn what_is_no_plain_word_is_left_whole() {
        check("en", "a1gorithm", "a1gorithm");
        check("de", "STRA\u{1e9e}ENBAHNEN", "STRA\u{1e9e}ENBAHNEN");
        check("en", "water", "wa-ter");
        check("en", "into", "into");
        check("tlh", "anything", "anything");
        check("en", "", "");
    }
}
