//! Where words are divided, beside a second library: the npm package `hyphen` 1.14.1, which carries
//! the patterns of TeX's hyph-utf8 too, over Debian's lists of words.
//!
//! What is asserted is the share of words that both divide alike. The lists are those of Debian 12
//! (wamerican 2020.12.07, wngerman 20161207, wspanish 1.0.30); another release may move a share by
//! some tenths of a percent, for which the floors leave room.

use std::fs;

use tondo::distil::language::Language;
use tondo::typeset::hyphenate::Divider;

use crate::beside::printed;

/// Words of a list for one language.
struct List {
    /// The file that the Debian package installs.
    file: &'static str,
    package: &'static str,
    tag: &'static str,
    /// The name of the patterns in the npm package.
    patterns: &'static str,
    /// Every so many words are taken.
    step: usize,
    /// The language's minima, which the npm package leaves to its callers.
    minima: (usize, usize),
}

impl List {
    /// Words of at least five letters, which is the least that either library divides.
    fn words(&self) -> Vec<String> {
        let text = fs::read_to_string(self.file).unwrap_or_else(|error| {
            panic!(
                "{}: {error}; install Debian's package {} (tests/run does)",
                self.file, self.package
            )
        });
        let plain = |word: &&str| {
            word.chars().count() >= 5
                && word.chars().all(char::is_alphabetic)
                && !word.chars().all(char::is_uppercase)
        };
        let words = text.lines().filter(plain).step_by(self.step);
        words.map(str::to_owned).collect()
    }

    /// Compares at least so many words, of which at least a share must be divided alike.
    fn check(&self, least_words: usize, least_share: f64) {
        let words = self.words();
        assert!(words.len() >= least_words, "{} words", words.len());
        let others = reference(self.patterns, &words);
        assert_eq!(others.len(), words.len());
        let divider = Divider::of(&Language::parse(self.tag).expect("a tag"));
        let mut differences = Vec::new();
        let mut divided = 0;
        for (word, other) in words.iter().zip(others) {
            let ours = marked(word, &divider.points(word));
            let other = within(&other, self.minima);
            assert_eq!(
                within(&ours, self.minima),
                ours,
                "too few letters at an end"
            );
            divided += usize::from(ours != *word);
            if ours != other {
                differences.push(format!("{ours}/{other}"));
            }
        }
        // Neither of them agrees by dividing nothing.
        assert!(divided * 2 > words.len(), "{divided} words are divided");
        let share = 1.0 - differences.len() as f64 / words.len() as f64;
        assert!(
            share >= least_share,
            "{share:.4} of {} words are divided alike; not {}",
            words.len(),
            differences[..differences.len().min(50)].join(" ")
        );
    }
}

/// The words as the npm package divides them, in one process.
fn reference(patterns: &str, words: &[String]) -> Vec<String> {
    let text = printed("node", &["hyphenate.mjs", patterns], &words.join("\n"));
    let text = String::from_utf8(text).expect("UTF-8");
    text.lines().map(str::to_owned).collect()
}

fn marked(word: &str, points: &[usize]) -> String {
    let mut marked = String::with_capacity(word.len() + points.len());
    let mut from = 0;
    for &point in points {
        marked.push_str(&word[from..point]);
        marked.push('-');
        from = point;
    }
    marked + &word[from..]
}

/// A marked word without the points that leave too few letters before or after.
fn within(marked: &str, (left, right): (usize, usize)) -> String {
    let letters = marked.chars().filter(|&letter| letter != '-').count();
    let mut before = 0;
    let mut kept = String::with_capacity(marked.len());
    for letter in marked.chars() {
        if letter != '-' {
            before += 1;
            kept.push(letter);
        } else if before >= left && letters - before >= right {
            kept.push('-');
        }
    }
    kept
}

#[test]
fn english_is_divided_as_by_a_second_library() {
    // Measured: 69,454 of 69,777 words, 99.54 %. Each of the 323 others is an exception to the
    // patterns: 311 stand in the list that comes with hyph-en-us, which is carried here and not
    // there (`book-sell-ers`, there `book-sellers`), 8 are of the 14 of hyphen.tex, whose later
    // points the other has astray (`as-soc-iate`), and 4 are forms of `demo-crat`. Without the
    // minima, which the other leaves to its callers, it is 84.23 %.
    List {
        file: "/usr/share/dict/american-english",
        package: "wamerican",
        tag: "en-us",
        patterns: "en-us",
        step: 1,
        minima: (2, 3),
    }
    .check(60_000, 0.995);
}

#[test]
fn german_is_divided_as_by_a_second_library() {
    // Measured: 353,366 of all 353,483 words, 99.97 %. The others are divided by patterns of
    // another year: the other's German ones are newer (`Un-fall-ver-schul-der`, here
    // `Un-fall-ver-schuld-er`), which goes either way (`Goo-gles`, there `Googles`).
    List {
        file: "/usr/share/dict/ngerman",
        package: "wngerman",
        tag: "de",
        patterns: "de-1996",
        step: 11,
        minima: (2, 2),
    }
    .check(30_000, 0.999);
}

#[test]
fn spanish_is_divided_as_by_a_second_library() {
    // Measured: all 83,809 words, with and without the minima.
    List {
        file: "/usr/share/dict/spanish",
        package: "wspanish",
        tag: "es",
        patterns: "es",
        step: 3,
        minima: (2, 2),
    }
    .check(25_000, 0.9999);
}
