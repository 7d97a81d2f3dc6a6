//! From a source to its article: the better text, a title, a language, the enclosures told.

use url::Url;

use super::block::{Block, BlockKind, Blocks, Link, Run, read_blocks};
use super::extract::{ExtractedPage, extract_text};
use super::feed::Enclosure;
use super::flatten::{Kind, Limits, flatten};
use super::language::{Direction, Language};
use super::plain::{MOST_TITLE, count_words, one_line, shortened};
use super::sanitise::sanitise;
use super::{Article, Source, text_of};

/// The most authors of an article, and characters of a name; what is beyond is no name.
const MOST_AUTHORS: usize = 10;
const MOST_NAME: usize = 100;

/// How many words of the text stand for a title that is missing.
const TITLE_WORDS: usize = 8;

/// Distils an article. The strings are warnings for a person.
///
/// Of the feed's text and the page's article the page's is taken, unless it has fewer words: then
/// the extraction missed, or the page keeps the text from those who have not paid.
pub fn distil(source: &Source) -> (Article, Vec<String>) {
    let mut warnings = Vec::new();
    let page =
        source
            .page
            .as_ref()
            .and_then(|page| match extract_text(&page.html, &page.address) {
                Ok(found) => Some((found, &page.address)),
                Err(error) => {
                    warnings.push(format!("{}: {error}", page.address));
                    None
                }
            });
    let (read, language) = better(
        source,
        page.as_ref().map(|(found, address)| (found, *address)),
    );
    let Blocks {
        mut blocks,
        mut links,
        cut,
    } = read;
    let page_title = page.as_ref().and_then(|(found, _)| found.title.clone());
    let title = shortened(&title(source, page_title, &blocks), MOST_TITLE);
    drop_repeated_title(&mut blocks, &title);
    if cut || is_cut(source) {
        warnings.push(format!(
            "“{title}” has more HTML than is read of an article; its end may be missing, and stands on its page"
        ));
    }
    if blocks.is_empty() {
        warnings.push(format!("“{title}” has no text of its own"));
    }
    let words = count_words(&text_of(&blocks));
    blocks.extend(tell_enclosures(&source.enclosures, &mut links));
    let byline = page.and_then(|(found, _)| found.byline);
    let named = if source.authors.is_empty() {
        byline.as_slice()
    } else {
        &source.authors
    };
    let authors = named
        .iter()
        .take(MOST_AUTHORS)
        .map(|name| shortened(name, MOST_NAME))
        .collect();
    let direction =
        Direction::of_language(&language).unwrap_or_else(|| Direction::of_text(&text_of(&blocks)));
    (
        Article {
            title,
            authors,
            language,
            direction,
            blocks,
            links,
            words,
        },
        warnings,
    )
}

/// Whether some of the source's HTML is beyond the limits. Only what has at least three bytes for
/// each element of the limit can be, so that no ordinary article is looked at once more.
fn is_cut(source: &Source) -> bool {
    let limits = Limits::ORDINARY;
    let texts = [
        (source.content.as_ref(), Kind::Content),
        (source.page.as_ref().map(|page| &page.html), Kind::Page),
    ];
    texts.into_iter().any(|(html, kind)| {
        html.filter(|html| html.len() / 3 >= limits.elements)
            .is_some_and(|html| flatten(html, kind, limits).cut)
    })
}

/// The better of feed and page, with its language.
fn better(source: &Source, page: Option<(&ExtractedPage, &Url)>) -> (Blocks, Language) {
    let declared = source.declared_language.as_ref();
    let feed = source
        .content
        .as_deref()
        .map(|html| read(html, &source.base, declared));
    let page = page
        .map(|(found, address)| read(&found.html, address, found.language.as_ref().or(declared)));
    let words = |read: &(Blocks, Language)| count_words(&text_of(&read.0.blocks));
    match (feed, page) {
        (Some(feed), Some(page)) => {
            if words(&page) >= words(&feed) {
                page
            } else {
                feed
            }
        }
        (Some(only), None) | (None, Some(only)) => only,
        (None, None) => (
            Blocks::default(),
            declared.cloned().unwrap_or_else(Language::unknown),
        ),
    }
}

/// Reads HTML in its declared language, or in the one that its text shows where none is declared or where the
/// letters belie it.
fn read(html: &str, base: &Url, declared: Option<&Language>) -> (Blocks, Language) {
    let clean = sanitise(html, base);
    let known = declared
        .filter(|language| language.primary() != "und")
        .cloned();
    if let Some(language) = known {
        let blocks = read_blocks(&clean, &language);
        if !language.is_belied_by(&text_in(&blocks.blocks, &language)) {
            return (blocks, language);
        }
    }
    let blocks = read_blocks(&clean, &Language::unknown());
    match Language::detect(&text_in(&blocks.blocks, &Language::unknown())) {
        Some(language) => (read_blocks(&clean, &language), language),
        None => {
            let only = blocks.blocks.first().map(|block| block.language.clone());
            let only =
                only.filter(|only| blocks.blocks.iter().all(|block| block.language == *only));
            (blocks, only.unwrap_or_else(Language::unknown))
        }
    }
}

