//! There is enough to read, and of every kind.

use std::collections::BTreeSet;

use dom_query::Document;

use super::pieces;
use crate::town::content::{self, Form};

#[test]
fn every_article_is_150_to_2000_words_long() {
    for (publication, piece) in pieces() {
        let words = count_words(publication.text(piece));
        assert!(
            (150..=2000).contains(&words),
            "{} has {words} words",
            piece.slug
        );
    }
}

#[test]
fn there_are_articles_of_every_length() {
    let lengths: Vec<usize> = pieces()
        .map(|(publication, piece)| count_words(publication.text(piece)))
        .collect();
    let between = |low, high| lengths.iter().filter(|n| (low..=high).contains(*n)).count();
    assert!(lengths.len() >= 26);
    assert!(between(1900, 2000) >= 2, "long ones");
    assert!(between(600, 900) >= 4, "middling ones");
    assert!(between(790, 810) >= 1, "one of about 800");
}

#[test]
fn every_file_is_in_the_catalogue_once() {
    let names: BTreeSet<String> = pieces()
        .map(|(publication, piece)| format!("{}-{}", publication.key, piece.slug))
        .collect();
    assert_eq!(names.len(), pieces().count());
    assert_eq!(names.len(), content::article_files());
}

#[test]
fn no_paragraph_of_prose_is_printed_twice() {
    let document = Document::from(all_text().as_str());
    let mut seen = BTreeSet::new();
    for paragraph in &document.select("p") {
        let text = paragraph.text().to_string();
        assert!(seen.insert(text.clone()), "twice: {text}");
    }
}

#[test]
fn each_kind_of_markup_is_present() {
    let document = Document::from(all_text().as_str());
    for selector in [
        "h2",
        "h3",
        "ol > li",
        "ul > li",
        "li ul li",
        "li ul li ul li",
        "blockquote p",
        "a[href^='https://']",
        "a[href^='/']",
        "a[href^='../']",
        "a[href='swing-bridge']",
        "table thead th",
        "table tbody td",
        "pre > code",
        "em",
        "strong",
        "figure img[alt]",
        "figure figcaption",
        "sup",
        "sub",
        "abbr[title]",
        "hr",
        "span[lang='fr']",
    ] {
        assert!(
            document.select(selector).exists(),
            "nothing matches {selector}"
        );
    }
}

#[test]
fn each_kind_of_text_is_present() {
    let text = Document::from(all_text().as_str()).text();
    for sample in [
        "ä", "ö", "ü", "ß", "é", "ï", "ø", "Å", "“", "„", "«", "—", "°C", " km", " kg",
    ] {
        assert!(text.contains(sample), "nobody wrote {sample}");
    }
    let is_compound = |word: &&str| word.chars().all(char::is_alphabetic);
    let longest = text
        .split(|c: char| !c.is_alphabetic())
        .filter(is_compound)
        .map(|word| word.chars().count())
        .max();
    assert!(longest.unwrap() >= 40, "a compound of 40 letters");
    let address = text
        .split_whitespace()
        .find(|word| word.starts_with("https://") && word.len() > 100);
    assert!(address.is_some(), "a long address");
    assert!(
        pieces().any(|(_, piece)| piece.title.chars().count() > 120),
        "a long title"
    );
}

#[test]
fn every_bulletin_says_that_it_is_invented_and_defers_to_the_official_forecast() {
    let bulletins = pieces().filter(|(publication, _)| publication.key == "bulletin");
    for (publication, piece) in bulletins {
        let document = Document::from(publication.text(piece));
        let opening = document.select("p").first().text();
        assert!(
            opening.starts_with("Invented, and not for navigation."),
            "{opening}"
        );
        assert!(opening.contains("official"), "{opening}");
        assert!(document.select("table th").exists());
        assert!(piece.title.contains("Invented") && piece.summary.contains("not for navigation"));
    }
}

#[test]
fn teasers_are_30_to_40_words_and_the_german_is_declared() {
    for (publication, piece) in pieces() {
        if publication.form == Form::Teasers {
            let words = piece.summary.split_whitespace().count();
            assert!((30..=40).contains(&words), "{}: {words}", piece.slug);
        }
    }
    let german: Vec<_> = pieces()
        .filter(|(publication, _)| publication.language == "de")
        .collect();
    assert!(german.len() >= 4);
}

/// Words with at least one letter or digit, so that a lone dash is none. Tags end a word.
fn count_words(html: &str) -> usize {
    let spaced = html.replace('<', " <");
    let text = Document::fragment(spaced.as_str()).text();
    text.split_whitespace()
        .filter(|word| word.chars().any(char::is_alphanumeric))
        .count()
}

fn all_text() -> String {
    pieces()
        .map(|(publication, piece)| publication.text(piece))
        .collect()
}
