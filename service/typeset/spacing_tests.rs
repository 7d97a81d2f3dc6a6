//! What wide spacing adds to the lines of a text, and what it leaves as it is.

use super::case::{Case, Look};
use super::screen::{Lines, Screen, Spacing};
use super::test_support::{block, screen, typeface, words};
use super::{Item, Line, typeset};
use crate::distil::block::{Block, BlockKind, Script};

const TEXT: &str = "The harbourmaster has counted 12 oystercatchers, and the counterrevolutionary \
    arithmetic of the tide tables agrees with him to within a quarter of an hour.";

fn blocks() -> [Block; 4] {
    [
        BlockKind::Heading { level: 2 },
        BlockKind::Paragraph,
        BlockKind::Quotation,
        BlockKind::Preformatted,
    ]
    .map(|kind| block(kind, TEXT, "en"))
}

fn lines(screen: Screen) -> Vec<Line> {
    let blocks = blocks();
    let items: Vec<Item> = blocks.iter().map(Item::Block).collect();
    let discs = typeset(&items, &screen, typeface());
    discs.into_iter().flat_map(|disc| disc.lines).collect()
}

fn wide(lines: Lines) -> Screen {
    Screen {
        spacing: Spacing::Wide,
        ..screen(lines)
    }
}

#[test]
fn a_wide_line_has_a_spacing_after_each_letter_and_more_after_each_word() {
    for size in Lines::ALL {
        let em = size.em(typeface());
        for line in lines(wide(size)) {
            assert!(line.width <= 1.0, "{line:?}");
            let shown = line.shown();
            let count = |space: bool| {
                let spaces = shown
                    .chars()
                    .filter(|&c| (c == ' ' || c == '\u{a0}') == space);
                spaces.count() as f64
            };
            let letters = count(true) + count(false);
            // WCAG 2.2, success criterion 1.4.12.
            let added = 0.12 * letters + 0.16 * count(true);
            let wanted = (typeface().width(&shown) + added) * em;
            assert!(
                (line.width + line.hang - wanted).abs() < 1e-9,
                "{line:?}: {wanted}"
            );
        }
    }
}

#[test]
fn the_words_are_the_same_in_either_spacing() {
    for size in Lines::ALL {
        let letters = |screen: Screen| {
            let text: Vec<String> = lines(screen)
                .iter()
                .flat_map(|line| &line.spans)
                .flat_map(|span| words(&span.text))
                .collect();
            text.concat()
        };
        assert_eq!(letters(screen(size)), letters(wide(size)));
        assert!(lines(wide(size)).len() > lines(screen(size)).len());
    }
}

#[test]
fn raised_text_has_the_spacing_of_the_text_around_it_and_what_has_no_advance_has_none() {
    let (usual, wide) = (screen(Lines::Ten), wide(Lines::Ten));
    let (usual, wide) = (Case::new(&usual, typeface()), Case::new(&wide, typeface()));
    let added = |character: char, script: Script| {
        let look = Look {
            script,
            ..Look::default()
        };
        let advance = |case: &Case| {
            let id = case.id(character, look) as usize;
            let sorts = case.sorts();
            let sort = &sorts[id];
            (sort.advance, sort.substitutes, sort.left + sort.right)
        };
        let ((advance, substitutes, white), (usual, others, less)) =
            (advance(&wide), advance(&usual));
        let spacing = (advance - usual) / wide.em;
        for (one, other) in substitutes.iter().zip(others) {
            assert!(((one - other) / wide.em - spacing).abs() < 1e-9);
        }
        assert!(((white - less) / wide.em - spacing).abs() < 1e-9);
        spacing
    };
    for (character, script, wanted) in [
        ('a', Script::Baseline, 0.12),
        ('a', Script::Superscript, 0.12),
        ('-', Script::Subscript, 0.12),
        (' ', Script::Baseline, 0.28),
        ('\u{a0}', Script::Baseline, 0.28),
        ('\u{200d}', Script::Baseline, 0.0),
        ('\u{200b}', Script::Baseline, 0.0),
    ] {
        let found = added(character, script);
        assert!((found - wanted).abs() < 1e-9, "{character:?}: {found}");
    }
}
