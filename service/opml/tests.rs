//! Lists by the rules of OPML 2.0 (opml.org/spec2.opml, 2007), and what is made of those that break them.

use proptest::prelude::*;

use super::*;

fn body(outlines: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>\n<opml version=\"2.0\"><head/><body>\n{outlines}</body></opml>"
    )
}

/// Address, title and group of each feed, and the lines and texts of the faults.
fn check(
    outlines: &str,
    expected: &[(&str, Option<&str>, Option<&str>)],
    faults: &[(usize, &str)],
) {
    let (feeds, found) = read(&body(outlines));
    let feeds: Vec<_> = feeds
        .iter()
        .map(|feed| {
            (
                feed.address.as_str(),
                feed.title.as_deref(),
                feed.group.as_deref(),
            )
        })
        .collect();
    assert_eq!(feeds, expected, "{outlines}");
    assert_eq!(found.len(), faults.len(), "{found:?}");
    for (fault, (line, part)) in found.iter().zip(faults) {
        assert_eq!(fault.line, *line, "{fault:?}");
        assert!(fault.message.contains(part), "{fault:?}");
    }
}

const TIDES: &str = "https://tides.example.org/?a=1&b=2";

/// "Subscription lists": type rss, text, xmlUrl; the others are optional.
#[test]
fn a_subscription_has_its_address_and_its_text() {
    check(
        "<outline type='rss' text='Tides &amp; &#x57;eather' title='T' description='Of the quay' \
         htmlUrl='https://tides.example.org/' language='en' version='RSS2' \
         xmlUrl='https://tides.example.org/?a=1&amp;b=2'/>\n\
         <outline title='Catches' xmlUrl='https://anglers.example.org/'/>\n\
         <outline text='https://gazette.example.org/' xmlUrl='https://gazette.example.org/'></outline>",
        &[
            (TIDES, Some("Tides & Weather"), None),
            ("https://anglers.example.org/", Some("Catches"), None),
            ("https://gazette.example.org/", None, None),
        ],
        &[],
    );
}

/// "Outlines may be nested": their texts are the names of groups.
#[test]
fn outlines_around_a_subscription_are_its_groups() {
    check(
        "<outline text='Harbour'><outline text=' Boats '><outline text='A' xmlUrl='a'/>\
         <outline text='B' xmlUrl='b'><outline xmlUrl='c'/></outline></outline>\
         <outline text='D' xmlUrl='d'/></outline><outline><outline text='E' xmlUrl='e'/></outline>",
        &[
            ("a", Some("A"), Some("Harbour / Boats")),
            ("b", Some("B"), Some("Harbour / Boats")),
            ("c", None, Some("Harbour / Boats / B")),
            ("d", Some("D"), Some("Harbour")),
            ("e", Some("E"), None),
        ],
        &[],
    );
}

/// "category": comma-separated, its parts parted by slashes, a tag being one without.
#[test]
fn a_category_is_the_group_of_what_stands_in_none() {
    check(
        "<outline xmlUrl='a' category='/Harbour/Boats,/Town'/><outline xmlUrl='b' category='tag'/>\
         <outline xmlUrl='c' category=' , /'/>\
         <outline text='Quay'><outline xmlUrl='d' category='/Harbour'/></outline>",
        &[
            ("a", None, Some("Harbour / Boats")),
            ("b", None, Some("tag")),
            ("c", None, None),
            ("d", None, Some("Quay")),
        ],
        &[],
    );
}

/// "isComment": a commented outline comments all that is subordinate to it.
#[test]
fn what_is_commented_out_is_left_out_with_its_children() {
    check(
        "<outline text='Off' isComment='true'><outline xmlUrl='a'/><outline text='x'>\
         <outline xmlUrl='b' isComment='false'/></outline></outline>\
         <outline xmlUrl='c' isComment='true'/><outline xmlUrl='d' isComment='false'/>",
        &[("d", None, None)],
        &[],
    );
}

#[test]
fn faults_are_told_by_their_line_and_stop_nothing() {
    check(
        "<outline text='Tides' type='rss'/>\n<outline text='Quay'>\n<outline text='Bare' xmlUrl=''/>\n\
         </outline>\n<outline xmlUrl='a'/>\n<outline text='None'>\n</outline>",
        &[("a", None, None)],
        &[
            (3, "\"Tides\" has no xmlUrl"),
            (5, "\"Bare\""),
            (8, "\"None\""),
        ],
    );
}

