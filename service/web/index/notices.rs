//! What the index says beside its entries, in running text: that there is nothing to read, and which feeds fail.

use jiff::Timestamp;

use crate::distil::block::Block;
use crate::distil::plain::shortened;
use crate::store::FailingFeed;
use crate::typeset::Screen;
use crate::web::Web;
use crate::words::Words;

/// What stands where there are no entries: none yet, or none that was not read.
pub fn nothing(words: Words, any: bool) -> Vec<Block> {
    let (title, told) = if any {
        (words.all_read(), words.all_read_told())
    } else {
        (words.nothing_yet(), words.nothing_yet_told())
    };
    vec![words.heading(title), words.paragraph(told)]
}

/// What the list of what is kept says where that is nothing.
pub fn nothing_kept(words: Words) -> Vec<Block> {
    let (title, told) = (words.nothing_kept(), words.nothing_kept_told());
    vec![words.heading(title), words.paragraph(told)]
}

/// What stands where no unread article is short enough for a time.
pub fn nothing_fits(words: Words) -> Vec<Block> {
    vec![
        words.heading(words.nothing_fits()),
        words.paragraph(words.nothing_fits_told()),
    ]
}

/// The most characters of a failing feed's name: with the time, a line or two of text.
const MOST_NAME: usize = 40;

/// The most failing feeds that are named.
const MOST_FAILING: usize = 20;

/// The failing feeds, a line each. Why they fail, `tondo refresh` says.
pub fn failing_lines(
    failing: &[FailingFeed],
    web: &Web,
    screen: Screen,
    now: Timestamp,
) -> Vec<Block> {
    let words = web.words;
    let line = |feed: &FailingFeed| {
        let since = words.short_time(feed.since, now, &web.shared.time_zone, screen);
        words.paragraph(words.no_answer(&shortened(&feed.title, MOST_NAME), since))
    };
    let mut lines: Vec<Block> = failing.iter().take(MOST_FAILING).map(line).collect();
    if let Some(more) = failing
        .len()
        .checked_sub(MOST_FAILING)
        .filter(|&more| more > 0)
    {
        lines.push(words.paragraph(words.more_no_answer(more)));
    }
    lines
}
