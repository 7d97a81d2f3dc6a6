//! How fast web pages are distilled.
//!
//! `cargo bench --bench distil` reads the pages of the extraction tests (`tests/service/extraction/pages.rs`)
//! whole, from the decoded page to the blocks, and prints the least of several rounds of each page:
//! median, 95th percentile and maximum of all, and the median of the pages of about 200 KB. Beside it,
//! from the same run, the times of @mozilla/readability on jsdom, each page once in one process, and of
//! the crate `readability`, which make HTML and no blocks. Compare ratios. Without `--bench`, as `cargo test` runs
//! it, it only tries itself on each fortieth page, once.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

#[path = "../reference/beside.rs"]
mod beside;
#[expect(dead_code, reason = "the test judges by it, the bench takes times")]
#[path = "../service/extraction/pages.rs"]
mod pages;
#[expect(dead_code, reason = "the test judges by it, the bench takes times")]
#[path = "../service/extraction/readers.rs"]
mod readers;

use pages::Case;
use readers::{MOST_DEPTH, Reading};

const ROUNDS: usize = 5;

/// Which pages are read where nothing is measured.
const TRIED: usize = 40;

/// The bytes of a page of about 200 KB.
const ABOUT_200_KB: std::ops::Range<usize> = 150_000..250_000;

fn least(case: &Case, rounds: usize, read: fn(&Case) -> Reading) -> f64 {
    (0..rounds)
        .map(|_| read(case).milliseconds)
        .fold(f64::INFINITY, f64::min)
}

fn quantile(times: &[f64], share: f64) -> f64 {
    let mut sorted = times.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = (sorted.len() as f64 * share) as usize;
    // There may be none of 200 KB among those that are tried.
    let last = sorted.len().saturating_sub(1);
    sorted.get(place.min(last)).copied().unwrap_or(f64::NAN)
}

fn print(name: &str, cases: &[&Case], times: &[f64]) {
    let middling: Vec<f64> = cases
        .iter()
        .zip(times)
        .filter(|(case, _)| ABOUT_200_KB.contains(&case.html.len()))
        .map(|(_, time)| *time)
        .collect();
    println!(
        "{name:<28}{:>9.2}{:>9.2}{:>9.2}{:>18.2} ({} of {} pages)",
        quantile(times, 0.5),
        quantile(times, 0.95),
        quantile(times, 1.0),
        quantile(&middling, 0.5),
        middling.len(),
        times.len(),
    );
}

fn main() {
    let cases = pages::all();
    let (step, rounds) = match std::env::args().any(|word| word == "--bench") {
        true => (1, ROUNDS),
        false => (TRIED, 1),
    };
    let cases: Vec<&Case> = cases.iter().step_by(step).collect();
    println!("milliseconds                   median      p95      max  median of 200 KB");
    let ours: Vec<f64> = cases
        .iter()
        .map(|case| least(case, rounds, readers::ours))
        .collect();
    print("tondo", &cases, &ours);
    let theirs = readers::reference(&cases);
    let theirs: Vec<f64> = theirs.iter().map(|reading| reading.milliseconds).collect();
    print("@mozilla/readability, jsdom", &cases, &theirs);
    let shallow: Vec<&Case> = cases
        .iter()
        .copied()
        .filter(|case| readers::depth(&case.html) <= MOST_DEPTH)
        .collect();
    let older: Vec<f64> = shallow
        .iter()
        .map(|case| least(case, rounds, readers::baseline))
        .collect();
    print("crate readability", &shallow, &older);
    let mut slowest: Vec<(f64, &Case)> = ours.iter().copied().zip(cases).collect();
    slowest.sort_by(|one, other| other.0.total_cmp(&one.0));
    for (time, case) in slowest.iter().take(3) {
        println!(
            "slowest: {} of {} bytes, {time:.1} ms",
            case.name,
            case.html.len()
        );
    }
}
