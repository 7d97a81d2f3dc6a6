//! Feeds of the standards' samples, broken ones and hostile ones.

use super::*;

fn at(address: &str) -> Url {
    Url::parse(address).expect("an address")
}

fn read(xml: &str) -> (Feed, Vec<String>) {
    read_feed(
        xml.as_bytes(),
        None,
        &at("https://quay.example.org/feeds/all.xml"),
    )
    .expect("a feed")
}

fn rss(items: &str) -> (Feed, Vec<String>) {
    read(&format!(
        "<rss version='2.0'><channel><title>Harbour</title>{items}</channel></rss>"
    ))
}

fn error(text: &str) -> FeedError {
    read_feed(text.as_bytes(), None, &at("https://quay.example.org/")).expect_err("an error")
}

fn seconds(entry: &Entry) -> i64 {
    entry.published.expect("a date").as_second()
}

// RFC 4287, section 1.1, the first example.
const ATOM: &str = r#"<?xml version="1.0" encoding="utf-8"?>
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

#[test]
fn the_sample_of_atom() {
    let (feed, warnings) = read(ATOM);
    assert_eq!(feed.title.as_deref(), Some("Example Feed"));
    assert_eq!(feed.home, Some(at("http://example.org/")));
    let [entry] = feed.entries.as_slice() else {
        panic!("one entry")
    };
    assert_eq!(
        entry.identity,
        "urn:uuid:1225c695-cfb8-4ebb-aaaa-80da344efa6a"
    );
    assert_eq!(entry.title.as_deref(), Some("Atom-Powered Robots Run Amok"));
    assert_eq!(entry.link, Some(at("http://example.org/2003/12/13/atom03")));
    assert_eq!(seconds(entry), 1_071_340_202);
    assert_eq!(entry.summary.as_deref(), Some("<p>Some text.</p>"));
    assert_eq!(entry.content, None);
    assert_eq!(warnings, Vec::<String>::new());
}

// The structure of the RSS 2.0 specification (elements of channel and item), with facts of ours.
#[test]
fn the_elements_of_rss() {
    let (feed, warnings) = read(
        r#"<?xml version="1.0"?><rss version="2.0"><channel>
        <title>Liftoff Quay</title><link>http://liftoff.example/</link><description>d</description>
        <language>en-us</language><ttl>60</ttl>
        <item><title>Tide &amp;amp; time</title><link>http://liftoff.example/1.html</link>
        <description>How do &lt;i&gt;they&lt;/i&gt; do it?</description>
        <author>ann@quay.example (Ann Lee)</author>
        <enclosure url="http://liftoff.example/talk.mp3" length="12216320" type="audio/mpeg"/>
        <pubDate>Sat, 07 Sep 2002 00:00:01 GMT</pubDate>
        <guid>http://liftoff.example/2003/06/03.html#item573</guid></item>
        </channel></rss>"#,
    );
    assert_eq!(feed.language, Language::parse("en-us"));
    assert_eq!(feed.home, Some(at("http://liftoff.example/")));
    let [entry] = feed.entries.as_slice() else {
        panic!("one entry")
    };
    assert_eq!(entry.title.as_deref(), Some("Tide & time"));
    assert_eq!(
        entry.identity,
        "http://liftoff.example/2003/06/03.html#item573"
    );
    assert_eq!(entry.link, Some(at("http://liftoff.example/1.html")));
    assert_eq!(entry.summary.as_deref(), Some("How do <i>they</i> do it?"));
    assert_eq!(entry.authors, ["Ann Lee"]);
    assert_eq!(
        entry.enclosures,
        [Enclosure {
            address: at("http://liftoff.example/talk.mp3"),
            media_type: Some("audio/mpeg".to_owned()),
            length_bytes: Some(12_216_320),
            duration_seconds: None,
        }]
    );
    assert_eq!(warnings, Vec::<String>::new());
}

// JSON Feed 1.1, "Examples", the simple one.
#[test]
fn the_simple_example_of_json_feed() {
    let json = r#"{"version": "https://jsonfeed.org/version/1.1", "title": "My Example Feed",
        "home_page_url": "https://example.org/", "feed_url": "https://example.org/feed.json",
        "items": [{"id": "2", "content_text": "This is a second item.",
        "url": "https://example.org/second-item"}, {"id": "1",
        "content_html": "<p>Hello, world!</p>", "url": "https://example.org/initial-post"}]}"#;
    let (feed, warnings) = read(json);
    assert_eq!(feed.title.as_deref(), Some("My Example Feed"));
    assert_eq!(feed.home, Some(at("https://example.org/")));
    let identities: Vec<&str> = feed
        .entries
        .iter()
        .map(|entry| entry.identity.as_str())
        .collect();
    assert_eq!(identities, ["2", "1"]);
    assert_eq!(
        feed.entries[0].content.as_deref(),
        Some("<p>This is a second item.</p>")
    );
    assert_eq!(
        feed.entries[1].link,
        Some(at("https://example.org/initial-post"))
    );
    assert_eq!(
        warnings,
        [
            "entry 1 has no title, no date",
            "entry 2 has no title, no date"
        ]
    );
}

