//! The standards' worked examples, gathered over HTTP from loopback under a clock that stands: what each says
//! must come of it is what is stored, or when the feed is asked again.

use tondo::config::{FullText, Subscription};

use super::house::{House, subscription};
use super::publisher::{Publisher, Reply};

/// A household that follows one feed, which is answered so.
async fn following(reply: Reply) -> (Publisher, House) {
    let publisher = Publisher::start().await;
    publisher.set("/feed", reply);
    let feed = Subscription {
        full_text: FullText::Never,
        ..subscription(&publisher.address("/feed"))
    };
    let house = House::open(vec![feed]).await;
    (publisher, house)
}

fn rss(items: &str) -> Reply {
    Reply::of(
        "application/rss+xml",
        format!("<rss version='2.0'><channel><title>Examples</title>{items}</channel></rss>"),
    )
}

#[tokio::test]
async fn the_sample_of_rfc_4287_is_read() {
    // RFC 4287, section 1.1.
    let feed = r#"<?xml version="1.0" encoding="utf-8"?>
        <feed xmlns="http://www.w3.org/2005/Atom">
          <title>Example Feed</title>
          <link href="http://example.org/"/>
          <updated>2003-12-13T18:30:02Z</updated>
          <author><name>John Doe</name></author>
          <id>urn:uuid:60a76c80-d399-11d9-b93C-0003939e0af6</id>
          <entry>
            <title>Atom-Powered Robots Run Amok</title>
            <link href="http://example.org/2003/12/13/atom03"/>
            <id>urn:uuid:1225c695-cfb8-4ebb-aaaa-80da344efa6a</id>
            <updated>2003-12-13T18:30:02Z</updated>
            <summary>Some text.</summary>
          </entry>
        </feed>"#;
    let (_publisher, house) = following(Reply::atom(feed)).await;
    assert_eq!(house.pass().await[0].added, 1);
    let article = house.articles().await.remove(0);
    assert_eq!(article.feed_title, "Example Feed");
    assert_eq!(article.title, "Atom-Powered Robots Run Amok");
    assert_eq!(article.published.as_second(), 1_071_340_202);
    let address = article.address.as_deref();
    assert_eq!(address, Some("http://example.org/2003/12/13/atom03"));
}

