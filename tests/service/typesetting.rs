//! `typeset` as it is typed: the discs of a file, as JSON and as text.

use serde_json::Value;

use super::commands::{folder_with, run, text};

const PAGE: &str = "<!doctype html><html lang=en><title>The Ferry</title><body><article><h1>The Ferry</h1>\
    <p>The chain ferry carried the town for eleven weeks without a penny, since the ledger behind the \
    plaster wall had been paid in bread. Nobody in the harbour could say who had begun it, or why it \
    ended on the first of March with a loaf too many.</p><h2>What the ledger says</h2><ul><li>Rye, two \
    hundred and eleven loaves</li><li>Wheat, nine</li></ul><p>The harbourmaster's counterrevolutionary \
    arithmetic is still disputed, but the columns agree with the tide tables to within a quarter of an \
    hour, and with each other exactly.</p></article></body></html>";

#[tokio::test]
async fn typeset_prints_discs_as_json_with_every_word_and_no_line_too_wide() {
    let (_folder, file) = folder_with("ferry.html", PAGE);
    let file = file.display().to_string();
    for lines in ["11", "10", "8", "6"] {
        let ended = run(&["typeset", &file, "--lines", lines, "--format", "json"]).await;
        assert!(ended.status.success(), "{}", text(&ended.stderr));
        let json: Value = serde_json::from_slice(&ended.stdout).expect("JSON");
        let most: usize = lines.parse().expect("a number");
        check_discs(&json, most);
    }
    let arguments = ["typeset", &file, "--spacing", "wide", "--format", "json"];
    let ended = run(&arguments).await;
    let json: Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    // Ten lines at the usual spacing are eight set wide.
    check_discs(&json, 8);
    let refused = run(&["typeset", &file, "--lines", "9"]).await;
    assert_eq!(refused.status.code(), Some(2));
}

/// The words of [`PAGE`] but for its title, which is no part of the discs, as they stand between
/// white space.
fn words_of_page() -> Vec<String> {
    let (_, body) = PAGE.split_once("</h1>").expect("a heading");
    let spaced = body.replace('<', " <");
    let mut words = Vec::new();
    let mut inside = false;
    let mut word = String::new();
    for character in spaced.chars().chain([' ']) {
        match character {
            '<' => inside = true,
            '>' => inside = false,
            _ if inside => {}
            space if space.is_whitespace() => {
                words.extend((!word.is_empty()).then(|| std::mem::take(&mut word)));
            }
            letter => word.push(letter),
        }
    }
    words
}

fn check_discs(json: &Value, most_lines: usize) {
    let discs = json["discs"].as_array().expect("discs");
    let (mut letters, mut hyphenated, mut rag) = (String::new(), 0, 0.0);
    for disc in discs {
        let lines = disc["lines"].as_array().expect("lines");
        assert!(!lines.is_empty() && lines.len() <= most_lines, "{disc}");
        for line in lines {
            let width = line["width"].as_f64().expect("a width");
            let chord = line["chord"].as_f64().expect("a chord");
            assert!(
                0.0 < width && width <= chord + 1e-9 && chord <= 1.0,
                "{line}"
            );
            let kind = line["kind"].as_str().expect("a kind");
            assert!(
                ["paragraph", "heading", "list item"].contains(&kind),
                "{line}"
            );
            let said = line["text"].as_str().expect("a text");
            hyphenated += usize::from(said.ends_with('-'));
            rag += (chord - width).powi(2);
            letters += said.trim_end_matches('-');
        }
    }
    let wanted = words_of_page();
    let bare = |text: &str| text.replace(|c: char| !c.is_alphanumeric(), "");
    assert_eq!(bare(&letters), bare(&wanted.concat()));
    let totals = &json["totals"];
    assert_eq!(totals["words"], wanted.len());
    assert_eq!(totals["discs"], discs.len());
    assert_eq!(totals["hyphenated_lines"], hyphenated);
    let a_disc = totals["words_a_disc"].as_f64().expect("a mean");
    assert!((a_disc - wanted.len() as f64 / discs.len() as f64).abs() < 1e-9);
    // The last line of a paragraph is as long as it comes, so its rag does not count.
    let squared = totals["squared_rag"].as_f64().expect("a sum");
    assert!(squared > 0.0 && squared < rag, "{squared} of {rag}");
}

const TABLE: &str = "<!doctype html><html lang=en><title>Tides</title><body><article><h1>Tides</h1>\
    <p>The gauge on the mole had them so, and nobody in the harbour has said otherwise since.</p>\
    <table><tr><th>Tide<th>Height<tr><td>Low<td>0.6<tr><td>High<td>14.9</table></article></body></html>";

#[tokio::test]
async fn typeset_prints_a_grid_with_its_cells_in_columns() {
    let (_folder, file) = folder_with("tides.html", TABLE);
    let file = file.display().to_string();
    let ended = run(&["typeset", &file, "--format", "json"]).await;
    let json: Value = serde_json::from_slice(&ended.stdout).expect("JSON");
    let discs = json["discs"].as_array().expect("discs");
    let lines = discs.last().expect("a disc")["lines"].as_array();
    let lines = lines.expect("lines");
    let kinds: Vec<_> = lines.iter().map(|line| &line["kind"]).collect();
    assert_eq!(kinds, ["table head", "table row", "table row"]);
    let number = |value: &Value| value.as_f64().expect("a number");
    let right = |line: &Value| {
        let cell = &line["cells"][1];
        number(&cell["left"]) + number(&cell["width"])
    };
    for line in lines {
        let left = number(&line["cells"][0]["left"]);
        assert!((right(line) - right(&lines[0])).abs() < 1e-9, "{line}");
        assert!((number(&line["width"]) - (right(line) - left)).abs() < 1e-9);
    }
    assert_eq!(lines[2]["cells"][1]["text"], "14.9");
    let printed = run(&["typeset", &file]).await;
    let printed = text(&printed.stdout);
    let ends: Vec<usize> = printed.lines().rev().take(3).map(str::len).collect();
    assert!(ends.iter().all(|end| *end == ends[0]), "{printed}");
}

#[tokio::test]
async fn typeset_prints_discs_as_text_centred() {
    let (_folder, file) = folder_with("ferry.html", PAGE);
    let ended = run(&["typeset", &file.display().to_string(), "--lines", "6"]).await;
    assert!(ended.status.success());
    let printed = text(&ended.stdout);
    let discs = printed
        .lines()
        .filter(|line| line.starts_with("---"))
        .count();
    assert!(discs > 3, "{printed}");
    let first = printed.lines().nth(1).expect("a line");
    let before = first.len() - first.trim_start().len();
    let after = 44 - first.trim_end().chars().count();
    assert!(before.abs_diff(after) <= 1, "{printed}");
    let absent = run(&["typeset", "absent.html"]).await;
    assert_eq!(absent.status.code(), Some(2));
    assert!(text(&absent.stderr).contains("absent.html"));
}
