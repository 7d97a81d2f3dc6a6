//! HTML and strangers' text into plain text: for titles, for counting, for a terminal. Never keeps
//! structure.

use std::borrow::Cow;

use dom_query::{Document, NodeRef};
use unicode_normalization::char::canonical_combining_class;
use unicode_segmentation::UnicodeSegmentation;

use super::flatten::{Kind, Limits, flatten};

/// The text of HTML on one line: white space is single spaces, and the ends of blocks are spaces.
pub fn plain_text(html: &str) -> String {
    let flat = flatten(html, Kind::Content, Limits::ORDINARY);
    let document = Document::fragment(flat.html);
    let mut text = String::new();
    let root = document.root();
    let mut next = Some(root);
    while let Some(node) = next {
        if node.is_text() {
            text.push_str(&node.text());
        } else if !is_inline(&node) {
            text.push(' ');
        }
        next = node.first_child().or_else(|| following(node, &mut text));
    }
    one_line(&text)
}

/// The node after all that is in this one.
fn following<'a>(node: NodeRef<'a>, text: &mut String) -> Option<NodeRef<'a>> {
    let mut node = node;
    loop {
        if let Some(sibling) = node.next_sibling() {
            return Some(sibling);
        }
        node = node.parent()?;
        if !is_inline(&node) {
            text.push(' ');
        }
    }
}

fn is_inline(node: &NodeRef<'_>) -> bool {
    node.node_name()
        .is_some_and(|name| super::block::is_inline(&name))
}

/// Every stretch of white space as one space, none at the ends, and nothing that has no sign.
pub fn one_line(text: &str) -> String {
    let shown: String = text
        .chars()
        .filter(|&character| character.is_whitespace() || is_shown(character))
        .collect();
    let words: Vec<&str> = shown.split_whitespace().collect();
    without_piles(&words.join(" "), 0).into_owned()
}

/// A text as HTML that shows it.
pub(super) fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;")
}

/// A stranger's text for a terminal, without what would steer it.
pub fn printable(text: &str) -> String {
    text.replace(char::is_control, " ")
}

/// The most marks on one letter: a Hebrew one has four with its dot, its vowel, its doubling and
/// its accent (from memory). Piles of strangers' marks reach over the lines above and below.
const MOST_MARKS: usize = 4;

/// A text without the marks that no letter has, where as many as `before` stand before it.
pub fn without_piles(text: &str, before: usize) -> Cow<'_, str> {
    if text.is_ascii() {
        return Cow::Borrowed(text);
    }
    let mut marks = before;
    let mut bears = |character: char| {
        marks = if is_mark(character) { marks + 1 } else { 0 };
        marks <= MOST_MARKS
    };
    Cow::Owned(text.chars().filter(|&character| bears(character)).collect())
}

/// How many marks are at the end of a text whose characters are handed over from its end.
pub fn marks_at_end(backwards: impl Iterator<Item = char>) -> usize {
    let last = backwards.take(MOST_MARKS);
    last.take_while(|&character| is_mark(character)).count()
}

fn is_mark(character: char) -> bool {
    canonical_combining_class(character) != 0
}

/// A text cut to so many characters, at a whole word where it has one, with an ellipsis.
pub fn shortened(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        None => text.to_owned(),
        Some((end, _)) => {
            let cut = &text[..end];
            let whole = cut.rsplit_once(' ').map_or(cut, |(whole, _)| whole);
            format!("{whole}…")
        }
    }
}

/// The most characters of a title. No disc shows more; a stranger's title could be megabytes long.
pub const MOST_TITLE: usize = 300;

/// Whether a character belongs on a page. A control character has no sign of its own, and an
/// override of direction (UAX #9, section 2.2) makes a text read as another than was written.
pub fn is_shown(character: char) -> bool {
    !character.is_control() && !matches!(character, '\u{202d}' | '\u{202e}')
}

/// How many words a text has by UAX #29, where a character of a script without spaces is a word of its own: a
/// Chinese one, a Hiragana one, a Thai letter with its marks. The standard keeps Katakana together; they are
/// counted one by one too, so that a text without spaces has as many words as characters.
pub fn count_words(text: &str) -> u32 {
    let counts = text.unicode_words().map(|word| match word.chars().next() {
        Some('\u{30a0}'..='\u{30ff}' | '\u{31f0}'..='\u{31ff}' | '\u{ff66}'..='\u{ff9f}') => {
            word.graphemes(true).count()
        }
        _ => 1,
    });
    u32::try_from(counts.sum::<usize>()).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_references_go_and_blocks_part_words() {
        let check = |html: &str, expected: &str| assert_eq!(plain_text(html), expected);
        check("Caf&eacute; &amp; <b>b</b>ar", "Café & bar");
        check("<p>one<p>two<br>three", "one two three");
        check("1 < 2", "1 < 2");
        check(" a \n b<script>c</script> ", "a b");
        check("<div>a</div>b", "a b");
        check("", "");
    }

    #[test]
    fn no_letter_has_more_marks_than_letters_have() {
        let check = |text: &str, before: &str, expected: &str| {
            let before = marks_at_end(before.chars().rev());
            assert_eq!(without_piles(text, before), expected);
        };
        let pile = "\u{300}".repeat(50);
        let most = "\u{300}".repeat(MOST_MARKS);
        check(&format!("a{pile}b{pile}"), "", &format!("a{most}b{most}"));
        check(&pile, "a", &most);
        check(&pile, &format!("a{most}"), "");
        check("plain", "a", "plain");
        check("שּׁ֑", "", "שּׁ֑");
    }

    #[test]
    fn words_are_those_of_uax_29() {
        assert_eq!(
            count_words("The quick (“brown”) fox can’t jump 32.3 feet, right?"),
            9
        ); // UAX #29, figure 1
        assert_eq!(count_words("海の潮"), 3);
        assert_eq!(count_words("コーヒーを二杯"), 7);
        assert_eq!(count_words("ท่าเรือ"), 5); // ท่, า, เ, รื, อ
    }
}
