//! The points of words that were asked for before, across articles, with a bound. Finds none itself.

use std::hash::{Hash, Hasher};
use std::sync::{Arc, LazyLock};

use hyphenation::Standard;
use quick_cache::Equivalent;
use quick_cache::sync::Cache;

/// How many words are known: those of some dozens of articles, 2 MB or so.
const MOST_WORDS: usize = 20_000;

/// Longer words are not kept, since an offset is a byte.
const LONGEST_WORD: usize = 100;

static KNOWN: LazyLock<Cache<Word, Arc<[u8]>>> = LazyLock::new(|| Cache::new(MOST_WORDS));

/// A word of a language, which is told by its dictionary: dictionaries are kept for good.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Word {
    dictionary: usize,
    letters: Box<str>,
}

struct Asked<'a> {
    dictionary: usize,
    letters: &'a str,
}

impl Hash for Asked<'_> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.dictionary.hash(state);
        self.letters.hash(state);
    }
}

impl Equivalent<Word> for Asked<'_> {
    fn equivalent(&self, word: &Word) -> bool {
        self.dictionary == word.dictionary && *self.letters == *word.letters
    }
}

/// Hands each point of a word to `tell`, found by `find` where the word is not known.
pub fn points(
    dictionary: &'static Standard,
    word: &str,
    find: impl FnOnce() -> Vec<usize>,
    mut tell: impl FnMut(usize),
) {
    if word.len() > LONGEST_WORD {
        find().into_iter().for_each(tell);
        return;
    }
    let asked = Asked {
        dictionary: std::ptr::from_ref(dictionary).addr(),
        letters: word,
    };
    let known = KNOWN.get(&asked).unwrap_or_else(|| {
        let found: Arc<[u8]> = find().into_iter().map(|point| point as u8).collect();
        let word = Word {
            dictionary: asked.dictionary,
            letters: word.into(),
        };
        KNOWN.insert(word, Arc::clone(&found));
        found
    });
    known.iter().for_each(|&point| tell(usize::from(point)));
}

#[cfg(test)]
mod tests {
    use super::super::Divider;
    use crate::distil::language::Language;

    #[test]
    fn a_word_has_the_points_of_its_own_language_each_time() {
        let divider = |tag| Divider::of(&Language::parse(tag).expect("a tag"));
        for _ in 0..2 {
            assert_eq!(divider("en").points_within("algorithm"), [2, 4]);
            assert_eq!(divider("de").points_within("Silbentrennung"), [3, 6, 10]);
            assert_eq!(
                divider("en-gb").points_within("algorithm"),
                divider("en-gb").points("algorithm")
            );
        }
    }

    #[test]
    fn a_word_without_end_is_not_kept() {
        let word = "algorithm".repeat(40);
        let divider = Divider::of(&Language::parse("en").expect("a tag"));
        assert_eq!(divider.points_within(&word), divider.points(&word));
        assert!(divider.points(&word).iter().any(|&point| point > 255));
    }
}
