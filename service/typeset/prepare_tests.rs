//! Where lines may end, beside the published rules, and how wide what lies between is.

use super::*;
use crate::distil::block::Script;
use crate::typeset::linebreak::End;
use crate::typeset::screen::Lines;
use crate::typeset::test_support::{language, run, screen, typeface};

fn setting(tag: &str) -> Setting<'static> {
    // A case lasts as long as the texts that are set from it: here, to the end of the tests.
    let case: &'static Case = Box::leak(Box::new(Case::new(&screen(Lines::Ten), typeface())));
    Setting {
        case,
        weights: &Weights::USUAL,
        divider: Divider::of(&language(tag)),
        narrowest: f64::INFINITY,
        mark: None,
        hangs: false,
        turned_over: None,
        keep_spaces: false,
        stroked: false,
    }
}

fn undivided() -> Setting<'static> {
    Setting {
        divider: Divider::none(),
        ..setting("en")
    }
}

fn prepare(text: &str, setting: &Setting<'static>) -> Prepared<'static> {
    Prepared::new(&[run(text)], setting)
}

/// The pieces as they are seen, each with what a line has that ends after it: a space, `~` for a
/// drawn hyphen, `|` for nothing, `$` for the author's line end.
fn shown(prepared: &Prepared) -> String {
    let mut shown = String::new();
    for (number, piece) in prepared.pieces.iter().enumerate() {
        let (spans, _, _) = prepared.line(number, number + 1);
        shown.extend(spans.iter().map(|span| span.text.as_str()));
        shown.push(match piece.end {
            LineEnd::Space => ' ',
            LineEnd::Hyphen => '~',
            LineEnd::Bare => '|',
            LineEnd::Set => '$',
        });
    }
    shown
}

fn check(tag: &str, text: &str, wanted: &str) {
    assert_eq!(shown(&prepare(text, &setting(tag))), wanted, "{text}");
}

#[test]
fn lines_may_end_where_unicode_says() {
    // Unicode Standard Annex #14, Unicode Line Breaking Algorithm: the offsets follow from its
    // rules LB4 to LB31 and are what two libraries agree on; the end of the text is one.
    for (text, wanted) in [
        ("a-b", [2, 3].as_slice()),
        ("-a", [1, 2].as_slice()),
        ("a (b", [2, 4].as_slice()),
        ("a\u{ad}b", [3, 4].as_slice()),
        ("a\u{a0}b", [4].as_slice()),
        ("a\u{2060}b", [5].as_slice()),
        ("a\u{200b}b", [4, 5].as_slice()),
        ("a\u{2011}b", [5].as_slice()),
        (
            // Within its long stretch after each full stop too, which Unicode does not allow.
            "http://www.example.org/a/b?c=d",
            [7, 11, 19, 23, 25, 27, 30].as_slice(),
        ),
        ("100%", [4].as_slice()),
        ("$1", [2].as_slice()),
        ("1,234.56", [8].as_slice()),
        ("3-4", [3].as_slice()),
        // UAX #14 has a further one at 5; a range is held together.
        ("20–30", [7].as_slice()),
        ("a—b", [1, 4, 5].as_slice()),
        ("日本語", [3, 6, 9].as_slice()),
        ("日本。語", [3, 9, 12].as_slice()),
        ("「日本」", [6, 12].as_slice()),
        ("don't", [5].as_slice()),
    ] {
        let prepared = prepare(text, &undivided());
        let starts = prepared
            .pieces
            .iter()
            .skip(1)
            .map(|p| p.bytes.start as usize);
        let found: Vec<usize> = starts.chain([text.len()]).collect();
        assert_eq!(found, wanted, "{text}");
    }
}

#[test]
fn words_are_divided_at_their_syllables_with_a_drawn_hyphen() {
    check("en", "typesetting it", "type~set~ting it$");
    check("en", "“algorithm,” they", "“al~go~rithm,” they$");
    check("de", "die Silbentrennung", "die Sil~ben~tren~nung$");
    check("und", "typesetting it", "typesetting it$");
    let prepared = prepare("typesetting", &setting("en"));
    let hyphen = typeface().glyph('-').advance * Lines::Ten.em(typeface());
    assert_eq!(prepared.fragments[0].hyphen, hyphen);
    assert_eq!(prepared.fragments[0].end, End::May(Weights::USUAL.hyphen));
    assert_eq!(prepared.fragments[2].hyphen, 0.0);
}

#[test]
fn soft_hyphens_are_honoured_and_never_shown() {
    check("en", "type\u{ad}setting it", "type~setting it$");
    check("en", "harbour\u{ad} side", "harbour side$");
    check("en", "har\u{ad}bour\u{ad}side", "har~bour~side$");
    let prepared = prepare("har\u{ad}bour", &undivided());
    let whole = prepare("harbour", &undivided());
    let (spans, end, bytes) = prepared.line(0, 2);
    assert_eq!(spans[0].text, "harbour");
    assert_eq!(end, LineEnd::Set);
    assert_eq!(prepared.characters(bytes), 8);
    let width: f64 = prepared.fragments.iter().map(|f| f.width).sum();
    assert!((width - whole.fragments[0].width).abs() < 1e-12);
}

#[test]
fn spaces_and_joiners_that_hold_are_not_parted() {
    check("und", "10\u{a0}km to go", "10\u{a0}km to go$");
    check("und", "10\u{202f}km", "10\u{202f}km$");
    check("und", "a\u{2060}-\u{2060}b c", "a\u{2060}-\u{2060}b c$");
}

#[test]
fn addresses_end_lines_after_punctuation_and_have_no_hyphens() {
    check(
        "en",
        "see https://harbour.example/typesetting/manuscripts?algorithm=considerable now",
        "see https://|harbour.|example/|typesetting/|manuscripts?|algorithm=|considerable now$",
    );
    check(
        "en",
        "office@harbourtown.example",
        "office@|harbourtown.|example$",
    );
    check("en", "typeset_manuscript", "typeset_|manuscript$");
    check("en", "typesetting.manuscript", "typesetting.|manuscript$");
}

#[test]
fn numbers_keep_their_units() {
    check(
        "en",
        "25kilometres 100% $1,234.56",
        "25kilometres 100% $1,234.56$",
    );
    check("en", "3-4 −5°C 1/2", "3-4 −5°C 1/2$");
    check("en", "H2Oalgorithm", "H2Oalgorithm$");
}

#[test]
fn compounds_end_lines_at_their_own_hyphen_without_a_further_one() {
    check("und", "a lime-tree here", "a lime-|tree here$");
    check("und", "either/or 20–30", "either/|or 20–30$");
    check("en", "typesetting-algorithm", "type~set~ting-|al~go~rithm$");
    let prepared = prepare("lime-tree", &undivided());
    assert_eq!(prepared.fragments[0].hyphen, 0.0);
    assert_eq!(prepared.fragments[0].end, End::May(Weights::USUAL.bare));
}

#[test]
fn line_ends_of_the_author_must_be_kept() {
    check("und", "one two\nthree", "one two$three$");
    check("und", "one\n\ntwo", "one$$two$");
    let prepared = prepare("one two\nthree", &undivided());
    assert_eq!(prepared.fragments[1].end, End::Must);
}

#[test]
fn spaces_of_preformatted_text_stay() {
    let kept = Setting {
        keep_spaces: true,
        ..undivided()
    };
    let text = "  if tide  {\n\trise\n   }";
    let stressed = Style {
        emphasis: true,
        ..Style::default()
    };
    let middle = Run {
        style: stressed,
        ..run("de  {\n")
    };
    // The last two runs have one look.
    let runs = [run("  if ti"), middle, run("\trise\n"), run("   }")];
    let prepared = Prepared::new(&runs, &kept);
    assert_eq!(prepared.text.chars().count(), text.chars().count());
    assert_eq!(
        prepared.text,
        "\u{a0}\u{a0}if tide \u{a0}{\n\u{a0}rise\n\u{a0}\u{a0}\u{a0}}"
    );
    let ends: Vec<&str> = prepared
        .looks
        .iter()
        .map(|l| &prepared.text[..l.end])
        .collect();
    assert!(ends[0].ends_with("if ti"));
    assert!(ends[1].ends_with("{\n"));
    assert_eq!(ends[2..], [prepared.text.as_str()]);
    let loose = prepare("if  tide", &undivided());
    assert_eq!(loose.text, "if  tide");
}

#[test]
fn raised_and_lowered_text_is_narrower_and_reaches_further() {
    let setting = undivided();
    let set = |script| {
        let style = Style {
            script,
            ..Style::default()
        };
        let runs = [run("H"), Run { style, ..run("g") }];
        let width = Prepared::new(&runs, &setting).fragments[0].width;
        let look = SortLook {
            script,
            ..SortLook::default()
        };
        let id = setting.case.id('g', look);
        (width, setting.case.sorts()[id as usize].ink)
    };
    let em = Lines::Ten.em(typeface());
    let (h, g) = (typeface().glyph('H'), typeface().glyph('g'));
    let [plain, raised, lowered] =
        [Script::Baseline, Script::Superscript, Script::Subscript].map(set);
    assert!((plain.0 - (h.advance + g.advance) * em).abs() < 1e-12);
    // Seven tenths of the size, raised by 0.35 em or lowered by 0.15 em: templates/disc.css.
    for (width, _) in [raised, lowered] {
        assert!((width - (h.advance + 0.7 * g.advance) * em).abs() < 1e-12);
    }
    assert!((lowered.1.fall - (0.7 * g.ink.fall + 0.15) * em).abs() < 1e-12);
    assert!((raised.1.fall - (0.7 * g.ink.fall - 0.35) * em).abs() < 1e-12);
    assert!(plain.1.fall < lowered.1.fall);
}

#[test]
fn a_mark_widens_the_first_piece_alone() {
    let marked = Setting {
        mark: Some(Mark::Number {
            number: 12,
            depth: 1,
        }),
        ..undivided()
    };
    let (with, without) = (
        prepare("one two", &marked),
        prepare("one two", &undivided()),
    );
    let mark = typeface().width("12. ") * Lines::Ten.em(typeface());
    assert!((with.fragments[0].width - without.fragments[0].width - mark).abs() < 1e-12);
    assert_eq!(with.fragments[1], without.fragments[1]);
}

#[test]
fn odd_texts_do_no_harm() {
    check("de", "STRA\u{1e9e}ENBAHNEN", "STRA~\u{1e9e}EN~BAH~NEN$");
    check("en", "\u{ad}algorithm", "algorithm$");
    check("en", "algorithm\u{ad}", "algorithm$");
    check("en", "\u{ad}\u{ad}", "$");
    check("en", "", "");
    let runs = [run(""), run("a"), run(""), run("b c"), run("")];
    assert_eq!(shown(&Prepared::new(&runs, &setting("en"))), "ab c$");
    assert!(Prepared::new(&[], &setting("en")).fragments.is_empty());
}

/// The pieces of a text on lines of so many em.
fn narrow(tag: &str, text: &str, ems: f64) -> Prepared<'static> {
    let setting = setting(tag);
    prepare(
        text,
        &Setting {
            narrowest: ems * setting.case.em,
            ..setting
        },
    )
}

