//! How gathering fares with many feeds: the program itself, as it is typed, beside a thousand publishers on
//! loopback, each on an address of its own.
//!
//! `cargo bench --bench gather` prints three things, each with its bar, and each bar is a ratio of two figures
//! of the same run, or memory:
//!
//! 1. *Cold*: so many feeds of 20 entries with their full text, nothing stored yet. How many entries a second
//!    are stored from the start of the program on, the most memory that it held (VmHWM), and how long the
//!    index takes meanwhile and afterwards, when nothing is due: the medians. `serve` does both, so that its
//!    start counts, fonts and all.
//! 2. *Another edition*: the same feeds have five new entries each, and the database is full.
//! 3. *Unchanged*: `refresh` over the same feeds, each of which answers 304, beside `curl --parallel` with
//!    the same validators and as many requests at once; in turn, so that what disturbs one disturbs the other.
//!
//! The index is asked for one time after another with a pause between, as watches do that are turned to.
//! Publishers, asker and program share the machine, so that on two cores the publishers' work counts too.
//! For other counts of feeds name them: `cargo bench --bench gather -- 500 4000`; for another build of the
//! program, set `TONDO_BIN` to its path. Without `--bench`, as `cargo test` runs it, it only tries itself on 20 feeds.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod publishers;
mod service;

use std::fmt::Write;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use std::{env, fs};

use publishers::{ENTRIES, NEW_ENTRIES, Publishers};
use reqwest::Client;
use service::{Household, Outcome, Serving, time};
use sqlx::SqliteConnection;
use tondo::refresh::FEEDS_AT_ONCE;

/// Between two requests for the index.
const PAUSE: Duration = Duration::from_millis(50);

/// Requests for the index while nothing is due.
const IDLE_REQUESTS: usize = 101;

/// Turns of `refresh` and `curl`.
const TURNS: usize = 7;

/// The most memory, in MB.
const MOST_MEMORY: f64 = 150.0;

/// What a pass came to.
struct Pass {
    taken: Duration,
    memory: f64,
    open_files: usize,
    meanwhile: Vec<Duration>,
    idle: Vec<Duration>,
}

#[tokio::main]
async fn main() -> Outcome<()> {
    let named = env::args().skip(1).filter_map(|word| word.parse().ok());
    let mut counts: Vec<u32> = named.collect();
    // `cargo test` runs benches too, and does not say that it is one.
    let measures = env::args().any(|word| word == "--bench") || !counts.is_empty();
    let (usual, idle_requests) = match measures {
        true => (vec![1_000, 2_000], IDLE_REQUESTS),
        false => (vec![20], 3),
    };
    if counts.is_empty() {
        counts = usual;
    }
    let mut memory = Vec::new();
    for &count in &counts {
        let publishers = Publishers::start().await?;
        let household = Household::new((0..count).map(|feed| publishers.address(feed)))?;
        println!("{count} feeds of {ENTRIES} entries");
        let cold = pass(&household, idle_requests).await?;
        expect(&publishers, [count as usize, 0])?;
        print_pass("cold", &cold, count as usize * ENTRIES);
        publishers.next_edition();
        household.make_due().await?;
        let warm = pass(&household, idle_requests).await?;
        expect(&publishers, [count as usize, 0])?;
        print_pass("another edition", &warm, count as usize * NEW_ENTRIES);
        print_unchanged(&household, &publishers, count).await?;
        memory.push(cold.memory);
    }
    for (count, most) in counts.iter().zip(&memory).skip(1) {
        let ratio = most / memory[0];
        println!("memory of {count} feeds beside {}: {ratio:.2}", counts[0]);
    }
    Ok(())
}

/// Fails where the publishers were not asked just so.
fn expect(publishers: &Publishers, [whole, unchanged]: [usize; 2]) -> Outcome<()> {
    let counts = publishers.take_counts();
    let expected = [whole, unchanged, 0];
    if counts == expected {
        Ok(())
    } else {
        Err(format!("whole feeds, 304s and other answers were {counts:?}, not {expected:?}").into())
    }
}