#[test]
fn json_feeds_are_mended() {
    let json = "\u{feff}{\"version\":\"https://jsonfeed.org/version/1\",\"title\":null,\"items\":[
        {\"id\":7,\"title\":null,\"url\":\"/seven\",\"language\":\"de\",\"content_text\":\"a < b\",
        \"author\":{\"name\":\"港（a@b.example）\"},\"tags\":3,
        \"attachments\":[{\"url\":\"talk.mp3\",\"mime_type\":\"audio/mpeg\",\"duration_in_seconds\":90.5},{}]},
        {\"id\":\" \",\"content_text\":\"discarded\"}, 5]}";
    let (feed, warnings) = read(json);
    let [entry] = feed.entries.as_slice() else {
        panic!("one entry")
    };
    assert_eq!(
        (
            entry.identity.as_str(),
            entry.title.as_ref(),
            feed.title.as_ref()
        ),
        ("7", None, None)
    );
    assert_eq!(entry.link, Some(at("https://quay.example.org/seven")));
    assert_eq!(entry.language, Language::parse("de"));
    assert_eq!(entry.content.as_deref(), Some("<p>a &lt; b</p>"));
    assert_eq!(entry.enclosures[0].duration_seconds, Some(90));
    assert_eq!(
        entry.enclosures[0].address,
        at("https://quay.example.org/feeds/talk.mp3")
    );
    assert_eq!(warnings.len(), 3, "{warnings:?}");
}

// JSON Feed 1.1, "Authors" and "Suggestions for Feed Readers": `authors` before the older `author`.
#[test]
fn json_feeds_of_either_version_name_their_authors() {
    for (version, authors, expected) in [
        ("1", r#""author":{"name":"Ann"}"#, "Ann"),
        ("1.1", r#""authors":[{"name":"Ben"}]"#, "Ben"),
        (
            "1.1",
            r#""author":{"name":"Ann"},"authors":[{"name":"Ben"}]"#,
            "Ben",
        ),
    ] {
        let json = format!(
            r#"{{"version":"https://jsonfeed.org/version/{version}","title":"t","items":[{{"id":12,{authors}}},
            {{"id":"","content_text":"discarded"}}]}}"#
        );
        let (feed, _) = read(&json);
        let [entry] = feed.entries.as_slice() else {
            panic!("one entry")
        };
        assert_eq!(
            (entry.identity.as_str(), entry.authors.as_slice()),
            ("12", &[expected.to_owned()][..])
        );
    }
}

// RFC 3986, section 5.4: base http://a/b/c/d;p?q.
#[test]
fn relative_links_are_resolved_by_the_rfc() {
    for (reference, expected) in [
        ("g", "http://a/b/c/g"),
        ("./g", "http://a/b/c/g"),
        ("g/", "http://a/b/c/g/"),
        ("/g", "http://a/g"),
        ("//g", "http://g/"),
        ("?y", "http://a/b/c/d;p?y"),
        ("g?y", "http://a/b/c/g?y"),
        ("#s", "http://a/b/c/d;p?q#s"),
        ("g;x=1/../y", "http://a/b/c/y"),
        (".", "http://a/b/c/"),
        ("..", "http://a/b/"),
        ("../g", "http://a/b/g"),
        ("../..", "http://a/"),
        ("../../g", "http://a/g"),
        ("../../../g", "http://a/g"),
        ("/./g", "http://a/g"),
    ] {
        let base = at("http://a/b/c/d;p?q");
        let rss = format!(
            "<rss><channel><item><guid>x</guid><link>{reference}</link></item></channel></rss>"
        );
        let (feed, _) = read_feed(rss.as_bytes(), None, &base).expect("a feed");
        assert_eq!(
            feed.entries[0].link.as_ref().map(Url::as_str),
            Some(expected),
            "{reference}"
        );
        let atom = format!(
            "<feed xmlns='http://www.w3.org/2005/Atom' xml:base='http://a/b/c/d;p?q'><entry><id>x</id>\
             <link href='{reference}'/></entry></feed>"
        );
        assert_eq!(
            read(&atom).0.entries[0].link.as_ref().map(Url::as_str),
            Some(expected),
            "{reference}"
        );
    }
}

// XML Base, section 3, the example of nested bases.
#[test]
fn content_has_the_base_and_language_in_force() {
    let (feed, _) = read(
        "<feed xmlns='http://www.w3.org/2005/Atom' xml:base='http://example.org/today/' xml:lang='en'>\
         <entry xml:base='/hotpicks/'><id>1</id><link href='pick1.xml'/><content type='html'>&lt;a href=x></content></entry>\
         <entry xml:lang='de'><id>2</id><link href='new.xml'/><content xml:base='sub/'>text</content></entry></feed>",
    );
    let [first, second] = feed.entries.as_slice() else {
        panic!("two entries")
    };
    assert_eq!(first.base, at("http://example.org/hotpicks/"));
    assert_eq!(
        first.link,
        Some(at("http://example.org/hotpicks/pick1.xml"))
    );
    assert_eq!(second.base, at("http://example.org/today/sub/"));
    assert_eq!(second.link, Some(at("http://example.org/today/new.xml")));
    assert_eq!(first.language, Language::parse("en"));
    assert_eq!(second.language, Language::parse("de"));
}

// RFC 822 and RFC 3339 (5.8 for the last three), seconds computed by hand.
#[test]
fn dates_of_the_standards() {
    for (date, expected) in [
        ("Sat, 07 Sep 2002 00:00:01 GMT", 1_031_356_801),
        ("Sat, 07 Sep 2002 09:42:31 EST", 1_031_409_751),
        ("Sun, 06 Nov 1994 08:49:37 GMT", 784_111_777),
        ("06 Nov 94 08:49:37 GMT", 784_111_777),
        ("2003-12-13T18:30:02.25+01:00", 1_071_336_602),
        ("1996-12-19T16:39:57-08:00", 851_042_397),
        ("2010-02-07T14:04:00-05:00", 1_265_569_440),
        ("1990-12-31T23:59:60Z", 662_687_999),
    ] {
        let (feed, _) = rss(&format!(
            "<item><guid>x</guid><pubDate>{date}</pubDate></item>"
        ));
        assert_eq!(
            feed.entries[0].published.map(Timestamp::as_second),
            Some(expected),
            "{date}"
        );
    }
    let (feed, warnings) =
        rss("<item><guid>x</guid><title>t</title><link>l</link><pubDate>soon</pubDate></item>");
    assert_eq!(
        (feed.entries[0].published, warnings),
        (None, vec!["entry 1 has no date".to_owned()])
    );
}

#[test]
fn identity_is_id_else_link_else_title_and_date_and_never_drawn() {
    let items = "<item><guid isPermaLink='false'>https://x.example/a</guid><title>t</title></item>\
        <item><link>https://x.example/b</link></item>\
        <item><title>Catch &lt;b&gt;list&lt;/b&gt;</title><pubDate>Sun, 06 Nov 1994 08:49:37 GMT</pubDate></item>\
        <item><description>only this</description></item>\
        <item><guid>https://x.example/c</guid></item><item><guid>https://x.example/c</guid></item>";
    let (feed, warnings) = rss(items);
    let identities: Vec<&str> = feed
        .entries
        .iter()
        .map(|entry| entry.identity.as_str())
        .collect();
    assert_eq!(
        identities,
        [
            "https://x.example/a",
            "https://x.example/b",
            "Catch list 1994-11-06T08:49:37Z",
            feed.entries[3].identity.as_str(),
            "https://x.example/c"
        ]
    );
    // RSS 2.0: a title or a description must be present, and nothing else.
    assert!(feed.entries[3].identity.starts_with("blake3:"));
    assert_eq!(feed.entries[3].summary.as_deref(), Some("only this"));
    assert_eq!(feed.entries[0].link, None);
    assert_eq!(feed.entries[4].link, Some(at("https://x.example/c")));
    assert!(warnings.contains(&"entry 4 has no id, no link, no title, no date".to_owned()));
    assert!(
        warnings
            .iter()
            .any(|warning| warning.contains("stands twice"))
    );
    assert_eq!(rss(items), (feed, warnings));
}

/// The identities of the items of a feed.
fn identities(items: &str) -> Vec<String> {
    let entries = rss(items).0.entries.into_iter();
    entries.map(|entry| entry.identity).collect()
}

#[test]
fn entries_of_one_id_are_told_apart_by_what_they_say_and_not_by_their_place() {
    let item = |inner: &str| format!("<item><guid isPermaLink='false'>all</guid>{inner}</item>");
    let ebb = item("<link>https://x.example/ebb</link><title>Ebb</title>");
    let flood = item("<link>https://x.example/flood</link><title>Flood</title>");
    let untold = item("<title>Slack water</title>");
    let both = identities(&format!("{flood}{ebb}"));
    assert_eq!(
        both,
        ["all https://x.example/flood", "all https://x.example/ebb"]
    );
    let three = identities(&format!("{untold}{flood}{ebb}"));
    assert_eq!(three[1..], both);
    // One of a link is an edition of it, unless two stand in the feed at once.
    let again = item("<link>https://x.example/ebb</link><title>Ebb, again</title>");
    assert_eq!(
        identities(&format!("{again}{flood}{ebb}")),
        [
            "all https://x.example/ebb Ebb, again",
            "all https://x.example/flood",
            "all https://x.example/ebb Ebb"
        ]
    );
    // What is the same in all is one entry, and one whose id is its own keeps it.
    assert_eq!(identities(&format!("{ebb}{ebb}")), ["all"]);
    let (feed, warnings) = rss(&format!("{flood}{ebb}{ebb}<item><guid>own</guid></item>"));
    assert_eq!(feed.entries.len(), 3);
    assert_eq!(feed.entries[2].identity, "own");
    let said = |part: &str| {
        warnings
            .iter()
            .filter(|warning| warning.contains(part))
            .count()
    };
    assert_eq!(
        (said("all called all"), said("“Ebb” stands twice")),
        (1, 1),
        "{warnings:?}"
    );
}

#[test]
fn entries_that_share_a_link_a_title_or_nothing_are_told_apart_too() {
    let linked =
        |title: &str| format!("<item><link>https://x.example/</link><title>{title}</title></item>");
    assert_eq!(
        identities(&format!("{}{}", linked("Ebb"), linked("Flood"))),
        ["https://x.example/ Ebb", "https://x.example/ Flood"]
    );
    let dated = |day| {
        format!(
            "<item><guid>g</guid><title>Tides</title><pubDate>{day} Nov 1994 08:49:37 GMT</pubDate></item>"
        )
    };
    assert_eq!(
        identities(&format!("{}{}", dated("06"), dated("05"))),
        [
            "g Tides 1994-11-06T08:49:37Z",
            "g Tides 1994-11-05T08:49:37Z"
        ]
    );
    let texts = "<item><guid>g</guid><description>one</description></item>\
                 <item><guid>g</guid><description>two</description></item>";
    let found = identities(texts);
    assert_eq!(found.len(), 2);
    assert!(
        found
            .iter()
            .all(|identity| identity.starts_with("g blake3:")),
        "{found:?}"
    );
    let json = r#"{"version":"https://jsonfeed.org/version/1.1","title":"Q","items":[
        {"id":"1","content_text":"a","title":"Ebb"},{"id":"1","content_text":"b","title":"Flood"}]}"#;
    let (feed, _) = read(json);
    let found: Vec<&str> = feed.entries.iter().map(|entry| &*entry.identity).collect();
    assert_eq!(found, ["1 Ebb", "1 Flood"]);
}

