//! What a feed can cost in memory: the program reads each of the shapes that a hostile publisher may send, in
//! a process of its own, and the most that this ever held is asked of the system.

use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Write as _};
use std::process::{Child, Command, Stdio};

use flate2::Compression;
use flate2::write::GzEncoder;

use super::commands::folder_with;
use super::publisher::{Publisher, Reply};

/// The bytes of a body as it is sent, and as it is unpacked, that are still read: a little less than the caps
/// of `Limits`.
const SENT: usize = (8 << 20) - 1_000;
const UNPACKED: usize = (16 << 20) - 1_000;

/// The most memory, in KiB, that a process may have held. Measured in a debug build: 155 MiB at the most, of
/// one text or one title that fills the body; 141 MiB where all of it is ampersands or tags; 116 MiB for
/// 150,000 files of one entry; 52 MiB for what is refused.
const MOST_KIB: u64 = 256 << 10;

/// The shapes that are tried each time; `MEMORY_SHAPES=all` tries the others as well, which takes minutes.
const QUICK: [&str; 8] = [
    "nested",
    "one text, packed",
    "ampersands, packed",
    "document types",
    "attributes of many",
    "files",
    "items of JSON",
    "bomb",
];

fn packed(body: &str) -> Reply {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(body.as_bytes()).expect("memory takes it");
    let bytes = encoder.finish().expect("memory takes it");
    Reply::of("application/rss+xml", bytes).with("Content-Encoding", "gzip")
}

/// A feed with one item, of a piece again and again, up to so many bytes.
fn filled(size: usize, before: &str, piece: &str, after: &str) -> String {
    let start = format!("<rss version=\"2.0\"><channel><title>Post</title><item>{before}");
    let end = format!("{after}</item></channel></rss>");
    start.clone() + &piece.repeat((size - start.len() - end.len()) / piece.len()) + &end
}

fn numbered(size: usize, before: &str, after: &str, piece: impl Fn(usize) -> String) -> String {
    let mut feed = format!("<rss version=\"2.0\"><channel><title>Post</title>{before}");
    for number in 0.. {
        if feed.len() + 200 > size {
            break;
        }
        feed += &piece(number);
    }
    feed + after + "</channel></rss>"
}

fn json(items: &str) -> String {
    format!(
        "{{\"version\":\"https://jsonfeed.org/version/1.1\",\"title\":\"Post\",\"items\":[{items}]}}"
    )
}

/// The shapes by name.
fn shapes() -> Vec<(&'static str, Reply)> {
    let (text, end) = ("<description>", "</description>");
    let rss = |body: String| Reply::of("application/rss+xml", body);
    let attributes = |count: usize| {
        (0..count).fold(String::new(), |mut all, number| {
            let _ = write!(all, " a{number}=\"1\"");
            all
        })
    };
    vec![
        ("nested", rss(filled(SENT, "", "<a>", ""))),
        ("bold", rss(filled(SENT, text, "<b>x", end))),
        ("bold, packed", packed(&filled(UNPACKED, text, "<b>x", end))),
        (
            "escaped bold, packed",
            packed(&filled(UNPACKED, text, "&lt;b>x", end)),
        ),
        (
            "one text, packed",
            packed(&filled(UNPACKED, text, "x", end)),
        ),
        (
            "a title, packed",
            packed(&filled(UNPACKED, "<title>", "x ", "</title>")),
        ),
        (
            "ampersands, packed",
            packed(&filled(UNPACKED, text, "&", end)),
        ),
        ("entities", rss(filled(SENT, text, "&amp;", end))),
        (
            "names of entities",
            rss(numbered(
                SENT,
                "<item><description>",
                "</description></item>",
                |n| format!("&e{n};"),
            )),
        ),
        ("document types", rss(filled(SENT, "", "<!a>", ""))),
        (
            "attributes of one",
            rss(format!(
                "<rss version=\"2.0\"><channel><item{}/></channel></rss>",
                attributes(600_000)
            )),
        ),
        (
            "attributes of many",
            rss(filled(SENT, "", &format!("<a{}/>", attributes(64)), "")),
        ),
        ("items", rss(filled(SENT, "", "</item><item>", ""))),
        (
            "files",
            rss(numbered(SENT, "<item>", "</item>", |n| {
                format!("<enclosure url=\"https://quay.example.org/{n}\"/>")
            })),
        ),
        (
            "media",
            rss(numbered(SENT, "<item>", "</item>", |n| {
                format!("<media:content url=\"https://quay.example.org/{n}\"/>")
            })),
        ),
        (
            "authors",
            rss(filled(SENT, "", "<dc:creator>a</dc:creator>", "")),
        ),
        (
            "items of JSON",
            Reply::of("application/feed+json", json(&"{},".repeat(SENT / 4))),
        ),
        (
            "numbers of JSON",
            Reply::of(
                "application/feed+json",
                json(&format!("{{\"x\":[{}0]}}", "0,".repeat(200_000))),
            ),
        ),
        (
            "a text of JSON",
            Reply::of(
                "application/feed+json",
                json(&format!(
                    "{{\"id\":\"1\",\"content_html\":\"{}\"}}",
                    "<b>x".repeat(SENT / 4 - 100)
                )),
            ),
        ),
        ("bomb", packed(&" ".repeat(256 << 20))),
    ]
}

