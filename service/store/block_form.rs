//! The form in which blocks and links are stored: JSON with a version. It is the store's own, so that
//! the types of the distiller can change and stored articles stay readable. Never touches the database.

use serde::{Deserialize, Serialize};

use super::StoreError;
use crate::distil::block::{Block, BlockKind, Link, Marker, Run, Script, Style, TableCell};
use crate::distil::language::{Direction, Language};

/// The version of the form. Raise it when a stored text would be read differently, or could not be read
/// by the program before, and keep reading the versions before. The second has notes.
const VERSION: u32 = 2;

/// The first version. What it says, the present one says in the same words.
const FIRST: u32 = 1;

/// Writes blocks and links in the stored form. The same blocks give the same text.
pub(super) fn write(blocks: &[Block], links: &[Link]) -> Result<String, StoreError> {
    let form = Form {
        version: VERSION,
        blocks: blocks.iter().map(StoredBlock::from).collect(),
        links: links.iter().map(StoredLink::from).collect(),
    };
    serde_json::to_string(&form).map_err(|fault| StoreError::Unreadable(fault.to_string()))
}

/// Reads the stored form back.
///
/// # Errors
/// [`StoreError::Unreadable`] where the text is not of a version known here.
pub(super) fn read(text: &str) -> Result<(Vec<Block>, Vec<Link>), StoreError> {
    let form: Form = serde_json::from_str(text)
        .map_err(|fault| StoreError::Unreadable(format!("blocks: {fault}")))?;
    if !(FIRST..=VERSION).contains(&form.version) {
        return Err(StoreError::Unreadable(format!(
            "blocks of version {}",
            form.version
        )));
    }
    let links = form.links.into_iter().map(Link::from).collect();
    Ok((form.blocks.into_iter().map(Block::from).collect(), links))
}

/// A direction as its column has it.
pub(super) fn direction_name(direction: Direction) -> &'static str {
    match direction {
        Direction::Ltr => "ltr",
        Direction::Rtl => "rtl",
    }
}

/// Reads a direction's column.
pub(super) fn direction_from(name: &str) -> Direction {
    match name {
        "rtl" => Direction::Rtl,
        _ => Direction::Ltr,
    }
}

/// Reads a language's column; a tag that is no longer understood is unknown.
pub(super) fn language_from(tag: &str) -> Language {
    Language::parse(tag).unwrap_or_else(Language::unknown)
}

#[derive(Serialize, Deserialize)]
struct Form {
    version: u32,
    blocks: Vec<StoredBlock>,
    links: Vec<StoredLink>,
}

#[derive(Serialize, Deserialize)]
struct StoredBlock {
    #[serde(flatten)]
    kind: StoredKind,
    language: String,
    #[serde(default, skip_serializing_if = "is_false")]
    rtl: bool,
    runs: Vec<StoredRun>,
}

#[derive(Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum StoredKind {
    Paragraph,
    Heading { level: u8 },
    ListItem { depth: u8, marker: StoredMarker },
    Quotation,
    Preformatted,
    Note,
    TableRow,
    Picture,
    Rule,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum StoredMarker {
    Bullet,
    Number(i32),
    None,
}

#[derive(Serialize, Deserialize)]
struct StoredRun {
    text: String,
    #[serde(default, skip_serializing_if = "is_false")]
    emphasis: bool,
    #[serde(default, skip_serializing_if = "is_false")]
    strong: bool,
    #[serde(default, skip_serializing_if = "is_false")]
    code: bool,
    #[serde(default, skip_serializing_if = "is_false")]
    label: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    script: Option<StoredScript>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    link: Option<usize>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    cell: Option<StoredCell>,
}

/// A cell of a table; texts that were stored before there were any have none.
#[derive(Serialize, Deserialize)]
struct StoredCell {
    row: u32,
    column: u32,
    #[serde(default, skip_serializing_if = "is_false")]
    head: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum StoredScript {
    Superscript,
    Subscript,
}

#[derive(Serialize, Deserialize)]
struct StoredLink {
    address: String,
    text: String,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands the field by reference"
)]
fn is_false(value: &bool) -> bool {
    !value
}

impl From<&Block> for StoredBlock {
    fn from(block: &Block) -> Self {
        Self {
            kind: block.kind.into(),
            language: block.language.tag().to_owned(),
            rtl: block.direction == Direction::Rtl,
            runs: block.runs.iter().map(StoredRun::from).collect(),
        }
    }
}