#[test]
fn no_entry_has_more_files_or_authors_than_are_read() {
    let many = |piece: fn(usize) -> String| (0..3_000).map(piece).collect::<String>();
    let links =
        many(|n| format!("<enclosure url='https://x.example/{n}' type='audio/mpeg' length='1'/>"));
    let media = many(|n| format!("<media:content url='https://x.example/m{n}' type='image/png'/>"));
    let authors = many(|n| format!("<dc:creator>Pilot {n}</dc:creator>"));
    for files in [&links, &media] {
        let (feed, warnings) = rss(&format!("<item><guid>g</guid>{files}{authors}</item>"));
        assert_eq!(feed.entries[0].enclosures.len(), entry::MOST_ENCLOSURES);
        assert_eq!(feed.entries[0].authors.len(), entry::MOST_AUTHORS);
        assert!(
            warnings.iter().any(|warning| warning.contains("files")),
            "{warnings:?}"
        );
    }
}

/// Each of these was looked through to its end for what would close it.
#[test]
fn a_million_document_types_are_passed_one_by_one() {
    for piece in [
        "<!a>",
        "<!a[>",
        "<!--",
        "<!-->",
        "<?a",
        "<![CDATA[",
        "<a \"",
        "<a b='>",
    ] {
        let xml = format!(
            "<rss><channel><item><guid>g</guid></item>{}</channel></rss>",
            piece.repeat(300_000)
        );
        let read = read_feed(xml.as_bytes(), None, &at("https://quay.example.org/"));
        let passed = match &read {
            Ok((feed, _)) => feed.entries.len() == 1,
            Err(fault) => *fault == FeedError::TooDeep,
        };
        assert!(passed, "{piece}: {read:?}");
    }
}

