//! A thousand publishers on loopback, each on an address of its own, with the feeds that they list. They are
//! one server, which knows by the address that it was reached at whose feed is wanted. Measures nothing.

use std::fmt::Write;
use std::io;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use include_dir::{Dir, include_dir};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};

/// Entries that a feed lists.
pub const ENTRIES: usize = 20;

/// Those of them that are new in each further edition; as many older ones are dropped.
pub const NEW_ENTRIES: usize = 5;

/// Paragraphs of an entry: with some 60 words each, it is a newspaper's article.
const PARAGRAPHS: u64 = 8;

/// The address of the first publisher; the others follow it.
const FIRST: Ipv4Addr = Ipv4Addr::new(127, 1, 0, 0);

static TOWN: Dir = include_dir!("$CARGO_MANIFEST_DIR/service/town/articles");

/// The publishers.
pub struct Publishers {
    port: u16,
    shared: Arc<Shared>,
}

struct Shared {
    /// Paragraphs of the demo in HTML, escaped as XML wants them.
    paragraphs: Vec<String>,
    edition: AtomicUsize,
    whole: AtomicUsize,
    others: AtomicUsize,
    unchanged: AtomicUsize,
}

impl Publishers {
    /// All of them, with the first edition of each feed.
    pub async fn start() -> io::Result<Self> {
        // Linux takes every address of 127.0.0.0/8 for its own, and no listener can be bound to a range.
        // What is reached from elsewhere is closed without a word.
        let listener = TcpListener::bind((Ipv4Addr::UNSPECIFIED, 0)).await?;
        let port = listener.local_addr()?.port();
        let shared = Arc::new(Shared {
            paragraphs: paragraphs(),
            edition: AtomicUsize::new(0),
            whole: AtomicUsize::new(0),
            others: AtomicUsize::new(0),
            unchanged: AtomicUsize::new(0),
        });
        let inner = Arc::clone(&shared);
        tokio::spawn(async move {
            while let Ok((stream, asker)) = listener.accept().await {
                if asker.ip().is_loopback() {
                    let shared = Arc::clone(&inner);
                    tokio::spawn(async move { drop(serve(stream, &shared).await) });
                }
            }
        });
        Ok(Self { port, shared })
    }

    /// The address of a feed.
    pub fn address(&self, feed: u32) -> String {
        let ip = Ipv4Addr::from_bits(FIRST.to_bits() + feed);
        format!("http://{}/feed", SocketAddr::new(ip.into(), self.port))
    }

    /// The headers of a request that is answered with 304, as a command line writes them.
    pub fn conditions(&self) -> [String; 2] {
        let edition = self.shared.edition.load(Ordering::SeqCst);
        [
            format!("If-None-Match: {}", etag(edition)),
            format!("If-Modified-Since: {MODIFIED}"),
        ]
    }

    /// From now on every feed has new entries.
    pub fn next_edition(&self) {
        self.shared.edition.fetch_add(1, Ordering::SeqCst);
    }

    /// How many whole feeds, how many 304s and how many answers to anything else were sent since the last call.
    pub fn take_counts(&self) -> [usize; 3] {
        let shared = &self.shared;
        [&shared.whole, &shared.unchanged, &shared.others]
            .map(|count| count.swap(0, Ordering::SeqCst))
    }
}

/// The same for all editions: who asks goes by the ETag (RFC 9110 section 13.2.2).
const MODIFIED: &str = "Mon, 31 Mar 2025 12:00:00 GMT";

fn etag(edition: usize) -> String {
    format!("\"edition-{edition}\"")
}