#[test]
fn slips_of_those_who_write_lists_are_read_over() {
    check(
        "<OUTLINE TEXT='A & B &nbsp; &#0; &; &amp;amp;' XMLURL='https://tides.example.org/?a=1&b=2' \
         xmlUrl='second' text=\"C\"/><outline text='two\nlines&#10;three' xmlUrl=b />\
         <outline text='<b>' xmlUrl='c'/>",
        &[
            (TIDES, Some("A & B &nbsp; &#0; &; &amp;"), None),
            ("b", Some("two lines\nthree"), None),
            ("c", Some("<b>"), None),
        ],
        &[],
    );
}

#[test]
fn what_is_no_opml_is_told_and_what_breaks_off_is_taken_as_far_as_it_goes() {
    let check = |text: &str, feeds: usize, line: usize, part: &str| {
        let (found, faults) = read(text);
        assert_eq!(found.len(), feeds, "{text}");
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert_eq!(faults[0].line, line, "{faults:?}");
        assert!(faults[0].message.contains(part), "{faults:?}");
    };
    check("", 0, 1, "no OPML");
    check("a text\n", 0, 1, "no OPML");
    check("\n<rss><outline xmlUrl='a'/></rss>", 0, 2, "no OPML");
    let opml = "<opml><body>\n<outline xmlUrl='a'/>\n<outline text='x'><outline xmlUrl='b'/>\n";
    check(opml, 2, 4, "ends before");
    check(
        &format!("{opml}<outline xmlUrl='c"),
        2,
        4,
        "no XML any more",
    );
    assert_eq!(read("<opml/>"), (vec![], vec![]));
}

/// The further attributes of the feeds of a body.
fn further(outlines: &str) -> Vec<Vec<(String, String)>> {
    let (feeds, _) = read(&body(outlines));
    feeds.into_iter().map(|feed| feed.further).collect()
}

fn pairs(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
    let owned = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    pairs.iter().map(owned).collect()
}

#[test]
fn what_else_a_list_says_of_a_feed_is_kept_as_it_is_written() {
    assert_eq!(
        further(
            "<outline type='rss' text='T' title='T' xmlUrl='a' htmlUrl=' h ' description='' x='1' x='2'/>\
             <outline type='atom' text='T' title='Other' xmlUrl='b' isComment='false' XMLURL='c'/>"
        ),
        [
            pairs(&[("htmlUrl", " h "), ("description", ""), ("x", "1")]),
            pairs(&[("type", "atom"), ("title", "Other"), ("isComment", "false")]),
        ]
    );
}

/// Namespaces in XML 1.0, section 6.1: a declaration holds in all that is inside its element.
#[test]
fn a_prefix_brings_its_declaration_along() {
    let (feeds, _) = read(
        "<opml xmlns:q='urn:q' xmlns='urn:none'><body xmlns:r='urn:r'><outline xmlns:s='urn:s'>\
         <outline xmlUrl='a' q:x='1' q:y='2' s:z='3'/>\
         <outline xmlUrl='b' xmlns:q='urn:own' q:x='1' xml:lang='en'/></outline>\
         <outline xmlUrl='c' s:z='3' r:z='4'/></body></opml>",
    );
    let found: Vec<_> = feeds.into_iter().map(|feed| feed.further).collect();
    assert_eq!(
        found,
        [
            pairs(&[
                ("xmlns:q", "urn:q"),
                ("q:x", "1"),
                ("q:y", "2"),
                ("xmlns:s", "urn:s"),
                ("s:z", "3")
            ]),
            pairs(&[("xmlns:q", "urn:own"), ("q:x", "1"), ("xml:lang", "en")]),
            pairs(&[("s:z", "3"), ("xmlns:r", "urn:r"), ("r:z", "4")]),
        ]
    );
}