/// HTML 5, section 13.2.5.80: what a number stands for. From 160 on it is the character itself.
#[test]
fn references_by_number_are_read_however_many_there_are() {
    let numbers: String = (0x4e00..0x4e00 + 5_000)
        .map(|code| format!("&#{code};"))
        .collect();
    let (feed, _) = rss(&format!(
        "<item><title>&#xA0;|&#150;&#xd800;&#x110000;&#9999999999;</title><description>{numbers}</description></item>"
    ));
    assert_eq!(
        feed.entries[0].title.as_deref(),
        Some("|–\u{fffd}\u{fffd}\u{fffd}")
    );
    assert_eq!(
        feed.entries[0].summary.as_ref().unwrap().chars().count(),
        5_000
    );
}

#[test]
fn xml_is_repaired_where_the_parser_would_fail() {
    let title = |xml: &str| read(xml).0.entries[0].title.clone();
    let check = |item: &str, expected: &str| {
        assert_eq!(
            rss(&format!("<item><guid>x</guid>{item}</item>")).0.entries[0]
                .title
                .as_deref(),
            Some(expected),
            "{item}"
        );
    };
    check(
        "<title>Bread & butter &amp; salt &nosuch; &eacute;&#146;&#0;</title>",
        "Bread & butter & salt &nosuch; é’\u{fffd}",
    );
    check("<title>a\u{1}b\u{b}c</title>", "abc");
    check("<title><![CDATA[Caf&eacute; <b>x</b>]]></title>", "Café x");
    check(
        "<title>Over <em>the</em> bar<br>now</title>",
        "Over the bar now",
    );
    check("<title>1 < 2</title>", "1 < 2");
    check("<title>a</titel></title>", "a");
    check("<title >a</title ><dc:creator>b</dc:creator>", "a");
    assert_eq!(
        title("<rss version='0.93'><channel><item><title>a</title></item></channel></rss>")
            .as_deref(),
        Some("a")
    );
    assert_eq!(title("<rss xmlns='http://backend.userland.com/rss2'><channel><item><title>a</title></item></channel></rss>").as_deref(), Some("a"));
    let old = "<feed version='0.3' xmlns='http://purl.org/atom/ns#'><entry><id>1</id><title>a</title>\
        <issued>1996-12-19T16:39:57-08:00</issued><content type='text/html' mode='escaped'>&lt;p>b</content></entry></feed>";
    let (feed, _) = read(old);
    assert_eq!(
        (
            seconds(&feed.entries[0]),
            feed.entries[0].content.as_deref()
        ),
        (851_042_397, Some("<p>b"))
    );
    let odd = "<feed xmlns='http://www.w3.org/2005/Atom'><entry><id>1</id><title type='text/x-odd'>a</title>\
        <content type='image/png'>AAAA</content></entry><entry><id>2</id><content src='x' type='video/mp4'>y</content></entry></feed>";
    assert_eq!(read(odd).0.entries.len(), 2);
    let rdf = "<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#' xmlns='http://purl.org/rss/1.0/'>\
        <channel><title>c</title></channel><item><title>a</title><link>b</link></item></rdf:RDF>";
    assert_eq!(title(rdf).as_deref(), Some("a"));
    let (feed, _) = rss(
        "<item><guid>x</guid><description>Take <b>care</b> &lt; 3<br/>now</description></item>",
    );
    assert_eq!(
        feed.entries[0].summary.as_deref(),
        Some("Take <b>care</b> &lt; 3<br/>now")
    );
}

