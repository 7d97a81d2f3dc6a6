//! How many words a disc holds beside the inscribed square, and what the lines are like.
//!
//! `cargo bench --bench pages` prints both for the demo's English articles.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

use std::f64::consts::FRAC_1_SQRT_2;

use include_dir::{Dir, include_dir};
use tondo::distil::block::{Block, BlockKind, Marker};
use tondo::distil::{Article, Source, distil};
use tondo::font::Typeface;
use tondo::typeset::{Disc, Item, Line, LineEnd, LineKind, Screen, spacing_after, typeset};
use url::Url;

static TOWN: Dir = include_dir!("$CARGO_MANIFEST_DIR/service/town/articles");

/// The demo's articles but the German ones.
fn english() -> Vec<Article> {
    let base = Url::parse("http://kestrel-quay.invalid/").expect("the address is well formed");
    let files = TOWN
        .files()
        .filter(|file| !file.path().to_string_lossy().contains("allotment"));
    let contents = files.filter_map(|file| file.contents_utf8());
    contents
        .map(|html| Source {
            address: None,
            base: base.clone(),
            title: None,
            authors: Vec::new(),
            declared_language: tondo::distil::language::Language::parse("en"),
            content: Some(html.to_owned()),
            page: None,
            enclosures: Vec::new(),
        })
        .map(|source| distil(&source).0)
        .collect()
}

fn set(article: &Article, screen: Screen, typeface: &Typeface) -> Vec<Disc> {
    let items: Vec<Item> = article.blocks.iter().map(Item::Block).collect();
    typeset(&items, &screen, typeface)
}

/// The lines of an article in the inscribed square: first fit, no word divided, with the same
/// marks, the same empty lines before headings, and a line for a rule.
fn square_lines(article: &Article, screen: Screen, typeface: &Typeface) -> usize {
    let em = screen.lines.em(typeface);
    let width = |text: &str| {
        let spaced = |character| {
            let advance = typeface.glyph(character).advance;
            advance + spacing_after(character, advance, screen.spacing)
        };
        text.chars().map(spaced).sum::<f64>()
    };
    let mut count = 0;
    for (place, block) in article.blocks.iter().enumerate() {
        let heading = matches!(block.kind, BlockKind::Heading { .. });
        count += usize::from(heading && place > 0);
        let mut rest = FRAC_1_SQRT_2 - width(mark(block, place)) * em;
        count += 1;
        for (number, part) in block.text().split('\n').enumerate() {
            if number > 0 {
                count += 1;
                rest = FRAC_1_SQRT_2;
            }
            let mut first = true;
            for word in part.split_whitespace() {
                let wide = width(word) * em;
                let space = if first { 0.0 } else { width(" ") * em };
                if !first && wide + space > rest {
                    count += 1;
                    rest = FRAC_1_SQRT_2 - wide;
                } else {
                    rest -= wide + space;
                }
                first = false;
            }
        }
    }
    count
}

fn mark(block: &Block, place: usize) -> &'static str {
    match block.kind {
        BlockKind::Paragraph if place > 0 => "¶ ",
        BlockKind::ListItem {
            marker: Marker::Number(_),
            ..
        } => "1. ",
        BlockKind::ListItem { .. } => "• ",
        BlockKind::Quotation => "“ ",
        BlockKind::TableRow => "› ",
        _ => "",
    }
}

/// The discs that an article takes, the last of them by the share of its lines.
fn fractional_discs(discs: &[Disc], screen: Screen) -> f64 {
    let Some((last, whole)) = discs.split_last() else {
        return 0.0;
    };
    let filled = last.lines.last().map_or(0.0, |line| line.place + 1.0);
    whole.len() as f64 + filled / screen.places() as f64
}

fn print_words_a_disc() {
    let typeface = Typeface::read(notosans::REGULAR_TTF).expect("the font is sound");
    let articles = english();
    let words: usize = articles
        .iter()
        .flat_map(|article| &article.blocks)
        .map(|block| block.text().split_whitespace().count())
        .sum();
    println!(
        "{} English articles of the demo, {words} words, all their blocks",
        articles.len()
    );
    println!(
        "       screen  words/disc  whole discs  square  gain  hyphenated  rms rag  shortest  mean characters"
    );
    for screen in Screen::all() {
        let set: Vec<Vec<Disc>> = articles
            .iter()
            .map(|article| set(article, screen, &typeface))
            .collect();
        let discs: f64 = set.iter().map(|discs| fractional_discs(discs, screen)).sum();
        let whole: usize = set.iter().map(Vec::len).sum();
        let square: usize = articles
            .iter()
            .map(|article| square_lines(article, screen, &typeface))
            .sum();
        let a_square = words as f64 / (square as f64 * screen.pitch() / FRAC_1_SQRT_2);
        let running: Vec<&Line> = set
            .iter()
            .flatten()
            .flat_map(|disc| &disc.lines)
            .filter(|line| line.kind == LineKind::Paragraph && line.end != LineEnd::Set)
            .collect();
        let hyphens = running
            .iter()
            .filter(|line| line.end == LineEnd::Hyphen)
            .count();
        let squares: f64 = running
            .iter()
            .map(|line| (line.chord - line.width).powi(2))
            .sum();
        let characters = running.iter().map(|line| line.characters.len());
        println!(
            "{:>13}  {:>10.1}  {:>11.1}  {:>6.1}  {:>5.3}  {:>9.1}%  {:>7.3}  {:>8}  {:>6.1}",
            screen.to_string(),
            words as f64 / discs,
            words as f64 / whole as f64,
            a_square,
            words as f64 / discs / a_square,
            100.0 * hyphens as f64 / running.len() as f64,
            (squares / running.len() as f64).sqrt(),
            characters.clone().min().unwrap_or(0),
            characters.sum::<usize>() as f64 / running.len() as f64,
        );
    }
}

fn main() {
    print_words_a_disc();
}