impl From<StoredBlock> for Block {
    fn from(block: StoredBlock) -> Self {
        Self {
            kind: block.kind.into(),
            runs: block.runs.into_iter().map(Run::from).collect(),
            language: language_from(&block.language),
            direction: if block.rtl {
                Direction::Rtl
            } else {
                Direction::Ltr
            },
        }
    }
}

impl From<BlockKind> for StoredKind {
    fn from(kind: BlockKind) -> Self {
        match kind {
            BlockKind::Paragraph => Self::Paragraph,
            BlockKind::Heading { level } => Self::Heading { level },
            BlockKind::ListItem { depth, marker } => Self::ListItem {
                depth,
                marker: match marker {
                    Marker::Bullet => StoredMarker::Bullet,
                    Marker::Number(number) => StoredMarker::Number(number),
                    Marker::None => StoredMarker::None,
                },
            },
            BlockKind::Quotation => Self::Quotation,
            BlockKind::Preformatted => Self::Preformatted,
            BlockKind::Note => Self::Note,
            BlockKind::TableRow => Self::TableRow,
            BlockKind::Picture => Self::Picture,
            BlockKind::Rule => Self::Rule,
        }
    }
}

impl From<StoredKind> for BlockKind {
    fn from(kind: StoredKind) -> Self {
        match kind {
            StoredKind::Paragraph => Self::Paragraph,
            StoredKind::Heading { level } => Self::Heading { level },
            StoredKind::ListItem { depth, marker } => Self::ListItem {
                depth,
                marker: match marker {
                    StoredMarker::Bullet => Marker::Bullet,
                    StoredMarker::Number(number) => Marker::Number(number),
                    StoredMarker::None => Marker::None,
                },
            },
            StoredKind::Quotation => Self::Quotation,
            StoredKind::Preformatted => Self::Preformatted,
            StoredKind::Note => Self::Note,
            StoredKind::TableRow => Self::TableRow,
            StoredKind::Picture => Self::Picture,
            StoredKind::Rule => Self::Rule,
        }
    }
}

impl From<&Run> for StoredRun {
    fn from(run: &Run) -> Self {
        Self {
            text: run.text.clone(),
            emphasis: run.style.emphasis,
            strong: run.style.strong,
            code: run.style.code,
            label: run.style.label,
            script: match run.style.script {
                Script::Baseline => None,
                Script::Superscript => Some(StoredScript::Superscript),
                Script::Subscript => Some(StoredScript::Subscript),
            },
            link: run.link,
            cell: run
                .cell
                .map(|TableCell { row, column, head }| StoredCell { row, column, head }),
        }
    }
}

impl From<StoredRun> for Run {
    fn from(run: StoredRun) -> Self {
        Self {
            text: run.text,
            style: Style {
                emphasis: run.emphasis,
                strong: run.strong,
                code: run.code,
                label: run.label,
                script: match run.script {
                    None => Script::Baseline,
                    Some(StoredScript::Superscript) => Script::Superscript,
                    Some(StoredScript::Subscript) => Script::Subscript,
                },
            },
            link: run.link,
            cell: run
                .cell
                .map(|StoredCell { row, column, head }| TableCell { row, column, head }),
        }
    }
}

impl From<&Link> for StoredLink {
    fn from(link: &Link) -> Self {
        Self {
            address: link.address.clone(),
            text: link.text.clone(),
        }
    }
}