/// The one entry of a feed, as its identity, title, link, second, content and summary.
fn told(xml: &str) -> [String; 6] {
    let (feed, _) = read(xml);
    let [entry] = feed.entries.as_slice() else {
        panic!("one entry in {xml}, not {feed:?}")
    };
    let text = |text: &Option<String>| text.clone().unwrap_or_default();
    let second = entry.published.map(|date| date.as_second().to_string());
    [
        entry.identity.clone(),
        text(&entry.title),
        entry.link.as_ref().map(Url::to_string).unwrap_or_default(),
        second.unwrap_or_default(),
        text(&entry.content),
        text(&entry.summary),
    ]
}

// The names of RSS 0.90 to 2.0, RSS 1.0 with its modules, Atom 0.3 and CDF, each in its own document.
#[test]
fn dialects_are_read_alike() {
    let second = "851042397";
    let link = "https://quay.example.org/1";
    for (xml, identity, content) in [
        (
            "<rss version='0.91'><item><title>Tide</title><link>/1</link><pubDate>1996-12-19T16:39:57-08:00</pubDate>\
             <description>High</description></item></rss>",
            link,
            "",
        ),
        (
            "<r:rss version='2.01' xmlns:r='http://backend.userland.com/rss2'><r:channel></r:channel><r:ITEM>\
             <r:Title>Tide</r:Title><r:link>/1</r:link><r:PUBDATE>Thu, 19 Dec 96 16:39:57 PST</r:PUBDATE>\
             <r:description>High</r:description></r:ITEM></r:rss>",
            link,
            "",
        ),
        (
            "<rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#' xmlns='http://purl.org/rss/1.0/' \
             xmlns:e='http://purl.org/rss/1.0/modules/content/' xmlns:d='http://purl.org/dc/elements/1.1/'>\
             <channel rdf:about='c'><items><rdf:Seq><rdf:li/></rdf:Seq></items></channel><item rdf:about='tag:1'>\
             <title>Tide</title><link>/1</link><d:date>1996-12-20T00:39:57Z</d:date>\
             <description>High</description><e:encoded>&lt;p>Water</e:encoded></item></rdf:RDF>",
            "tag:1",
            "<p>Water",
        ),
        (
            "<rss><channel><item xmlns:a='http://www.w3.org/2005/Atom'><a:id>tag:1</a:id><a:title>Tide</a:title>\
             <a:link rel='self' href='/self'/><a:link href='/1'/><a:published>1996-12-20T00:39:57Z</a:published>\
             <a:summary>High</a:summary><a:content type='html'>&lt;p>Water</a:content></item></channel></rss>",
            "tag:1",
            "<p>Water",
        ),
        (
            "<rss><channel><item><d:title xmlns:d='http://purl.org/dc/elements/1.1/'>Tide</d:title><link href='/1'/>\
             <t:issued xmlns:t='http://purl.org/dc/terms/'>1996-12-20T00:39:57Z</t:issued>\
             <description>High</description></item></channel></rss>",
            link,
            "",
        ),
        (
            "<feed version='0.3' xmlns='http://purl.org/atom/ns#'><entry><id>tag:1</id><title mode='base64'>VGlkZQ==</title>\
             <link rel='alternate' href='/1'/><issued>1996-12-20T00:39:57Z</issued><modified>1997-01-01T00:00:00Z</modified>\
             <summary type='text/html' mode='escaped'>High</summary><content type='application/xhtml+xml'>\
             <p>Water</p></content></entry></feed>",
            "tag:1",
            "<p>Water</p>",
        ),
        (
            "<CHANNEL HREF='/' BASE='https://quay.example.org/'><ITEM HREF='1' LASTMOD='1996-12-19T16:39:57-08:00'>\
             <TITLE>Tide</TITLE><ABSTRACT>High</ABSTRACT></ITEM></CHANNEL>",
            link,
            "",
        ),
    ] {
        let content = content.to_owned();
        let [found, title, address, date, text, summary] = told(xml);
        assert_eq!(
            (
                found.as_str(),
                title.as_str(),
                address.as_str(),
                date.as_str()
            ),
            (identity, "Tide", link, second),
            "{xml}"
        );
        assert_eq!((text, summary.contains("High")), (content, true), "{xml}");
    }
}