#[test]
fn a_long_run_without_spaces_has_as_many_pieces_as_characters_at_the_most() {
    for length in [1_000, 20_000] {
        let letters = narrow("en", &"x".repeat(length), 6.0);
        assert_eq!(letters.fragments.len(), length);
        let dotted = narrow("en", &"a.b.".repeat(length / 4), 6.0);
        assert_eq!(dotted.fragments.len(), length / 4);
        let ideographs = narrow("ja", &"海".repeat(length), 6.0);
        assert_eq!(ideographs.fragments.len(), length);
    }
}

#[test]
fn a_run_wider_than_the_narrowest_line_is_divided_between_graphemes() {
    // Unicode Standard Annex #29, rules GB6 to GB13: none of these is one character long.
    let family = "👨\u{200d}👩\u{200d}👧\u{200d}👦";
    for grapheme in [
        "e\u{301}",
        family,
        "🇩🇪",
        "👍🏽",
        "\u{1100}\u{1161}\u{11a8}",
        "\u{915}\u{94d}\u{937}\u{93f}",
    ] {
        let text = format!("\u{2060}{grapheme}").repeat(12);
        let prepared = narrow("und", &text, 5.0);
        assert!(prepared.fragments.len() > 1, "{grapheme}");
        for piece in &prepared.pieces {
            let part =
                text[piece.bytes.start as usize..piece.bytes.end as usize].replace('\u{2060}', "");
            assert!(
                part.is_empty() || part == grapheme,
                "{part} is cut out of {text}"
            );
        }
    }
}

