//! Broken pages and feeds made of pieces of real ones. Never reads what it makes.
//!
//! The pages are the test pages of @mozilla/readability, which the crate readabilityrs carries, and the cases of
//! the Python package html2text; the feeds are the corpus of the Python package feedparser.

use std::fs;
use std::path::{Path, PathBuf};

use super::random::Random;
use crate::beside::{folder, sources_of};

/// The most bytes of one page or feed that is made.
const MOST_BYTES: usize = 600_000;

/// The most bytes of a piece.
const LONGEST_PIECE: usize = 600;

/// What real pages seldom have: tags that close nothing, endless names, characters of no text.
const ODD: [&str; 56] = [
    "<",
    ">",
    "</",
    "<!",
    "<!--",
    "-->",
    "<![CDATA[",
    "]]>",
    "<?",
    "&",
    "&#",
    "&#x110000;",
    "&#0;",
    "\0",
    "\u{feff}",
    "\u{202e}",
    "\"",
    "'",
    "=",
    "<a href=",
    "<a href='#fn1'><sup>1</sup></a>",
    "<p id=fn1>",
    "<a name=fn1>",
    "<math>",
    "</math>",
    "<math><mfrac>",
    "<mtable><mtr><mtd>",
    "<svg>",
    "</svg>",
    "<title>",
    "<plaintext>",
    "<script>",
    "</script>",
    "<style>",
    "<template>",
    "<table>",
    "<tr>",
    "<td colspan=9999 rowspan=9999>",
    "</table>",
    "<caption>",
    "<select><option>",
    "<button>",
    "<iframe src=/video/1>",
    "<video src=a>",
    "<object data=b>",
    "<dl><dt>",
    "<dd>",
    "<blockquote>",
    "<cite>",
    "<pre><code class=language-x>",
    "$x^{2}$",
    "\\(\\frac{",
    "\\begin{matrix}",
    "{{{{",
    "<div style='font-size:0'>",
    "<span class=sr-only>",
];

pub struct Material {
    pages: Vec<Vec<u8>>,
    feeds: Vec<Vec<u8>>,
}

impl Material {
    pub fn read() -> Self {
        let packages = folder().join("python_packages");
        let mut pages = files(
            &sources_of("readabilityrs").join("tests/test-pages"),
            "html",
        );
        pages.extend(files(&packages.join("html2text-2025.4.15/test"), "html"));
        let mut feeds = files(&packages.join("feedparser-6.0.12/tests"), "xml");
        feeds.extend(files(&packages.join("feedparser-6.0.12/tests"), "json"));
        assert!(
            pages.len() >= 200 && feeds.len() >= 2_000,
            "{} pages and {} feeds: run tests/run, which brings them",
            pages.len(),
            feeds.len()
        );
        Self { pages, feeds }
    }

    pub fn page(&self, random: &mut Random) -> Vec<u8> {
        match random.below(4) {
            0 => spoilt(random.pick(&self.pages).clone(), &self.pages, random),
            _ => composed(&self.pages, random),
        }
    }

    pub fn feed(&self, random: &mut Random) -> Vec<u8> {
        match random.below(4) {
            0 => composed(&self.feeds, random),
            1 => spoilt(random.pick(&self.feeds).clone(), &self.feeds, random),
            _ => self.around(random),
        }
    }

    /// A sound feed with a broken text in it, so that the whole way is gone.
    fn around(&self, random: &mut Random) -> Vec<u8> {
        let html = composed(&self.pages, random);
        let html = String::from_utf8_lossy(&html);
        let entry = |text: &str| {
            let text = text
                .replace('\0', "")
                .replace('&', "&amp;")
                .replace('<', "&lt;");
            format!(
                "<entry><id>urn:x:1</id><title type='html'>A</title><content type='html'>{text}</content></entry>"
            )
        };
        let feed = format!(
            "<feed xmlns='http://www.w3.org/2005/Atom'><title>A</title>{}</feed>",
            entry(&html)
        );
        match random.once_in(3) {
            true => spoilt(feed.into_bytes(), &self.feeds, random),
            false => feed.into_bytes(),
        }
    }
}

/// All files below a folder with an ending, in order.
fn files(folder: &Path, ending: &str) -> Vec<Vec<u8>> {
    let mut folders = vec![folder.to_owned()];
    let mut found: Vec<PathBuf> = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).into_iter().flatten().flatten() {
            let path = entry.path();
            match path.is_dir() {
                true => folders.push(path),
                false => found.push(path),
            }
        }
    }
    found.retain(|path| path.extension().is_some_and(|own| own == ending));
    found.sort();
    let small = |bytes: &Vec<u8>| !bytes.is_empty() && bytes.len() <= MOST_BYTES;
    found
        .iter()
        .filter_map(|path| fs::read(path).ok())
        .filter(small)
        .collect()
}

/// Pieces one after the other: a few, or many, or one of them over and over.
fn composed(corpus: &[Vec<u8>], random: &mut Random) -> Vec<u8> {
    let mut made = Vec::new();
    let count = match random.below(8) {
        0 => 1 + random.below(600),
        _ => 1 + random.below(60),
    };
    for _ in 0..count {
        let piece = piece(corpus, random);
        let times = match random.below(200) {
            0 => 1 + random.below(MOST_BYTES / piece.len().max(1)),
            1..=10 => 1 + random.below(50),
            _ => 1,
        };
        for _ in 0..times {
            if made.len() < MOST_BYTES {
                made.extend_from_slice(&piece);
            }
        }
    }
    made
}

/// A stretch of a real text that begins where a tag does mostly, or something odd.
fn piece(corpus: &[Vec<u8>], random: &mut Random) -> Vec<u8> {
    if random.once_in(3) {
        return random.pick(&ODD).as_bytes().to_vec();
    }
    let text = random.pick(corpus);
    let mut from = random.below(text.len());
    if !random.once_in(8) {
        from += text[from..]
            .iter()
            .position(|byte| *byte == b'<')
            .unwrap_or(0);
    }
    let length = 1 + random.below(LONGEST_PIECE);
    text[from..(from + length).min(text.len())].to_vec()
}

/// A whole text with faults: stretches that are left out, said twice, or put in; bytes that are others.
fn spoilt(mut text: Vec<u8>, corpus: &[Vec<u8>], random: &mut Random) -> Vec<u8> {
    for _ in 0..1 + random.below(12) {
        if text.is_empty() {
            break;
        }
        let from = random.below(text.len());
        let end = (from + 1 + random.below(2_000)).min(text.len());
        match random.below(5) {
            0 => drop(text.drain(from..end)),
            1 if text.len() < MOST_BYTES => {
                let again = text[from..end].to_vec();
                let times = if random.once_in(10) {
                    1 + random.below(100)
                } else {
                    1
                };
                text.splice(from..from, again.repeat(times));
            }
            2 => text[from] = random.next() as u8,
            3 => text.truncate(end),
            _ => drop(text.splice(from..from, piece(corpus, random))),
        }
    }
    text
}
