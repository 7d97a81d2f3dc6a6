//! The gist on sentences made for it, and on the paper's worked example. Never checks how an excerpt looks.

use std::collections::HashMap;

use proptest::prelude::*;

use super::sentence::{Words, sentences_of};
use super::*;
use crate::distil::block::{Marker, Style};
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

/// Erkan and Radev 2004, figure 2: the cosines of eleven sentences (from memory).
const COSINES: [[f64; 11]; 11] = [
    [
        1.00, 0.45, 0.02, 0.17, 0.03, 0.22, 0.03, 0.28, 0.06, 0.06, 0.00,
    ],
    [
        0.45, 1.00, 0.16, 0.27, 0.03, 0.19, 0.03, 0.21, 0.03, 0.15, 0.00,
    ],
    [
        0.02, 0.16, 1.00, 0.03, 0.00, 0.01, 0.03, 0.04, 0.00, 0.01, 0.00,
    ],
    [
        0.17, 0.27, 0.03, 1.00, 0.01, 0.16, 0.28, 0.17, 0.00, 0.09, 0.01,
    ],
    [
        0.03, 0.03, 0.00, 0.01, 1.00, 0.29, 0.05, 0.15, 0.20, 0.04, 0.18,
    ],
    [
        0.22, 0.19, 0.01, 0.16, 0.29, 1.00, 0.05, 0.29, 0.04, 0.20, 0.03,
    ],
    [
        0.03, 0.03, 0.03, 0.28, 0.05, 0.05, 1.00, 0.06, 0.00, 0.00, 0.01,
    ],
    [
        0.28, 0.21, 0.04, 0.17, 0.15, 0.29, 0.06, 1.00, 0.25, 0.20, 0.17,
    ],
    [
        0.06, 0.03, 0.00, 0.00, 0.20, 0.04, 0.00, 0.25, 1.00, 0.26, 0.38,
    ],
    [
        0.06, 0.15, 0.01, 0.09, 0.04, 0.20, 0.00, 0.20, 0.26, 1.00, 0.12,
    ],
    [
        0.00, 0.00, 0.00, 0.01, 0.18, 0.03, 0.01, 0.17, 0.38, 0.12, 1.00,
    ],
];

/// Table 2 of the paper: the scores at the threshold of 0.1, the highest being 1 (from memory).
const SCORES: [f64; 11] = [
    0.6007, 0.8466, 0.3491, 0.7520, 0.5907, 0.7993, 0.3548, 1.0000, 0.5921, 0.6910, 0.5921,
];

#[test]
fn scores_are_those_of_the_papers_example() {
    let tie = |cosine: &f64| f64::from(u8::from(*cosine > 0.1));
    let ties: Vec<Vec<f64>> = COSINES
        .iter()
        .map(|row| row.iter().map(tie).collect())
        .collect();
    let scores = centrality(&ties);
    let highest = scores.iter().copied().fold(0.0, f64::max);
    for (number, (score, expected)) in scores.iter().zip(SCORES).enumerate() {
        // The paper stops its iteration sooner, so that its third decimals are a little off.
        let score = score / highest;
        assert!(
            (score - expected).abs() < 0.001,
            "{number}: {score}, {expected}"
        );
    }
}

#[test]
fn sentences_are_those_of_uax_29_with_their_places() {
    let text = "The “crane” is old.  Mr. Tarn, who mends it, likes it so! Ebb";
    let found = sentences_of(4, text, &words("und"));
    let told: Vec<(String, bool)> = found
        .iter()
        .map(|found| {
            let Range { start, end } = found.sentence.characters;
            (text.chars().take(end).skip(start).collect(), found.alone)
        })
        .collect();
    let expected = [
        ("The “crane” is old.", true),
        ("Mr.", false),
        ("Tarn, who mends it, likes it so!", false),
        ("Ebb", false),
    ];
    assert_eq!(told, expected.map(|(text, alone)| (text.to_owned(), alone)));
    assert_eq!(
        sentences_of(0, "潮が引く。船が出る。", &words("ja")).len(),
        2
    );
}

fn words(tag: &str) -> Words {
    Words::of(&Language::parse(tag).expect("a tag"))
}

