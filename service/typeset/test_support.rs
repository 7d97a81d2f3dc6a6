//! What the tests of the typesetter share: a typeface, screens, and random blocks. Never part of
//! the service.

use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::sample::select;

use super::screen::{Lines, Screen};
use crate::distil::block::{Block, BlockKind, Marker, Run, Script, Style};
use crate::distil::language::{Direction, Language};
use crate::font::Typeface;

/// The served typeface.
pub fn typeface() -> &'static Typeface {
    static TYPEFACE: LazyLock<Typeface> =
        LazyLock::new(|| Typeface::read(notosans::REGULAR_TTF).expect("a font"));
    &TYPEFACE
}

/// A round screen.
pub fn screen(lines: Lines) -> Screen {
    Screen {
        lines,
        ..Screen::DEFAULT
    }
}

/// A language by its tag.
pub fn language(tag: &str) -> Language {
    Language::parse(tag).expect("a tag")
}

/// A block of one run.
pub fn block(kind: BlockKind, text: &str, tag: &str) -> Block {
    Block {
        kind,
        runs: vec![run(text)],
        language: language(tag),
        direction: Direction::Ltr,
    }
}

/// A plain run.
pub fn run(text: &str) -> Run {
    Run {
        text: text.to_owned(),
        ..Run::default()
    }
}

/// The words of a text, without what is never seen.
pub fn words(text: &str) -> Vec<String> {
    let seen = text.replace('\u{ad}', "");
    seen.split_whitespace().map(str::to_owned).collect()
}

/// All sizes.
pub fn sizes() -> impl Strategy<Value = Lines> {
    select(Lines::ALL.to_vec())
}

/// One word of some script, or something like one.
pub fn word() -> impl Strategy<Value = String> {
    let odd = [
        "e\u{301}e\u{301}",
        "👨\u{200d}👩\u{200d}👧\u{200d}👦",
        "🇩🇪🇫🇷🇯🇵",
        "👍🏽",
        "\u{1100}\u{1161}\u{11a8}",
        "STRA\u{1e9e}ENBAHN",
        "\u{ad}leading",
        "trailing\u{ad}",
        "a\u{2060}b\u{2060}c",
        "10\u{a0}km",
        "100%",
        "1,234.56",
        "20–30",
        "«\u{a0}oui\u{a0}»",
        "x\u{200b}y",
        "ﬁn",
        "ǅ",
        "—",
        "…",
        "Z\u{301}\u{302}\u{303}\u{301}\u{302}\u{316}\u{317}a",
    ];
    prop_oneof![
        12 => "[a-z]{1,9}",
        3 => "[A-ZÄÖÉ][a-zäöüßéà]{1,14}[,.;:!?]?",
        1 => "[a-z]{60}",
        2 => "[a-z]{2,8}-[a-z]{2,8}",
        2 => "[a-z]{2,6}\u{ad}[a-z]{3,6}\u{ad}[a-z]{2,6}",
        1 => "https://[a-z]{3,10}\\.example/[a-z0-9/?=&._-]{0,40}",
        1 => "[一-龥]{1,9}[。、]?",
        1 => "[א-ת]{1,10}",
        1 => "[ا-ي]{1,10}",
        1 => "[ก-ฮ]{1,20}",
        1 => "[가-힣]{1,6}",
        2 => select(odd.to_vec()).prop_map(str::to_owned),
    ]
}

fn kind() -> impl Strategy<Value = BlockKind> {
    let marker = prop_oneof![
        Just(Marker::Bullet),
        (1..2_000_i32).prop_map(Marker::Number),
        any::<i32>().prop_map(Marker::Number),
        Just(Marker::None),
    ];
    prop_oneof![
        6 => Just(BlockKind::Paragraph),
        2 => (1..=6_u8).prop_map(|level| BlockKind::Heading { level }),
        2 => (1..=4_u8, marker).prop_map(|(depth, marker)| BlockKind::ListItem { depth, marker }),
        1 => Just(BlockKind::Quotation),
        1 => Just(BlockKind::Preformatted),
        1 => Just(BlockKind::TableRow),
        1 => Just(BlockKind::Picture),
        1 => Just(BlockKind::Note),
        1 => Just(BlockKind::Rule),
    ]
}

fn style() -> impl Strategy<Value = Style> {
    let script = select(vec![
        Script::Baseline,
        Script::Baseline,
        Script::Superscript,
        Script::Subscript,
    ]);
    (any::<bool>(), any::<bool>(), any::<bool>(), script).prop_map(
        |(emphasis, strong, code, script)| Style {
            emphasis,
            strong,
            code,
            label: false,
            script,
        },
    )
}

/// Cuts a text into runs at random characters, with an empty one now and then.
fn runs(text: String) -> impl Strategy<Value = Vec<Run>> {
    let length = text.chars().count();
    let cuts = prop::collection::vec(0..=length, 0..4);
    let looks = prop::collection::vec((style(), prop::option::of(0..3_usize)), 5);
    (cuts, looks).prop_map(move |(mut cuts, looks)| {
        cuts.extend([0, length]);
        cuts.sort_unstable();
        let characters: Vec<char> = text.chars().collect();
        cuts.windows(2)
            .zip(looks)
            .map(|(pair, (style, link))| Run {
                text: characters[pair[0]..pair[1]].iter().collect(),
                style,
                link,
                cell: None,
            })
            .collect()
    })
}

/// A block of any kind, its white space as the distiller leaves it.
pub fn any_block() -> impl Strategy<Value = Block> {
    let between = prop_oneof![12 => Just(" "), 1 => Just("\n")];
    let pair = (word(), between, 1..5_usize);
    let tag = select(vec!["en", "en-gb", "de", "fi", "ja", "ar", "und"]);
    (kind(), prop::collection::vec(pair, 0..40), tag)
        .prop_flat_map(|(kind, pairs, tag)| {
            let mut text = String::new();
            for (word, between, spaces) in &pairs {
                text.push_str(word);
                match kind {
                    BlockKind::Preformatted => text.push_str(&between.repeat(*spaces)),
                    _ => text.push_str(between),
                }
            }
            let text = match kind {
                BlockKind::Rule => String::new(),
                BlockKind::Preformatted => text.trim_end().to_owned(),
                _ => text.trim().to_owned(),
            };
            (Just(kind), runs(text), Just(tag))
        })
        .prop_map(|(kind, runs, tag)| Block {
            kind,
            runs,
            language: language(tag),
            direction: Direction::Ltr,
        })
}

/// A few blocks in a row.
pub fn any_blocks() -> impl Strategy<Value = Vec<Block>> {
    prop::collection::vec(any_block(), 0..9)
}
