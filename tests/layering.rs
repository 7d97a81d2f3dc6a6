//! Holds the service to its table of rooms: reads every source file and fails on what a room may
//! not name, on files without a heading or past their size, and on strangers at the top level.
//!
//! The table is in `layering/table.rs`, the reader of sources in `layering/source.rs`.

#[path = "layering/source.rs"]
mod source;
#[path = "layering/table.rs"]
mod table;

use std::fs;
use std::path::{Path, PathBuf};

use source::Named;
use table::{CRATES, IMPURE, MOST_LINES, ROOMS, Room, TOP_LEVEL};

/// The root of the repository.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// All Rust files below a folder, with paths from the root of the repository, in order.
fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("the folder can be read") {
            let path = entry.expect("the folder can be listed").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The module path of a file below `service/`; empty for the root of the library.
fn module_of(file: &str) -> Vec<String> {
    let inner = file
        .strip_prefix("service/")
        .and_then(|file| file.strip_suffix(".rs"))
        .expect("a Rust file of the service");
    let mut module: Vec<String> = inner.split('/').map(str::to_owned).collect();
    if module.last().is_some_and(|last| last == "mod") || module == ["lib"] {
        module.pop();
    }
    // `room_tests.rs` holds `room::tests` beside the room's own file.
    if let Some(tested) = module.last().and_then(|last| last.strip_suffix("_tests")) {
        let tested = tested.to_owned();
        module.pop();
        module.extend([tested, "tests".to_owned()]);
    }
    module
}

fn split(path: &str) -> Vec<&str> {
    path.split("::").filter(|part| !part.is_empty()).collect()
}

/// Whether `path` is `prefix` or lies below it.
fn is_below(path: &[String], prefix: &str) -> bool {
    let prefix = split(prefix);
    path.len() >= prefix.len() && path.iter().zip(&prefix).all(|(one, other)| one == other)
}

/// Whether `path` lies above `deeper` and everything below it is within reach.
fn opens(path: &[String], open_ended: bool, deeper: &str) -> bool {
    let deeper = split(deeper);
    open_ended
        && path.len() < deeper.len()
        && path.iter().zip(&deeper).all(|(one, other)| one == other)
}

fn room_of(module: &[String]) -> Option<&'static Room> {
    ROOMS
        .iter()
        .filter(|room| is_below(module, room.path))
        .filter(|room| room.path.is_empty() == module.is_empty())
        .max_by_key(|room| split(room.path).len())
}

/// Everything that is wrong with one file, a sentence each. `test_modules` are modules that other
/// files declare for tests only.
fn judge(file: &str, text: &str, test_modules: &[Vec<String>]) -> Vec<String> {
    let mut wrong = Vec::new();
    let module = module_of(file);
    let is_test_file = module.iter().any(|part| part == "tests")
        || test_modules.iter().any(|tests| module.starts_with(tests));
    if !text.starts_with("//!") {
        wrong.push(format!(
            "{file} does not open with //! and what it owns and never does"
        ));
    }
    let lines = lines_without_tests(text);
    if !is_test_file && lines > MOST_LINES {
        wrong.push(format!(
            "{file} has {lines} lines without its tests; {MOST_LINES} are the most"
        ));
    }
    let Some(room) = room_of(&module) else {
        wrong.push(format!("{file} has no row in the table of rooms"));
        return wrong;
    };
    match source::read(text, &module, is_test_file) {
        Err(error) => wrong.push(format!("{file} cannot be read: {error}")),
        Ok(read) => {
            if room.pure && read.is_async {
                wrong.push(format!("{file} is async, and {} is pure", room.path));
            }
            for named in &read.named {
                wrong.extend(
                    judge_path(room, &module, named).map(|reason| format!("{file} {reason}")),
                );
            }
        }
    }
    // A path that a line names twice is one mistake.
    wrong.dedup();
    wrong
}

