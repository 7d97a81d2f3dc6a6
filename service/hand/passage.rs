//! The words by which a browser finds a place in a web page, as a text directive of “URL Fragment Text Directives”
//! (WICG, <https://wicg.github.io/scroll-to-text-fragment/>). Never knows a page, only an article's blocks.

use std::fmt::Write;

use unicode_segmentation::UnicodeSegmentation;

use crate::distil::block::{Block, BlockKind, Script};

/// The fewest bytes of words that are looked for, about four words: what an article says once, the page around it
/// may well say too.
const LEAST_BYTES: usize = 20;

/// The most: what cannot be told apart by then is not looked for.
const MOST_BYTES: usize = 120;

/// What stands between an address with its fragment and its directives.
const DELIMITER: &str = ":~:";

/// The first words of the sentence at a place: as many as its article's title and text before it do not have. None at
/// the beginning and beyond the last block, where an article is read to its end, and where no such words are found.
///
/// What a page may write otherwise is left out: raised and lowered text, and what only the distiller reads out. A place
/// in such a block is one at the end of the text before.
pub fn passage(title: &str, blocks: &[Block], block: u32, character: u32) -> Option<String> {
    let at = block as usize;
    let found = blocks.get(..=at)?.iter().rposition(is_text)?;
    let text = matched(&blocks[found]);
    let character = if found == at {
        character as usize
    } else {
        usize::MAX
    };
    let sentence = sentence_at(&text, character);
    let start = sentence + text[sentence..].find(char::is_alphanumeric)?;
    let mut before = title.to_lowercase();
    let mut is_beginning = text[..start].trim().is_empty();
    for earlier in &blocks[..found] {
        let earlier = earlier.text();
        is_beginning &= earlier.trim().is_empty();
        before.push('\n');
        before.push_str(&earlier.to_lowercase());
    }
    before.push('\n');
    before.push_str(&text[..start].to_lowercase());
    if is_beginning {
        return None;
    }
    words_not_in(&before, &text[start..])
}

/// An address that opens where a passage stands, in browsers that know text directives; others leave them out. One
/// that has directives of its own stays as it is.
pub fn opening_at(address: &str, passage: &str) -> String {
    if address.contains(DELIMITER) {
        return address.to_owned();
    }
    let mark = if address.contains('#') { "" } else { "#" };
    let mut opening = format!("{address}{mark}{DELIMITER}text=");
    for byte in passage.bytes() {
        // The directive's own signs are the comma, the ampersand and the hyphen (its section “Syntax”). What is kept
        // besides letters and digits is unreserved in RFC 3986, 2.3.
        if byte.is_ascii_alphanumeric() || b"._~".contains(&byte) {
            opening.push(char::from(byte));
        } else {
            // Writing into memory cannot fail.
            let _ = write!(opening, "%{byte:02X}");
        }
    }
    opening
}

/// Whether a page has a block's text as it is here.
fn is_text(block: &Block) -> bool {
    matches!(
        block.kind,
        BlockKind::Paragraph
            | BlockKind::Heading { .. }
            | BlockKind::ListItem { .. }
            | BlockKind::Quotation
    ) && block.text().contains(char::is_alphanumeric)
}

/// A block's text, character by character, with a line end for what no passage may go beyond.
fn matched(block: &Block) -> String {
    let mut text = String::new();
    for run in &block.runs {
        let is_plain = run.style.script == Script::Baseline;
        text.extend(run.text.chars().map(|character| match character {
            ' ' => ' ',
            '\u{ad}' => '\n',
            _ if !is_plain || character.is_whitespace() => '\n',
            _ => character,
        }));
    }
    text
}

/// Where the sentence begins that a character is of, in bytes; the last one for a character beyond the end.
fn sentence_at(text: &str, character: usize) -> usize {
    let mut end = 0;
    let mut last = 0;
    for (start, sentence) in text.split_sentence_bound_indices() {
        if !sentence.contains(char::is_alphanumeric) {
            end += sentence.chars().count();
            continue;
        }
        last = start;
        end += sentence.chars().count();
        if character < end {
            break;
        }
    }
    last
}