#[test]
fn a_kind_and_a_title_that_differ_are_written_in_the_usual_places() {
    let further = pairs(&[("htmlUrl", "h"), ("title", "Long"), ("type", "atom")]);
    let written = write(&[Subscription {
        address: "a",
        title: Some("Short"),
        group: None,
        further: &further,
    }]);
    let line =
        "<outline type=\"atom\" text=\"Short\" title=\"Long\" xmlUrl=\"a\" htmlUrl=\"h\"/>\n";
    assert!(written.contains(line), "{written}");
}

#[test]
fn nesting_of_any_depth_is_read() {
    let text = body(&format!(
        "{}<outline xmlUrl='a'/>",
        "<outline text='x'>".repeat(100_000)
    ));
    let (feeds, _) = read(&text);
    let group = feeds[0].group.as_deref().unwrap();
    assert_eq!(group.split(BETWEEN_GROUPS).count(), MOST_GROUPS);
}

#[test]
fn a_list_is_written_with_its_groups_where_their_first_feeds_stand() {
    let feed = |address, title, group| Subscription {
        address,
        title,
        group,
        further: &[],
    };
    let written = write(&[
        feed(
            "https://a.example.org/",
            Some("A & \"B\""),
            Some("Harbour / Boats"),
        ),
        feed(TIDES, None, None),
        feed("https://c.example.org/", Some("C"), Some("Harbour")),
    ]);
    assert_eq!(
        written,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>
<opml version=\"2.0\">
  <head>
    <title>Feeds</title>
  </head>
  <body>
    <outline text=\"Harbour\">
      <outline text=\"Boats\">
        <outline type=\"rss\" text=\"A &amp; &quot;B&quot;\" title=\"A &amp; &quot;B&quot;\" xmlUrl=\"https://a.example.org/\"/>
      </outline>
      <outline type=\"rss\" text=\"C\" title=\"C\" xmlUrl=\"https://c.example.org/\"/>
    </outline>
    <outline type=\"rss\" text=\"https://tides.example.org/?a=1&amp;b=2\" xmlUrl=\"https://tides.example.org/?a=1&amp;b=2\"/>
  </body>
</opml>
"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// What was written is read as the same feeds, whatever their titles and groups.
    #[test]
    fn a_list_comes_back_as_it_was_written(
        texts in prop::collection::vec(
            (
                prop::option::of("[ab&<>\"'/ \\n\\tä日]{1,6}"),
                prop::option::of("([ab&\" ]{0,2}( / |/)?){1,4}"),
            ),
            0..8,
        )
    ) {
        // As the config has them: trimmed, and none empty.
        let trimmed = |text: &Option<String>| {
            text.as_deref().map(str::trim).filter(|text| !text.is_empty()).map(str::to_owned)
        };
        let feeds: Vec<_> = texts
            .iter()
            .enumerate()
            .map(|(index, (title, group))| {
                (format!("https://quay.example.org/{index}?a&b"), trimmed(title), trimmed(group))
            })
            .collect();
        let subscriptions: Vec<_> = feeds
            .iter()
            .map(|(address, title, group)| Subscription {
                address,
                title: title.as_deref(),
                group: group.as_deref(),
                further: &[],
            })
            .collect();
        let (read, faults) = read(&write(&subscriptions));
        prop_assert_eq!(faults, vec![]);
        let mut read: Vec<_> = read
            .into_iter()
            .map(|feed| (feed.address, feed.title, feed.group))
            .collect();
        read.sort();
        let mut feeds = feeds;
        feeds.sort();
        prop_assert_eq!(read, feeds);
    }

    #[test]
    fn nothing_that_is_handed_in_breaks_it(
        pieces in prop::collection::vec(
            prop::sample::select(vec![
                "<opml>", "<outline ", "</outline>", "xmlUrl=", "'", "\"", "a", ">", "/>", "<!--", "<?", "&",
                "&#", ";", "\n", "é", "<![CDATA[", "<!DOCTYPE ", "isComment='true' ",
            ]),
            0..40,
        )
    ) {
        let text = format!("<opml>{}", pieces.concat());
        let lines = text.split('\n').count();
        let (feeds, faults) = read(&text);
        prop_assert!(feeds.iter().all(|feed| (1..=lines).contains(&feed.line)));
        prop_assert!(faults.iter().all(|fault| (1..=lines).contains(&fault.line)));
    }
}