#[test]
fn the_format_s_own_elements_count_before_those_of_others() {
    let others = "<dc:title>other</dc:title><dc:identifier>other</dc:identifier><media:title>other</media:title>\
                  <dc:description>other</dc:description>";
    let own = "<title>own</title><guid>own</guid><description>own</description>";
    for items in [format!("{own}{others}"), format!("{others}{own}")] {
        let [identity, title, .., summary] = told(&format!(
            "<rss><channel><item>{items}</item></channel></rss>"
        ));
        assert_eq!([identity, title, summary], ["own", "own", "own"], "{items}");
    }
    // What stands deeper, or in a namespace that is not known, says nothing of the entry.
    let [identity, title, ..] = told(
        "<rss><channel><item><guid>a</guid><title>b</title><image><title>c</title></image>\
         <x:guid xmlns:x='urn:x'>d</x:guid><y:title>e</y:title></item></channel></rss>",
    );
    assert_eq!([identity, title], ["a", "b"]);
}

#[test]
fn texts_of_atom_are_read_by_their_type() {
    let check = |content: &str, expected: &str| {
        let entry = format!(
            "<feed xmlns='http://www.w3.org/2005/Atom' xmlns:h='http://www.w3.org/1999/xhtml'><entry><id>1</id>\
             {content}</entry></feed>"
        );
        assert_eq!(told(&entry)[4], expected, "{content}");
    };
    check("<content>a &lt; b</content>", "<p>a &lt; b</p>");
    check(
        "<content type='html'>a &lt;b>c&lt;/b></content>",
        "a <b>c</b>",
    );
    check(
        "<content type='xhtml'><div>a &lt; <b>c</b></div></content>",
        "<div>a &lt; <b>c</b></div>",
    );
    check("<content type='xhtml'>a &lt; b</content>", "a &lt; b");
    // Tags that are not escaped make HTML of a plain text.
    check("<content>a <b>c</b> &lt;</content>", "a <b>c</b> &lt;");
    check("<content mode='base64'>PGI+YzwvYj4=</content>", "<b>c</b>");
    check("<content mode='base64'>no base64!</content>", "no base64!");
    check("<content type='image/png'>AAAA</content>", "");
}

