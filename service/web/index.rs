//! The index: what is new, a few entries a disc. Never reads articles.

use axum::extract::State;
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use jiff::Timestamp;

use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, message, words};
use crate::distil::block::{Block, BlockKind, Run};
use crate::distil::language::Direction;
use crate::distil::plain::shortened;
use crate::store::{FailingFeed, IndexEntry, IndexPage, READER};
use crate::typeset::units::{LEAST_TARGET, WIDE_TARGET};
use crate::typeset::{Item, LineKind, Lines, Row, RowText, Screen, Spacing, typeset};
use crate::view::{PageView, PrintError, Target};

/// The index from the newest entry on.
pub async fn newest(
    State(web): State<Web>,
    Asked(screen): Asked<String>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, 0, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

/// A further page of the index.
pub async fn older(
    State(web): State<Web>,
    Asked((screen, page)): Asked<(String, u32)>,
    headers: HeaderMap,
) -> Response {
    let shown = show(&web, &screen, page, &headers).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn show(
    web: &Web,
    screen: &str,
    page: u32,
    headers: &HeaderMap,
) -> Result<Response, WebError> {
    let screen: Screen = screen.parse().map_err(|_| WebError::NoPage)?;
    let index = web.shared.store.index(READER, page).await?;
    if index.entries.is_empty() && page > 0 {
        return Err(WebError::NoPage);
    }
    let failing = if page == 0 {
        web.shared.store.failing_feeds().await?
    } else {
        Vec::new()
    };
    let now = web.shared.clock.now();
    let composer = web.clone();
    let printed = web
        .shared
        .pool
        .run(move || compose(&composer, screen, page, &index, &failing, now))
        .await??;
    Ok(answer::page(headers, StatusCode::OK, &printed))
}

/// What a row of the index says.
struct Said {
    title: String,
    label: String,
    row: LineKind,
    target: Target,
}

fn compose(
    web: &Web,
    screen: Screen,
    page: u32,
    index: &IndexPage,
    failing: &[FailingFeed],
    now: Timestamp,
) -> Result<Printed, PrintError> {
    let language = words::language();
    let mut said: Vec<Said> = index
        .entries
        .iter()
        .map(|entry| entry_row(web, screen, entry, now))
        .collect();
    let mut first = if index.entries.is_empty() {
        nothing_yet()
    } else {
        Vec::new()
    };
    let mut last = Vec::new();
    // A feed or two that fail are said at first glance; many would hide what there is to read.
    let place = if failing.len() <= 2 {
        &mut first
    } else {
        &mut last
    };
    place.extend(failing_lines(failing, web, now));
    let more = index
        .has_more
        .then(|| ("Older", format!("/{screen}/page/{}", page + 1)));
    let newest = (page > 0).then(|| ("Newest", format!("/{screen}/")));
    let find = Some((words::FIND, format!("/{screen}/find")));
    said.extend(
        [more, newest, find]
            .into_iter()
            .flatten()
            .map(|(title, href)| Said {
                title: title.to_owned(),
                label: String::new(),
                row: LineKind::Control,
                target: Target::to(href, &language),
            }),
    );
    let rows = said.iter().map(|said| Item::Entry(row(said)));
    let items: Vec<Item> = first
        .iter()
        .map(Item::Block)
        .chain(rows)
        .chain(last.iter().map(Item::Block))
        .collect();
    let notice = |_: &Block| Target::none(&language, Direction::Ltr);
    let targets = said.iter().map(|said| said.target.clone());
    let targets: Vec<Target> = first
        .iter()
        .map(notice)
        .chain(targets)
        .chain(last.iter().map(notice))
        .collect();
    let shared = &web.shared;
    let page = PageView {
        title: "Index",
        language: &language,
        direction: Direction::Ltr,
        discs: &typeset(&items, &screen, &shared.typeface),
        targets: &targets,
        sizes_of: Some(screen),
        style: &shared.style,
    };
    page.print().map(Printed::new)
}

fn entry_row(web: &Web, screen: Screen, entry: &IndexEntry, now: Timestamp) -> Said {
    let target = Target {
        seen: entry.opened && entry.changed.is_none(),
        direction: entry.direction,
        ..Target::to(format!("/{screen}/{}", entry.entry), &entry.language)
    };
    Said {
        title: entry.title.clone(),
        label: entry_label(web, screen, entry, now),
        row: LineKind::Title,
        target,
    }
}

/// What stands below an entry's title. The larger or wider the text, the less has room there.
fn entry_label(web: &Web, screen: Screen, entry: &IndexEntry, now: Timestamp) -> String {
    let zone = &web.shared.time_zone;
    let source = words::source(&entry.feed_title, entry.other_feeds);
    if let Some(changed) = entry.changed {
        let time = words::short_time(changed, now, zone);
        return match (screen.spacing, screen.lines) {
            (Spacing::Usual, Lines::Eleven | Lines::Ten) => {
                format!("{} {time}\n{source}", words::CHANGED)
            }
            (Spacing::Wide, Lines::Six) => words::CHANGED.to_owned(),
            _ => format!("{}\n{time}", words::CHANGED),
        };
    }
    let time = words::short_time(entry.published, now, zone);
    let length = words::short_length(entry.words, &entry.language);
    match (screen.spacing, screen.lines) {
        (Spacing::Usual, Lines::Eleven | Lines::Ten) => format!("{time} · {length}\n{source}"),
        (Spacing::Usual, Lines::Eight | Lines::Six) => format!("{time}\n{length} · {source}"),
        (Spacing::Wide, Lines::Eleven | Lines::Ten | Lines::Eight) => format!("{time}\n{source}"),
        (Spacing::Wide, Lines::Six) => time,
    }
}

/// A title may take three lines, the time and length one, the source one more.
fn row(said: &Said) -> Row<'_> {
    let language = &said.target.language;
    let text = |text, kind, most_lines| RowText {
        text,
        language,
        kind,
        most_lines,
    };
    let mut texts = vec![text(said.title.as_str(), said.row, 3)];
    texts.extend(
        said.label
            .lines()
            .map(|line| text(line, LineKind::Label, 1)),
    );
    let height = if said.row == LineKind::Title {
        WIDE_TARGET
    } else {
        LEAST_TARGET
    };
    Row { texts, height }
}

fn block(kind: BlockKind, text: String) -> Block {
    Block {
        kind,
        runs: vec![Run {
            text,
            ..Run::default()
        }],
        language: words::language(),
        direction: Direction::Ltr,
    }
}

/// What stands where there are no entries yet.
fn nothing_yet() -> Vec<Block> {
    let told = "The first articles come within minutes of the start. Open this page again then.";
    vec![
        block(
            BlockKind::Heading { level: 1 },
            "Nothing to read yet".to_owned(),
        ),
        block(BlockKind::Paragraph, told.to_owned()),
    ]
}

/// The most characters of a failing feed's name: with the time, a line or two of text.
const MOST_NAME: usize = 40;

/// The most failing feeds that are named.
const MOST_FAILING: usize = 20;

/// The failing feeds, a line each. Why they fail, `tondo refresh` says.
fn failing_lines(failing: &[FailingFeed], web: &Web, now: Timestamp) -> Vec<Block> {
    let line = |feed: &FailingFeed| {
        let since = words::short_time(feed.since, now, &web.shared.time_zone);
        block(
            BlockKind::Paragraph,
            format!(
                "{}: no answer since {since}",
                shortened(&feed.title, MOST_NAME)
            ),
        )
    };
    let mut lines: Vec<Block> = failing.iter().take(MOST_FAILING).map(line).collect();
    if let Some(more) = failing
        .len()
        .checked_sub(MOST_FAILING)
        .filter(|&more| more > 0)
    {
        lines.push(block(
            BlockKind::Paragraph,
            format!("{more} more feeds: no answer"),
        ));
    }
    lines
}
