//! What must hold of rows and openings, whatever their texts are.

use proptest::prelude::*;
use proptest::sample::select;

use super::*;
use crate::typeset::disc::{DiscKind, LineEnd};
use crate::typeset::opening::{LITTLE, TITLE_GAP, is_scrap, set_opening};
use crate::typeset::screen::{Edge, Lines, Screen, Spacing};
use crate::typeset::test_support::{language, screen, sizes, typeface, word, words};
use crate::typeset::units::WIDE_TARGET;

/// The texts of a row: a title and a label.
type Said = (String, String);

fn rows<'a>(said: &'a [Said], language: &'a Language, most_lines: usize) -> Vec<Row<'a>> {
    let text = |text, kind, most_lines| RowText {
        text,
        language,
        kind,
        most_lines,
    };
    said.iter()
        .map(|(title, label)| Row {
            texts: vec![
                text(title, LineKind::Title, most_lines),
                text(label, LineKind::Label, 1),
            ],
            height: WIDE_TARGET,
        })
        .collect()
}

fn set(said: &[Said], foot: Foot, lines: Lines) -> Vec<Disc> {
    let language = language("en");
    let rows = rows(said, &language, 3);
    let rows: Vec<&Row> = rows.iter().collect();
    let job = Job::new(screen(lines), typeface());
    set_rows(&rows, 0, foot, &Case::new(&job.screen, typeface()), &job)
}

fn opening(title: &str, label: &str, lines: Lines) -> Vec<Disc> {
    opening_on(screen(lines), title, label)
}

/// Whether a text stands whole in so many lines of a size, the first of them so far below the centre.
fn stands(text: &RowText, count: usize, (screen, size): (Screen, Step), first: f64) -> bool {
    let row = Row {
        texts: vec![text.clone()],
        height: WIDE_TARGET,
    };
    let case = Case::lowered(&screen, typeface(), size, first);
    let composer = Composer {
        case: &case,
        weights: Weights::USUAL.at(case.em),
        rows: &[&row],
        first_item: 0,
        foot: 0,
    };
    let set = composer.row_of(0, 0, count, count, Manner::Whole);
    let mut lines = set.iter().flatten();
    if size > Step::OWN && count > 1 && lines.any(|line| is_scrap(line, case.em)) {
        return false;
    }
    let said: Vec<String> = set
        .iter()
        .flatten()
        .flat_map(|line| words(&text_of(line)))
        .collect();
    said == words(text.text)
}

fn opening_on(screen: Screen, title: &str, label: &str) -> Vec<Disc> {
    let language = language("en");
    let said = [(title.to_owned(), label.to_owned())];
    let rows = rows(&said, &language, 8);
    let job = Job::new(screen, typeface());
    set_opening(&rows[0], 0, &Case::new(&job.screen, typeface()), &job)
}

fn text_of(line: &Line) -> String {
    line.spans.iter().map(|span| span.text.as_str()).collect()
}

/// The text of a row's part, its lines joined as they were parted.
fn said_by(discs: &[Disc], item: usize, part: usize) -> String {
    let mut text = String::new();
    for line in discs.iter().flat_map(|disc| &disc.lines) {
        if (line.item, line.part) == (item, part) {
            text.push_str(&text_of(line));
            if matches!(line.end, LineEnd::Space | LineEnd::Set) {
                text.push(' ');
            }
        }
    }
    text.trim_end().to_owned()
}

fn title() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => prop::collection::vec(word(), 1..10).prop_map(|words| words.join(" ")),
        1 => "[a-z]{120}",
        1 => "[一-龥]{1,60}",
        1 => "(👍🏽|🇩🇪|e\u{301}){1,60}",
        1 => "\\PC{0,40}",
        1 => Just(String::new()),
    ]
}

fn said() -> impl Strategy<Value = Vec<Said>> {
    prop::collection::vec((title(), title()), 1..5)
}