#[test]
fn sentences_that_lean_on_others_are_not_read_out_of_their_place() {
    let check = |tag: &str, text: &str, expected: &[bool]| {
        let found = sentences_of(0, text, &words(tag));
        let alone: Vec<bool> = found.iter().map(|found| found.alone).collect();
        assert_eq!(alone, expected, "{tag}: {text}");
    };
    check(
        "en-gb",
        "Ebb Lane floods at spring tides. It drains by noon.",
        &[true, false],
    );
    check(
        "en",
        "But the lane drains. That’s slow. The other lanes flood.",
        &[false; 3],
    );
    check("en", "Perpetua said that it drains.", &[false]);
    check(
        "en",
        "The warden of the lane at Ebb Steps swept it.",
        &[true],
    );
    check(
        "en",
        "All of what there was to be done had been done by the crew.",
        &[false],
    );
    check(
        "de",
        "Die Fähre liegt im Hafen. Dabei drängt Ebbe. Aber der Wind dreht.",
        &[true, false, false],
    );
    check(
        "fr",
        "Le bac attend la marée. C’est long. Or le vent tourne.",
        &[true, false, false],
    );
    check(
        "es",
        "El barco espera la marea. Este viento sopla. Además llueve.",
        &[true, false, false],
    );
    // Nothing is known of the words of this one.
    check("und", "It drains by noon.", &[true]);
}

#[test]
fn pieces_of_speech_and_of_sentences_are_not_read_out_of_their_place() {
    let check = |text: &str, expected: &[bool]| {
        let found = sentences_of(0, text, &words("en"));
        let alone: Vec<bool> = found.iter().map(|found| found.alone).collect();
        assert_eq!(alone, expected, "{text}");
    };
    check(
        "Wren calls “low water. Boats ground. Crews sleep.” Tides turn.",
        &[false, false, false, true],
    );
    check(
        "“Boats ground,” says Wren. ‘Tides turn’, says Tarn.",
        &[false; 2],
    );
    check(
        "Boats ground (near Ebb Steps). Crews sleep (most nights. Tides turn).",
        &[true, false, false],
    );
    check(
        "Boats ground near slip 3. Mondays bring crews. Tides turn.",
        &[false, false, true],
    );
    check("— Crews sleep.", &[false]);
    check("Boats ground:", &[false]);
}

#[test]
fn stop_words_and_apostrophes_are_no_part_of_what_a_sentence_tells() {
    let check = |tag: &str, text: &str, expected: &[&str]| {
        assert_eq!(
            sentences_of(0, text, &words(tag))[0].telling,
            expected,
            "{tag}: {text}"
        );
    };
    check(
        "en",
        "It was the ferry’s second bell.",
        &["ferry", "second", "bell"],
    );
    check(
        "de",
        "Das ist die Glocke von der Fähre.",
        &["glocke", "fähre"],
    );
    check(
        "fr",
        "L’eau du port n’est pas calme.",
        &["eau", "port", "calme"],
    );
    check("nb", "Det er en båt på vannet.", &["båt", "vannet"]);
    check("und", "It was so.", &["it", "was", "so"]);
}

proptest! {
    /// The sums word by word beside the paper's equation 1, pair by pair.
    #[test]
    fn cosines_are_those_of_the_papers_equation(texts in prop::collection::vec("[a-f]( [a-f]){0,5}", 1..9)) {
        let found: Vec<Worded> = texts.iter().flat_map(|text| sentences_of(0, text, &words("und"))).collect();
        let times = |place: usize, word: &str| found[place].telling.iter().filter(|told| *told == word).count() as f64;
        let idf: HashMap<String, f64> = ('a'..='f')
            .map(|word| {
                let word = word.to_string();
                let having = (0..found.len()).filter(|place| times(*place, &word) > 0.0).count();
                let idf = (found.len() as f64 / having as f64).ln();
                (word, idf)
            })
            .collect();
        let product = |one: usize, other: usize| -> f64 {
            let words = idf.iter().filter(|(_, idf)| idf.is_finite());
            words.map(|(word, idf)| times(one, word) * times(other, word) * idf * idf).sum()
        };
        for (one, row) in cosines(&found).iter().enumerate() {
            for (other, cosine) in row.iter().enumerate() {
                let lengths = (product(one, one) * product(other, other)).sqrt();
                let expected = if one == other { 1.0 } else if lengths > 0.0 { product(one, other) / lengths } else { 0.0 };
                prop_assert!((cosine - expected).abs() < 1e-9, "{one}, {other}: {cosine}, {expected}");
            }
        }
    }
}