/// The text of those blocks of which no element says that they are in another language.
fn text_in(blocks: &[Block], language: &Language) -> String {
    let blocks = blocks.iter().filter(|block| block.language == *language);
    text_of(&blocks.cloned().collect::<Vec<_>>())
}

/// The feed's title, else the page's, else the first heading, else the first words, else the
/// address.
fn title(source: &Source, page_title: Option<String>, blocks: &[Block]) -> String {
    let heading = || {
        let heading = blocks
            .iter()
            .find(|block| matches!(block.kind, BlockKind::Heading { .. }))?;
        Some(one_line(&heading.text()))
    };
    let opening = || {
        let text = one_line(
            &blocks
                .iter()
                .find(|block| block.kind != BlockKind::Rule)?
                .text(),
        );
        let words: Vec<&str> = text.split(' ').collect();
        let short = words
            .iter()
            .take(TITLE_WORDS)
            .copied()
            .collect::<Vec<_>>()
            .join(" ");
        // Scripts without spaces have one endless word.
        let cut: String = short.chars().take(80).collect();
        let whole = cut.chars().count() == text.chars().count();
        Some(if whole { cut } else { format!("{cut}…") })
    };
    let given = source
        .title
        .clone()
        .map(|title| one_line(&title))
        .filter(|title| !title.is_empty());
    given
        .or(page_title)
        .or_else(heading)
        .or_else(opening)
        .filter(|title| !title.is_empty())
        .unwrap_or_else(|| source.address.as_ref().unwrap_or(&source.base).to_string())
}

/// The title stands on a disc of its own, so a first heading that repeats it goes.
fn drop_repeated_title(blocks: &mut Vec<Block>, title: &str) {
    let repeats = blocks.first().is_some_and(|first| {
        matches!(first.kind, BlockKind::Heading { .. })
            && one_line(&first.text()).to_lowercase() == title.to_lowercase()
            && first.runs.iter().all(|run| run.link.is_none())
    });
    if repeats && blocks.len() > 1 {
        blocks.remove(0);
    }
}

/// One paragraph that says which files belong to the entry: kind, minutes and size, linked.
fn tell_enclosures(enclosures: &[Enclosure], links: &mut Vec<Link>) -> Option<Block> {
    let mut runs: Vec<Run> = Vec::new();
    for enclosure in enclosures {
        let Some(kind) = kind(enclosure) else {
            continue;
        };
        let mut text = kind.to_owned();
        if let Some(seconds) = enclosure.duration_seconds.filter(|seconds| *seconds > 0) {
            text.push_str(&format!(", {} min", seconds.div_ceil(60)));
        }
        if let Some(bytes) = enclosure.length_bytes.filter(|bytes| *bytes > 0) {
            text.push_str(", ");
            text.push_str(&size(bytes));
        }
        let address = enclosure.address.to_string();
        let known = links.iter().position(|link| link.address == address);
        let index = known.unwrap_or_else(|| {
            links.push(Link {
                address,
                text: text.clone(),
            });
            links.len() - 1
        });
        if !runs.is_empty() {
            runs.push(Run {
                text: "\n".to_owned(),
                ..Run::default()
            });
        }
        runs.push(Run {
            text,
            link: Some(index),
            ..Run::default()
        });
    }
    (!runs.is_empty()).then(|| Block {
        kind: BlockKind::Paragraph,
        runs,
        language: Language::parse("en").unwrap_or_else(Language::unknown),
        direction: Direction::Ltr,
    })
}

/// What a file is, in a word; pictures are not told of.
fn kind(enclosure: &Enclosure) -> Option<&'static str> {
    let media_type = enclosure.media_type.as_deref().unwrap_or_default();
    match media_type.split('/').next().unwrap_or_default() {
        "image" => None,
        "audio" => Some("Audio"),
        "video" => Some("Video"),
        _ if media_type.ends_with("/pdf") => Some("PDF"),
        _ => Some("File"),
    }
}

/// A size in the decimal units of the SI, to two digits or whole.
fn size(bytes: u64) -> String {
    let (unit, name) = match bytes {
        0..1_000_000 => (1_000, "kB"),
        1_000_000..1_000_000_000 => (1_000_000, "MB"),
        _ => (1_000_000_000, "GB"),
    };
    let tenths = bytes.saturating_mul(10).div_ceil(unit);
    if tenths >= 100 {
        format!("{} {name}", tenths / 10)
    } else {
        format!("{}.{} {name}", tenths / 10, tenths % 10)
    }
}
