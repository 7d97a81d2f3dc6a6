//! Feeds that are well formed and hold odd things: what can be kept of them is kept, and every page
//! of it can be shown at every size and harms nobody.

use reqwest::StatusCode;
use tondo::config::{FullText, Subscription};
use tondo::distil::block::Block;
use tondo::refresh::FeedReport;
use tondo::store::StoredArticle;

use super::house::{A_DAY, House, SCREENS, subscription};
use super::page::{check_harmless, rows, running_words};
use super::publisher::{Publisher, Reply, Written, atom};

/// How deep a hostile document nests.
const DEEP: usize = 100_000;

/// What a household made of feeds, and what it said of them.
struct Read {
    house: House,
    reports: Vec<FeedReport>,
}

/// Reads one feed of this body.
async fn read(kind: &str, body: &str, rule: FullText, page: Option<String>) -> Read {
    let publisher = Publisher::start().await;
    publisher.set(
        "/feed",
        Reply::of(
            kind,
            body.replace("{base}", publisher.address("/").as_str()),
        ),
    );
    if let Some(page) = page {
        publisher.set("/page/odd", Reply::html(page));
    }
    let house = House::open(vec![Subscription {
        full_text: rule,
        ..subscription(&publisher.address("/feed"))
    }])
    .await;
    let reports = house.pass().await;
    Read { house, reports }
}

/// Reads an Atom feed of one entry whose content is this HTML.
async fn read_content(content: &str) -> Read {
    let base = "http://kestrel-quay.example.org/"
        .parse()
        .expect("an address");
    let body = atom(&base, "gazette", &[Written::new("odd", content)]);
    read("application/atom+xml", &body, FullText::Never, None).await
}

impl Read {
    /// Checks that the feed was read without a fault, gave so many articles, and that every page of
    /// them is shown whole and harmless at every size. Gives back the articles.
    async fn check(&self, articles: usize) -> Vec<StoredArticle> {
        let report = &self.reports[0];
        assert_eq!(report.fault, None);
        let found = self.house.articles().await;
        assert_eq!(found.len(), articles, "{:?}", report.warnings);
        for screen in SCREENS {
            self.check_page(&format!("/{screen}/")).await;
            for article in &found {
                let path = format!("/{screen}/{}", article.entry);
                let html = self.check_page(&path).await;
                let wanted: String = article.blocks.iter().map(Block::text).collect();
                // A word that fills more than a disc is divided between them.
                let found: String = running_words(&html).concat();
                let wanted: String = wanted.split_whitespace().collect();
                assert!(found == wanted, "{path}: other words than those stored");
                self.check_page(&format!("{path}/links")).await;
            }
        }
        found
    }

    async fn check_page(&self, path: &str) -> String {
        let answer = self.house.get(path).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}");
        let html = answer.text();
        check_harmless(&html, path);
        html
    }

    fn warnings(&self) -> String {
        self.reports[0].warnings.join("\n")
    }
}

