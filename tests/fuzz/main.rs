//! Random input from feed to blocks and from page to blocks: broken markup made of pieces of real pages and
//! feeds, for 30 seconds, or as many as `TONDO_FUZZ_SECONDS` says. Nothing panics, nothing aborts, and no more
//! than 256 MB are taken.
//!
//! The work is done in a child process, so that an abort is seen and its peak of memory is its own.
//! `SEED` names where the random numbers begin; a fault is told with the seed of its step.

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

use tondo::distil::block::MOST_CHARACTERS;
use tondo::distil::decode::decode;
use tondo::distil::feed::read_feed;
use tondo::distil::{Article, Page, Source, distil};
use url::Url;

#[path = "../reference/beside.rs"]
mod beside;
mod material;
mod random;

use material::Material;
use random::Random;

/// The most memory that the child may have taken at any time, in kB.
const MOST_MEMORY_KB: u64 = 256 * 1024;

const SECONDS: &str = "TONDO_FUZZ_SECONDS";
const CHILD: &str = "TONDO_FUZZ_CHILD";

/// The stack of a thread of the runtime that the service distils on.
const STACK_BYTES: usize = 2 << 20;

/// The most entries of a feed that are distilled in a step.
const MOST_ENTRIES: usize = 8;

#[expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "a test with a main of its own tells what it measured"
)]
fn main() -> ExitCode {
    if let Some(note) = std::env::var_os(CHILD) {
        return work(Path::new(&note));
    }
    // Another test's name was asked for.
    let asked = std::env::args().skip(1).find(|word| !word.starts_with('-'));
    if asked.is_some_and(|name| !"fuzz".contains(&name)) {
        return ExitCode::SUCCESS;
    }
    let folder = tempfile::tempdir().expect("a folder of our own");
    let note = folder.path().join("step");
    let child = Command::new(std::env::current_exe().expect("this program"))
        .env(CHILD, &note)
        .stderr(Stdio::inherit())
        .output()
        .expect("this program starts again");
    let told = String::from_utf8_lossy(&child.stdout);
    println!("{told}");
    if !child.status.success() {
        let step = fs::read_to_string(&note).unwrap_or_default();
        eprintln!(
            "fuzz: the child ended with {}; the last step was {step}",
            child.status
        );
        return ExitCode::FAILURE;
    }
    let peak = told
        .lines()
        .find_map(|line| line.strip_prefix("peak of memory: "));
    let peak: u64 = peak
        .and_then(|peak| peak.trim_end_matches(" kB").parse().ok())
        .expect("the child's peak");
    if peak > MOST_MEMORY_KB {
        eprintln!("fuzz: {peak} kB were taken, of {MOST_MEMORY_KB} at the most");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

fn number(name: &str, usual: u64) -> u64 {
    let given = std::env::var(name).ok();
    given.map_or(usual, |given| given.parse().expect("a whole number"))
}

/// What the child does: steps until the time is over.
fn work(note: &Path) -> ExitCode {
    let note = note.to_owned();
    let thread = std::thread::Builder::new().stack_size(STACK_BYTES);
    let worked = thread.spawn(move || steps(&note)).expect("a thread");
    match worked.join() {
        Ok(true) => ExitCode::SUCCESS,
        _ => ExitCode::FAILURE,
    }
}

#[expect(clippy::print_stdout, reason = "the parent reads what was measured")]
fn steps(note: &Path) -> bool {
    let material = Material::read();
    let (seed, seconds) = (number("SEED", 1), number(SECONDS, 30));
    // Panics of a crate that are caught on the way would be told on every step.
    std::panic::set_hook(Box::new(|_| {}));
    let until = Instant::now() + Duration::from_secs(seconds);
    let mut seen = Seen::default();
    while Instant::now() < until {
        let step = seed.wrapping_mul(1 << 32).wrapping_add(seen.steps);
        fs::write(note, step.to_string()).expect("the folder of this test");
        let mut random = Random::new(step);
        let feed = step.is_multiple_of(2);
        let input = match feed {
            true => material.feed(&mut random),
            false => material.page(&mut random),
        };
        let read = catch_unwind(AssertUnwindSafe(|| match feed {
            true => read_a_feed(&input),
            false => vec![read_a_page(&input)],
        }));
        let fault = match &read {
            Ok(articles) => articles.iter().find_map(fault),
            Err(_) => Some("a panic".to_owned()),
        };
        if let Some(fault) = fault {
            let kept = note.with_extension("input");
            let at = std::env::temp_dir().join("tondo-fuzz-input");
            fs::write(&kept, &input)
                .and_then(|()| fs::copy(&kept, &at))
                .expect("the folder of this test");
            println!(
                "step {step}: {fault}; its input of {} bytes lies in {}",
                input.len(),
                at.display()
            );
            return false;
        }
        seen.count(feed, &input, &read.unwrap_or_default());
    }
    println!("seed {seed}, {seconds} s: {seen}");
    println!("peak of memory: {} kB", peak_kb());
    seen.means_something()
}

/// What the steps had before them, and what came of it.
#[derive(Default)]
struct Seen {
    steps: u64,
    feeds: u64,
    bytes: u64,
    articles: u64,
    blocks: u64,
}

impl Seen {
    fn count(&mut self, feed: bool, input: &[u8], articles: &[Article]) {
        self.steps += 1;
        self.feeds += u64::from(feed && !articles.is_empty());
        self.bytes += input.len() as u64;
        self.articles += articles.len() as u64;
        self.blocks += articles
            .iter()
            .map(|article| article.blocks.len() as u64)
            .sum::<u64>();
    }

    /// Input that nothing is read of would show nothing.
    fn means_something(&self) -> bool {
        self.feeds * 8 > self.steps && self.blocks > 4 * self.steps
    }
}

impl std::fmt::Display for Seen {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self {
            steps,
            feeds,
            bytes,
            articles,
            blocks,
        } = self;
        write!(
            out,
            "{steps} steps, {feeds} feeds read, {bytes} bytes, {articles} articles, {blocks} blocks"
        )
    }
}

fn address() -> Url {
    Url::parse("https://gazette.example.org/harbour/dredging").expect("an address")
}

fn read_a_feed(input: &[u8]) -> Vec<Article> {
    let Ok((feed, _)) = read_feed(input, None, &address()) else {
        return Vec::new();
    };
    let entries = feed.entries.iter().take(MOST_ENTRIES);
    let distilled =
        entries.map(|entry| distil(&Source::from_entry(entry, feed.language.as_ref(), None)).0);
    distilled.collect()
}

fn read_a_page(input: &[u8]) -> Article {
    let page = Page {
        html: decode(input, Some("text/html")),
        address: address(),
    };
    distil(&Source {
        page: Some(page),
        ..Source::blank(address())
    })
    .0
}

/// What must hold of every article.
fn fault(article: &Article) -> Option<String> {
    let runs = || article.blocks.iter().flat_map(|block| &block.runs);
    let characters: usize = runs().map(|run| run.text.chars().count()).sum();
    // What is told of files beside the article comes on top.
    if characters > MOST_CHARACTERS + 10_000 {
        return Some(format!("{characters} characters"));
    }
    if runs().any(|run| run.link.is_some_and(|link| link >= article.links.len())) {
        return Some("a run of a link that there is not".to_owned());
    }
    let odd = |address: &str| {
        !["http:", "https:", "mailto:"]
            .iter()
            .any(|scheme| address.starts_with(scheme))
    };
    article
        .links
        .iter()
        .find(|link| odd(&link.address))
        .map(|link| format!("a link to {}", link.address))
}

/// The most memory that this process has had (Linux, proc(5), VmHWM).
fn peak_kb() -> u64 {
    let status = fs::read_to_string("/proc/self/status").expect("Linux tells of this process");
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let figure = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok());
    figure.expect("the peak of this process")
}