/// Serves until nothing is due, then for a while without anything to do.
async fn pass(household: &Household, idle_requests: usize) -> Outcome<Pass> {
    let start = Instant::now();
    let serving = household.serve()?;
    let client = Client::builder().no_proxy().build()?;
    let mut database = household.database().await?;
    // The first answer comes when the fonts are ready.
    ask(&client, &serving).await?;
    let mut meanwhile = Vec::new();
    let mut open_files = 0;
    while due(&mut database).await? > 0 {
        meanwhile.push(ask(&client, &serving).await?);
        open_files = open_files.max(serving.open_files()?);
        tokio::time::sleep(PAUSE).await;
    }
    let taken = start.elapsed();
    let faults = sqlx::query_as::<_, (String, String)>(
        "SELECT address, fault FROM feed WHERE fault IS NOT NULL",
    );
    if let Some((address, fault)) = faults.fetch_optional(&mut database).await? {
        return Err(format!("{address}: {fault}").into());
    }
    let memory = serving.most_memory()?;
    // The log of changes is folded in, and whatever else the pass left to do is done.
    tokio::time::sleep(Duration::from_secs(1)).await;
    let mut idle = Vec::new();
    for _ in 0..idle_requests {
        idle.push(ask(&client, &serving).await?);
        tokio::time::sleep(PAUSE).await;
    }
    serving.end()?;
    Ok(Pass {
        taken,
        memory,
        open_files,
        meanwhile,
        idle,
    })
}

/// How long the index takes.
async fn ask(client: &Client, serving: &Serving) -> Outcome<Duration> {
    let start = Instant::now();
    let request = client.get(format!("{}/round-10/", serving.address));
    let answer = request.send().await?.error_for_status()?;
    answer.bytes().await?;
    Ok(start.elapsed())
}

/// How many feeds have not had their turn.
async fn due(database: &mut SqliteConnection) -> Outcome<i64> {
    let now = i64::try_from(
        std::time::UNIX_EPOCH
            .elapsed()
            .map_err(|_| "the clock is before 1970")?
            .as_millis(),
    )?;
    let query = "SELECT count(*) FROM feed WHERE next_due <= ?1";
    let due = sqlx::query_as::<_, (i64,)>(query).bind(now);
    // The tables are made after the file.
    Ok(due.fetch_one(database).await.map_or(1, |(count,)| count))
}

fn median(times: &mut [Duration]) -> f64 {
    times.sort();
    1e3 * times[times.len() / 2].as_secs_f64()
}

fn print_pass(name: &str, pass: &Pass, entries: usize) {
    let seconds = pass.taken.as_secs_f64();
    println!(
        "  {name}: {seconds:.1} s, {:.0} entries a second; {:.0} MB at the most (bar {MOST_MEMORY:.0}), {} files and connections",
        entries as f64 / seconds,
        pass.memory,
        pass.open_files,
    );
    let (mut meanwhile, mut idle) = (pass.meanwhile.clone(), pass.idle.clone());
    let (busy, quiet) = (median(&mut meanwhile), median(&mut idle));
    let worst = meanwhile.last().map_or(0.0, Duration::as_secs_f64);
    println!(
        "    the index {busy:.1} ms of {} requests meanwhile (longest {:.0}), {quiet:.1} ms idle: {:.2} (bar 2)",
        meanwhile.len(),
        1e3 * worst,
        busy / quiet,
    );
}

/// What `curl` is told, so that it asks for the same.
fn curl(household: &Household, publishers: &Publishers, count: u32) -> Outcome<Command> {
    let mut config = String::new();
    for header in publishers.conditions() {
        writeln!(config, "header = \"{}\"", header.replace('"', "\\\""))?;
    }
    for feed in 0..count {
        let address = publishers.address(feed);
        writeln!(config, "url = \"{address}\"\noutput = \"/dev/null\"")?;
    }
    let file = household.path("curl.txt");
    fs::write(&file, config)?;
    let mut curl = Command::new("curl");
    // -q: no config of the user's.
    curl.args([
        "-q",
        "--silent",
        "--show-error",
        "--noproxy",
        "*",
        "--parallel",
    ])
    .args(["--parallel-max", &FEEDS_AT_ONCE.to_string()])
    .arg("--config")
    .arg(file)
    .stdout(Stdio::null())
    .stderr(Stdio::null());
    Ok(curl)
}

async fn print_unchanged(
    household: &Household,
    publishers: &Publishers,
    count: u32,
) -> Outcome<()> {
    let mut curl = curl(household, publishers, count)?;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for _ in 0..TURNS {
        household.make_due().await?;
        ours.push(time(&mut household.command("refresh"))?);
        expect(publishers, [0, count as usize])?;
        theirs.push(time(&mut curl)?);
        expect(publishers, [0, count as usize])?;
    }
    let (ours, theirs) = (median(&mut ours), median(&mut theirs));
    println!(
        "  unchanged: {ours:.0} ms, curl {theirs:.0} ms, {FEEDS_AT_ONCE} at once: {:.2} (bar 1.5)",
        ours / theirs
    );
    Ok(())
}
