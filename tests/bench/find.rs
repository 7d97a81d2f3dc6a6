//! How long a search takes among 10,000 articles, beside a plain page of the index in the same run.
//!
//! `cargo bench --bench find` stores articles whose paragraphs are those of the demo's, drawn by chance, each with some
//! words that hardly another one has, and prints what a search adds to an article on the disk, the median of
//! searches in the store, and that of the pages that show what they find, over loopback, with its ratio to a page of
//! the index that is asked for in turn. Some words are in most articles, some in few, some in none.
//!
//! Without `--bench`, as `cargo test` runs it, it only tries itself on 200 articles.

#![expect(clippy::print_stdout, reason = "a bench prints what it measured")]

mod town;

use std::env;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};
use reqwest::Client;
use sqlx::ConnectOptions;
use sqlx::sqlite::SqliteConnectOptions;
use tokio::net::TcpListener;
use tokio_util::sync::CancellationToken;
use tondo::address::Policy;
use tondo::clock::Clock;
use tondo::config::Shelves;
use tondo::distil::{Article, DISTILLER_VERSION, Source};
use tondo::fetch::{Fetcher, Limits};
use tondo::pool::Pool;
use tondo::refresh::Conductor;
use tondo::store::{
    DATABASE_NAME, Distilled, FoundEntry, Hints, Listed, Outcome as Body, Sought, Standing, Store,
    Validators,
};
use tondo::web::{Settings, Web};
use url::Url;

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

/// Feeds, each with the same share of the articles.
const FEEDS: usize = 40;

/// Searches that are timed.
const SEARCHES: usize = 301;

/// The bar of the median in the store, in milliseconds.
const MOST_MS: f64 = 20.0;

/// Numbers as if by chance: the same in each run (xorshift64, Marsaglia 2003).
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % end as u64).unwrap_or(0)
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }

    /// A word that hardly another article has.
    fn name(&mut self) -> String {
        let syllables = 2 + self.below(3);
        (0..syllables)
            .flat_map(|_| [*self.pick(b"bdfghklmnprstvw"), *self.pick(b"aeiou")])
            .map(char::from)
            .collect()
    }
}

#[tokio::main]
async fn main() -> Outcome<()> {
    let measures = env::args().any(|word| word == "--bench");
    let (articles, searches) = if measures {
        (10_000, SEARCHES)
    } else {
        (200, 11)
    };
    let folder = tempfile::tempdir()?;
    let now: Timestamp = "2031-04-01T06:00:00Z".parse()?;
    let clock = Clock::fixed(now);
    let store = Store::open(folder.path(), &clock).await?;
    let mut chance = Chance(7);
    let texts = town::english();
    let words = fill(&store, &texts, articles, &mut chance, now).await?;
    store.shrink_file().await?;
    print_sizes(folder.path(), articles, words).await?;
    let queries: Vec<String> = (0..searches).map(|_| query(&texts, &mut chance)).collect();
    print_store(&store, &queries).await?;
    print_pages(&store, clock, &queries).await
}

/// Stores so many articles and tells how many words they have.
async fn fill(
    store: &Store,
    texts: &[Article],
    articles: usize,
    chance: &mut Chance,
    now: Timestamp,
) -> Outcome<usize> {
    let listed = (0..FEEDS).map(|feed| Listed {
        address: format!("https://{feed}.example/feed"),
        title: Some(format!("Kestrel Gazette {feed}")),
        group: None,
    });
    store.subscribe(&listed.collect::<Vec<_>>(), now).await?;
    let mut words = 0;
    for (place, feed) in store.scheduled_feeds().await?.iter().enumerate() {
        let mut entries = Vec::new();
        for number in (place..articles).step_by(FEEDS) {
            let article = article(texts, chance);
            words += town::words(&article.blocks);
            entries.push(entry(number, &article, now)?);
        }
        store.save(feed.id, &body(entries, now)).await?;
    }
    Ok(words)
}

/// An article of 80 to 1,500 words.
fn article(texts: &[Article], chance: &mut Chance) -> Article {
    let wanted = *chance.pick(&[80, 200, 400, 600, 800, 1_500]);
    let mut article = chance.pick(texts).clone();
    article.blocks.truncate(1);
    while town::words(&article.blocks) < wanted {
        let other = chance.pick(texts);
        article.blocks.push(chance.pick(&other.blocks).clone());
    }
    let names: Vec<String> = (0..5).map(|_| chance.name()).collect();
    if let Some(run) = article.blocks[0].runs.first_mut() {
        run.text.push(' ');
        run.text.push_str(&names.join(" "));
    }
    let first = article.blocks[chance.below(article.blocks.len())].text();
    article.title = first
        .split_whitespace()
        .take(6)
        .collect::<Vec<_>>()
        .join(" ");
    article.links.clear();
    for run in article.blocks.iter_mut().flat_map(|block| &mut block.runs) {
        run.link = None;
    }
    article
}

fn entry(number: usize, article: &Article, now: Timestamp) -> Outcome<FoundEntry> {
    let base = Url::parse("https://kestrel.example/feed")?;
    Ok(FoundEntry {
        identity: number.to_string(),
        link: None,
        title: None,
        published: Some(now - i64::try_from(number)?.minutes()),
        fingerprint: None,
        attempts: 0,
        distilled: Some(Distilled::new(
            article,
            &Source::blank(base),
            DISTILLER_VERSION,
        )?),
    })
}

