//! The words of finding articles.

use crate::store::{MOST_CHARACTERS, MOST_WORDS};
use crate::words::{Words, say};

say! {
    /// What leads to the search, and what begins one.
    find = "find";
    /// What the field of the search is called.
    find_words = "find-words";
    /// What stands above that field where nothing was found: short enough for the top of a disc, as the next two.
    nothing_found = "nothing-found";
    /// Where there was no word to look for.
    type_a_word = "type-a-word";
    /// Where there were too many.
    fewer_words = "fewer-words";
    /// What to do where neither letters nor digits were typed.
    no_words = "no-words";
    /// What leads to further articles that were found.
    further = "further";
    /// The control that forgets the last searches.
    forget_searches = "forget-searches";
}

impl Words {
    /// What to do where too much was typed.
    pub fn too_many_words(self) -> String {
        let most = ("most", MOST_WORDS.into());
        self.tell(
            "too-many-words",
            [most, ("characters", MOST_CHARACTERS.into())],
        )
    }

    /// What to do where nothing was found.
    pub fn none_has_all(self, words: &str) -> String {
        self.tell("none-has-all", [("words", words.into())])
    }

    /// That some articles cannot be found yet.
    pub fn not_findable_yet(self, count: u64) -> String {
        self.tell("not-findable-yet", [("articles", count.into())])
    }

    /// How many articles were found.
    pub fn found(self, count: usize, more: bool) -> String {
        let id = if more { "best-found" } else { "found" };
        self.tell(id, [("found", count.into())])
    }

    /// The title of a page of what was found.
    pub fn find_title(self, words: &str) -> String {
        self.tell("find-title", [("words", words.into())])
    }
}
