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
    let similar: Vec<Vec<f64>> = COSINES.iter().map(|row| row.to_vec()).collect();
    let scores = centrality(&similar);
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
    let found = sentences_of(4, text);
    let told: Vec<(String, bool)> = found
        .iter()
        .map(|found| {
            let Range { start, end } = found.sentence.characters;
            (text.chars().take(end).skip(start).collect(), found.whole)
        })
        .collect();
    let expected = [
        ("The “crane” is old.", true),
        ("Mr.", false),
        ("Tarn, who mends it, likes it so!", false),
        ("Ebb", false),
    ];
    assert_eq!(told, expected.map(|(text, whole)| (text.to_owned(), whole)));
    assert_eq!(sentences_of(0, "潮が引く。船が出る。").len(), 2);
}

/// Sentences of twelve words about one subject, which others hardly mention.
fn article(count: usize) -> Vec<Block> {
    let sentence = |number: usize| {
        let own: Vec<String> = (0..6).map(|word| format!("w{number}x{word}")).collect();
        let subject = if number % 10 == 4 {
            "harbour crane gearbox oil pump"
        } else {
            "one crane more or less"
        };
        format!("The {subject} {}.", own.join(" "))
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
            let shown = sentence.paragraph(&blocks).expect("a block").text();
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
    let sentence = sentences_of(0, &block.text()).remove(1).sentence;
    let shown = sentence.paragraph(&[block]).expect("a block");
    let expected = [
        run("The “tide", false, None),
        run(" turns", true, None),
        run("” late.", false, None),
    ];
    assert_eq!(shown.runs, expected);
}