impl From<StoredLink> for Link {
    fn from(link: StoredLink) -> Self {
        Self {
            address: link.address,
            text: link.text,
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn kind() -> impl Strategy<Value = BlockKind> {
        let marker = prop_oneof![
            Just(Marker::Bullet),
            any::<i32>().prop_map(Marker::Number),
            Just(Marker::None),
        ];
        prop_oneof![
            Just(BlockKind::Paragraph),
            any::<u8>().prop_map(|level| BlockKind::Heading { level }),
            (any::<u8>(), marker).prop_map(|(depth, marker)| BlockKind::ListItem { depth, marker }),
            Just(BlockKind::Quotation),
            Just(BlockKind::Preformatted),
            Just(BlockKind::Note),
            Just(BlockKind::TableRow),
            Just(BlockKind::Picture),
            Just(BlockKind::Rule),
        ]
    }

    fn run() -> impl Strategy<Value = Run> {
        let script = prop_oneof![
            Just(Script::Baseline),
            Just(Script::Superscript),
            Just(Script::Subscript),
        ];
        let link = prop::option::of(0_usize..1_000);
        let cell = prop::option::of(any::<(u32, u32, bool)>());
        (any::<String>(), any::<[bool; 4]>(), script, link, cell).prop_map(
            |(text, [emphasis, strong, code, label], script, link, cell)| Run {
                text,
                style: Style {
                    emphasis,
                    strong,
                    code,
                    label,
                    script,
                },
                link,
                cell: cell.map(|(row, column, head)| TableCell { row, column, head }),
            },
        )
    }

    fn block() -> impl Strategy<Value = Block> {
        let language = prop_oneof![
            Just(Language::unknown()),
            Just(Language::parse("zh-hant-tw").unwrap()),
        ];
        let direction = prop_oneof![Just(Direction::Ltr), Just(Direction::Rtl)];
        let runs = prop::collection::vec(run(), 0..4);
        (kind(), runs, language, direction).prop_map(|(kind, runs, language, direction)| Block {
            kind,
            runs,
            language,
            direction,
        })
    }

    proptest! {
        #[test]
        fn whatever_is_stored_is_read_back_the_same(
            blocks in prop::collection::vec(block(), 0..5),
            texts in prop::collection::vec(any::<(String, String)>(), 0..3),
        ) {
            let links: Vec<Link> = texts
                .into_iter()
                .map(|(address, text)| Link { address, text })
                .collect();
            let text = write(&blocks, &links).unwrap();
            prop_assert_eq!(read(&text).unwrap(), (blocks, links));
        }
    }

    #[test]
    fn version_1_stays_readable_as_it_was_written() {
        let stored = r#"{"version":1,"blocks":[
            {"kind":"heading","level":2,"language":"de","runs":[{"text":"Flut"}]},
            {"kind":"list_item","depth":1,"marker":{"number":3},"language":"ar","rtl":true,"runs":[
                {"text":"a","strong":true,"script":"superscript","link":0}]},
            {"kind":"list_item","depth":1,"marker":"none","language":"und","runs":[]},
            {"kind":"table_row","language":"en","runs":[
                {"text":"Low","cell":{"row":2,"column":1,"head":true}},{"text":": ","label":true}]}],
            "links":[{"address":"https://example.org/","text":"a"}]}"#;
        let (blocks, links) = read(stored).unwrap();
        assert_eq!(blocks[0].kind, BlockKind::Heading { level: 2 });
        assert_eq!(blocks[0].text(), "Flut");
        let marker = Marker::Number(3);
        assert_eq!(blocks[1].kind, BlockKind::ListItem { depth: 1, marker });
        assert_eq!(blocks[1].direction, Direction::Rtl);
        assert_eq!(blocks[1].runs[0].style.script, Script::Superscript);
        assert_eq!(blocks[1].runs[0].link, Some(0));
        assert_eq!(blocks[2].language, Language::unknown());
        let cell = TableCell {
            row: 2,
            column: 1,
            head: true,
        };
        assert_eq!(blocks[3].runs[0].cell, Some(cell));
        // Rows that were stored before there were cells.
        assert_eq!(blocks[3].runs[1].cell, None);
        assert_eq!(links[0].address, "https://example.org/");
    }

    #[test]
    fn version_2_has_notes() {
        let stored = r#"{"version":2,"blocks":[{"kind":"note","language":"en","runs":[
            {"text":"1","label":true,"script":"superscript"},{"text":" At slack water."}]}],"links":[]}"#;
        let (blocks, _) = read(stored).unwrap();
        assert_eq!(blocks[0].kind, BlockKind::Note);
        assert_eq!(blocks[0].text(), "1 At slack water.");
    }

    #[test]
    fn another_version_is_an_error_and_not_a_guess() {
        for version in [0, 3] {
            let stored = format!(r#"{{"version":{version},"blocks":[],"links":[]}}"#);
            let fault = read(&stored).unwrap_err();
            assert!(
                fault
                    .to_string()
                    .contains(&format!("blocks of version {version}"))
            );
        }
        assert!(read("[").is_err());
    }
}
