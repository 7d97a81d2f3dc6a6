//! What the typesetter gives back: discs of lines. Data alone.

use std::ops::Range;

use super::opening::TITLE_GAP;
use super::screen::{Screen, Step};
use super::units::Diameters;
use crate::distil::block::Style;

/// One screenful.
#[derive(Clone, Debug, PartialEq)]
pub struct Disc {
    /// How its lines stand.
    pub kind: DiscKind,
    /// The screen that it was set for.
    pub screen: Screen,
    /// How many line places each of its rows takes, from the topmost place down; none where its
    /// lines are not in rows.
    pub rows: Vec<usize>,
    /// Its lines from top to bottom.
    pub lines: Vec<Line>,
}

/// How a disc's lines stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiscKind {
    /// Running text that fills the places from the top.
    Text,
    /// The title and the particulars of an article.
    Opening,
    /// Rows, each of which can be tapped.
    Rows,
}

/// One line of a disc.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The item that it belongs to, as an index into what was set.
    pub item: usize,
    /// The part of the item, where that has several (the texts of a row).
    pub part: usize,
    /// What it is a line of.
    pub kind: LineKind,
    /// How much larger its text is than that of the disc's screen: a title's may be.
    pub size: Step,
    /// What is drawn before its first word, and is no text.
    pub mark: Option<Mark>,
    /// The width of a mark that hangs out at the left, so that the line stands in the middle without
    /// it; nought where none does.
    pub hang: Diameters,
    /// Its text, in one look each. Neither the space that it was broken at nor a hyphen is in it.
    pub spans: Vec<Span>,
    /// Where its cells stand, where it is a row of a grid; none elsewhere. What is between their
    /// spans, a space each, is not drawn.
    pub cells: Vec<Cell>,
    /// How it ends.
    pub end: LineEnd,
    /// Its place in the disc's stack, the topmost being nought; rows can stand at halves, and the lines
    /// of an opening anywhere.
    pub place: f64,
    /// The width of its ink and spaces, hyphen and mark with it, but for one that hangs out.
    pub width: Diameters,
    /// The free width of its place.
    pub chord: Diameters,
    /// Which characters of the item's text it holds.
    pub characters: Range<usize>,
}

/// A cell of a line that is a row of a grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Its column, from nought; those of a table that runs from right to left begin at the right.
    pub column: usize,
    /// Which of the line's spans it has.
    pub spans: Range<usize>,
    /// How far its left end is to the right of the disc's middle.
    pub left: Diameters,
    /// Its own width; the column may be wider.
    pub width: Diameters,
    /// Whether it stands at the right of its column, as numbers do.
    pub numeric: bool,
}

/// What a line is a line of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// Running text.
    Paragraph,
    /// A heading.
    Heading {
        /// 1 is the highest.
        level: u8,
    },
    /// A list item.
    ListItem,
    /// A quoted paragraph.
    Quotation,
    /// Text whose line ends are the author's.
    Preformatted,
    /// A row of a table: read out, or a row of a grid.
    TableRow,
    /// The heads of a grid's columns.
    TableHead,
    /// A picture's description.
    Picture,
    /// A note.
    Note,
    /// A break between parts.
    Rule,
    /// An article's title.
    Title,
    /// A source, a date, a length.
    Label,
    /// What a control does.
    Control,
}

/// What is drawn before a block's first line. It is no text: it is neither read out nor copied,
/// but for a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// A new paragraph.
    Paragraph,
    /// A list item, by its depth.
    Bullet {
        /// 1 is the outermost.
        depth: u8,
    },
    /// A numbered list item, by its depth.
    Number {
        /// Its number.
        number: i32,
        /// 1 is the outermost.
        depth: u8,
    },
    /// A quotation.
    Quotation,
    /// A row of a table.
    TableRow,
    /// A picture.
    Picture,
    /// A break between parts.
    Rule,
    /// A line that goes on with one of its author's: of verse or of computer text.
    TurnedOver,
}

/// A stretch of a line in one look.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// Its characters.
    pub text: String,
    /// Its look.
    pub style: Style,
    /// Whether it is part of a link.
    pub linked: bool,
}

/// How a line ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineEnd {
    /// At a space, which is left out.
    Space,
    /// Within a word, with a hyphen that is drawn.
    Hyphen,
    /// Between two characters without a space: after a hyphen of the author's, within an address.
    Bare,
    /// Where the author ended it.
    Set,
}

impl Mark {
    /// What is drawn, with the space that sets it off.
    pub fn drawn(self) -> String {
        match self {
            Self::Paragraph => "¶ ".to_owned(),
            Self::Bullet { depth: 1 } => "• ".to_owned(),
            Self::Bullet { depth: 2 } => "– ".to_owned(),
            Self::Bullet { .. } => "+ ".to_owned(),
            // The signs of outlines: common practice, no source.
            Self::Number { number, depth: 1 } => format!("{number}. "),
            Self::Number { number, depth: 2 } => format!("{number}) "),
            Self::Number { number, .. } => format!("({number}) "),
            Self::Quotation => "“ ".to_owned(),
            Self::TableRow => "› ".to_owned(),
            Self::Picture => "‡ ".to_owned(),
            Self::Rule => "·  ·  ·".to_owned(),
            // An opening bracket: common practice of setting verse, no source.
            Self::TurnedOver => "[".to_owned(),
        }
    }
}

impl Disc {
    /// A disc of rows on which none stands.
    pub fn blank(screen: Screen) -> Self {
        Self {
            kind: DiscKind::Rows,
            screen,
            rows: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Whether there is white between a row and the one before it, for a rule at the row's own top.
    pub fn is_spare(&self, row: usize) -> bool {
        let top: usize = self.rows.iter().take(row).sum();
        let above = self
            .lines
            .iter()
            .filter(|line| line.place < top as f64)
            .map(|line| line.place)
            .fold(0.0, f64::max);
        let below = self
            .lines
            .iter()
            .filter(|line| line.place >= top as f64)
            .map(|line| line.place)
            .fold(f64::INFINITY, f64::min);
        below - above > 1.4 && below - top as f64 > 0.4
    }

    /// Whether there is white between the title of an opening and its particulars.
    pub fn is_parted(&self) -> bool {
        let pair = self
            .lines
            .windows(2)
            .find(|pair| pair[0].part < pair[1].part);
        pair.is_some_and(|pair| {
            let height = (pair[0].size.factor() + pair[1].size.factor()) / 2.0;
            pair[0].part == 0 && pair[1].place - pair[0].place > height + TITLE_GAP / 2.0
        })
    }
}

impl Line {
    /// The line as a reader sees it, with its mark and its hyphen.
    pub fn shown(&self) -> String {
        let mut text = self.mark.map(Mark::drawn).unwrap_or_default();
        text.extend(self.spans.iter().map(|span| span.text.as_str()));
        if self.end == LineEnd::Hyphen {
            text.push('-');
        }
        text
    }

    /// One of its cells as a reader sees it.
    pub fn shown_of(&self, cell: &Cell) -> String {
        let spans = self.spans[cell.spans.clone()].iter();
        spans.map(|span| span.text.as_str()).collect()
    }
}