fn body(entries: Vec<FoundEntry>, now: Timestamp) -> Body {
    Body {
        at: now,
        status: 200,
        body_bytes: 1,
        feed_title: None,
        standing: Standing {
            next_due: now,
            moved_address: None,
            validators: Validators::default(),
            body_hash: None,
            reading: None,
            hints: Hints::default(),
        },
        entries,
    }
}

/// One to three words of the demo's texts, the last cut short at times, or a name that few articles have.
fn query(texts: &[Article], chance: &mut Chance) -> String {
    let wanted = 1 + chance.below(3);
    let mut picked = Vec::new();
    while picked.len() < wanted {
        let other = chance.pick(texts);
        let text = chance.pick(&other.blocks).text();
        let is_word = |word: &&str| word.contains(char::is_alphanumeric);
        let words: Vec<&str> = text.split_whitespace().filter(is_word).collect();
        if let Some(word) = words.get(chance.below(words.len().max(1))) {
            picked.push((*word).to_owned());
        }
    }
    if chance.below(4) == 0 {
        picked = vec![chance.name()];
    }
    if chance.below(2) == 0
        && let Some(last) = picked.last_mut()
    {
        *last = last.chars().take(4).collect();
    }
    picked.join(" ")
}

async fn search(store: &Store, query: &str) -> Outcome<(Duration, usize)> {
    let sought = Sought::parse(query).map_err(|why| format!("{query}: {why:?}"))?;
    let start = Instant::now();
    let found = store.find(&sought).await?;
    Ok((start.elapsed(), found.entries.len()))
}

/// In milliseconds.
fn median(mut times: Vec<Duration>) -> f64 {
    times.sort();
    1e3 * times[times.len() / 2].as_secs_f64()
}

/// What the index of words takes on the disk, beside the whole database.
async fn print_sizes(folder: &Path, articles: usize, words: usize) -> Outcome<()> {
    let path = folder.join(DATABASE_NAME);
    let whole = fs::metadata(&path)?.len();
    let mut database = SqliteConnectOptions::new().filename(path).connect().await?;
    let (index,) = sqlx::query_as::<_, (i64,)>(
        "SELECT (SELECT sum(length(block)) FROM find_data) + (SELECT sum(length(sz)) FROM find_docsize)",
    )
    .fetch_one(&mut database)
    .await?;
    let each = |bytes: f64| bytes / articles as f64;
    println!(
        "{articles} articles of {:.0} words; the index of words takes {:.0} bytes an article, of {:.0} in all",
        each(words as f64),
        each(index as f64),
        each(whole as f64),
    );
    Ok(())
}

async fn print_store(store: &Store, queries: &[String]) -> Outcome<()> {
    let mut times = Vec::new();
    let mut found = 0;
    for query in queries {
        let (took, count) = search(store, query).await?;
        times.push(took);
        found += usize::from(count > 0);
    }
    println!(
        "in the store: {:.2} ms, the median of {} searches (bar {MOST_MS:.0}), of which {found} found something",
        median(times),
        queries.len(),
    );
    for query in ["har", "the", "the harbour", "the and of"] {
        let (took, found) = search(store, query).await?;
        println!(
            "  “{query}”: {:.1} ms, {found} shown",
            1e3 * took.as_secs_f64()
        );
    }
    Ok(())
}

/// The pages over loopback: what is found, and in turn a page of the index.
async fn print_pages(store: &Store, clock: Clock, queries: &[String]) -> Outcome<()> {
    let settings = Settings {
        time_zone: TimeZone::UTC,
        screen: "round-10".parse()?,
        hosts: Vec::new(),
        read_entries: tondo::config::ReadEntries::Dimmed,
    };
    let conductor = Conductor::new(
        store.clone(),
        Fetcher::new(Policy::default(), Limits::default())?,
        Pool::new(1),
        clock.clone(),
        Vec::new(),
        Shelves::default(),
    );
    let web = Web::new(store.clone(), conductor, Pool::new(2), clock, settings)?;
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let address = format!("http://{}/round-10/", listener.local_addr()?);
    let stop = CancellationToken::new();
    let _stop = stop.clone().drop_guard();
    tokio::spawn(web.serve(listener, stop));
    let client = Client::builder().no_proxy().build()?;
    let ask = async |address: Url| -> Outcome<Duration> {
        let start = Instant::now();
        client
            .get(address)
            .send()
            .await?
            .error_for_status()?
            .bytes()
            .await?;
        Ok(start.elapsed())
    };
    ask(Url::parse(&address)?).await?;
    let (mut found, mut index) = (Vec::new(), Vec::new());
    for query in queries {
        found.push(
            ask(Url::parse_with_params(
                &format!("{address}find"),
                [("q", query)],
            )?)
            .await?,
        );
        index.push(ask(Url::parse(&address)?).await?);
    }
    let (found, index) = (median(found), median(index));
    println!(
        "as pages: what is found {found:.1} ms, the index {index:.1} ms: {:.2}",
        found / index
    );
    Ok(())
}
