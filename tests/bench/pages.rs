//! How many words a disc holds beside the inscribed square, what the lines and the turns of the disc
//! are like, and what each weight of the typesetter costs and buys.
//!
//! `cargo bench --bench pages` prints three tables for the demo's English articles, all their blocks.
//!
//! Lines are those of paragraphs that their author did not end. Turns are the places where an article
//! goes on from a disc to the next; `faults` says what is counted of them.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod faults;
mod town;

use std::f64::consts::FRAC_1_SQRT_2;

use faults::Faults;
use tondo::distil::Article;
use tondo::distil::block::{Block, BlockKind, Marker};
use tondo::font::Typeface;
use tondo::typeset::{Disc, Item, Job, Line, LineEnd, LineKind, Lines, Screen, Weights};

/// A round screen of that size.
fn screen(lines: Lines) -> Screen {
    Screen {
        lines,
        ..Screen::DEFAULT
    }
}

/// Sets an article with certain weights.
fn set(article: &Article, lines: Lines, weights: Weights, typeface: &Typeface) -> Vec<Disc> {
    let items: Vec<Item> = article.blocks.iter().map(Item::Block).collect();
    let screen = screen(lines);
    let job = Job {
        weights,
        ..Job::new(screen, typeface)
    };
    job.set(&items).expect("the discs are wanted to the end")
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

/// The discs that an article takes, the last of them by the share of its places. Those of a disc that
/// is not full stand in the middle, where they are wider: so a place counts by its width.
fn fractional_discs(discs: &[Disc], lines: Lines, typeface: &Typeface) -> f64 {
    let screen = screen(lines);
    let plain = typeface.plain_ink.scaled(lines.em(typeface));
    let wide = |first: f64, count: usize| -> f64 {
        (0..count)
            .map(|place| screen.free_width(screen.middle(first + place as f64), plain, plain))
            .sum()
    };
    let Some((last, whole)) = discs.split_last() else {
        return 0.0;
    };
    let (Some(first), Some(foot)) = (last.lines.first(), last.lines.last()) else {
        return whole.len() as f64;
    };
    let taken = wide(first.place, (foot.place - first.place) as usize + 1);
    whole.len() as f64 + taken / wide(0.0, lines.count())
}

/// All articles as they are set.
struct Edition<'a> {
    articles: &'a [Article],
    lines: Lines,
    discs: Vec<Vec<Disc>>,
    typeface: &'a Typeface,
}

impl<'a> Edition<'a> {
    fn set(
        articles: &'a [Article],
        lines: Lines,
        weights: Weights,
        typeface: &'a Typeface,
    ) -> Self {
        let set = |article: &Article| set(article, lines, weights, typeface);
        Self {
            articles,
            lines,
            discs: articles.iter().map(set).collect(),
            typeface,
        }
    }

    fn words(&self) -> usize {
        self.articles
            .iter()
            .map(|article| town::words(&article.blocks))
            .sum()
    }

    fn words_a_disc(&self) -> f64 {
        let discs = self
            .discs
            .iter()
            .map(|discs| fractional_discs(discs, self.lines, self.typeface));
        self.words() as f64 / discs.sum::<f64>()
    }

    fn faults(&self) -> Faults {
        let mut faults = Faults::default();
        for (article, discs) in self.articles.iter().zip(&self.discs) {
            faults.count(&article.blocks, discs);
        }
        faults
    }

    /// Lines of paragraphs that their author did not end.
    fn running(&self) -> Vec<&Line> {
        let lines = self.discs.iter().flatten().flat_map(|disc| &disc.lines);
        lines
            .filter(|line| line.kind == LineKind::Paragraph && line.end != LineEnd::Set)
            .collect()
    }
}

fn print_words_a_disc(articles: &[Article], typeface: &Typeface) {
    println!(
        "lines  words/disc  whole discs  square  gain  hyphenated  rms rag  shortest  under 9  under 13  mean characters"
    );
    for lines in Lines::ALL {
        let edition = Edition::set(articles, lines, Weights::USUAL, typeface);
        let words = edition.words() as f64;
        let whole: usize = edition.discs.iter().map(Vec::len).sum();
        let square = articles
            .iter()
            .map(|article| square_lines(article, lines, typeface));
        let a_square =
            words / (square.sum::<usize>() as f64 * screen(lines).pitch() / FRAC_1_SQRT_2);
        let running = edition.running();
        let count = running.len() as f64;
        let share = |of: &dyn Fn(&Line) -> bool| {
            100.0 * running.iter().filter(|line| of(line)).count() as f64 / count
        };
        let squares: f64 = running
            .iter()
            .map(|line| (line.chord - line.width).powi(2))
            .sum();
        let characters = running.iter().map(|line| line.characters.len());
        println!(
            "{:>5}  {:>10.1}  {:>11.1}  {:>6.1}  {:>5.3}  {:>9.1}%  {:>7.3}  {:>8}  {:>6.2}%  {:>7.2}%  {:>6.1}",
            lines.count(),
            edition.words_a_disc(),
            words / whole as f64,
            a_square,
            edition.words_a_disc() / a_square,
            share(&|line| line.end == LineEnd::Hyphen),
            (squares / count).sqrt(),
            characters.clone().min().unwrap_or(0),
            share(&|line| line.characters.len() < 9),
            share(&|line| line.characters.len() < 13),
            characters.sum::<usize>() as f64 / count,
        );
    }
}

