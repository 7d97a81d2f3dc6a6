//! An article: its opening, its text disc by disc, and what leads on. Never distils.

use std::iter::once;
use std::ops::Range;

use axum::http::{HeaderMap, Method};
use axum::response::Response;

use super::asked::Asked;
use super::cache::Printed;
use super::error::WebError;
use super::{Web, answer, hand, keeping, message, stored};
use crate::distil::block::{Block, BlockKind};
use crate::distil::gist::gist;
use crate::distil::language::Language;
use crate::store::{Place, READER, StoredArticle};
use crate::typeset::units::LEAST_TARGET;
use crate::typeset::{Disc, Item, Job, Line, LineKind, MOST_TITLE_LINES, Row, RowText, Screen};
use crate::view::{PageView, PrintError, Target};
use crate::words::Words;

/// An article. Going to it counts as opening it.
pub async fn article(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    method: Method,
    headers: HeaderMap,
) -> Response {
    let goes = method == Method::GET && answer::is_navigation(&headers);
    let shown = show(&web, (&screen, entry), &headers, goes).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn show(
    web: &Web,
    asked: (&str, i64),
    headers: &HeaderMap,
    goes: bool,
) -> Result<Response, WebError> {
    let response = stored::page(web, asked, "text", compose, headers).await?;
    if goes {
        let now = web.shared.clock.now();
        web.shared.store.mark_opened(READER, asked.1, now).await?;
    }
    Ok(response)
}

pub(super) fn compose(
    web: &Web,
    screen: Screen,
    article: &StoredArticle,
    wanted: &(dyn Fn() -> bool + Sync),
) -> Result<Printed, PrintError> {
    let (words, own) = (web.words, web.words.language());
    let particulars = particulars(web, screen, article);
    let controls = controls(words, screen, article);
    let quoted = excerpt(words, screen, article);
    let mut items = vec![Item::Opening(opening(article, &particulars))];
    let below = particulars.iter().map(|said| said.language.clone());
    let mut targets = vec![Target {
        parts: once(article.language.clone()).chain(below).collect(),
        ..Target::none(&article.language, article.direction)
    }];
    for block in &quoted {
        items.push(Item::Excerpt(block));
        targets.push(Target {
            excerpt: true,
            ..Target::none(&block.language, block.direction)
        });
    }
    for block in &article.blocks {
        items.push(Item::Block(block));
        targets.push(Target::none(&block.language, block.direction));
    }
    for control in &controls {
        let text = |text, kind, most_lines| RowText {
            text,
            language: own,
            kind,
            most_lines,
        };
        let mut texts = vec![text(control.name, LineKind::Control, 2)];
        texts.extend(
            control
                .detail
                .as_deref()
                .map(|detail| text(detail, LineKind::Label, 1)),
        );
        items.push(Item::Control(Row {
            texts,
            height: LEAST_TARGET,
        }));
        targets.push(Target {
            leaves: control.leaves,
            sends: control.sends,
            ..Target::to(control.href.clone(), own)
        });
    }
    let job = Job {
        wanted,
        ..Job::new(screen, &web.shared.typeface)
    };
    let discs = job.set(&items).unwrap_or_default();
    let page = PageView {
        title: &article.title,
        language: &article.language,
        direction: article.direction,
        discs: &discs,
        targets: &targets,
        words,
        sizes_of: None,
        style: &web.shared.style,
        script: Some(&web.shared.script),
    };
    let first = 1 + quoted.len();
    let starts = starts(&discs, first..first + article.blocks.len());
    page.print().map(|page| Printed::of_article(page, starts))
}

/// Where each disc begins in the article, of whose blocks the items are. What stands before them is at their start,
/// what stands after them at their end.
fn starts(discs: &[Disc], blocks: Range<usize>) -> Vec<Place> {
    let of_line = |line: &Line| {
        let place = |block: usize, character: usize| Place {
            block: u32::try_from(block).unwrap_or(u32::MAX),
            character: u32::try_from(character).unwrap_or(u32::MAX),
        };
        match line.item.checked_sub(blocks.start) {
            None => Place::START,
            Some(block) if line.item < blocks.end => place(block, line.characters.start),
            Some(_) => place(blocks.len(), 0),
        }
    };
    let of_disc = |disc: &Disc| disc.lines.first().map_or(Place::START, of_line);
    discs.iter().map(of_disc).collect()
}

/// A text of an opening below its title.
struct Particular {
    text: String,
    language: Language,
}

/// Whether it has changed, source, full date and length.
fn particulars(web: &Web, screen: Screen, article: &StoredArticle) -> Vec<Particular> {
    let words = web.words;
    let named = |text: String| Particular {
        text,
        language: article.language.clone(),
    };
    let said = |text: String| Particular {
        text,
        language: words.language().clone(),
    };
    let authors = article.authors.join(", ");
    let mut particulars = Vec::new();
    if article.changed {
        particulars.push(said(words.changed_since_read(screen).to_owned()));
    }
    particulars.push(named(article.feed_title.clone()));
    particulars.extend(words.also_in(&article.also_in).map(said));
    if !authors.is_empty() {
        particulars.push(named(authors));
    }
    let zone = &web.shared.time_zone;
    let time = match words.age(article.published, web.shared.clock.now(), zone) {
        Some(age) => words.old_time(article.published, &age, zone, screen),
        None => words.full_time(article.published, zone, screen),
    };
    let length = words.full_length(article.words, &article.language);
    particulars.extend([said(time), said(length)]);
    particulars
}

/// Titles and sources are long where an author wanted them so; a disc has ten lines.
fn opening<'a>(article: &'a StoredArticle, particulars: &'a [Particular]) -> Row<'a> {
    let title = RowText {
        text: &article.title,
        language: &article.language,
        kind: LineKind::Title,
        most_lines: MOST_TITLE_LINES,
    };
    let below = particulars.iter().map(|said| RowText {
        text: &said.text,
        language: &said.language,
        kind: LineKind::Label,
        most_lines: 2,
    });
    Row {
        texts: once(title).chain(below).collect(),
        height: LEAST_TARGET,
    }
}

/// Discs of fewer lines have no excerpt before the text: the demo's longest would take eight of five lines in wide
/// spacing, where it takes two of eleven lines and five of six.
const LEAST_LINES_OF_AN_EXCERPT: usize = 6;

/// What stands between the opening and the text: the article's most telling sentences, a quotation each, so that on
/// no disc they are taken for the text that follows, below a heading that says what they are; nothing where it has no
/// gist.
fn excerpt(words: Words, screen: Screen, article: &StoredArticle) -> Vec<Block> {
    if screen.places() < LEAST_LINES_OF_AN_EXCERPT {
        return Vec::new();
    }
    let gist = gist(&article.blocks);
    let sentences = gist
        .iter()
        .filter_map(|sentence| sentence.quoted(&article.blocks));
    let heading = words.block(BlockKind::Heading { level: 3 }, words.excerpt());
    let heading = (!gist.is_empty()).then_some(heading);
    heading.into_iter().chain(sentences).collect()
}

struct Control {
    name: &'static str,
    detail: Option<String>,
    href: String,
    leaves: bool,
    /// Whether a tap changes something there.
    sends: bool,
}

fn controls(words: Words, screen: Screen, article: &StoredArticle) -> Vec<Control> {
    let home = |name, detail, href| Control {
        name,
        detail,
        href,
        leaves: false,
        sends: false,
    };
    let mut controls = vec![Control {
        sends: true,
        ..home(
            words.keeping(article.kept),
            None,
            format!(
                "/{screen}/{}/{}",
                article.entry,
                keeping::name(!article.kept)
            ),
        )
    }];
    if let Some(address) = &article.address {
        controls.push(Control {
            name: words.original(),
            detail: Some(bare(address)),
            href: address.clone(),
            leaves: true,
            sends: false,
        });
    }
    if hand::can_be_handed(article) {
        let href = format!("/{screen}/{}/hand", article.entry);
        controls.push(home(words.hand(), None, href));
    }
    if !article.links.is_empty() {
        controls.push(home(
            words.links(),
            Some(words.links_in_text(article.links.len())),
            format!("/{screen}/{}/links", article.entry),
        ));
    }
    controls.push(home(
        words.next(),
        None,
        format!("/{screen}/after/{}", article.entry),
    ));
    controls.push(home(words.index(), None, format!("/{screen}/")));
    controls
}

/// An address without its scheme, as far as a row shows it.
pub fn bare(address: &str) -> String {
    let bare = address.split_once("://").map_or(address, |(_, bare)| bare);
    bare.trim_start_matches("mailto:")
        .trim_end_matches('/')
        .to_owned()
}
