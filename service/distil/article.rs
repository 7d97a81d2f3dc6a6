//! From a source to its article: the better text, a title, a language, the enclosures told.

use jiff::Timestamp;
use url::Url;

use super::block::{Block, BlockKind, Blocks, Link, Run, read_blocks};
use super::choose::page_is_better;
use super::extract::{ExtractedPage, extract_text};
use super::feed::Enclosure;
use super::flatten::{Kind, Limits, flatten};
use super::judge::{NoArticle, fault, instead};
use super::language::{Direction, Language};
use super::plain::{MOST_TITLE, count_words, one_line, shortened};
use super::sanitise::sanitise;
use super::trim::{drop_repeats, trim};
use super::{Article, Page, Source, text_of};

/// The most authors of an article, and characters of a name; what is beyond is no name.
const MOST_AUTHORS: usize = 10;
const MOST_NAME: usize = 100;

/// How many words of the text stand for a title that is missing.
const TITLE_WORDS: usize = 8;

/// Distils an article. The strings are warnings for a person.
///
/// `choose` says whether the feed's text or the page's article is taken, `judge` whether the page is an
/// article at all. Where it is none, the feed's text is shown, else what the page says of itself.
pub fn distil(source: &Source) -> (Article, Vec<String>) {
    let page = source.page.as_ref().map(|page| PageRead::of(source, page));
    distilled(source, page.as_ref())
}

/// Distils a page that no feed tells of, with its further parts.
///
/// # Errors
/// It is no article.
pub fn distil_page(page: Page, further: Vec<Page>) -> Result<(Article, Source), NoArticle> {
    let address = page.address.clone();
    let source = Source {
        address: Some(address.clone()),
        page: Some(page),
        further,
        ..Source::blank(address)
    };
    let read = source.page.as_ref().map(|page| PageRead::of(&source, page));
    if let Some(fault) = read.as_ref().and_then(|page| page.fault) {
        return Err(fault);
    }
    let (article, _) = distilled(&source, read.as_ref());
    Ok((article, source))
}

fn distilled(source: &Source, page: Option<&PageRead<'_>>) -> (Article, Vec<String>) {
    let mut warnings = Vec::new();
    if let Some((page, fault)) = page.and_then(|page| Some((page, page.fault?))) {
        warnings.push(format!("{}: {fault}; {}", page.address, shown(source)));
    }
    let (read, language) = better(source, page);
    let Blocks {
        mut blocks,
        mut links,
        cut,
    } = read;
    let page_title = page.and_then(PageRead::title);
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
    let direction =
        Direction::of_language(&language).unwrap_or_else(|| Direction::of_text(&text_of(&blocks)));
    let article = Article {
        title,
        authors: authors(source, page),
        published: page.and_then(PageRead::published),
        language,
        direction,
        blocks,
        links,
        words,
    };
    (article, warnings)
}

/// A page read: what it says of itself, its blocks, and why it is no article if it is none.
struct PageRead<'a> {
    address: &'a Url,
    extracted: ExtractedPage,
    read: (Blocks, Language),
    fault: Option<NoArticle>,
}

impl<'a> PageRead<'a> {
    fn of(source: &Source, page: &'a Page) -> Self {
        let extracted = extract_text(&page.html, &page.address);
        let mut html = extracted.html.clone().unwrap_or_default();
        for part in &source.further {
            // Its links are absolute by now.
            html.push_str(
                &extract_text(&part.html, &part.address)
                    .html
                    .unwrap_or_default(),
            );
        }
        let metadata = &extracted.metadata;
        let declared = metadata
            .language
            .as_ref()
            .or(source.declared_language.as_ref());
        let mut read = read(&html, &page.address, declared);
        let title = source.title.as_deref().or(metadata.title.as_deref());
        trim(&mut read.0.blocks, title, &metadata.authors);
        if !source.further.is_empty() {
            drop_repeats(&mut read.0.blocks);
        }
        let fault = fault(&extracted, &read.0.blocks);
        Self {
            address: &page.address,
            extracted,
            read,
            fault,
        }
    }

    /// The title of the page, if it is the article's.
    fn title(&self) -> Option<String> {
        let own = self.fault != Some(NoArticle::Missing);
        self.extracted.metadata.title.clone().filter(|_| own)
    }

    fn published(&self) -> Option<Timestamp> {
        let own = self.fault.is_none();
        self.extracted.metadata.published.filter(|_| own)
    }
}

/// What is shown instead of a page that is no article, for a person.
fn shown(source: &Source) -> &'static str {
    match source.content {
        Some(_) => "what the feed itself says is shown",
        None => "what it says of itself is shown",
    }
}

/// The feed's authors, else the page's.
fn authors(source: &Source, page: Option<&PageRead<'_>>) -> Vec<String> {
    let of_page = || page.map(|page| page.extracted.metadata.authors.as_slice());
    let named = match source.authors.as_slice() {
        [] => of_page().unwrap_or_default(),
        named => named,
    };
    let names = named.iter().take(MOST_AUTHORS);
    names.map(|name| shortened(name, MOST_NAME)).collect()
}

/// Whether some of the source's HTML is beyond the limits.
fn is_cut(source: &Source) -> bool {
    let content = source.content.iter().map(|html| (html, Kind::Content));
    let pages = source.page.iter().chain(&source.further);
    content
        .chain(pages.map(|page| (&page.html, Kind::Page)))
        .filter(|(html, _)| html.len() >= Limits::LEAST_CUT)
        .any(|(html, kind)| flatten(html, kind, Limits::ORDINARY).cut)
}

/// The better of feed and page, with its language; of a page that is no article what it says of itself,
/// where the feed says nothing.
fn better(source: &Source, page: Option<&PageRead<'_>>) -> (Blocks, Language) {
    let declared = source.declared_language.as_ref();
    let feed = source
        .content
        .as_deref()
        .map(|html| read(html, &source.base, declared))
        .filter(|read| page.is_none() || !read.0.blocks.is_empty());
    match (feed, page) {
        (Some(feed), Some(page)) => {
            let better =
                page.fault.is_none() && page_is_better(&feed.0.blocks, &page.read.0.blocks);
            if better { page.read.clone() } else { feed }
        }
        (Some(feed), None) => feed,
        (None, Some(page)) => {
            let found = &page.read.0.blocks;
            let html = page.fault.and_then(|_| instead(&page.extracted, found));
            let language = page.extracted.metadata.language.as_ref().or(declared);
            html.map_or_else(
                || page.read.clone(),
                |html| read(&html, page.address, language),
            )
        }
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
