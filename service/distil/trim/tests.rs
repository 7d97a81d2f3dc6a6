//! What of a page's blocks goes, and what only looks like it and stays.

use super::phrases::is_of_date;
use super::*;
use crate::distil::block::read_blocks;
use crate::distil::language::Language;
use crate::distil::sanitise::sanitise;

const TEXT: &str = "<p>The dredger came through the north gate on Monday, and by the evening flood the channel \
    was deep enough for the ferry again, as the harbour master said.</p>";

fn trimmed(html: &str) -> Vec<String> {
    let base = url::Url::parse("https://gazette.example/").expect("an address");
    let mut blocks = read_blocks(&sanitise(html, &base), &Language::unknown()).blocks;
    trim(
        &mut blocks,
        Some("Dredging done"),
        &["Ada Quill".to_owned()],
    );
    let texts = blocks.iter().map(Block::text);
    texts.map(|text| text.chars().take(24).collect()).collect()
}

const SHOWN: &str = "The dredger came through";

fn goes(html: &str) {
    assert_eq!(trimmed(html), [SHOWN], "of {html}");
}

fn stays(html: &str, count: usize) {
    assert_eq!(trimmed(html).len(), count, "of {html}: {:?}", trimmed(html));
}

// All phrases of these tests are common practice, no source.
#[test]
fn phrases_of_the_page_go_where_they_are_all_of_a_block() {
    goes(&format!(
        "<p>Advertisement</p>{TEXT}<p>  Kommentare (3) </p><p>Partager</p>"
    ));
    stays(
        &format!("{TEXT}<p>Advertisement was dear that year.</p>{TEXT}"),
        3,
    );
    stays(&format!("{TEXT}<p>1874</p>"), 2);
}

#[test]
fn names_and_dates_before_the_text_go() {
    goes(&format!(
        "<p>By Ada Quill</p><p>Monday, 2 November 2026, 7:30 am</p>{TEXT}"
    ));
    goes(&format!("<p>Von Ada Quill | 2. Mai 2026 | 5 Min</p>{TEXT}"));
    stays(&format!("<p>By Ben Tarn, who was there</p>{TEXT}"), 2);
    stays(&format!("{TEXT}<p>Monday</p>"), 2);
    assert!(is_of_date("2026") && is_of_date("mai") && !is_of_date("tide"));
}

#[test]
fn links_at_the_ends_go_and_those_within_stay() {
    let link = |name: &str| format!("<li><a href=/{name}>What the pilots say of {name}</a></li>");
    let three = format!("<ul>{}{}{}</ul>", link("a"), link("b"), link("c"));
    goes(&format!("<p><a href=/>Home</a></p>{TEXT}{three}"));
    goes(&format!("{TEXT}<h2>Elsewhere</h2><ul>{}</ul>", link("a")));
    // One link at the end may be the text's own.
    stays(
        &format!("{TEXT}<p><a href=/a>The charter, in full</a></p>"),
        2,
    );
    stays(&format!("{TEXT}{three}{TEXT}"), 5);
    // A list of links is all that a bulletin has.
    stays(&three, 3);
}

#[test]
fn what_announces_other_articles_goes_with_them() {
    let more = "<h3>Related posts</h3><ul><li><a href=/a>The ferry</a></ul>";
    assert_eq!(trimmed(&format!("{TEXT}{more}{TEXT}")), [SHOWN, SHOWN]);
    goes(&format!(
        "{TEXT}<h3>Das könnte Sie auch interessieren:</h3><p><a href=/a>Fähre</a></p>"
    ));
    stays(
        &format!("{TEXT}<h3>Related rates of tides</h3><p>They differ.</p>"),
        3,
    );
}

#[test]
fn headings_without_text_go_at_the_end_alone() {
    goes(&format!("{TEXT}<h2>Elsewhere</h2>"));
    stays(&format!("<h2>Morning</h2><h3>At the gate</h3>{TEXT}"), 3);
    stays(&format!("{TEXT}<h4>The ferry went at eight.</h4>"), 2);
}

#[test]
fn a_picture_is_told_once_and_not_by_the_title() {
    let picture = "<figure><img src=a alt='Dredging done'></figure><figure><img src=b alt='The long pier'></figure>";
    stays(&format!("{TEXT}{picture}{picture}{TEXT}"), 3);
}

#[test]
fn arrows_go_and_a_line_that_stands_many_times_in_a_row_is_told_once() {
    goes(&format!("<p>&lt;&lt;</p><p> | </p>{TEXT}"));
    stays(&format!("{TEXT}<p>* * *</p>{TEXT}"), 3);
    stays(
        &format!("{TEXT}{}{TEXT}", "<p>The long pier</p>".repeat(5)),
        3,
    );
    stays(&format!("{TEXT}{}{TEXT}", "<p>Low water.</p>".repeat(2)), 4);
}

#[test]
fn parts_repeat_nothing() {
    let base = url::Url::parse("https://gazette.example/").expect("an address");
    let html = format!(
        "<h2>Tides</h2>{TEXT}<h2>Tides</h2><p>The second part.</p><hr>{TEXT}<ul><li>a<li>a</ul>"
    );
    let mut blocks = read_blocks(&sanitise(&html, &base), &Language::unknown()).blocks;
    drop_repeats(&mut blocks);
    assert_eq!(blocks.len(), 6);
}