#[test]
fn entries_of_any_format_have_the_base_and_language_in_force() {
    let (feed, _) = read(
        "<rss xml:base='http://example.org/today/'><channel xml:lang='de'><title>t</title>\
         <item><link>new.xml</link></item>\
         <item xml:base='/hotpicks/'><link>pick1.xml</link><description xml:lang='fr'>x</description></item>\
         <item><link>last.xml</link></item></channel></rss>",
    );
    let found: Vec<(&str, &str, Option<&str>)> = feed
        .entries
        .iter()
        .map(|entry| {
            let language = entry.language.as_ref().map(Language::tag);
            (
                entry.link.as_ref().map_or("", Url::as_str),
                entry.base.as_str(),
                language,
            )
        })
        .collect();
    // XML Base, section 3, the example's addresses.
    assert_eq!(
        found,
        [
            (
                "http://example.org/today/new.xml",
                "http://example.org/today/",
                Some("de")
            ),
            (
                "http://example.org/hotpicks/pick1.xml",
                "http://example.org/hotpicks/",
                Some("fr")
            ),
            (
                "http://example.org/today/last.xml",
                "http://example.org/today/",
                Some("de")
            ),
        ]
    );
}

#[test]
fn encodings_are_read_before_the_parser_sees_the_bytes() {
    let wide: Vec<u8> =
        "<?xml version='1.0' encoding='UTF-16'?><rss><channel><title>Fähre</title></channel></rss>"
            .encode_utf16()
            .flat_map(u16::to_be_bytes)
            .collect();
    let (feed, _) = read_feed(&wide, None, &at("https://a.example/")).expect("a feed");
    assert_eq!(feed.title.as_deref(), Some("Fähre"));
    let latin = b"<?xml version='1.0' encoding='iso-8859-1'?><rss><channel><title>F\xe4hre</title></channel></rss>";
    let (feed, _) = read_feed(latin, Some("text/xml"), &at("https://a.example/")).expect("a feed");
    assert_eq!(feed.title.as_deref(), Some("Fähre"));
}

#[test]
fn durations_are_minutes_and_seconds_and_authors_of_any_script() {
    let (feed, _) = rss(
        "<item><guid>x</guid><author>港の人（a@b.example）</author><itunes:duration>45:30</itunes:duration>\
         <enclosure url='a.mp3' type='audio/mpeg' length='0'/></item>\
         <item><guid>y</guid><itunes:duration>99999999999999999999999</itunes:duration></item>",
    );
    assert_eq!(feed.entries[0].enclosures[0].duration_seconds, Some(2_730));
    assert_eq!(feed.entries[0].enclosures[0].length_bytes, None);
    assert_eq!(feed.entries[0].authors.len(), 1);
    assert_eq!(feed.entries.len(), 2);
}

#[test]
fn a_truncated_feed_gives_what_it_has() {
    let (feed, warnings) = read(&ATOM[..ATOM.find("Some text").expect("the summary") + 4]);
    assert_eq!(feed.entries.len(), 1);
    assert!(!feed.whole);
    assert!(warnings[0].contains("ends in the middle"));
}

#[test]
fn what_is_missing_in_one_entry_costs_no_other() {
    let whole = "<item><guid>last</guid><title>Ebb</title></item>";
    for damaged in [
        "<item><guid>first</guid><title>Flood</item>",
        "<item><guid>first</guid><title>Flood",
        "<item><guid>first</guid><title>Flood<b>",
        "<item><guid>first</guid><description>Flood</descripton>",
        "<item><guid>first</guid><link href='x><title>Flood</title></item>",
        "<item><guid>first</guid><title>Flood <- ebb</title></item>",
        "<item><guid>first</guid><!-- Flood </item>",
        "</channel><item><guid>first</guid></item>",
    ] {
        let (feed, _) = rss(&format!("{damaged}{whole}"));
        let [first, last] = feed.entries.as_slice() else {
            panic!("two entries of {damaged}, not {:?}", feed.entries)
        };
        assert_eq!(first.identity, "first", "{damaged}");
        let found = (last.identity.as_str(), last.title.as_deref());
        assert_eq!(found, ("last", Some("Ebb")), "{damaged}");
    }
    let (feed, _) = read(
        "<feed xmlns='http://www.w3.org/2005/Atom'><title>Harbour<entry><id>1</id><content type='xhtml'><p>Flood\
         <entry><id>2</id></entry></feed>",
    );
    assert_eq!(feed.entries.len(), 2);
}

#[test]
fn of_a_feed_without_end_the_first_entries_are_read() {
    for unit in ["<item><guid>{}</guid></item>", "<item><guid>{}</guid>"] {
        let items: String = (0..2_100)
            .map(|at| unit.replace("{}", &at.to_string()))
            .collect();
        let (feed, warnings) = rss(&items);
        assert_eq!(feed.entries.len(), MAXIMUM_ENTRIES);
        assert!(!feed.whole);
        assert_eq!(feed.entries[1_999].identity, "1999");
        let told = "of 2100 entries only the first 2000 were read";
        assert!(
            warnings.iter().any(|warning| warning == told),
            "{warnings:?}"
        );
    }
}