/// A process that refreshes; it ends with this.
struct Refreshing(Child);

impl Drop for Refreshing {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// What the program says of a feed, and the most memory in KiB that it had held by then. A second feed, which
/// never answers, keeps the process from ending before it is looked at.
fn read_in_a_process(config: &std::path::Path) -> (String, u64) {
    let child = Command::new(env!("CARGO_BIN_EXE_tondo"))
        .args(["refresh", "--config", &config.display().to_string()])
        .env_remove("TONDO_LOG")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut refreshing = Refreshing(child);
    let said = refreshing.0.stderr.take().expect("a pipe");
    let line = BufReader::new(said).lines().next();
    let line = line.expect("a line of the feed").expect("UTF-8");
    let status = std::fs::read_to_string(format!("/proc/{}/status", refreshing.0.id()));
    let status = status.expect("the process is there still");
    let peak = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .expect("the peak of the memory that was held (Linux, proc(5))");
    let peak = peak.trim().trim_end_matches(" kB");
    (line, peak.parse().expect("a number"))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn no_feed_takes_more_memory_than_is_stated() {
    let publisher = Publisher::start().await;
    publisher.set("/mute", Reply::Silence);
    let all = std::env::var("MEMORY_SHAPES").is_ok_and(|shapes| shapes == "all");
    let mut table = String::new();
    let mut worst = 0;
    for (name, reply) in shapes() {
        if !all && !QUICK.contains(&name) {
            continue;
        }
        publisher.set("/feed", reply);
        // One request a host at a time: the mute feed has another name of the same host.
        let mut mute = publisher.address("/mute");
        mute.set_host(Some("localhost")).expect("a host");
        let config = format!(
            "[gather]\nallow_private = [\"127.0.0.1\", \"localhost\"]\n[[feed]]\nurl = \"{}\"\n\
             [[feed]]\nurl = \"{mute}\"\n",
            publisher.address("/feed"),
        );
        let (_folder, file) = folder_with("tondo.toml", &config);
        let work = tokio::task::spawn_blocking(move || read_in_a_process(&file));
        let (said, peak) = work.await.expect("no panic");
        table += &format!("{name}: {} MiB, {said}\n", peak >> 10);
        assert!(
            !said.contains("/mute"),
            "it took as long as the mute one: {table}"
        );
        worst = worst.max(peak);
    }
    show(&table);
    assert!(worst <= MOST_KIB, "{table}");
}

/// Prints what was measured.
#[expect(
    clippy::print_stdout,
    reason = "figures of a test, shown by --nocapture"
)]
fn show(table: &str) {
    println!("{table}");
}