#[test]
fn of_sentences_that_are_as_central_the_earlier_is_better() {
    let apart = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    let scores = scores(&apart.map(Vec::from));
    for (score, expected) in scores.iter().zip([2.0, 5.0 / 3.0, 4.0 / 3.0]) {
        assert!((score - expected).abs() < 1e-9, "{scores:?}");
    }
}

/// Sentences of fourteen words. Of ten one names all of a subject, and each of the others one thing of it: a reader
/// who goes along what they share is led to the one. Were it the only one to name the subject, nobody would be: as
/// often as readers leave sentences that are apart from all others they come to them.
fn article(count: usize) -> Vec<Block> {
    let subject = ["harbour", "crane", "gearbox", "oil", "pump"];
    let sentence = |number: usize| {
        let subject = if number % 10 == 4 {
            &subject[..]
        } else {
            &subject[number % 5..][..1]
        };
        let own = (subject.len()..13).map(|word| format!("w{number}x{word}"));
        let words: Vec<String> = subject
            .iter()
            .map(|word| (*word).to_owned())
            .chain(own)
            .collect();
        format!("The {}.", words.join(" "))
    };
    let sentences: Vec<String> = (0..count).map(sentence).collect();
    let paragraphs = sentences
        .chunks(5)
        .map(|sentences| paragraph(&sentences.join(" ")));
    paragraphs.collect()
}

#[test]
fn the_sentences_that_share_most_with_others_are_chosen_in_reading_order() {
    for (count, expected) in [(60, 2), (120, 3)] {
        let blocks = article(count);
        let gist = gist(&blocks);
        assert_eq!(gist.len(), expected, "{count}");
        assert!(gist.is_sorted_by_key(|sentence| (sentence.block, sentence.characters.start)));
        for sentence in &gist {
            let shown = sentence.quoted(&blocks).expect("a block").text();
            assert!(shown.starts_with("The harbour crane gearbox"), "{shown}");
            assert!(shown.ends_with('.') && blocks[sentence.block].text().contains(&shown));
        }
    }
}

#[test]
fn short_articles_bulletins_and_lists_have_none() {
    assert_eq!(gist(&article(40)), []);
    assert_eq!(gist(&[]), []);
    let item = BlockKind::ListItem {
        depth: 1,
        marker: Marker::Bullet,
    };
    let with = |every: usize, kind: BlockKind, text: &str| {
        let mut blocks = article(120);
        for place in (0..blocks.len()).step_by(every).rev() {
            blocks.insert(place, block(kind, text));
        }
        gist(&blocks).len()
    };
    let heading = BlockKind::Heading { level: 2 };
    assert_eq!(with(1, heading, "Notices"), 0);
    assert_eq!(with(4, heading, "Notices"), 3);
    assert_eq!(with(1, item, &"word ".repeat(30)), 0);
    assert_eq!(with(12, item, &"word ".repeat(30)), 3);
}

#[test]
fn a_sentence_keeps_its_looks_and_drops_its_links() {
    let run = |text: &str, emphasis: bool, link: Option<usize>| Run {
        text: text.to_owned(),
        style: Style {
            emphasis,
            ..Style::default()
        },
        link,
        cell: None,
    };
    let runs = vec![
        run("Ebb. The “tide", false, Some(0)),
        run(" turns", true, Some(0)),
        run("” late. Flood.", false, None),
    ];
    let block = Block {
        runs,
        ..paragraph("")
    };
    let sentence = sentences_of(0, &block.text(), &words("und"))
        .remove(1)
        .sentence;
    let shown = sentence.quoted(&[block]).expect("a block");
    let expected = [
        run("The “tide", false, None),
        run(" turns", true, None),
        run("” late.", false, None),
    ];
    assert_eq!(
        (shown.kind, shown.runs),
        (BlockKind::Quotation, expected.to_vec())
    );
}
