//! How fast text is set.
//!
//! `cargo bench --bench speed` prints three things, all from one run: compare ratios.
//!
//! 1. What a word costs, and the memory that a book takes. Texts of 200 to 200,000 words are the
//!    demo's blocks over and over. The time is that of the processor where Linux tells it, so that
//!    what else runs does not count. The memory is by how much the most that the process ever held
//!    grows while one book of 200,000 words is set in ten lines: the discs are in it, the blocks are
//!    not.
//! 2. What 2,000 words cost, each way beside `parley`, in turn, the least of many rounds: what
//!    disturbs one can only add to it.
//! 3. The same by criterion, which keeps its figures from run to run in `target/criterion`.
//!
//! The ways to set 2,000 words, all of them one call after which nothing is left but what the
//! typesetter keeps by itself from text to text:
//!
//! - *known words*: blocks to discs, the same text again and again, in each size.
//! - *new words*: the same, but no word of more than four letters was ever set before: in each turn,
//!   vowels are changed for other vowels and consonants for other consonants. So nothing about words
//!   is known from an earlier text, as with the first article after a start. Spaces, capitals,
//!   lengths and repetitions stay; how many points the words have is printed.
//! - *no points*: known words in a language that has no patterns: no word is hyphenated.
//! - *breaks and turns alone*: the line breaker over fragments that were measured before, on discs of
//!   ten chords, with the usual costs. The ink of line ends, which the typesetter looks at too, is not
//!   in it; nor is the text of the lines.
//! - *parley*: each block laid in one width of 20 characters, shaped anew, in the same font, which was
//!   loaded before. It breaks first-fit and makes no pages.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod alone;
mod others;
mod town;

use std::hint::black_box;
use std::rc::Rc;
use std::time::{Duration, Instant};
use std::{fs, iter};

use criterion::{BatchSize, Criterion};
use tondo::distil::block::Block;
use tondo::distil::language::Language;
use tondo::font::Typeface;
use tondo::typeset::hyphenate::Divider;
use tondo::typeset::{Disc, Item, Lines, Screen, typeset};

fn set(blocks: &[Block], lines: Lines, typeface: &Typeface) -> Vec<Disc> {
    let items: Vec<Item> = blocks.iter().map(Item::Block).collect();
    let screen = Screen {
        lines,
        ..Screen::DEFAULT
    };
    typeset(&items, &screen, typeface)
}

/// The first blocks of a text, of so many words or a few more.
fn first_words(blocks: impl Iterator<Item = Block>, count: usize) -> Vec<Block> {
    let mut words = 0;
    blocks
        .take_while(|block| {
            let wanted = words < count;
            words += town::words(std::slice::from_ref(block));
            wanted
        })
        .collect()
}

/// All blocks of the demo's articles, from the longest article to the shortest.
fn all_blocks() -> Vec<Block> {
    let mut articles = town::english();
    articles.sort_by_key(|article| std::cmp::Reverse(article.words));
    articles
        .into_iter()
        .flat_map(|article| article.blocks)
        .collect()
}

/// What is set, turn after turn.
struct Text {
    blocks: Rc<Vec<Block>>,
    /// The turn, where each has words of its own.
    turn: Option<u64>,
}

impl Text {
    fn next(&mut self) -> Rc<Vec<Block>> {
        match &mut self.turn {
            Some(turn) => {
                *turn += 1;
                Rc::new(with_new_words(&self.blocks, *turn))
            }
            None => Rc::clone(&self.blocks),
        }
    }
}

/// Sets a text.
type Run<'a> = Box<dyn FnMut(&[Block]) + 'a>;

/// A way to set a text.
struct Way<'a> {
    name: String,
    text: Text,
    /// What is timed.
    run: Run<'a>,
}