/// Why a room may not name a path; none where it may.
fn judge_path(room: &Room, module: &[String], named: &Named) -> Option<String> {
    let shown = named.segments.join("::");
    let first = named.segments.first()?;
    if first == "crate" {
        return (!may_name(room, &named.segments[1..], named.open_ended))
            .then(|| format!("names {shown}, which `{}` may not", room.path));
    }
    if named.in_tests {
        return None;
    }
    let elsewhere = CRATES
        .iter()
        .find(|(name, rooms)| first == name && !rooms.iter().any(|room| is_below(module, room)));
    if let Some((_, rooms)) = elsewhere {
        return Some(format!("names {shown}, which is for {}", rooms.join(", ")));
    }
    let impure = room.pure
        && IMPURE.iter().any(|(refused, but)| {
            let below = named.segments.get(split(refused).len());
            opens(&named.segments, named.open_ended, refused)
                || (is_below(&named.segments, refused)
                    && !below.is_some_and(|below| but.contains(&below.as_str())))
        });
    impure.then(|| format!("names {shown}, and {} is pure", room.path))
}

/// Whether a room may name a path of the service, `crate` left out.
fn may_name(room: &Room, path: &[String], open_ended: bool) -> bool {
    let refused = room
        .but_not
        .iter()
        .any(|refused| is_below(path, refused) || opens(path, open_ended, refused));
    let own = !room.path.is_empty() && is_below(path, room.path);
    own || (!refused && room.may.iter().any(|may| is_below(path, may)))
}

/// The lines of a file without test modules that stand at its outermost level.
fn lines_without_tests(text: &str) -> usize {
    let mut lines = text.lines().peekable();
    let mut count = 0;
    while let Some(line) = lines.next() {
        let opens_tests = line == "#[cfg(test)]"
            && lines
                .peek()
                .is_some_and(|next| next.starts_with("mod ") && next.ends_with('{'));
        if opens_tests {
            // The formatter puts the brace that closes a module at the start of its line.
            lines.find(|line| *line == "}");
        } else {
            count += 1;
        }
    }
    count
}

/// Names at the top level that have no place there.
fn strangers<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    names
        .into_iter()
        .filter(|name| !name.starts_with('.') && !TOP_LEVEL.contains(name))
        .collect()
}

#[test]
fn every_file_keeps_to_its_room() {
    let files: Vec<(String, String)> = rust_files(&root().join("service"))
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("the file can be read");
            let file = path.strip_prefix(root()).expect("a path below the root");
            (file.to_string_lossy().into_owned(), text)
        })
        .collect();
    assert!(!files.is_empty(), "no source file was found");
    let test_modules: Vec<Vec<String>> = files
        .iter()
        .filter_map(|(file, text)| source::read(text, &module_of(file), false).ok())
        .flat_map(|read| read.test_modules)
        .collect();
    let wrong: Vec<String> = files
        .iter()
        .flat_map(|(file, text)| judge(file, text, &test_modules))
        .collect();
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

#[test]
fn the_top_level_holds_only_what_belongs_there() {
    let names: Vec<String> = fs::read_dir(root())
        .expect("the root can be read")
        .map(|entry| entry.expect("the root can be listed").file_name())
        .map(|name| name.to_string_lossy().into_owned())
        .collect();
    assert!(names.iter().any(|name| name == "Cargo.toml"));
    let strangers = strangers(names.iter().map(String::as_str));
    assert!(strangers.is_empty(), "not at the top level: {strangers:?}");
}

/// Judges a made-up file; `expected` is a part of the one complaint, or empty for none.
#[track_caller]
fn check(file: &str, text: &str, expected: &str) {
    let wrong = judge(file, &format!("//! A made-up file.\n{text}"), &[]);
    if expected.is_empty() {
        assert!(wrong.is_empty(), "{wrong:?}");
    } else {
        assert_eq!(wrong.len(), 1, "{wrong:?}");
        assert!(wrong[0].contains(expected), "{wrong:?}");
    }
}