/// The fewest whole words at the beginning of a text that do not stand in what is before it. Browsers find words in any
/// case, and take the first place that they find.
fn words_not_in(before: &str, text: &str) -> Option<String> {
    let text = text.split('\n').next().unwrap_or_default();
    let ends = text
        .unicode_word_indices()
        .map(|(start, word)| start + word.len())
        // Where no spaces part words, a passage ends before a sign.
        .filter(|&end| !text[end..].starts_with(char::is_alphanumeric));
    let passages: Vec<&str> = ends
        .take_while(|&end| end <= MOST_BYTES)
        .map(|end| &text[..end])
        .collect();
    let last = passages.len().saturating_sub(1);
    let long_enough = passages
        .iter()
        .enumerate()
        .filter(|&(number, words)| words.len() >= LEAST_BYTES || number == last);
    long_enough
        .map(|(_, words)| *words)
        .find(|words| !before.contains(&words.to_lowercase()))
        .map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distil::block::{Run, Style};
    use crate::distil::language::{Direction, Language};

    fn block(kind: BlockKind, text: &str) -> Block {
        Block {
            kind,
            runs: vec![Run {
                text: text.to_owned(),
                ..Run::default()
            }],
            language: Language::unknown(),
            direction: Direction::Ltr,
        }
    }

    fn paragraph(text: &str) -> Block {
        block(BlockKind::Paragraph, text)
    }

    fn check(blocks: &[Block], (block, character): (u32, u32), expected: Option<&str>) {
        let found = passage("The ferry of bread", blocks, block, character);
        assert_eq!(found.as_deref(), expected, "{block}, {character}");
    }

    #[test]
    fn a_place_is_found_by_the_first_words_of_its_sentence() {
        let blocks = [
            paragraph("The tide turned at noon. “The ferry went out with it,” said the pilot."),
            paragraph("Nobody waited on the quay, nor on the slip. It rained."),
        ];
        check(&blocks, (0, 0), None);
        check(&blocks, (0, 12), None);
        check(&blocks, (0, 40), Some("The ferry went out with"));
        check(&blocks, (1, 0), Some("Nobody waited on the"));
        check(&blocks, (1, 20), Some("Nobody waited on the"));
        check(&blocks, (1, 45), Some("It rained"));
        check(&blocks, (1, 4_000), Some("It rained"));
        check(&blocks, (2, 0), None);
        check(&[], (0, 0), None);
    }

    #[test]
    fn words_that_stood_before_are_told_apart_by_further_ones() {
        let blocks = [
            paragraph("Nobody at all waited on the quay at noon."),
            paragraph(
                "Nobody at all waited on the slip. The ferry of bread was late. Nobody at all waited.",
            ),
        ];
        check(&blocks, (1, 0), Some("Nobody at all waited on the slip"));
        check(&blocks, (1, 40), Some("The ferry of bread was"));
        check(&blocks, (1, 70), None);
    }

    #[test]
    fn what_a_page_may_write_otherwise_is_left_out() {
        let mut noted = paragraph("The tide turned. The ferry, three hours late");
        noted.runs.push(Run {
            text: "1".to_owned(),
            style: Style {
                script: Script::Superscript,
                ..Style::default()
            },
            ..Run::default()
        });
        noted.runs.push(Run {
            text: " as ever, came in.".to_owned(),
            ..Run::default()
        });
        let blocks = [
            noted,
            block(BlockKind::Picture, "The crane on the quay."),
            block(BlockKind::Rule, ""),
        ];
        check(&blocks, (0, 20), Some("The ferry, three hours"));
        check(&blocks, (1, 3), Some("as ever, came in"));
        check(&blocks, (2, 0), Some("as ever, came in"));
        check(&blocks[1..], (0, 3), None);
    }

    #[test]
    fn text_without_spaces_is_parted_at_its_signs() {
        let blocks = [paragraph(
            "潮が満ちた。渡し船は正午に港を出た、雨が降っていた。",
        )];
        check(&blocks, (0, 8), Some("渡し船は正午に港を出た"));
    }

    #[test]
    fn directives_are_spelt_as_the_specification_asks() {
        for (address, passage, expected) in [
            (
                "https://gazette.example/ferry",
                "well-known, salt & 5 %",
                "https://gazette.example/ferry#:~:text=well%2Dknown%2C%20salt%20%26%205%20%25",
            ),
            (
                "https://gazette.example/ferry#notes",
                "Über",
                "https://gazette.example/ferry#notes:~:text=%C3%9Cber",
            ),
            (
                "https://gazette.example/ferry#:~:text=tide",
                "noon",
                "https://gazette.example/ferry#:~:text=tide",
            ),
        ] {
            assert_eq!(opening_at(address, passage), expected);
        }
    }
}