fn feet() -> impl Strategy<Value = Foot> {
    prop_oneof![Just(Foot::Free), Just(Foot::TakenAtLast)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_row_is_lost(said in said(), foot in feet(), lines in sizes()) {
        let discs = set(&said, foot, lines);
        prop_assert_eq!(discs.iter().map(|disc| disc.rows.len()).sum::<usize>(), said.len());
        for (item, (title, label)) in said.iter().enumerate() {
            for (part, text) in [title, label].into_iter().enumerate() {
                let found = said_by(&discs, item, part);
                let blank = words(text).is_empty();
                prop_assert!(blank || !found.trim().is_empty(), "{text:?} of {item} is lost");
            }
        }
    }

    #[test]
    fn rows_share_all_places_and_never_overlap(
        said in said(),
        foot in feet(),
        lines in sizes(),
    ) {
        let discs = set(&said, foot, lines);
        let mut item = 0;
        for (number, disc) in discs.iter().enumerate() {
            let last = number + 1 == discs.len();
            let free = lines.count() - foot_places(&screen(lines));
            let taken = disc.rows.iter().sum::<usize>();
            let whole = last && foot == Foot::TakenAtLast && taken == lines.count();
            prop_assert!(taken == free || whole, "{taken} places on disc {number}");
            let mut top = 0;
            for &places in &disc.rows {
                prop_assert!(places as f64 * screen(lines).pitch() >= WIDE_TARGET - 1e-9);
                let mut next = top as f64;
                for line in disc.lines.iter().filter(|line| line.item == item) {
                    prop_assert!(line.place >= next);
                    next = line.place + 1.0;
                }
                top += places;
                prop_assert!(next <= top as f64);
                item += 1;
            }
        }
    }

    #[test]
    fn no_line_of_a_row_is_wider_than_its_chord(
        said in said(),
        foot in feet(),
        lines in sizes(),
    ) {
        let opening = opening(&said[0].0, &said[0].1, lines);
        for line in set(&said, foot, lines).iter().chain(&opening).flat_map(|disc| &disc.lines) {
            prop_assert!(line.width <= line.chord + 1e-9, "{}", line.shown());
        }
    }

    #[test]
    fn a_title_stands_whole_or_ends_after_a_whole_word(
        title in prop::collection::vec("[a-z]{1,8}", 1..40),
        lines in sizes(),
    ) {
        let title = title.join(" ");
        let said = [(title.clone(), "Gazette".to_owned())];
        let discs = set(&said, Foot::Free, lines);
        let found = said_by(&discs, 0, 0);
        let count = discs[0].lines.iter().filter(|line| line.part == 0).count();
        prop_assert!(count <= 3);
        match found.strip_suffix('…') {
            None => prop_assert_eq!(found, title),
            Some(begun) => {
                let rest = title.strip_prefix(begun);
                prop_assert!(rest.is_some_and(|rest| rest.starts_with(' ')), "{found}");
            }
        }
    }

    #[test]
    fn a_title_is_as_large_as_it_stands_whole_over_its_particulars(
        title in prop::collection::vec("[A-Za-z]{1,12}", 1..24),
        lines in sizes(),
        spacing in select(Spacing::ALL.to_vec()),
    ) {
        let title = title.join(" ");
        let screen = Screen { spacing, ..screen(lines) };
        let discs = opening_on(screen, &title, "Gazette");
        let whole = said_by(&discs, 0, 0) == title;
        let alone = discs.len() > 1;
        let size = discs[0].lines[0].size;
        prop_assert!(whole || size == Step::OWN);
        prop_assert_eq!(said_by(&discs, 0, 1), "Gazette");
        let of_title = discs[0].lines.iter().filter(|line| line.part == 0);
        let divided = of_title.clone().any(|line| line.end == LineEnd::Hyphen);
        // No larger one can be set, nor any where it is shortened, and none over its particulars where it
        // stands alone: every count of lines is tried, in the disc's middle. Where words are divided, none
        // can be set whole that is about as large as the reader chose.
        let is_little = |size: Step| size.number() + LITTLE >= Step::OWN.number();
        let language = language("en");
        let said = [(title.clone(), "Gazette".to_owned())];
        let row = &rows(&said, &language, 8)[0];
        let pitch = screen.pitch();
        for other in Step::of_titles(lines) {
            let tall = other.factor() * pitch;
            let fits = |count: usize, below: f64| {
                let top = -(count as f64 * tall + below * pitch) / 2.0;
                let title = stands(&row.texts[0], count, (screen, other), top + tall / 2.0);
                let label = || stands(&row.texts[1], 1, (screen, Step::OWN), -top - pitch / 2.0);
                title && (below == 0.0 || label())
            };
            let mut counts = 1..=8;
            let little = is_little(other);
            let never = match (whole, divided) {
                (false, _) => true,
                (true, true) => little || !is_little(size),
                (true, false) => other > size && alone && (little || !is_little(size)),
            };
            if never {
                prop_assert!(!counts.clone().any(|count| fits(count, 0.0)), "{other:?}");
            }
            if other > size && !alone || other >= Step::OWN && alone {
                let below = 1.0 + if other > Step::OWN { TITLE_GAP } else { 0.0 };
                prop_assert!(!counts.any(|count| fits(count, below)), "{other:?}");
            }
        }
    }

    #[test]
    fn an_opening_always_has_its_texts(title in title(), label in title(), lines in sizes()) {
        let discs = opening(&title, &label, lines);
        prop_assert!(discs.iter().all(|disc| disc.kind == DiscKind::Opening));
        for (part, text) in [&title, &label].into_iter().enumerate() {
            let blank = words(text).is_empty();
            prop_assert!(blank || !said_by(&discs, 0, part).trim().is_empty(), "{text:?}");
        }
    }

    #[test]
    fn places_are_shared_out_whole(needs in prop::collection::vec(1..4_usize, 1..4)) {
        let places = needs.iter().sum::<usize>() + 5;
        let shares = share(&needs, places);
        prop_assert_eq!(shares.iter().sum::<usize>(), places);
        prop_assert!(shares.iter().zip(&needs).all(|(share, need)| share >= need));
    }
}

#[test]
fn what_is_tapped_at_the_foot_is_tall_enough() {
    // 7 mm of a disc of 30.5 mm (Park and Han, International Journal of Industrial Ergonomics
    // 40:68, 2010) are 23 % of it.
    for lines in Lines::ALL {
        let below = (1.0 - lines.count() as f64 * screen(lines).pitch()) / 2.0;
        let height = below + foot_places(&screen(lines)) as f64 * screen(lines).pitch();
        assert!(height >= 0.23 - 1e-9, "{height} at {}", lines.count());
        let less = height - screen(lines).pitch();
        assert!(
            foot_places(&screen(lines)) == 0 || less < 0.23,
            "{}",
            lines.count()
        );
    }
}

#[test]
fn a_title_that_is_too_long_ends_in_three_lines() {
    let title = "The harbour office asks everybody to keep away from the outer steps of the quay \
        until the weed is gone, and says when that will be";
    let said = [(title.to_owned(), "Gazette".to_owned())];
    for lines in Lines::ALL {
        let found = said_by(&set(&said, Foot::Free, lines), 0, 0);
        assert!(found.ends_with('…'), "{found}");
        assert!(
            title.starts_with(&format!("{} ", found.trim_end_matches('…'))),
            "{found}"
        );
    }
}

#[test]
fn a_word_without_end_is_cut_between_graphemes() {
    for (title, grapheme) in [("x", "x"), ("e\u{301}", "e\u{301}"), ("👍🏽", "👍🏽")] {
        let said = [(title.repeat(300), String::new())];
        let discs = set(&said, Foot::Free, Lines::Eight);
        let found = said_by(&discs, 0, 0);
        let begun = found.strip_suffix('…').expect("it ends early");
        assert!(begun.len() > grapheme.len());
        assert_eq!(begun.replace(grapheme, ""), "");
    }
}

#[test]
fn a_target_has_room_between_rows_and_a_strip() {
    for (screen, strip) in
        Screen::all().flat_map(|screen| Screen::strips().map(move |strip| (screen, strip)))
    {
        let screen = Screen { strip, ..screen };
        let foot = foot_places(&screen) as f64 * screen.pitch();
        let segment = 0.5 - screen.taken(Edge::Bottom) - screen.below() * screen.pitch();
        assert!(foot + segment >= 0.23 - 1e-9, "{screen}");
    }
}
