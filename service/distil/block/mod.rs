//! What an article is made of, once its markup is gone: blocks of styled runs. Never holds markup.

use dom_query::Document;

use super::language::{Direction, Language};
use super::sanitise::CleanHtml;

mod context;
mod inline;
mod listing;
mod notes;
mod quoted;
mod read;
mod share;
mod table;

/// One paragraph-like piece of an article.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What kind of piece it is.
    pub kind: BlockKind,
    /// Its text. White space is single spaces, but in [`BlockKind::Preformatted`]; a `'\n'` is a
    /// line end that the author set (a `br`, a line of code or verse, a cell of a table).
    pub runs: Vec<Run>,
    /// The language of its text.
    pub language: Language,
    /// The way its text runs.
    pub direction: Direction,
}

/// The kinds of blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BlockKind {
    /// Running text.
    Paragraph,
    /// A heading of level 1 to 6.
    Heading {
        /// 1 is the highest.
        level: u8,
    },
    /// An item of a list, or a further paragraph of one.
    ListItem {
        /// 1 for an item of an outermost list.
        depth: u8,
        /// What stands before its first line.
        marker: Marker,
    },
    /// A paragraph that is quoted. Its source is its last line, styled as a label.
    Quotation,
    /// Text whose spaces and line ends are the author's. Where it says which language of computers it is
    /// in, that is its first line, styled as a label.
    Preformatted,
    /// A note, after the paragraph that refers to it: what refers to it, raised and styled as a label,
    /// before its text.
    Note,
    /// A row of a table, read out: each cell a line, its label (styled so) before its value. Where the
    /// table could be set in columns, its runs say which cells they are of.
    TableRow,
    /// A picture's alternative text and caption.
    Picture,
    /// A break between parts, without text.
    Rule,
}

/// What stands before a list item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Marker {
    /// A bullet.
    Bullet,
    /// A number.
    Number(i32),
    /// Nothing: a further paragraph of the item before.
    None,
}

/// A stretch of text in one look.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Run {
    /// The characters; may begin or end with a space.
    pub text: String,
    /// How they look.
    pub style: Style,
    /// The link that they belong to, as an index into the article's links.
    pub link: Option<usize>,
    /// The cell of a table that they are of; none for what only reading out puts between cells, and
    /// in tables that have no plain columns.
    pub cell: Option<TableCell>,
}

/// A cell of a table whose columns are plain: one row of heads at the most, before all others, and
/// no cell over several columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TableCell {
    /// The row that tells it, which is nought where heads are told alone; it grows within a table.
    pub row: u32,
    /// Its column, from nought.
    pub column: u32,
    /// Whether it is the head of the column, told before a value of it. A row has those of its own
    /// values, and a long one is cut there.
    pub head: bool,
}

/// The look of a run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Style {
    /// Stressed (`em`, `i`, `cite`).
    pub emphasis: bool,
    /// Important (`strong`, `b`).
    pub strong: bool,
    /// Computer text (`code`, `kbd`, `samp`).
    pub code: bool,
    /// What names something beside it: the head of a table's cell, a term that is defined, the source of a
    /// quotation, the summary of details.
    pub label: bool,
    /// Raised, lowered or neither.
    pub script: Script,
}

/// Whether a run is raised or lowered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Script {
    /// On the line.
    #[default]
    Baseline,
    /// Raised, as an exponent or a note's number.
    Superscript,
    /// Lowered.
    Subscript,
}

/// A link of an article.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The absolute address: http, https or mailto.
    pub address: String,
    /// The text that carried it, without styles.
    pub text: String,
}

impl Block {
    /// The text of all its runs together. A place in an article counts characters of this.
    pub fn text(&self) -> String {
        self.runs.iter().map(|run| run.text.as_str()).collect()
    }
}

/// The blocks of an article, and its links.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Blocks {
    /// The blocks in reading order.
    pub blocks: Vec<Block>,
    /// The links in the order of their first text, once an address.
    pub links: Vec<Link>,
    /// Whether text beyond [`MOST_CHARACTERS`] was left out.
    pub cut: bool,
}

/// The most characters of an article: some 50,000 words, a short book. Setting takes time in
/// proportion to them, and a table multiplies its labels.
pub const MOST_CHARACTERS: usize = 300_000;

/// Reads clean HTML into blocks. `language` holds where no element says otherwise.
pub fn read_blocks(html: &CleanHtml, language: &Language) -> Blocks {
    let document = Document::fragment(html.as_str());
    let mut reader = read::Reader::new(language);
    share::drop_share_links(document.root());
    reader.take_notes(document.root());
    reader.read(document.root());
    let mut blocks = reader.blocks;
    // A rule parts what stands on both sides of it.
    while blocks
        .last()
        .is_some_and(|block| block.kind == BlockKind::Rule)
    {
        blocks.pop();
    }
    let cut = reader.cut | cut_off(&mut blocks);
    Blocks {
        blocks,
        links: reader.links.finish(),
        cut,
    }
}

/// Leaves out what is beyond the most characters of an article; the block in which that is ends
/// there.
fn cut_off(blocks: &mut Vec<Block>) -> bool {
    let mut room = MOST_CHARACTERS;
    for (place, block) in blocks.iter_mut().enumerate() {
        for (number, run) in block.runs.iter_mut().enumerate() {
            let count = run.text.chars().count();
            if count <= room {
                room -= count;
                continue;
            }
            run.text = run.text.chars().take(room).collect();
            block.runs.truncate(number + 1);
            blocks.truncate(place + 1);
            return true;
        }
    }
    false
}

/// Whether an element is part of a line of text.
pub(super) fn is_inline(name: &str) -> bool {
    matches!(
        name,
        "a" | "abbr"
            | "acronym"
            | "b"
            | "bdi"
            | "bdo"
            | "big"
            | "cite"
            | "code"
            | "data"
            | "del"
            | "dfn"
            | "em"
            | "font"
            | "i"
            | "img"
            | "ins"
            | "kbd"
            | "label"
            | "mark"
            | "nobr"
            | "output"
            | "q"
            | "rp"
            | "rt"
            | "ruby"
            | "s"
            | "samp"
            | "small"
            | "span"
            | "strike"
            | "strong"
            | "sub"
            | "sup"
            | "time"
            | "tt"
            | "u"
            | "var"
            | "wbr"
    )
}

#[cfg(test)]
mod tests;
