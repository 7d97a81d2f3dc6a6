//! How fast text is set.
//!
//! `cargo bench --bench speed` times it beside other layouts of the same words in the same run.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

use criterion::{Criterion, criterion_group};
use include_dir::{Dir, include_dir};
use tondo::distil::block::Block;
use tondo::distil::{Article, Source, distil};
use tondo::font::Typeface;
use tondo::typeset::{Disc, Item, Screen, typeset};
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

/// The two longest articles, cut to 2,000 words at a block's end.
fn two_thousand_words() -> Article {
    let mut articles = english();
    articles.sort_by_key(|article| std::cmp::Reverse(article.words));
    let mut article = articles.swap_remove(0);
    let more = articles.swap_remove(0).blocks;
    let count = |block: &Block| block.text().split_whitespace().count();
    let mut words: usize = article.blocks.iter().map(count).sum();
    for block in more {
        if words >= 2_000 {
            break;
        }
        words += count(&block);
        article.blocks.push(block);
    }
    println!("setting {words} words");
    article
}

fn time(criterion: &mut Criterion) {
    let typeface = Typeface::read(notosans::REGULAR_TTF).expect("the font is sound");
    let article = two_thousand_words();
    let mut group = criterion.benchmark_group("2000 words");
    for screen in Screen::all() {
        group.bench_function(format!("set for {screen}"), |bench| {
            bench.iter(|| set(&article, screen, &typeface));
        });
    }
    group.finish();
}

criterion_group!(benches, time);

fn main() {
    benches();
    Criterion::default().configure_from_args().final_summary();
}
