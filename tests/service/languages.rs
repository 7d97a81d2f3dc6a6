//! Which language a text is in, beside the sample sentences of the Python library spacy (3.8.7, MIT), in 30 and
//! more languages. The library itself is not run; its samples are no part of what the detector was made from.

use std::collections::BTreeMap;

use tondo::distil::language::Direction;
use tondo::distil::{Article, Source, distil};
use url::Url;

use crate::beside::json;

/// Samples with fewer letters are left out, since a shorter text is not told by design. In scripts of one
/// language fewer would do.
const LEAST_LETTERS: usize = 200;

/// Languages of the library that have no code of two letters, or that the detector does not claim to know.
const NOT_CLAIMED: [&str; 18] = [
    "bo", "dsb", "eu", "grc", "hsb", "kmr", "ky", "lb", "lg", "lij", "ms", "nn", "sa", "sq", "ti",
    "tn", "tt", "yo",
];

/// Not a language: samples for many.
const MANY: &str = "xx";

/// The share of those languages that must be told right.
const LEAST_RIGHT: f64 = 0.9;

/// Languages among the samples that are written from right to left (the default scripts of CLDR, from memory).
const LEFTWARD: [&str; 4] = ["ar", "fa", "he", "ur"];

fn samples() -> BTreeMap<String, Vec<String>> {
    json("python3", &["-B", "languages.py"], "")
}

/// Distils an article of which nothing is declared.
fn article(sentences: &[String]) -> Article {
    let base = Url::parse("https://quay.example/feed").expect("an address");
    let source = Source {
        content: Some(format!("<p>{}</p>", sentences.join("</p><p>"))),
        ..Source::blank(base)
    };
    distil(&source).0
}

#[expect(
    clippy::print_stdout,
    reason = "figures of a test, shown by --nocapture"
)]
#[test]
fn articles_in_more_than_thirty_languages_are_told_right() {
    let (mut right, mut untold, mut wrong) = (Vec::new(), Vec::new(), Vec::new());
    for (tag, sentences) in samples() {
        let letters = sentences.iter().flat_map(|sentence| sentence.chars());
        let letters = letters.filter(|letter| letter.is_alphabetic()).count();
        if letters < LEAST_LETTERS || tag == MANY || NOT_CLAIMED.contains(&tag.as_str()) {
            continue;
        }
        let article = article(&sentences);
        let direction = if LEFTWARD.contains(&tag.as_str()) {
            Direction::Rtl
        } else {
            Direction::Ltr
        };
        assert_eq!(article.direction, direction, "{tag}");
        match article.language.tag() {
            "und" => untold.push(tag),
            found if found == tag => right.push(tag),
            found => wrong.push(format!("{tag} as {found}")),
        }
    }
    let of = right.len() + untold.len() + wrong.len();
    let share = right.len() as f64 / of as f64;
    println!("{right:?} of {of} right, {share:.3}; wrong: {wrong:?}; not told: {untold:?}");
    assert!(of >= 30, "{of}");
    assert_eq!(wrong, [""; 0]);
    assert!(
        share >= LEAST_RIGHT,
        "{share}: wrong {wrong:?}, not told {untold:?}"
    );
}
