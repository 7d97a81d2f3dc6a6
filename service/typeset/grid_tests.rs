//! Grids: which tables make one, where their cells stand, what goes along, and that no ink leaves the
//! disc.

use proptest::prelude::*;
use url::Url;

use super::*;
use crate::distil::block::read_blocks;
use crate::distil::language::Language;
use crate::distil::sanitise::sanitise;
use crate::typeset::case::{size_and_raise, spacing_after};
use crate::typeset::disc::Disc;
use crate::typeset::screen::Screen;
use crate::typeset::test_support::typeface;
use crate::typeset::{Item, typeset};

/// What HTML becomes.
fn blocks(html: &str) -> Vec<Block> {
    let base = Url::parse("https://quay.example.org/").expect("an address");
    let language = Language::parse("en").expect("a tag");
    read_blocks(&sanitise(html, &base), &language).blocks
}

fn set(blocks: &[Block], screen: &str) -> Vec<Disc> {
    let items: Vec<Item> = blocks.iter().map(Item::Block).collect();
    typeset(&items, &screen.parse().expect("a screen"), typeface())
}

fn is_grid(disc: &Disc) -> bool {
    disc.lines.iter().any(|line| !line.cells.is_empty())
}

/// The lines of each disc, its cells parted by strokes.
fn shown(discs: &[Disc]) -> Vec<Vec<String>> {
    let line = |line: &Line| match line.cells.is_empty() {
        true => line.shown(),
        false => {
            let cells: Vec<String> = line.cells.iter().map(|cell| line.shown_of(cell)).collect();
            cells.join(" | ")
        }
    };
    let disc = |disc: &Disc| disc.lines.iter().map(line).collect();
    discs.iter().map(disc).collect()
}

const TIDES: &str = "<table><tr><th>Tide<th>Time<th>Height, m<tr><td>Low<td>02:31<td>0.6\
    <tr><td>High<td>08:43<td>14.9<tr><td>Low<td>14:55<td></table>";

#[test]
fn a_small_table_stands_in_columns_and_tells_each_head_once() {
    let discs = set(&blocks(TIDES), "round-10");
    let expected = [
        "Tide | Time | Height, m",
        "Low | 02:31 | 0.6",
        "High | 08:43 | 14.9",
        "Low | 14:55",
    ];
    assert_eq!(shown(&discs), [expected]);
    let lines = &discs[0].lines;
    assert_eq!(lines[0].kind, LineKind::TableHead);
    assert!(
        lines[1..]
            .iter()
            .all(|line| line.kind == LineKind::TableRow)
    );
    // In the middle of ten places.
    let places: Vec<f64> = lines.iter().map(|line| line.place).collect();
    assert_eq!(places, [3.0, 4.0, 5.0, 6.0]);
}

#[test]
fn words_stand_at_the_left_of_their_columns_and_numbers_at_the_right() {
    let discs = set(&blocks(TIDES), "round-10");
    let lines = &discs[0].lines;
    let column = |number: usize| {
        let cells = lines.iter().flat_map(|line| &line.cells);
        cells.filter(move |cell| cell.column == number)
    };
    let spread = |ends: Vec<f64>| {
        let most = ends.iter().copied().fold(f64::MIN, f64::max);
        most - ends.iter().copied().fold(f64::MAX, f64::min)
    };
    let lefts = |number| spread(column(number).map(|cell| cell.left).collect());
    let rights = |number| spread(column(number).map(|cell| cell.left + cell.width).collect());
    assert!(lefts(0) < 1e-9 && rights(0) > 0.01);
    for numbers in [1, 2] {
        assert!(rights(numbers) < 1e-9 && lefts(numbers) > 0.01, "{numbers}");
    }
    // A gutter is between the widest cells of two columns, and all stand in the middle.
    let em = discs[0].screen.lines.em(typeface());
    let head = &lines[0].cells;
    let high = &lines[2].cells[0];
    let left_of_times = column(1).map(|cell| cell.left).fold(1.0, f64::min);
    assert!((left_of_times - high.left - high.width - GUTTER_EM * em).abs() < 1e-9);
    assert!((head[0].left + head[2].left + head[2].width).abs() < 1e-9);
}

#[test]
fn the_columns_of_a_table_from_right_to_left_are_mirrored() {
    let table = "<table dir=rtl><tr><td>abc<td>12<tr><td>d<td>3</table>";
    let discs = set(&blocks(table), "round-10");
    let lines = &discs[0].lines;
    assert!(lines[0].cells[0].left > lines[0].cells[1].left);
    // Words at the right of theirs, and numbers at the right as ever.
    for column in [0, 1] {
        let right = |line: usize| lines[line].cells[column].left + lines[line].cells[column].width;
        assert!((right(0) - right(1)).abs() < 1e-9, "{column}");
    }
}