fn print_turns(articles: &[Article], typeface: &Typeface) {
    println!(
        "lines  weights      turns  within sentence  hyphen  compound  alone at foot  alone at head  heading at foot  set short"
    );
    for lines in Lines::ALL {
        for (name, weights) in [
            ("usual", Weights::USUAL),
            ("lines alone", Weights::LINES_ALONE),
        ] {
            let edition = Edition::set(articles, lines, weights, typeface);
            let faults = edition.faults();
            println!(
                "{:>5}  {name:<11}  {:>5}  {:>15}  {:>6}  {:>8}  {:>13}  {:>13}  {:>15}  {:>9}",
                lines.count(),
                faults.turns,
                faults.within_sentence,
                faults.within_word,
                faults.within_compound,
                faults.alone_at_foot,
                faults.alone_at_head,
                faults.heading_at_foot,
                faults.set_short,
            );
        }
    }
}

/// A weight: its name, how it is set to nought, which fault it counts against, and that fault.
type Weight = (
    &'static str,
    fn(&mut Weights),
    &'static str,
    fn(&Faults) -> usize,
);

const WEIGHTS: [Weight; 14] = [
    (
        "hyphen",
        |weights| weights.hyphen = 0.0,
        "hyphenated lines",
        |faults| faults.hyphens,
    ),
    (
        "hyphen_in_compound",
        |weights| weights.hyphen_in_compound = 0.0,
        "hyphens within compounds",
        |faults| faults.hyphens_in_compounds,
    ),
    (
        "bare",
        |weights| weights.bare = 0.0,
        "lines ended at a sign",
        |faults| faults.at_signs,
    ),
    (
        "emergency",
        |weights| weights.emergency = 0.0,
        "divided where no point is",
        |faults| faults.emergencies,
    ),
    (
        "stub",
        |weights| weights.stub = 0.0,
        "last lines under a fifth",
        |faults| faults.stubs,
    ),
    (
        "divided_last",
        |weights| weights.divided_last = 0.0,
        "last lines begun within a word",
        |faults| faults.divided_lasts,
    ),
    (
        "short_line",
        |weights| weights.short_line = 0.0,
        "lines under 9 characters",
        |faults| faults.short_lines,
    ),
    (
        "empty",
        |weights| weights.empty = 0.0,
        "discs set short",
        |faults| faults.set_short,
    ),
    (
        "split_sentence",
        |weights| weights.split_sentence = 0.0,
        "turns within a sentence",
        |faults| faults.within_sentence,
    ),
    (
        "stranded_at_foot",
        |weights| weights.stranded_at_foot = 0.0,
        "first lines alone at a foot",
        |faults| faults.alone_at_foot,
    ),
    (
        "stranded_at_head",
        |weights| weights.stranded_at_head = 0.0,
        "last lines alone at a head",
        |faults| faults.alone_at_head,
    ),
    (
        "heading_at_foot",
        |weights| weights.heading_at_foot = 0.0,
        "headings at a foot",
        |faults| faults.heading_at_foot,
    ),
    (
        "split_compound",
        |weights| weights.split_compound = 0.0,
        "turns within a compound",
        |faults| faults.within_compound,
    ),
    (
        "split_word",
        |weights| weights.split_word = 0.0,
        "turns within a word",
        |faults| faults.within_word,
    ),
];

/// Each weight at nought beside all as they are usual, at ten lines.
fn print_weights(articles: &[Article], typeface: &Typeface) {
    let set = |weights| {
        let edition = Edition::set(articles, Lines::Ten, weights, typeface);
        (edition.words_a_disc(), edition.faults())
    };
    let (words, usual) = set(Weights::USUAL);
    println!("10 lines; {words:.2} words a disc with the usual weights\n");
    println!("| weight | words a disc without it | its fault | with it | without it |");
    println!("|---|---|---|---|---|");
    for (name, clear, fault, count) in WEIGHTS {
        let mut weights = Weights::USUAL;
        clear(&mut weights);
        let (without, faults) = set(weights);
        println!(
            "| `{name}` | {without:.2} ({:+.2} %) | {fault} | {} | {} |",
            100.0 * (without / words - 1.0),
            count(&usual),
            count(&faults)
        );
    }
}

fn main() {
    let typeface = Typeface::read(notosans::REGULAR_TTF).expect("the font is sound");
    let articles = town::english();
    let words: usize = articles
        .iter()
        .map(|article| town::words(&article.blocks))
        .sum();
    println!(
        "{} English articles of the demo, {words} words, all their blocks\n",
        articles.len()
    );
    print_words_a_disc(&articles, &typeface);
    println!();
    print_turns(&articles, &typeface);
    println!();
    print_weights(&articles, &typeface);
}