impl<'a> Way<'a> {
    fn new(
        name: impl Into<String>,
        blocks: &Rc<Vec<Block>>,
        run: impl FnMut(&[Block]) + 'a,
    ) -> Self {
        Self {
            name: name.into(),
            text: Text {
                blocks: Rc::clone(blocks),
                turn: None,
            },
            run: Box::new(run),
        }
    }

    fn time(&mut self) -> Duration {
        let blocks = self.text.next();
        let start = Instant::now();
        (self.run)(&blocks);
        start.elapsed()
    }
}

fn ways<'a>(blocks: &Rc<Vec<Block>>, typeface: &'a Typeface) -> Vec<Way<'a>> {
    let setting = move |lines| {
        move |blocks: &[Block]| {
            black_box(set(blocks, lines, typeface));
        }
    };
    let mut parley = others::Parley::new(typeface, blocks);
    let mut ways = vec![Way::new("parley, one width", blocks, move |blocks| {
        black_box(parley.lay(blocks));
    })];
    for lines in Lines::ALL {
        let name = format!("{} lines, known words", lines.count());
        ways.push(Way::new(name, blocks, setting(lines)));
    }
    let mut new_words = Way::new("10 lines, new words", blocks, setting(Lines::Ten));
    new_words.text.turn = Some(0);
    ways.push(new_words);
    let unknown = blocks.iter().cloned().map(|block| Block {
        language: Language::unknown(),
        ..block
    });
    let unknown = Rc::new(unknown.collect());
    ways.push(Way::new(
        "10 lines, no points",
        &unknown,
        setting(Lines::Ten),
    ));
    let text = alone::Text::new(blocks, Lines::Ten, typeface);
    ways.push(Way::new(
        "10 lines, breaks and turns alone",
        blocks,
        move |_| {
            black_box(text.breaks());
        },
    ));
    ways
}

/// The same blocks in words that no other turn has: letters are changed for others of their kind.
fn with_new_words(blocks: &[Block], turn: u64) -> Vec<Block> {
    let kinds = ["aeiou", "bcdfghjklmnpqrstvwxyz"].map(|kind| (kind, shuffled(kind, turn)));
    let other = |letter: char| {
        let small = letter.to_ascii_lowercase();
        let found = kinds.iter().find_map(|(kind, shuffled)| {
            let place = kind.find(small)?;
            Some(char::from(shuffled[place]))
        });
        match found {
            Some(found) if letter.is_ascii_uppercase() => found.to_ascii_uppercase(),
            Some(found) => found,
            None => letter,
        }
    };
    let mut blocks = blocks.to_vec();
    for run in blocks.iter_mut().flat_map(|block| &mut block.runs) {
        run.text = run.text.chars().map(other).collect();
    }
    blocks
}

/// Letters in an order of their own for each turn, by the method of Fisher and Yates with the
/// multiplier of a linear congruential generator (Knuth, The Art of Computer Programming 2, 3.3.4;
/// from memory).
fn shuffled(letters: &str, turn: u64) -> Vec<u8> {
    let mut letters = letters.as_bytes().to_vec();
    let mut state = turn;
    for last in (1..letters.len()).rev() {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        letters.swap(last, (state >> 33) as usize % (last + 1));
    }
    letters
}

/// How many points the words of blocks have.
fn points(blocks: &[Block]) -> usize {
    let count = |block: &Block| {
        let divider = Divider::of(&block.language);
        divider.points_within(&block.text()).len()
    };
    blocks.iter().map(count).sum()
}

const ROUNDS: usize = 101;

fn print_ways(ways: &mut [Way]) {
    let mut least = vec![Duration::MAX; ways.len()];
    for _ in 0..ROUNDS {
        for (way, least) in ways.iter_mut().zip(&mut least) {
            *least = way.time().min(*least);
        }
    }
    let least: Vec<f64> = least.iter().map(|time| 1e3 * time.as_secs_f64()).collect();
    println!("                                       ms  beside parley");
    for (way, ms) in ways.iter().zip(&least) {
        println!("{:<35} {ms:>6.2}  {:>13.2}", way.name, ms / least[0]);
    }
}