#[test]
fn a_heading_stands_above_the_grid_or_the_table_is_read_out() {
    let headed = format!(
        "<p>It came in at breakfast, as far as the second bollard.</p><h2>Tides at the steps</h2>{TIDES}<p>After.</p>"
    );
    let discs = shown(&set(&blocks(&headed), "round-10"));
    assert_eq!(discs.len(), 3, "{discs:?}");
    assert_eq!(
        discs[1][..2],
        ["Tides at the steps", "Tide | Time | Height, m"]
    );
    assert_eq!(discs[2].concat(), "¶ Af-ter.");
    let long = "The water at the harbour steps and in the basin, ".repeat(5);
    let headed = format!(
        "<p>It came in at breakfast, as far as the second bollard.</p><h2>{long}</h2>{TIDES}<p>After.</p>"
    );
    assert!(!set(&blocks(&headed), "round-10").iter().any(is_grid));
    // A caption as long ends the disc before.
    let captioned = TIDES.replacen("<table>", &format!("<table><caption>{long}</caption>"), 1);
    let discs = set(&blocks(&captioned), "round-10");
    let grid = discs.iter().find(|disc| is_grid(disc)).expect("a grid");
    assert_eq!(grid.lines[0].kind, LineKind::TableHead);
    let captioned = TIDES.replacen("<table>", "<table><caption>Tides</caption>", 1);
    assert_eq!(shown(&set(&blocks(&captioned), "round-10"))[0][0], "Tides");
}

#[test]
fn a_table_without_room_is_read_out() {
    let read_out = |html: &str, screen: &str| {
        let discs = set(&blocks(html), screen);
        assert!(!discs.iter().any(is_grid), "{html} on {screen}");
        discs
    };
    let discs = read_out(TIDES, "round-6");
    assert_eq!(discs[0].lines[0].shown(), "› Tide: Low");
    let rows = |count| format!("<table>{}</table>", "<tr><td>a<td>b".repeat(count));
    assert!(is_grid(&set(&blocks(&rows(8)), "round-10")[0]));
    read_out(&rows(11), "round-10");
    // One row or column is a list, and cells over several columns have none of their own.
    read_out("<table><tr><th>a<th>b<tr><td>1<td>2</table>", "round-10");
    read_out(
        "<table><tr><td colspan=2>a<tr><td>1<td>2</table>",
        "round-10",
    );
    // Rows in two languages.
    read_out(
        "<table><tr><td>a<td>b<tr lang=de><td>1<td>2</table>",
        "round-10",
    );
    // Nine rows of the same kind, too wide for the outermost of them.
    let wide = "<tr><td>the steps<td>the long mole";
    assert!(is_grid(
        &set(
            &blocks(&format!("<table>{}</table>", wide.repeat(2))),
            "round-10"
        )[0]
    ));
    read_out(&format!("<table>{}</table>", wide.repeat(9)), "round-10");
}

#[test]
fn long_heads_go_on_on_further_lines_and_short_ones_stand_at_their_foot() {
    let table = "<table><tr><th>Boat<th>Crew on the water<th>Days out of the harbour\
        <tr><td>Otter<td>7<td>12<tr><td>Mary<td>14<td>3</table>";
    let discs = set(&blocks(table), "round-10");
    let expected = [
        "Crew | Days out",
        "on the | of the",
        "Boat | water | harbour",
        "Otter | 7 | 12",
        "Mary | 14 | 3",
    ];
    assert_eq!(shown(&discs), [expected]);
}

#[test]
fn heads_that_stand_before_no_value_are_in_the_grid_too() {
    let table = "<table><tr><th>Day<th>High<tr><th>Mon<td>3.1<tr><th>Tue<td>3.4</table>";
    let discs = set(&blocks(table), "round-6");
    assert_eq!(shown(&discs), [["Day | High", "Mon | 3.1", "Tue | 3.4"]]);
    let items: Vec<usize> = discs[0].lines.iter().map(|line| line.item).collect();
    assert_eq!(items, [0, 1, 2]);
    let characters = |line: usize| discs[0].lines[line].characters.clone();
    assert_eq!((characters(0), characters(1)), (0..3, 0..13));
}

#[test]
fn tables_are_told_from_each_other() {
    let two = "<table><tr><td>a<td>b<tr><td>c<td>d</table>".repeat(2);
    assert_eq!(set(&blocks(&two), "round-10").len(), 2);
}

/// How far the ink of a grid's line is from the disc's middle at the most, reckoned from the glyphs and
/// the cells alone.
fn farthest(line: &Line, screen: Screen) -> f64 {
    let em = screen.lines.em(typeface());
    let plain = typeface().plain_ink;
    let middle = screen.middle(line.place) + (plain.rise - plain.fall) * em / 2.0;
    let mut most = 0.0_f64;
    for cell in &line.cells {
        let mut pen = cell.left + screen.spacing.letter() * em / 2.0;
        for span in &line.spans[cell.spans.clone()] {
            let (scale, raise) = size_and_raise(span.style.script);
            for character in span.text.chars() {
                let glyph = typeface().glyph(character);
                let spacing = spacing_after(character, glyph.advance, screen.spacing);
                let (left, right) = (glyph.left * scale, (glyph.advance - glyph.right) * scale);
                let (top, foot) = (
                    glyph.ink.rise * scale + raise,
                    glyph.ink.fall * scale - raise,
                );
                if top + foot > 0.0 {
                    for across in [pen + left * em, pen + right * em] {
                        for down in [middle - top * em, middle + foot * em] {
                            most = most.max(across.hypot(down));
                        }
                    }
                }
                pen += (glyph.advance * scale + spacing) * em;
            }
        }
        assert!((pen - cell.left - cell.width - screen.spacing.letter() * em / 2.0).abs() < 1e-9);
    }
    most
}

