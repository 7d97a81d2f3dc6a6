//! Whether the feed's text or the page's is the better one of the same entry. Reads no HTML.
//!
//! Not the longer one is: a page with furniture can be longer than the whole text of a feed. What counts
//! is running text that one has and the other lacks, in these rules:
//!
//! 1. Where only one has running text, it is taken.
//! 2. Where the page adds little to the feed's text, the feed's is taken: its publisher wrote it to be
//!    read alone. Little is less than a twentieth of the feed's words, and than twenty words.
//! 3. Where the feed adds little to the page's, the page is taken.
//! 4. Where each has much that the other lacks, the one with more running text is taken; the page, if
//!    they have as much.

use std::collections::HashSet;

use unicode_segmentation::UnicodeSegmentation;

use super::block::{Block, BlockKind};

/// Words in a row by which a text is found in another. Shingles of three words are rarely the same by
/// accident (Broder 1997, On the resemblance and containment of documents, works with such).
const SHINGLE: usize = 3;

/// What is added is little below this share of the other's words, and below so many words.
const LITTLE_SHARE: f64 = 0.05;
const LITTLE_WORDS: usize = 20;

/// Whether the page's blocks are taken and not the feed's.
pub(super) fn page_is_better(feed: &[Block], page: &[Block]) -> bool {
    let (feed, page) = (Text::of(feed), Text::of(page));
    if feed.words == 0 || page.words == 0 {
        return page.words > 0 || feed.words == 0;
    }
    let little = |added: usize, words: usize| {
        added
            < LITTLE_WORDS
                .max((words as f64 * LITTLE_SHARE) as usize)
                .min(words + 1)
    };
    let page_adds = page.added_to(&feed);
    if little(page_adds, feed.words) {
        return false;
    }
    little(feed.added_to(&page), page.words) || page.words >= feed.words
}

/// The running text of one source: its blocks as words, without headings, pictures and what is mostly
/// links.
struct Text {
    blocks: Vec<Vec<String>>,
    shingles: HashSet<Vec<String>>,
    words: usize,
}

impl Text {
    fn of(blocks: &[Block]) -> Self {
        let running = blocks.iter().filter(|block| is_running(block));
        let blocks: Vec<Vec<String>> = running.map(|block| words(&block.text())).collect();
        // A feed may have in one block what the page has in many.
        let all: Vec<String> = blocks.iter().flatten().cloned().collect();
        Self {
            words: all.len(),
            shingles: all.windows(SHINGLE).map(<[String]>::to_vec).collect(),
            blocks,
        }
    }

    /// The words of those blocks of which less than half stands in the other.
    fn added_to(&self, other: &Self) -> usize {
        let added = self.blocks.iter().filter(|block| {
            let shingles = block.windows(SHINGLE);
            let all = shingles.len();
            let known = shingles.filter(|shingle| other.shingles.contains(*shingle));
            all > 0 && known.count() * 2 < all
        });
        added.map(Vec::len).sum()
    }
}

fn words(text: &str) -> Vec<String> {
    text.unicode_words().map(str::to_lowercase).collect()
}

/// Whether a block is text to be read, of which less than half belongs to links.
fn is_running(block: &Block) -> bool {
    let kind = !matches!(
        block.kind,
        BlockKind::Heading { .. } | BlockKind::Picture | BlockKind::Rule
    );
    kind && linked_share(block) < 0.5
}

/// The share of a block's bytes that belongs to links.
pub(super) fn linked_share(block: &Block) -> f64 {
    let bytes = |linked: bool| {
        let runs = block
            .runs
            .iter()
            .filter(|run| !linked || run.link.is_some());
        runs.map(|run| run.text.trim().len()).sum::<usize>()
    };
    match bytes(false) {
        0 => 0.0,
        all => bytes(true) as f64 / all as f64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distil::block::read_blocks;
    use crate::distil::language::Language;
    use crate::distil::sanitise::sanitise;

    const LEAD: &str = "The dredger came through the north gate on Monday, as the harbour master had \
        said in spring.";
    const MORE: &str = "By the evening flood the channel was deep enough for the ferry again, and the \
        pilots went home; those who had waited since noon on the long pier went with them.";
    const LINKS: &str = "<ul><li><a href=/a>How the ferry was mended in the winter of the long ice</a>\
        <li><a href=/b>What the pilots say about the new lights on the outer mole</a></ul>";
    const NOTICE: &str = "<p>To read on you need an account with us.</p>";

    fn check(feed: &str, page: &str, expected: bool) {
        let base = url::Url::parse("https://quay.example/").expect("an address");
        let blocks = |html: &str| {
            let clean = sanitise(html, &base);
            read_blocks(&clean, &Language::unknown()).blocks
        };
        let better = page_is_better(&blocks(feed), &blocks(page));
        assert_eq!(better, expected, "feed {feed}\npage {page}");
    }

    fn html(paragraphs: &[&str]) -> String {
        let paragraphs = paragraphs.iter().map(|text| format!("<p>{text}</p>"));
        paragraphs.collect()
    }

    #[test]
    fn a_page_that_goes_on_beyond_a_teaser_is_better() {
        check(
            &html(&["The dredger came through…"]),
            &html(&[LEAD, MORE]),
            true,
        );
        check(&html(&[LEAD]), &html(&[LEAD, MORE]), true);
        check("", &html(&[LEAD]), true);
        check(
            &html(&["A summary in other words."]),
            &html(&[LEAD, MORE]),
            true,
        );
    }

    #[test]
    fn a_page_that_adds_furniture_alone_is_not_better_however_long() {
        let feed = html(&[LEAD, MORE]);
        check(&feed, &format!("{feed}{LINKS}{LINKS}{LINKS}{LINKS}"), false);
        check(
            &feed,
            &format!("<h2>News</h2>{feed}<p>Share this story</p>"),
            false,
        );
        check(&format!("{LEAD}<br><br>{MORE}"), &feed, false);
    }

    #[test]
    fn a_page_behind_a_wall_is_not_better() {
        check(
            &html(&[LEAD, MORE]),
            &format!("{}{NOTICE}", html(&[LEAD])),
            false,
        );
        check(&html(&[LEAD, MORE]), NOTICE, false);
        check(&html(&[LEAD, MORE]), LINKS, false);
    }

    #[test]
    fn of_two_that_differ_the_one_with_more_running_text_is_better() {
        check(&html(&[LEAD]), &html(&[MORE]), true);
        check(&html(&[MORE]), &html(&[LEAD]), false);
        check("", "", true);
    }
}
