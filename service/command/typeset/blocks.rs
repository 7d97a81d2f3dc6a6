//! An article's blocks as plain lines: what each is, its language, its runs, its links. Never sets them.

use crate::distil::Article;
use crate::distil::block::{Block, BlockKind, Marker, Run, Script};
use crate::distil::language::Direction;
use crate::distil::plain::printable;

/// A line for each block that says what it is, its text below it, further in; then the links.
pub fn as_blocks(article: &Article) -> String {
    let mut text = String::new();
    for (place, block) in article.blocks.iter().enumerate() {
        let rtl = match block.direction {
            Direction::Ltr => "",
            Direction::Rtl => ", right to left",
        };
        let kind = kind(block.kind);
        text += &format!("{} {kind}, {}{rtl}\n", place + 1, block.language.tag());
        text += &indented(block);
    }
    for (place, link) in article.links.iter().enumerate() {
        let (address, said) = (printable(&link.address), printable(&link.text));
        text += &format!("link {} {address}\n    {said}\n", place + 1);
    }
    text
}

fn kind(kind: BlockKind) -> String {
    match kind {
        BlockKind::Paragraph => "paragraph".to_owned(),
        BlockKind::Heading { level } => format!("heading of level {level}"),
        BlockKind::ListItem { depth, marker } => match marker {
            Marker::Bullet => format!("list item of level {depth}"),
            Marker::Number(number) => format!("list item {number} of level {depth}"),
            Marker::None => format!("further paragraph of a list item of level {depth}"),
        },
        BlockKind::Quotation => "quotation".to_owned(),
        BlockKind::Preformatted => "preformatted".to_owned(),
        BlockKind::Note => "note".to_owned(),
        BlockKind::TableRow => "table row".to_owned(),
        BlockKind::Picture => "picture".to_owned(),
        BlockKind::Rule => "rule".to_owned(),
    }
}

/// The text of a block, each line of its author's on one, with the looks of its runs.
fn indented(block: &Block) -> String {
    let text: String = block.runs.iter().map(run).collect();
    let lines = text.lines().map(|line| format!("    {line}\n"));
    lines.collect()
}

/// A run in square brackets after its looks, or as it is where it has none. A line end stays outside.
fn run(run: &Run) -> String {
    let style = run.style;
    let looks = [
        (style.emphasis, "emphasis"),
        (style.strong, "strong"),
        (style.code, "code"),
        (style.label, "label"),
        (style.script == Script::Superscript, "raised"),
        (style.script == Script::Subscript, "lowered"),
    ];
    let mut said: Vec<String> = looks
        .iter()
        .filter(|(worn, _)| *worn)
        .map(|(_, name)| (*name).to_owned())
        .collect();
    said.extend(run.link.map(|link| format!("link {}", link + 1)));
    said.extend(run.cell.map(|cell| {
        let what = if cell.head { "head" } else { "cell" };
        format!("{what} {}.{}", cell.row, cell.column + 1)
    }));
    let shown = |line: &str| match said.is_empty() || line.is_empty() {
        true => printable(line),
        false => format!("[{}: {}]", said.join(", "), printable(line)),
    };
    run.text
        .split('\n')
        .map(shown)
        .collect::<Vec<_>>()
        .join("\n")
}