#[test]
fn a_forbidden_room_is_seen_however_it_is_named() {
    let file = "service/typeset/paginate.rs";
    let forbidden = "crate::store::Store, which `typeset` may not";
    check(file, "use crate::store::Store;", forbidden);
    check(file, "use crate::{store::Store};", forbidden);
    check(
        file,
        "use crate::{distil::block::{Block, Run}, store::{Store}};",
        forbidden,
    );
    check(file, "use super::super::store::Store;", forbidden);
    check(file, "use crate::store::Store as Shelf;", forbidden);
    check(
        file,
        "fn set(shelf: &crate::store::Store) -> u8 { 0 }",
        forbidden,
    );
    check(
        file,
        "fn set() { format!(\"{}\", crate::store::Store::new()) }",
        "crate::store::Store::new",
    );
    check(
        file,
        "mod inner { use super::super::super::store::Store; }",
        forbidden,
    );
    check(file, "use crate::store;", "crate::store");
    check(file, "use crate::*;", "crate, which");
    check(
        file,
        "#[cfg(test)]\nmod tests { use crate::store::Store; }",
        forbidden,
    );
    check(
        "service/main.rs",
        "fn main() { tondo::web::serve() }",
        "crate::web",
    );
}

#[test]
fn comments_documentation_and_strings_name_nothing() {
    let text = r##"
        // use crate::store::Store;
        /* use crate::store::Store; /* nested */ sqlx::query */
        /// Never [`crate::store::Store`] nor std::fs::read.
        pub const TEXT: &str = "crate::store::Store and tokio::spawn";
        pub const RAW: &str = r#"use sqlx::query; " std::fs"#;
        pub const MARK: char = '"';
        pub fn quiet<'a>(text: &'a str) -> &'a str { text }
    "##;
    check("service/typeset/units.rs", text, "");
}

#[test]
fn what_the_table_allows_passes() {
    check(
        "service/typeset/paginate.rs",
        "use crate::distil::block::{Block, Run};\nuse crate::font::Typeface;\n\
         use super::screen::Screen;\nuse std::{collections::HashMap, time::Duration};\n\
         use std::net::{IpAddr, Ipv4Addr};",
        "",
    );
    check(
        "service/distil/feed.rs",
        "use super::language::Language;\nuse feed_rs::parser;\nuse super::Enclosure;",
        "",
    );
    check(
        "service/town/mod.rs",
        "use askama::Template;\nuse axum::{Router, routing::get};",
        "",
    );
    check("service/lib.rs", "pub mod clock;\npub mod distil;", "");
    check(
        "service/main.rs",
        "use clap::Parser;\nfn main() { tondo::command::run() }",
        "",
    );
    check(
        "service/fetch/mod.rs",
        "#[cfg(test)]\nmod tests { use super::*; use axum::Router; use tempfile::tempdir; }",
        "",
    );
}

#[test]
fn a_crate_is_seen_outside_its_room() {
    check("service/web/mod.rs", "use sqlx::query;", "is for store");
    check(
        "service/web/mod.rs",
        "#[sqlx::test]\nfn broken() {}",
        "is for store",
    );
    check(
        "service/web/mod.rs",
        "use sqlx as database;",
        "is for store",
    );
    check("service/web/mod.rs", "extern crate sqlx;", "is for store");
    check(
        "service/store/mod.rs",
        "use reqwest::Client;",
        "is for fetch",
    );
    check(
        "service/refresh.rs",
        "fn router() -> axum::Router { axum::Router }",
        "is for web, town",
    );
    check(
        "service/distil/feed.rs",
        "use ammonia::Builder;",
        "is for distil::sanitise",
    );
    check(
        "service/web/mod.rs",
        "#[cfg(test)]\nmod tests { use sqlx::query; }\nuse reqwest::Client;",
        "reqwest::Client",
    );
}

