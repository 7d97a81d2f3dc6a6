//! `typeset`: distils and sets a local HTML file and prints its discs, as text or as JSON, or the blocks
//! that they are set from.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use super::spacing::Spaced;
use super::{Ended, local};
use crate::font::{REGULAR, Typeface};
use crate::typeset::{Cell, Disc, Item, Line, LineEnd, LineKind, Lines, Screen, typeset};

mod blocks;

use blocks::as_blocks;

/// The arguments of `typeset`.
#[derive(Debug, Args)]
pub struct Typeset {
    /// The HTML file.
    file: PathBuf,
    /// The size of the text: how many lines a disc holds at the usual spacing.
    #[arg(long, default_value = "10", value_parser = ["11", "10", "8", "6"])]
    lines: String,
    /// The white between letters, words and lines.
    #[arg(long, value_enum, default_value_t = Spaced::Usual)]
    spacing: Spaced,
    /// What to print.
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Format {
    /// The lines of each disc, centred as on the watch.
    Text,
    /// Lines with their widths and chords as fractions of the diameter, and totals.
    Json,
    /// The blocks before they are set: kinds, levels, languages, runs and links, a line each.
    Blocks,
}

impl Typeset {
    /// Prints the discs.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub fn run(self) -> Result<(), Ended> {
        let article = local::article(&self.file)?;
        if self.format == Format::Blocks {
            print!("{}", as_blocks(&article));
            return Ok(());
        }
        let typeface = Typeface::read(REGULAR)?;
        let lines = self
            .lines
            .parse()
            .ok()
            .and_then(Lines::from_count)
            .unwrap_or(Lines::Ten);
        let screen = Screen {
            lines,
            spacing: self.spacing.into(),
            ..Screen::DEFAULT
        };
        let items: Vec<Item> = article.blocks.iter().map(Item::Block).collect();
        let discs = typeset(&items, &screen, &typeface);
        match self.format {
            Format::Json => println!("{:#}", as_json(&discs)),
            Format::Text | Format::Blocks => print!("{}", as_text(&discs)),
        }
        Ok(())
    }
}

/// How many columns of a terminal a whole diameter is printed in.
const COLUMNS: usize = 44;

fn as_text(discs: &[Disc]) -> String {
    let mut text = String::new();
    for (number, disc) in discs.iter().enumerate() {
        text.push_str(&format!("{:-^COLUMNS$}\n", format!(" {} ", number + 1)));
        let mut place = 0.0;
        for line in &disc.lines {
            while place < line.place {
                text.push('\n');
                place += 1.0;
            }
            let row = match line.cells.is_empty() {
                true => format!("{:^COLUMNS$}", line.shown()),
                false => as_row(line),
            };
            text.push_str(row.trim_end());
            text.push('\n');
            place = line.place + 1.0;
        }
    }
    text
}

/// The cells of a grid's row about where they stand: numbers by their right ends.
fn as_row(line: &Line) -> String {
    let column = |at: f64| ((0.5 + at) * COLUMNS as f64).round() as usize;
    let mut cells: Vec<&Cell> = line.cells.iter().collect();
    cells.sort_by(|one, other| one.left.total_cmp(&other.left));
    let mut row = String::new();
    for cell in cells {
        let text = line.shown_of(cell);
        let length = text.chars().count();
        let from = match cell.numeric {
            true => column(cell.left + cell.width).saturating_sub(length),
            false => column(cell.left),
        };
        let taken = row.chars().count();
        let least = usize::from(taken > 0);
        row.push_str(&" ".repeat(from.saturating_sub(taken).max(least)));
        row.push_str(&text);
    }
    row
}

fn as_json(discs: &[Disc]) -> Value {
    let all: Vec<&Line> = discs.iter().flat_map(|disc| &disc.lines).collect();
    let words = words(&all);
    let rag = |line: &&&Line| (line.end != LineEnd::Set).then(|| (line.chord - line.width).powi(2));
    let squared_rag: f64 = all.iter().filter_map(|line| rag(&line)).sum();
    let discs_of_lines: Vec<Value> = discs
        .iter()
        .map(|disc| json!({ "lines": disc.lines.iter().map(line).collect::<Vec<_>>() }))
        .collect();
    json!({
        "discs": discs_of_lines,
        "totals": {
            "words": words,
            "discs": discs.len(),
            "words_a_disc": words as f64 / discs.len().max(1) as f64,
            "squared_rag": squared_rag,
            "hyphenated_lines": all.iter().filter(|line| line.end == LineEnd::Hyphen).count(),
        },
    })
}

fn line(line: &Line) -> Value {
    let cell = |cell: &Cell| json!({ "text": line.shown_of(cell), "left": cell.left, "width": cell.width });
    let mut value = json!({
        "text": line.shown(),
        "width": line.width,
        "hang": line.hang,
        "chord": line.chord,
        "kind": kind(line.kind),
    });
    if !line.cells.is_empty() {
        value["cells"] = line.cells.iter().map(cell).collect();
    }
    value
}

/// Words between white space; one that is divided over two lines counts once.
fn words(lines: &[&Line]) -> usize {
    let mut text = String::new();
    for line in lines {
        text.extend(line.spans.iter().map(|span| span.text.as_str()));
        if !matches!(line.end, LineEnd::Hyphen | LineEnd::Bare) {
            text.push(' ');
        }
    }
    text.split_whitespace().count()
}

fn kind(kind: LineKind) -> &'static str {
    match kind {
        LineKind::Paragraph => "paragraph",
        LineKind::Heading { .. } => "heading",
        LineKind::ListItem => "list item",
        LineKind::Quotation => "quotation",
        LineKind::Preformatted => "preformatted",
        LineKind::TableRow => "table row",
        LineKind::TableHead => "table head",
        LineKind::Picture => "picture",
        LineKind::Note => "note",
        LineKind::Rule => "rule",
        LineKind::Title => "title",
        LineKind::Label => "label",
        LineKind::Control => "control",
    }
}
