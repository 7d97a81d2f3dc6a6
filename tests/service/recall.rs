//! Extracted HTML to blocks: no word that a second parser sees is lost. The corpus is what three packages carry:
//! the articles of @mozilla/readability's test pages as its authors expect them (in the crate
//! readabilityrs), the entries of feedparser's feeds, and html2text's cases. The parser is html5lib
//! (tests/reference/visible.py).

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};

use tondo::distil::block::{Block, read_blocks};
use tondo::distil::decode::decode;
use tondo::distil::feed::read_feed;
use tondo::distil::language::Language;
use tondo::distil::sanitise::sanitise;
use url::Url;

use crate::beside::{folder, json, sources_of};

struct Text {
    name: String,
    html: String,
}

fn address() -> Url {
    Url::parse("http://corpus.example.org/feeds/feed.xml").expect("an address")
}

/// All files below a folder with an ending, in order.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut folders = vec![folder.to_owned()];
    let mut found = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
            match entry.path() {
                path if path.is_dir() => folders.push(path),
                path if path.to_string_lossy().ends_with(ending) => found.push(path),
                _ => {}
            }
        }
    }
    found.sort();
    found
}

fn pages(folder: &Path, ending: &str) -> Vec<Text> {
    let read = |path: PathBuf| Text {
        html: decode(
            &fs::read(&path).expect("a file of the corpus"),
            Some("text/html; charset=utf-8"),
        ),
        name: path.display().to_string(),
    };
    files(folder, ending).into_iter().map(read).collect()
}

/// The texts of the entries of feeds.
fn entries(folder: &Path) -> Vec<Text> {
    let mut texts = Vec::new();
    for path in files(folder, ".xml") {
        let bytes = fs::read(&path).expect("a file of the corpus");
        let Ok((feed, _)) = read_feed(&bytes, None, &address()) else {
            continue;
        };
        for entry in feed.entries {
            let html = entry.content.or(entry.summary);
            let name = format!("{} {}", path.display(), entry.identity);
            texts.extend(html.map(|html| Text { name, html }));
        }
    }
    texts
}

/// What the other parser sees of each text.
fn visible(texts: &[Text]) -> Vec<String> {
    let html: Vec<&str> = texts.iter().map(|text| text.html.as_str()).collect();
    let input = serde_json::to_string(&html).expect("JSON");
    json("python3", &["-B", "visible.py"], &input)
}

fn told(html: &str) -> String {
    let read = read_blocks(&sanitise(html, &address()), &Language::unknown());
    let texts: Vec<String> = read.blocks.iter().map(Block::text).collect();
    texts.join("\n")
}

/// How often each word stands in a text.
fn words(text: &str) -> HashMap<String, usize> {
    let mut counts = HashMap::new();
    let pieces = text.split(|character: char| !character.is_alphanumeric());
    for word in pieces.filter(|word| !word.is_empty()) {
        *counts.entry(word.to_owned()).or_default() += 1;
    }
    counts
}

/// How many words there are, and how many of them the blocks have; the others as examples.
#[derive(Default)]
struct Recall {
    texts: usize,
    all: usize,
    kept: usize,
    lost: Vec<String>,
}

impl Recall {
    fn count(&mut self, text: &Text, visible: &str) {
        let ours = words(&told(&text.html));
        let mut lost: Vec<String> = Vec::new();
        self.texts += 1;
        for (word, count) in words(visible) {
            let kept = ours.get(&word).copied().unwrap_or_default().min(count);
            self.all += count;
            self.kept += kept;
            if kept < count {
                lost.push(format!("{word} {}", count - kept));
            }
        }
        if !lost.is_empty() {
            lost.sort();
            lost.truncate(12);
            self.lost
                .push(format!("{}: {}", text.name, lost.join(", ")));
        }
    }

    fn value(&self) -> f64 {
        self.kept as f64 / self.all as f64
    }
}

/// The least share of the words that must be kept, of each corpus and of all.
const FLOOR: f64 = 0.995;

#[test]
#[expect(
    clippy::print_stdout,
    reason = "figures of a test, shown by --nocapture"
)]
fn no_word_of_extracted_html_is_lost() {
    let packages = folder().join("python_packages");
    let corpora = [
        (
            "articles",
            pages(
                &sources_of("readabilityrs").join("tests/test-pages"),
                "expected.html",
            ),
            120,
        ),
        (
            "entries",
            entries(&packages.join("feedparser-6.0.12/tests")),
            500,
        ),
        (
            "cases",
            pages(&packages.join("html2text-2025.4.15/test"), ".html"),
            50,
        ),
    ];
    let mut all = Recall::default();
    for (name, texts, least) in corpora {
        assert!(
            texts.len() >= least,
            "{} {name}: run tests/run, which brings them",
            texts.len()
        );
        let mut recall = Recall::default();
        for (text, visible) in texts.iter().zip(visible(&texts)) {
            recall.count(text, &visible);
        }
        let Recall {
            texts,
            all: words,
            kept,
            ..
        } = &recall;
        println!(
            "{name}: {texts} texts, {kept} of {words} words, {:.5}",
            recall.value()
        );
        println!("{}", recall.lost.join("\n"));
        assert!(
            recall.value() >= FLOOR,
            "{name}: {:.5}; lost\n{}",
            recall.value(),
            recall.lost.join("\n")
        );
        all.all += recall.all;
        all.kept += recall.kept;
    }
    println!("all: {} of {} words, {:.5}", all.kept, all.all, all.value());
    assert!(all.value() >= FLOOR, "{:.5}", all.value());
}
