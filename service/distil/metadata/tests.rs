//! What pages say of themselves, by example; the pages are ours.

use super::*;

fn read_page(head: &str) -> Metadata {
    let html = format!("<html><head>{head}</head><body><p>text</p></body></html>");
    let address = Url::parse("https://gazette.example/harbour/tides?day=2").expect("an address");
    read(&Document::from(html.as_str()), &address)
}

fn day(text: &str) -> Option<Timestamp> {
    Some(text.parse().expect("an instant"))
}

// The property names are those of schema.org's type Article; the page is ours.
#[test]
fn structured_data_tell_of_the_article() {
    let found = read_page(
        r#"<script type="application/ld+json">{"@context":"https://schema.org","@graph":[
        {"@type":"WebSite","name":"Quay Gazette"},
        {"@type":["NewsArticle"],"headline":"Dredging &amp; tides","author":[{"@type":"Person","name":"Ada Quill"},
        "By Ben Tarn"],"datePublished":"2026-11-02T07:30:00+01:00","image":[{"url":"/p/dredger.jpg"}],
        "publisher":{"name":"Quay Gazette"},"inLanguage":"en-GB","isAccessibleForFree":"False"}]}</script>"#,
    );
    assert_eq!(found.title.as_deref(), Some("Dredging & tides"));
    assert_eq!(found.authors, ["Ada Quill", "Ben Tarn"]);
    assert_eq!(found.published, day("2026-11-02T06:30:00Z"));
    assert_eq!(
        found.picture.expect("a picture").as_str(),
        "https://gazette.example/p/dredger.jpg"
    );
    assert_eq!(found.site.as_deref(), Some("Quay Gazette"));
    assert_eq!(found.language, Language::parse("en-gb"));
    assert!(found.paid);
}

// The names are those of the Open Graph protocol, ogp.me.
#[test]
fn open_graph_and_plain_html_tell_what_is_not_told_before() {
    let found = read_page(
        "<base href=/static/><meta property=og:image content=a.png><meta name=author content='By Ada Quill'>\
         <meta property=article:published_time content=2026-11-02><meta property=og:locale content=de_AT>\
         <meta name=Description content='What the &lt;dredger&gt; did.'>",
    );
    assert_eq!(found.authors, ["Ada Quill"]);
    assert_eq!(found.published, day("2026-11-02T00:00:00Z"));
    assert_eq!(found.language, Language::parse("de-at"));
    assert_eq!(
        found.picture.expect("a picture").as_str(),
        "https://gazette.example/static/a.png"
    );
    let plain = read_page("<meta name=author content='https://gazette.example/ada'>");
    assert!(plain.authors.is_empty() && plain.published.is_none() && plain.picture.is_none());
}

#[test]
fn what_is_no_json_or_endless_says_nothing() {
    let deep = format!("{}1{}", "[".repeat(100_000), "]".repeat(100_000));
    let long = format!(
        "{{\"@type\":\"Article\",\"headline\":\"{}\"}}",
        "x".repeat(600_000)
    );
    for text in [
        "",
        "{",
        "null",
        "{\"@type\":7}",
        "{\"@graph\":{\"@graph\":[]}}",
        &deep,
        &long,
    ] {
        let found = read_page(&format!("<script type=application/ld+json>{text}</script>"));
        assert_eq!(
            found,
            Metadata::default(),
            "{}",
            &text[..text.len().min(40)]
        );
    }
}

// Common practice, no source: pages written as XHTML wrap their data, and editors break lines in strings.
#[test]
fn wrapped_and_broken_structured_data_are_read() {
    for (before, after) in [("", ""), ("<![CDATA[", "]]>"), ("//<![CDATA[\n", "\n//]]>")] {
        let found = read_page(&format!(
            "<script type=application/ld+json>{before}{{\"@type\":\"Article\",\"headline\":\"Ebb\nand flow\"}}{after}</script>"
        ));
        assert_eq!(found.title.as_deref(), Some("Ebb and flow"), "{before}");
    }
}

#[test]
fn the_name_of_the_site_is_no_part_of_a_title() {
    let check = |title: &str, site: Option<&str>, headings: &[&str], expected: &str| {
        let headings: Vec<String> = headings.iter().map(|text| (*text).to_owned()).collect();
        assert_eq!(
            cleaned(title, site, "gazette.example", &headings),
            expected,
            "of {title}"
        );
    };
    check(
        "Ebb and flow | Gazette",
        Some("gazette"),
        &[],
        "Ebb and flow",
    );
    check(
        "Gazette: Ebb and flow",
        Some("Gazette"),
        &[],
        "Ebb and flow",
    );
    check(
        "Ebb and flow » Local » News",
        None,
        &["Ebb and flow"],
        "Ebb and flow",
    );
    check(
        "Gazette | Ebb and flow",
        None,
        &["Ebb and flow"],
        "Ebb and flow",
    );
    check("Ebb - flow", None, &[], "Ebb - flow");
    check("The Gazette", Some("Gazette"), &[], "The Gazette");
    check("Gazette", Some("Gazette"), &["Gazette"], "Gazette");
    // The heading of a site's name is shorter than the title beside it.
    check(
        "Ebb and flow today | Gazette",
        None,
        &["Gazette"],
        "Ebb and flow today | Gazette",
    );
    check(
        "Gazette | Ebb and flow",
        None,
        &["Gazette", "Ebb and flow"],
        "Ebb and flow",
    );
    check("Tides | Gazette", None, &["Tides"], "Tides");
    check(
        "Tides: how they come about",
        None,
        &["Tides"],
        "Tides: how they come about",
    );
    check("İÄ | ä", Some("Ä"), &[], "İÄ | ä");
}