fn text(article: &StoredArticle) -> String {
    let blocks: Vec<String> = article.blocks.iter().map(Block::text).collect();
    blocks.join("\n")
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn content_that_nests_without_end_keeps_its_words_or_says_that_it_does_not() {
    let well = "The bottom of the well.";
    for name in ["div", "b", "blockquote", "ul><li", "table><tr><td"] {
        let content = format!("<p>The rim.</p>{}{well}", format!("<{name}>").repeat(DEEP));
        let read = read_content(&content).await;
        let articles = read.check(1).await;
        let text = text(&articles[0]);
        assert!(text.contains("The rim."), "{name}: {text}");
        let told = read.warnings().contains("its end may be missing");
        assert_ne!(
            text.contains(well),
            told,
            "{name}: {text} {}",
            read.warnings()
        );
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_linked_page_that_nests_without_end_costs_no_more_than_its_article() {
    let paragraph = "<p>The ferry came in with the tide, and the harbour master wrote it down, in \
                     ink, with the hour and the state of the wind, as he had each one before.</p>";
    let page = format!(
        "<!DOCTYPE html><html lang=en><title>Odd</title><body><article>{}</article>{}",
        paragraph.repeat(8),
        "<div>".repeat(DEEP)
    );
    let body = atom(
        &"http://base.invalid/".parse().expect("an address"),
        "gazette",
        &[Written::new("odd", "<p>A teaser.</p>")],
    );
    let body = body.replace("http://base.invalid/", "{base}");
    let read = read("application/atom+xml", &body, FullText::Always, Some(page)).await;
    let articles = read.check(1).await;
    let text = text(&articles[0]);
    assert_eq!(text.matches("harbour master").count(), 8, "{text}");
}

#[tokio::test]
async fn entries_that_lack_what_they_should_have_are_kept_and_told() {
    let items = "<item><guid>1</guid><title>No link</title><description>Ebb one.</description></item>\
                 <item><link>{base}a</link><title>No id</title><description>Ebb two.</description></item>\
                 <item><link>{base}b</link><description>Ebb three.</description></item>\
                 <item><description>Ebb four.</description></item>\
                 <item><guid>5</guid><title>No text</title></item>\
                 <item><guid>6</guid><title>No such day</title><pubDate>Someday</pubDate>\
                 <description>Ebb six.</description></item>";
    let body =
        format!("<rss version=\"2.0\"><channel><title>gazette</title>{items}</channel></rss>");
    let read = read("application/rss+xml", &body, FullText::Never, None).await;
    // One that has a description alone, as RSS 2.0 allows, is known again by what it says.
    let articles = read.check(6).await;
    for article in &articles {
        assert!(!article.title.trim().is_empty(), "{article:?}");
        // Without a date of its own an entry counts from when it was first seen.
        assert_eq!(article.published, super::house::start());
    }
    for lacks in [
        "entry 1 has no link",
        "entry 2 has no id",
        "entry 3 has no id, no title",
        "entry 4 has no id, no link, no title, no date",
        "entry 6 has no link, no date",
    ] {
        assert!(
            read.warnings().contains(lacks),
            "{lacks}: {}",
            read.warnings()
        );
    }
    // The same feed once more adds nothing, though not all of its entries have an id.
    read.house.pass_time(A_DAY);
    let again = read.house.pass().await;
    assert_eq!((again[0].added, again[0].changed), (0, 0));
}

#[tokio::test]
async fn entities_that_stand_for_others_are_not_multiplied() {
    let mut body = String::from("<?xml version=\"1.0\"?><!DOCTYPE rss [<!ENTITY e0 \"ebb\">");
    for level in 1..=9 {
        let inner = format!("&e{};", level - 1).repeat(10);
        body += &format!("<!ENTITY e{level} \"{inner}\">");
    }
    body += "]><rss version=\"2.0\"><channel><title>&e9;</title><item><title>&e9;</title>\
             <description>&e9; came in</description></item></channel></rss>";
    let read = read("application/rss+xml", &body, FullText::Never, None).await;
    let articles = read.check(1).await;
    assert!(
        text(&articles[0]).len() < 1_000,
        "{}",
        text(&articles[0]).len()
    );
    assert!(articles[0].title.len() < 1_000);
    assert!(articles[0].feed_title.len() < 1_000);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn scripts_that_the_typeface_lacks_are_set_all_the_same() {
    for (text, direction) in [
        ("\u{10000}\u{10001}\u{10002} \u{10003}\u{10004}", "ltr"),
        ("\u{13000}\u{13001}\u{13002}", "ltr"),
        ("\u{e000}\u{e001} \u{10ffff}", "ltr"),
        (
            "\u{6e2f}\u{306b}\u{8239}\u{304c}\u{7740}\u{3044}\u{305f}\u{3002}",
            "ltr",
        ),
        (
            "\u{645}\u{64a}\u{646}\u{627}\u{621} \u{642}\u{62f}\u{64a}\u{645}",
            "rtl",
        ),
        ("\u{7a9}\u{780}\u{7a6} \u{780}\u{7a8}", "rtl"),
        // A letter keeps four marks.
        ("e\u{301}\u{302}\u{303}\u{304} a\u{330}", "ltr"),
    ] {
        let content = format!("<p dir={direction}>{}</p>", format!("{text} ").repeat(60));
        let read = read_content(&content).await;
        let articles = read.check(1).await;
        assert!(
            articles[0].blocks[0]
                .text()
                .contains(text.split(' ').next().unwrap_or_default())
        );
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_word_of_200_000_letters_is_divided_and_set_whole() {
    let read = read_content(&format!("<p>{}</p>", "tide".repeat(50_000))).await;
    let articles = read.check(1).await;
    assert_eq!(text(&articles[0]).len(), 200_000);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn ten_thousand_paragraphs_of_a_word_are_set_whole() {
    let read = read_content(&"<p>ebb</p>".repeat(10_000)).await;
    let articles = read.check(1).await;
    assert_eq!(articles[0].blocks.len(), 10_000);
}

#[tokio::test]
async fn control_characters_and_overrides_of_direction_reach_no_page() {
    let title = "Ebb\\u202e\\u0007 and\\u001b[31m \\u2066flow\\u0000";
    let body = format!(
        "{{\"version\":\"https://jsonfeed.org/version/1.1\",\"title\":\"{title}\",\"items\":[\
         {{\"id\":\"1\",\"title\":\"{title}\",\"content_html\":\"<p>{title}</p>\"}}]}}"
    );
    let read = read("application/feed+json", &body, FullText::Never, None).await;
    let articles = read.check(1).await;
    for screen in SCREENS {
        for path in [
            format!("/{screen}/"),
            format!("/{screen}/{}", articles[0].entry),
        ] {
            let html = read.check_page(&path).await;
            let odd = html.chars().find(|character| {
                let overrides = matches!(character, '\u{202d}' | '\u{202e}');
                overrides || (character.is_control() && *character != '\n')
            });
            assert_eq!(odd, None, "{path}");
        }
    }
    let report = &read.reports[0];
    assert!(
        !report.title.contains(char::is_control),
        "{:?}",
        report.title
    );
}

#[tokio::test]
async fn scripts_frames_and_styles_stay_out_of_titles_and_texts() {
    let evil = "<script>alert(1)</script><iframe src=\"https://stranger.example.org/\"></iframe>\
                <style>*{display:none}</style><img src=x onerror=alert(1)>\
                <svg onload=alert(1)><p style=\"position:fixed\" onclick=alert(1)>Ebb</p></svg>\
                <math><mtext><style><img src=x onerror=alert(1)></style></mtext></math>\
                <form action=\"https://stranger.example.org/\"><button>Go</button></form>\
                </section></main><base href=\"https://stranger.example.org/\">\
                <meta http-equiv=refresh content=\"0;url=https://stranger.example.org/\">";
    let base = "http://kestrel-quay.example.org/"
        .parse()
        .expect("an address");
    let mut entry = Written::new("odd", &format!("<p>Before.</p>{evil}<p>After.</p>"));
    entry.title = format!("Ebb {evil} \"><script>alert(2)</script>");
    let body = atom(&base, "gazette", &[entry]);
    let title = "<title>&lt;script&gt;alert(3)&lt;/script&gt; Gazette</title>";
    let body = body.replace("<title>gazette</title>", title);
    let read = read("application/atom+xml", &body, FullText::Never, None).await;
    let articles = read.check(1).await;
    let text = text(&articles[0]);
    assert!(
        text.contains("Before.") && text.contains("After."),
        "{text}"
    );
    assert!(
        !text.contains("display:none") && !text.contains("alert"),
        "{text}"
    );
}

#[tokio::test]
async fn a_link_that_runs_something_is_no_link() {
    let content = "<p>See <a href=\"javascript:alert(1)\">one</a>, <a href=\"JaVaScRiPt:alert(1)\">two</a>, \
                   <a href=\" java\nscript:alert(1)\">three</a>, <a href=\"data:text/html,x\">four</a>, \
                   <a href=\"vbscript:x\">five</a>, <a href=\"https://tides.example.org/\">six</a>.</p>";
    let body = format!(
        "<rss version=\"2.0\"><channel><title>gazette</title><link>javascript:alert(1)</link>\
         <item><guid>1</guid><title>Odd</title><link>javascript:alert(1)</link>\
         <description><![CDATA[{content}]]></description></item></channel></rss>"
    );
    let read = read("application/rss+xml", &body, FullText::Auto, None).await;
    let articles = read.check(1).await;
    let article = &articles[0];
    let links: Vec<&str> = article
        .links
        .iter()
        .map(|link| link.address.as_str())
        .collect();
    assert_eq!(links, ["https://tides.example.org/"]);
    for path in [
        format!("/round-10/{}", article.entry),
        format!("/round-10/{}/links", article.entry),
    ] {
        for row in rows(&read.check_page(&path).await) {
            let safe = row.href.starts_with('/') || row.href.starts_with("https://");
            assert!(safe, "{path}: {row:?}");
        }
    }
}

#[tokio::test]
async fn a_title_of_five_thousand_words_is_cut_after_a_whole_one() {
    let base = "http://kestrel-quay.example.org/"
        .parse()
        .expect("an address");
    let mut entry = Written::new("odd", "<p>Low water.</p>");
    entry.title = "harbour ".repeat(5_000);
    let body = atom(&base, "gazette", &[entry]);
    let read = read("application/atom+xml", &body, FullText::Never, None).await;
    read.check(1).await;
    for screen in SCREENS {
        let html = read.check_page(&format!("/{screen}/")).await;
        let row = super::page::entry_rows(&html).remove(0);
        let title = row.text.split(" | ").next().unwrap_or_default().to_owned();
        let words: Vec<&str> = title
            .trim_end_matches('\u{2026}')
            .split_whitespace()
            .collect();
        assert!(words.len() >= 3, "{screen}: {title}");
        assert!(
            words.iter().all(|word| *word == "harbour"),
            "{screen}: {title}"
        );
    }
}
