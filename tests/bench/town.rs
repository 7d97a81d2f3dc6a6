//! The texts that are measured: the demo's English articles. Sets and measures nothing.

use include_dir::{Dir, include_dir};
use tondo::distil::block::Block;
use tondo::distil::language::Language;
use tondo::distil::{Article, Source, distil};
use url::Url;

static TOWN: Dir = include_dir!("$CARGO_MANIFEST_DIR/service/town/articles");

/// The demo's articles but the German ones.
pub fn english() -> Vec<Article> {
    let base = Url::parse("http://kestrel-quay.invalid/").expect("the address is well formed");
    let files = TOWN
        .files()
        .filter(|file| !file.path().to_string_lossy().contains("allotment"));
    let contents = files.filter_map(|file| file.contents_utf8());
    contents
        .map(|html| Source {
            declared_language: Language::parse("en"),
            content: Some(html.to_owned()),
            ..Source::blank(base.clone())
        })
        .map(|source| distil(&source).0)
        .collect()
}

/// How many words blocks hold.
pub fn words(blocks: &[Block]) -> usize {
    let count = |block: &Block| block.text().split_whitespace().count();
    blocks.iter().map(count).sum()
}