#[test]
fn a_pure_room_stays_pure() {
    let file = "service/distil/block/mod.rs";
    for named in [
        "use std::fs;",
        "use std::fs::File;",
        "use std::{env, fmt};",
        "use std::net::TcpStream;",
        "use std::net;",
        "use std::net::*;",
        "use std::time::SystemTime;",
        "use std::time;",
        "use std::time::{Duration, Instant};",
        "use tokio::sync::Mutex;",
        "fn read() { let _ = std::fs::read(\"x\"); }",
        "use core::net::TcpStream;",
    ] {
        check(file, named, "is pure");
    }
    check(file, "pub async fn wait() {}", "is async");
    check("service/address.rs", "use std::net::ToSocketAddrs;", "pure");
    check("service/address.rs", "use std::net::IpAddr;", "");
    check("service/font/mod.rs", "use std::fs::read;", "is pure");
    check("service/store/mod.rs", "use std::fs::read;", "");
}

#[test]
fn a_file_for_tests_may_use_what_tests_use_and_no_other_room() {
    let text = "#[cfg(test)]\npub(crate) mod sample;\nmod rows;\n#[cfg(test)]\n\
                #[path = \"shelf_tests.rs\"]\nmod tests;\nmod pool;";
    let module = module_of("service/store/mod.rs");
    let read = source::read(text, &module, false).expect("the text has tokens");
    assert_eq!(read.test_modules, [["store", "sample"], ["store", "tests"]]);
    let judge_store = |file: &str, line: &str| {
        let text = format!("//! A made-up file.\n{line}");
        judge(file, &text, &read.test_modules).len()
    };
    let (sample, rows) = ("service/store/sample.rs", "service/store/rows.rs");
    assert_eq!(judge_store(sample, "use tempfile::tempdir;"), 0);
    assert_eq!(judge_store(rows, "use tempfile::tempdir;"), 1);
    assert_eq!(judge_store(sample, "use crate::web::State;"), 1);
    check(
        "service/typeset/linebreak_tests.rs",
        "use super::super::units::Length;\nuse tempfile::tempdir;",
        "",
    );
}

#[test]
fn a_stage_of_distilling_knows_no_other_stage() {
    let file = "service/distil/feed.rs";
    check(file, "use super::sanitise::CleanHtml;", "distil::sanitise");
    check(file, "use crate::distil::*;", "crate::distil");
    check(file, "use super::*;", "crate::distil");
    check(file, "use crate::distil;", "crate::distil");
    check(
        "service/distil/block/table.rs",
        "use crate::distil::{extract::Page, sanitise::CleanHtml};",
        "distil::extract",
    );
    check(
        "service/typeset/linebreak.rs",
        "use crate::distil::block::Block;",
        "`typeset::linebreak` may not",
    );
}

#[test]
fn a_file_without_heading_room_or_measure_is_seen() {
    check("service/cellar.rs", "", "no row in the table");
    let bare = judge("service/clock.rs", "use std::fmt;", &[]);
    assert_eq!(bare.len(), 1, "{bare:?}");
    assert!(bare[0].contains("does not open with //!"));
    check("service/clock.rs", &"// A line.\n".repeat(399), "");
    check("service/clock.rs", &"// A line.\n".repeat(400), "401 lines");
    let tested = format!(
        "{}#[cfg(test)]\nmod tests {{\n{}}}\n",
        "// A line.\n".repeat(300),
        "    // A line.\n".repeat(300),
    );
    check("service/clock.rs", &tested, "");
    check(
        "service/clock.rs",
        &format!("{tested}{}", "// A line.\n".repeat(100)),
        "401 lines",
    );
}

#[test]
fn a_stranger_at_the_top_level_is_seen() {
    assert_eq!(
        strangers(["Cargo.toml", ".ci", "src", "tests", "notes.md"]),
        ["src", "notes.md"]
    );
}
