//! Words in lower case, letter by letter, so that offsets can be carried back. Never divides.

use std::iter::zip;

/// A word in lower case, one letter for each of its own.
pub struct Lowered {
    /// The word in lower case.
    pub text: String,
    /// Whether a letter has another length in bytes than its own, as that of the capital sharp s.
    moved: bool,
}

impl Lowered {
    /// Folds a word. A letter whose lower case is more than one character, which is the Turkish
    /// dotted capital I alone (SpecialCasing.txt of Unicode), becomes the first of them.
    pub fn of(word: &str) -> Self {
        let mut text = String::with_capacity(word.len() + 4);
        let mut moved = false;
        for character in word.chars() {
            let lower = character.to_lowercase().next().unwrap_or(character);
            moved |= lower.len_utf8() != character.len_utf8();
            text.push(lower);
        }
        // The small sigma has a form of its own at the end of a word.
        if text.ends_with('σ') && word.ends_with('Σ') {
            text.pop();
            text.push('ς');
        }
        Self { text, moved }
    }

    /// Turns offsets within the lower-cased text, which are in order, into offsets within the word.
    pub fn map_back(&self, word: &str, points: &mut Vec<usize>) {
        if !self.moved {
            return;
        }
        let mut wanted = points.iter().copied().peekable();
        let mut found = Vec::with_capacity(points.len());
        for ((lower, _), (own, _)) in zip(self.text.char_indices(), word.char_indices()) {
            while wanted.next_if(|&point| point < lower).is_some() {}
            if wanted.next_if_eq(&lower).is_some() {
                found.push(own);
            }
        }
        *points = found;
    }
}

/// Whether a character may belong to the cluster of the one before it: the combining diacritics,
/// and all in the blocks of scripts that write vowels as marks. Whether it does is for the rules of
/// UAX #29 to say; this is the quick look that spares the letters of most words these rules.
pub fn may_extend(character: char) -> bool {
    matches!(
        character,
        '\u{300}'..='\u{36f}'
            | '\u{483}'..='\u{489}'
            | '\u{591}'..='\u{109f}'
            | '\u{135d}'..='\u{135f}'
            | '\u{1712}'..='\u{1c7f}'
            | '\u{1cd0}'..='\u{1cff}'
            | '\u{1dc0}'..='\u{1dff}'
            | '\u{200c}'..='\u{200d}'
            | '\u{20d0}'..='\u{20ff}'
            | '\u{2cef}'..='\u{2cf1}'
            | '\u{2de0}'..='\u{2dff}'
            | '\u{3099}'..='\u{309a}'
            | '\u{a66f}'..='\u{a69f}'
            | '\u{a800}'..='\u{abff}'
            | '\u{fe00}'..='\u{fe2f}'
            | '\u{1f3fb}'..='\u{1f3ff}'
    ) || (character >= '\u{10000}' && !character.is_alphabetic())
        || ('\u{11000}'..='\u{11fff}').contains(&character)
}