#[tokio::test]
async fn dates_are_the_instants_that_the_standards_give() {
    // RSS 2.0 (its samples), RFC 9110 section 5.6.7, RFC 4287 section 3.3, RFC 3339 section 5.8, JSON Feed 1.1.
    // The seconds were reckoned with a second program.
    let of_rss = [
        ("Sat, 07 Sep 2002 00:00:01 GMT", 1_031_356_801),
        ("Sat, 07 Sep 2002 09:42:31 EST", 1_031_409_751),
        ("Sun, 06 Nov 1994 08:49:37 GMT", 784_111_777),
    ];
    let of_atom = [
        ("2003-12-13T18:30:02.25+01:00", 1_071_336_602),
        ("1996-12-19T16:39:57-08:00", 851_042_397),
        ("2010-02-07T14:04:00-05:00", 1_265_569_440),
    ];
    let items = of_rss.map(|(date, _)| {
        format!("<item><guid isPermaLink='false'>{date}</guid><title>{date}</title><pubDate>{date}</pubDate><description>Text.</description></item>")
    });
    check_dates(rss(&items.concat()), &of_rss).await;
    let entries = of_atom.map(|(date, _)| {
        format!("<entry><id>urn:{date}</id><title>{date}</title><updated>{date}</updated><summary>Text.</summary></entry>")
    });
    let feed = format!(
        "<feed xmlns='http://www.w3.org/2005/Atom'><id>urn:examples</id><title>Examples</title>{}</feed>",
        entries.concat()
    );
    check_dates(Reply::atom(feed), &of_atom).await;
    let items = of_atom.map(|(date, _)| {
        format!(r#"{{"id": "{date}", "title": "{date}", "content_text": "Text.", "date_published": "{date}"}}"#)
    });
    let feed = format!(
        r#"{{"version": "https://jsonfeed.org/version/1.1", "title": "Examples", "items": [{}]}}"#,
        items.join(", ")
    );
    check_dates(Reply::of("application/feed+json", feed), &of_atom).await;
}

async fn check_dates(reply: Reply, expected: &[(&str, i64)]) {
    let (_publisher, house) = following(reply).await;
    house.pass().await;
    let articles = house.articles().await;
    assert_eq!(articles.len(), expected.len());
    for (date, seconds) in expected {
        let article = articles.iter().find(|article| article.title == *date);
        let published = article.expect("an article").published;
        assert_eq!(published.as_second(), *seconds, "{date}");
    }
}

#[tokio::test]
async fn relative_addresses_are_resolved_against_the_innermost_base() {
    // The samples of the XML Base recommendation (2nd edition, section 1), and RFC 3986, section 5.4.
    for (bases, reference, expected) in [
        (
            ["http://example.org/today/", ""],
            "new.xml",
            "http://example.org/today/new.xml",
        ),
        (
            ["http://example.org/today/", "/hotpicks/"],
            "pick1.xml",
            "http://example.org/hotpicks/pick1.xml",
        ),
        (["http://a/b/c/d;p?q", ""], "../g", "http://a/b/g"),
        (["http://a/b/c/d;p?q", ""], "../../../g", "http://a/g"),
        (["http://a/b/c/d;p?q", ""], "?y", "http://a/b/c/d;p?y"),
        (["http://a/b/c/d;p?q", ""], "g;x=1/../y", "http://a/b/c/y"),
        (["http://a/b/c/d;p?q", ""], "//g", "http://g/"),
    ] {
        let [outer, inner] = bases;
        let inner = if inner.is_empty() {
            String::new()
        } else {
            format!(" xml:base='{inner}'")
        };
        let feed = format!(
            "<feed xmlns='http://www.w3.org/2005/Atom' xml:base='{outer}'><id>urn:f</id><title>Examples</title>\
             <entry{inner}><id>urn:e</id><title>Pick</title><updated>2003-12-13T18:30:02Z</updated>\
             <link href='{reference}'/><content type='html'>See &lt;a href='{reference}'&gt;this&lt;/a&gt;.</content>\
             </entry></feed>"
        );
        let (_publisher, house) = following(Reply::atom(feed)).await;
        house.pass().await;
        let article = house.articles().await.remove(0);
        assert_eq!(article.address.as_deref(), Some(expected), "{reference}");
        let link = article.links.first().map(|link| link.address.as_str());
        assert_eq!(link, Some(expected), "in the text: {reference}");
    }
}

#[tokio::test]
async fn the_hours_to_skip_are_skipped() {
    // RSS 2.0: ttl counts minutes, and of skipHours 0 is the hour from midnight GMT: a feed with ttl 60 that
    // skips the hours 0 to 5 and is fetched at 23:30 is asked next at 06:00, not at 00:30.
    let hours: String = (0..=5).map(|hour| format!("<hour>{hour}</hour>")).collect();
    let item = "<item><guid isPermaLink='false'>a</guid><title>Tide</title><pubDate>Tue, 01 Apr 2031 05:00:00 GMT</pubDate></item>";
    let feed = rss(&format!(
        "<ttl>60</ttl><skipHours>{hours}</skipHours>{item}"
    ));
    let (publisher, house) = following(feed.with("ETag", "\"1\"")).await;
    // The minutes from the clock's start, at 06:00, to the same time of the day after.
    let next_morning = 24 * 60;
    let mut asked_at = Vec::new();
    let mut minute = 0;
    // From 06:00 to 23:30, then each quarter of an hour until 07:00.
    for next in [0, 17 * 60 + 30]
        .into_iter()
        .chain((17 * 60 + 45..=next_morning + 60).step_by(15))
    {
        house.pass_time(next - minute);
        minute = next;
        house.pass().await;
        if !publisher.take_asked().is_empty() {
            asked_at.push(minute);
        }
    }
    // Feeds are spread: up to half an hour is added to what they ask for.
    assert_eq!(asked_at[..2], [0, 17 * 60 + 30]);
    assert!(
        (next_morning..=next_morning + 30).contains(&asked_at[2]),
        "{asked_at:?}"
    );
}

#[tokio::test]
async fn an_answer_is_fresh_for_as_long_as_its_strictest_rule_says() {
    // RFC 9111, section 4.2.1: max-age stands before Expires, and Expires counts from Date.
    let date = ("Date", "Tue, 01 Apr 2031 06:00:00 GMT");
    let expires = ("Expires", "Tue, 01 Apr 2031 14:00:00 GMT");
    for (headers, hours) in [
        (vec![("Cache-Control", "max-age=14400"), date, expires], 4),
        (vec![date, expires], 8),
        (vec![], 1),
    ] {
        let item = "<item><guid isPermaLink='false'>a</guid><title>Tide</title><pubDate>Tue, 01 Apr 2031 05:00:00 GMT</pubDate></item>";
        let mut reply = rss(item).with("ETag", "\"1\"");
        for (name, value) in headers {
            reply = reply.with(name, value);
        }
        let (publisher, house) = following(reply).await;
        house.pass().await;
        publisher.take_asked();
        let asked = async || {
            house.pass().await;
            !publisher.take_asked().is_empty()
        };
        house.pass_time(hours * 60 - 1);
        assert!(!asked().await, "a minute before {hours} hours");
        // Up to a tenth of the interval, half an hour at the most, is added.
        house.pass_time(1 + 30.min(hours * 6));
        assert!(asked().await, "after {hours} hours");
    }
}

#[tokio::test]
async fn a_servers_wish_to_be_left_in_peace_is_kept() {
    // RFC 9110, section 10.2.3: Retry-After in seconds or as a date. A date that has passed asks for nothing, so
    // the usual hour after a failure counts.
    for (wish, minutes) in [
        ("10800", 180),
        ("Tue, 01 Apr 2031 10:00:00 GMT", 240),
        ("Fri, 31 Dec 1999 23:59:59 GMT", 60),
    ] {
        let (publisher, house) = following(Reply::status(503).with("Retry-After", wish)).await;
        house.pass().await;
        publisher.take_asked();
        house.pass_time(minutes - 1);
        house.pass().await;
        assert!(publisher.take_asked().is_empty(), "{wish}");
        house.pass_time(31);
        house.pass().await;
        assert_eq!(publisher.take_asked().len(), 1, "{wish}");
    }
}