/// HTML of a small table of any shape.
fn any_table() -> impl Strategy<Value = String> {
    let text = prop_oneof![
        4 => "[a-zA-Z]{1,8}",
        2 => "[0-9]{1,3}[.:][0-9]{1,2}",
        1 => "[a-z]{1,6} [a-z]{1,6}",
        1 => "[a-z]{2,5}<sup>[a-z0-9]</sup>",
        1 => "<b>[A-Z][gjpqy]{1,4}</b>",
        1 => "[א-ת]{1,6}",
        1 => Just(String::new()),
    ];
    let row = |name: &'static str, text: BoxedStrategy<String>| {
        prop::collection::vec(text, 2..4).prop_map(move |cells| {
            let cells: Vec<String> = cells.iter().map(|cell| format!("<{name}>{cell}")).collect();
            format!("<tr>{}", cells.concat())
        })
    };
    let head = prop::option::of(row("th", text.clone().boxed()));
    let rows = prop::collection::vec(row("td", text.boxed()), 2..7);
    let before = prop::option::of("<h2>[A-Z][a-z]{2,9}( [a-z]{1,9}){0,4}</h2>");
    (before, head, rows, any::<bool>()).prop_map(|(before, head, rows, mirrored)| {
        let direction = if mirrored { " dir=rtl" } else { "" };
        format!(
            "{}<table{direction}>{}{}</table><p>After.</p>",
            before.unwrap_or_default(),
            head.unwrap_or_default(),
            rows.concat()
        )
    })
}

fn any_screen() -> impl Strategy<Value = Screen> {
    prop::sample::select(Screen::all().collect::<Vec<_>>())
}

proptest! {
    #[test]
    fn no_ink_of_a_grid_lies_outside_the_disc(html in any_table(), screen in any_screen()) {
        for disc in set(&blocks(&html), &screen.to_string()) {
            for line in disc.lines.iter().filter(|line| !line.cells.is_empty()) {
                let farthest = farthest(line, screen);
                prop_assert!(farthest <= 0.5, "{farthest}: {} on {screen}", line.shown());
                prop_assert!(line.width <= line.chord + 1e-9);
                let gutter = GUTTER_EM * screen.lines.em(typeface());
                let mut cells: Vec<&Cell> = line.cells.iter().collect();
                cells.sort_by(|one, other| one.left.total_cmp(&other.left));
                for pair in cells.windows(2) {
                    prop_assert!(pair[0].left + pair[0].width + gutter <= pair[1].left + 1e-9);
                }
            }
        }
    }

    #[test]
    fn every_word_of_a_grid_stands_there_once(html in any_table(), screen in any_screen()) {
        let blocks = blocks(&html);
        let discs = set(&blocks, &screen.to_string());
        let Some(grid) = discs.iter().find(|disc| is_grid(disc)) else { return Ok(()) };
        let mut shown: Vec<String> = Vec::new();
        for line in grid.lines.iter().filter(|line| !line.cells.is_empty()) {
            shown.extend(line.shown().split_whitespace().map(str::to_owned));
        }
        // The heads as often as there are columns with one, however often they are read out.
        let mut heads: Vec<(u32, String)> = Vec::new();
        let mut wanted = String::new();
        for run in blocks.iter().flat_map(|block| &block.runs) {
            let Some(cell) = run.cell else { continue };
            match cell.head {
                false => wanted.push_str(&run.text),
                true => heads.push((cell.column, run.text.clone())),
            }
        }
        heads.sort();
        heads.dedup();
        wanted.extend(heads.iter().map(|(_, text)| text.as_str()));
        let mut letters: Vec<char> = shown.concat().chars().collect();
        let mut expected: Vec<char> = wanted.chars().filter(|c| !c.is_whitespace()).collect();
        letters.sort_unstable();
        expected.sort_unstable();
        prop_assert_eq!(letters, expected);
        // And places go down the disc, item by item.
        for pair in grid.lines.windows(2) {
            prop_assert!(pair[0].place + 1.0 <= pair[1].place && pair[0].item <= pair[1].item);
            prop_assert!(pair[1].place < screen.places() as f64);
        }
    }

    #[test]
    fn a_heading_never_stands_alone_before_a_grid(html in any_table(), screen in any_screen()) {
        let discs = set(&blocks(&html), &screen.to_string());
        for pair in discs.windows(2).filter(|pair| is_grid(&pair[1])) {
            let last = pair[0].lines.last().map(|line| line.kind);
            let heading = matches!(last, Some(LineKind::Heading { .. }));
            prop_assert!(!heading, "{html}");
        }
    }
}