/// Answers one request after another, as servers do that keep their connections.
async fn serve(mut stream: TcpStream, shared: &Shared) -> io::Result<()> {
    stream.set_nodelay(true)?;
    let IpAddr::V4(reached) = stream.local_addr()?.ip() else {
        return Ok(());
    };
    let feed = reached.to_bits().wrapping_sub(FIRST.to_bits());
    let mut head = Vec::new();
    loop {
        head.clear();
        while !head.ends_with(b"\r\n\r\n") {
            if stream.read_buf(&mut head).await? == 0 {
                return Ok(());
            }
        }
        let answer = shared.answer(&String::from_utf8_lossy(&head), feed);
        stream.write_all(answer.as_bytes()).await?;
    }
}

impl Shared {
    fn answer(&self, head: &str, feed: u32) -> String {
        if !head.starts_with("GET /feed ") {
            self.others.fetch_add(1, Ordering::SeqCst);
            return "HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\n\r\n".to_owned();
        }
        let edition = self.edition.load(Ordering::SeqCst);
        let etag = etag(edition);
        let conditional = head.lines().any(|line| {
            let header = line.split_once(": ");
            header.is_some_and(|(name, value)| {
                name.eq_ignore_ascii_case("if-none-match") && value == etag
            })
        });
        let validators = format!("ETag: {etag}\r\nLast-Modified: {MODIFIED}\r\n");
        if conditional {
            self.unchanged.fetch_add(1, Ordering::SeqCst);
            return format!("HTTP/1.1 304 Not Modified\r\n{validators}\r\n");
        }
        self.whole.fetch_add(1, Ordering::SeqCst);
        let body = self.feed(feed, edition);
        format!(
            "HTTP/1.1 200 OK\r\nContent-Type: application/atom+xml\r\n{validators}Content-Length: {}\r\n\r\n{body}",
            body.len()
        )
    }

    /// An Atom feed (RFC 4287), the newest entry first.
    fn feed(&self, feed: u32, edition: usize) -> String {
        let mut text = format!(
            "<?xml version=\"1.0\" encoding=\"utf-8\"?><feed xmlns=\"http://www.w3.org/2005/Atom\" \
             xml:lang=\"en\"><id>urn:example:{feed}</id><title>Kestrel Quay Sheet {feed}</title>\
             <updated>2025-03-31T12:00:00Z</updated>"
        );
        let first = edition * NEW_ENTRIES;
        for entry in (first..first + ENTRIES).rev() {
            // Days of a month and hours of a day, so that the index has to sort.
            let (day, hour) = (1 + entry % 28, (feed as usize * 7 + entry) % 24);
            // Writing into a string cannot fail.
            let _ = write!(
                text,
                "<entry><id>urn:example:{feed}:{entry}</id><title>Sheet {feed}, piece {entry}</title>\
                 <link href=\"https://sheet-{feed}.example/{entry}\"/>\
                 <updated>2025-03-{day:02}T{hour:02}:00:00Z</updated><content type=\"html\">"
            );
            for place in 0..PARAGRAPHS {
                let mixed = mixed((u64::from(feed) << 32) + ((entry as u64) << 8) + place);
                text += &self.paragraphs[mixed as usize % self.paragraphs.len()];
            }
            text += "</content></entry>";
        }
        text + "</feed>"
    }
}

/// The paragraphs of the demo's articles, with their markup.
fn paragraphs() -> Vec<String> {
    let files = TOWN.files().filter_map(|file| file.contents_utf8());
    let lines = files.flat_map(str::lines);
    lines
        // Short ones are captions and cries; an entry of these alone would pass for a teaser.
        .filter(|line| line.starts_with("<p>") && line.ends_with("</p>") && line.len() > 200)
        .map(|line| line.replace('&', "&amp;").replace('<', "&lt;"))
        .collect()
}

/// A number that looks drawn by chance: the finaliser of SplitMix64 (Steele, Lea and Flood, "Fast Splittable
/// Pseudorandom Number Generators", 2014; its constants from memory). The numbers themselves are the seed.
fn mixed(number: u64) -> u64 {
    let number = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let number = (number ^ (number >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let number = (number ^ (number >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    (number ^ (number >> 31)) >> 16
}
