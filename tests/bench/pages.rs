//! How many words a disc holds beside the inscribed square, and what the lines are like.
//!
//! `cargo bench --bench pages` prints both for the demo's English articles.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

use std::f64::consts::FRAC_1_SQRT_2;

use include_dir::{Dir, include_dir};
use tondo::distil::block::{Block, BlockKind, Marker};
use tondo::distil::{Article, Source, distil};
use tondo::font::Typeface;
use tondo::typeset::{Disc, Item, Line, LineEnd, LineKind, Lines, Screen, Shape, typeset};
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

fn set(article: &Article, lines: Lines, typeface: &Typeface) -> Vec<Disc> {
    let items: Vec<Item> = article.blocks.iter().map(Item::Block).collect();
    typeset(
        &items,
        &Screen {
            shape: Shape::Round,
            lines,
        },
        typeface,
    )
}

/// The lines of an article in the inscribed square: first fit, no word divided, with the same
/// marks, the same empty lines before headings, and a line for a rule.
fn square_lines(article: &Article, lines: Lines, typeface: &Typeface) -> usize {
    let em = lines.em(typeface);
    let mut count = 0;
    for (place, block) in article.blocks.iter().enumerate() {
        let heading = matches!(block.kind, BlockKind::Heading { .. });
        count += usize::from(heading && place > 0);
        let mut rest = FRAC_1_SQRT_2 - mark_width(block, place, typeface) * em;
        count += 1;
        for (number, part) in block.text().split('\n').enumerate() {
            if number > 0 {
                count += 1;
                rest = FRAC_1_SQRT_2;
            }
            let mut first = true;
            for word in part.split_whitespace() {
                let width = typeface.width(word) * em;
                let space = if first { 0.0 } else { typeface.width(" ") * em };
                if !first && width + space > rest {
                    count += 1;
                    rest = FRAC_1_SQRT_2 - width;
                } else {
                    rest -= width + space;
                }
                first = false;
            }
        }
    }
    count
}

fn mark_width(block: &Block, place: usize, typeface: &Typeface) -> f64 {
    typeface.width(match block.kind {
        BlockKind::Paragraph if place > 0 => "¶ ",
        BlockKind::ListItem {
            marker: Marker::Number(_),
            ..
        } => "1. ",
        BlockKind::ListItem { .. } => "• ",
        BlockKind::Quotation => "“ ",
        BlockKind::TableRow => "› ",
        _ => "",
    })
}

/// The discs that an article takes, the last of them by the share of its lines.
fn fractional_discs(discs: &[Disc], lines: Lines) -> f64 {
    let Some((last, whole)) = discs.split_last() else {
        return 0.0;
    };
    let filled = last.lines.last().map_or(0.0, |line| line.place + 1.0);
    whole.len() as f64 + filled / lines.count() as f64
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
        "lines  words/disc  whole discs  square  gain  hyphenated  rms rag  shortest  mean characters"
    );
    for lines in Lines::ALL {
        let set: Vec<Vec<Disc>> = articles
            .iter()
            .map(|article| set(article, lines, &typeface))
            .collect();
        let discs: f64 = set.iter().map(|discs| fractional_discs(discs, lines)).sum();
        let whole: usize = set.iter().map(Vec::len).sum();
        let square: usize = articles
            .iter()
            .map(|article| square_lines(article, lines, &typeface))
            .sum();
        let a_square = words as f64 / (square as f64 * lines.pitch() / FRAC_1_SQRT_2);
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
            "{:>5}  {:>10.1}  {:>11.1}  {:>6.1}  {:>5.3}  {:>9.1}%  {:>7.3}  {:>8}  {:>6.1}",
            lines.count(),
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