/// What a word costs in texts of several lengths: of each length as many texts as make up the
/// longest, in turn, so that all set the same words.
fn print_cost_per_word(typeface: &Typeface, book: &[Block]) {
    let lengths = [200, 2_000, 20_000, LONGEST];
    let texts: Vec<Vec<Vec<Block>>> = lengths
        .iter()
        .map(|&length| {
            let mut rest = book.iter().cloned().peekable();
            iter::from_fn(|| {
                rest.peek()?;
                let mut words = 0;
                let mut text = Vec::new();
                while let Some(block) = rest.next_if(|_| words < length) {
                    words += town::words(std::slice::from_ref(&block));
                    text.push(block);
                }
                Some(text)
            })
            .collect()
        })
        .collect();
    let mut least = vec![Duration::MAX; lengths.len()];
    for _ in 0..BOOK_ROUNDS {
        for (texts, least) in texts.iter().zip(&mut least) {
            let (start, worked) = (Instant::now(), worked());
            for text in texts {
                black_box(set(text, Lines::Ten, typeface));
            }
            let taken = match (worked, self::worked()) {
                (Some(before), Some(after)) => after - before,
                _ => start.elapsed(),
            };
            *least = taken.min(*least);
        }
    }
    let words = town::words(book) as f64;
    let a_word: Vec<f64> = least
        .iter()
        .map(|time| 1e6 * time.as_secs_f64() / words)
        .collect();
    println!("  words  µs a word  beside 2,000");
    for (length, cost) in lengths.iter().zip(&a_word) {
        println!("{length:>7}  {cost:>9.3}  {:>12.2}", cost / a_word[1]);
    }
}

const LONGEST: usize = 200_000;
const BOOK_ROUNDS: usize = 5;

/// For how long this thread has had a processor: the first figure of its `schedstat`, where the
/// system is Linux. It can be a few milliseconds late.
fn worked() -> Option<Duration> {
    let stat = fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds = stat.split_whitespace().next()?.parse().ok()?;
    Some(Duration::from_nanos(nanoseconds))
}

/// The most memory that this process ever held, in KiB: VmHWM, where the system is Linux.
fn most_held() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse().ok()
}

fn print_memory(typeface: &Typeface, book: &[Block]) {
    // Linux then counts from what is held now (proc(5), clear_refs).
    let counts_anew = fs::write("/proc/self/clear_refs", "5").is_ok();
    let before = most_held();
    let discs = set(book, Lines::Ten, typeface);
    let after = most_held();
    let words = town::words(book);
    match (before, after) {
        (Some(before), Some(after)) => println!(
            "{words} words on {} discs: {:.1} MB more than before{}",
            discs.len(),
            (after - before) as f64 * 1024.0 / 1e6,
            if counts_anew {
                ""
            } else {
                ", or than at an earlier time"
            }
        ),
        _ => println!(
            "{words} words on {} discs: memory is not known here",
            discs.len()
        ),
    }
}

fn main() {
    let typeface = Typeface::read(notosans::REGULAR_TTF).expect("the font is sound");
    let all = all_blocks();
    let book = first_words(all.iter().cloned().cycle(), LONGEST);
    print_memory(&typeface, &book);
    print_cost_per_word(&typeface, &book);
    drop(book);
    let blocks = Rc::new(first_words(all.into_iter(), 2_000));
    println!(
        "{} words with {} points; as new words they have {}",
        town::words(&blocks),
        points(&blocks),
        points(&with_new_words(&blocks, 1)),
    );
    let mut ways = ways(&blocks, &typeface);
    print_ways(&mut ways);
    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("2000 words");
    for Way { name, text, run } in &mut ways {
        group.bench_function(name.as_str(), |bench| {
            bench.iter_batched(|| text.next(), |blocks| run(&blocks), BatchSize::SmallInput);
        });
    }
    group.finish();
    criterion.final_summary();
}