#[test]
fn a_feed_is_whole_where_all_that_it_lists_is_read() {
    assert!(read(ATOM).0.whole);
    // End tags that are missing lose no entry.
    let (feed, _) = rss("<item><guid>1</guid><item><guid>2</guid></item>");
    assert_eq!((feed.entries.len(), feed.whole), (2, true));
    for (count, whole) in [(MAXIMUM_ENTRIES, true), (MAXIMUM_ENTRIES + 1, false)] {
        let items: Vec<String> = (0..count).map(|id| format!("{{\"id\":{id}}}")).collect();
        let items = items.join(",");
        let (feed, _) = read(&format!(
            "{{\"version\":\"https://jsonfeed.org/version/1.1\",\"title\":\"\",\"items\":[{items}]}}"
        ));
        assert_eq!((feed.entries.len(), feed.whole), (MAXIMUM_ENTRIES, whole));
    }
}

#[test]
fn what_is_no_feed_says_so() {
    assert_eq!(error(""), FeedError::Empty);
    assert_eq!(error(" \n\u{feff}"), FeedError::Empty);
    assert!(matches!(
        error("<!DOCTYPE html><html><p>x"),
        FeedError::WebPage
    ));
    assert!(matches!(error("plain text"), FeedError::NotAFeed(_)));
    assert!(matches!(error("{\"a\":1}"), FeedError::NotAFeed(_)));
    assert!(matches!(error("{\"version\":"), FeedError::Unreadable(_)));
    assert!(matches!(error("\u{1f980}<<<>>>"), FeedError::NotAFeed(_)));
}

#[test]
fn hostile_nesting_is_refused_before_the_parser() {
    for unit in [
        "<a>",
        "<media:group>",
        "<a b='<'>",
        "<!----><a>",
        "<![CDATA[</a>]]><a>",
    ] {
        let start = "<rss><channel><item>";
        assert_eq!(
            error(&format!("{start}{}", unit.repeat(100_000))),
            FeedError::TooDeep,
            "{unit}"
        );
        assert_eq!(
            error(&format!("{start}{}", unit.repeat(1_000))),
            FeedError::TooDeep,
            "{unit}"
        );
    }
    assert_eq!(
        error(&format!("{{\"version\":{}", "[".repeat(100_000))),
        FeedError::TooDeep
    );
    assert_eq!(
        error(&format!("<rss><channel>{}", "<item/>".repeat(300_000))),
        FeedError::TooMuch
    );
    assert_eq!(
        error(&format!("{{\"items\":[{}1]}}", "1,".repeat(300_000))),
        FeedError::TooMuch
    );
    let escaped = rss(&format!(
        "<item><guid>x</guid><description>{}</description></item>",
        "&lt;b>".repeat(100_000)
    ));
    assert_eq!(escaped.0.entries.len(), 1);
}

// The shape of the entity bomb in OWASP's XML Security Cheat Sheet.
#[test]
fn entities_are_never_expanded() {
    let mut declared = "<!ENTITY l0 \"lol\">".to_owned();
    for level in 1..10 {
        declared.push_str(&format!(
            "<!ENTITY l{level} \"{}\">",
            format!("&l{};", level - 1).repeat(10)
        ));
    }
    let bomb = format!(
        "<?xml version='1.0'?><!DOCTYPE rss [{declared}]><rss><channel><title>&l9;</title></channel></rss>"
    );
    assert_eq!(read(&bomb).0.title.as_deref(), Some("&l9;"));
    let file = "<!DOCTYPE rss [<!ENTITY x SYSTEM \"file:///etc/passwd\">]><rss><channel><title>&x;</title></channel></rss>";
    assert_eq!(read(file).0.title.as_deref(), Some("&x;"));
}

proptest::proptest! {
    #[test]
    fn any_bytes_are_read_or_refused(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..400)) {
        let _either = read_feed(&bytes, None, &at("https://a.example/"));
    }

    #[test]
    fn any_markup_is_read_or_refused(parts in proptest::collection::vec(proptest::sample::select(vec![
        "<rss>", "<channel>", "<item>", "</item>", "<title>", "</title>", "<link/>", "<description>", "<b ", "a='", "'>",
        "<![CDATA[", "]]>", "&amp;", "&#xD800;", "&#99999999999;", "é", "<!--", "-->", "<?x", "?>", "<!DOCTYPE [", "<author>",
        "（a@b.cd）", "</author>", "<itunes:duration>", "1:2:3:4", "</", ">", "<guid>", "<media:group>", "<entry>", "<content mode='base64'>", "<x:item xmlns:x='y'>", "<!--", "{", "xml:base='http://['",
    ]), 0..60)) {
        let text = format!("<rss><channel><item>{}", parts.concat());
        let _either = read_feed(text.as_bytes(), None, &at("https://a.example/"));
    }
}