#[test]
fn words_that_must_be_divided_get_hyphens_and_other_runs_none() {
    let check = |text, wanted| assert_eq!(shown(&narrow("und", text, 2.5)), wanted);
    check("abcdef on", "a~b~c~d~e~f on$");
    check("a1b2c3 on", "a|1|b|2|c|3 on$");
    let prepared = narrow("und", "abcdef", 2.5);
    assert_eq!(
        prepared.fragments[0].end,
        End::May(Weights::USUAL.emergency)
    );
}

#[test]
fn a_grapheme_wider_than_the_narrowest_line_is_divided_too() {
    for text in [
        ["👩"; 40].join("\u{200d}"),
        "\u{1100}".repeat(60),
        ["\u{915}"; 60].join("\u{94d}"),
    ] {
        let prepared = narrow("und", &text, 6.0);
        let room = 6.0 * Lines::Ten.em(typeface());
        assert!(
            prepared
                .fragments
                .iter()
                .all(|f| f.width + f.hyphen <= room)
        );
    }
}

#[test]
fn every_line_begins_with_the_sorts_of_its_own_mark() {
    let marks = [Some(Mark::Quotation), None];
    for mark in marks {
        let setting = Setting {
            mark,
            turned_over: Some(Mark::TurnedOver),
            ..undivided()
        };
        let prepared = prepare("one two\nthree four", &setting);
        let first = |piece: usize| prepared.sorts_from(piece).next();
        let sort = |character| Some(setting.case.id(character, SortLook::default()));
        // A line that goes on begins low, with a bracket, whatever the block begins with.
        let own = if mark.is_some() { '“' } else { 'o' };
        let begins = [own, '[', 't', '['].map(sort);
        assert_eq!([0, 1, 2, 3].map(first), begins);
    }
}
