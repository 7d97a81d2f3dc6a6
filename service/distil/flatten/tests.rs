//! Markup written anew: its limits, and that nothing of the text is lost.

use super::*;

fn content(html: &str) -> String {
    flatten(html, Kind::Content, Limits::ORDINARY).html
}

fn check(input: &str, expected: &str) {
    assert_eq!(content(input), expected, "of {input:?}");
}

/// The deepest nesting of the output, which has end tags for all but void elements.
fn depth(html: &str) -> usize {
    let (mut depth, mut deepest, mut tokens) = (0usize, 0, Tokens::new(html));
    while let Some(token) = tokens.next() {
        match token {
            Token::Start { name, .. } if !is_void(&name) => depth += 1,
            Token::End { .. } => depth -= 1,
            _ => {}
        }
        deepest = deepest.max(depth);
    }
    assert_eq!(depth, 0, "unbalanced");
    deepest
}

#[test]
fn elements_are_closed_in_order() {
    check("<p>a<p>b", "<p>a</p><p>b</p>");
    check(
        "<ul><li>a<li>b<ul><li>c</ul></ul>",
        "<ul><li>a</li><li>b<ul><li>c</li></ul></li></ul>",
    );
    check("<b>a<i>b</b>c</i>", "<b>a<i>b</i></b>c");
    check(
        "<table><tr><td>a<td>b<tr><th>c",
        "<table><tr><td>a</td><td>b</td></tr><tr><th>c</th></tr></table>",
    );
    check("<p><b>a<p>b", "<p><b>a</b></p><p>b</p>");
    check("a<br></br>b</p>", "a<br>b");
    check(
        "<dl><dt>a<dd>b<dt>c</dl>",
        "<dl><dt>a</dt><dd>b</dd><dt>c</dt></dl>",
    );
}

#[test]
fn what_is_no_tag_stays_text() {
    check("1 < 2 & 3 > 2", "1 &lt; 2 & 3 > 2");
    check("a<", "a&lt;");
    check("<!-- <div> -->a<!-->b<!-- --!>c<![CDATA[d]]>e", "abce");
    check("a<!-- unclosed <div>", "a");
    check("a<b title='>\"'>", "a<b title=\">&quot;\"></b>");
    check("<é>a", "&lt;é>a");
    check("<p é=1 b=ü>a", "<p b=\"ü\">a</p>");
}

#[test]
fn hidden_and_foreign_content_goes() {
    check("a<svg><style><div></style></svg>b", "ab");
    check(
        "<p hidden>a</p><p style='DISPLAY : none'>b</p><i aria-hidden=true>c</i>d",
        "d",
    );
    check("<script>if (a</b>c) '<div>'</script>e", "e");
    check("<style>a</styles></style >b", "b");
    check("<textarea><div></textarea>a<button>b</button>", "a");
}

#[test]
fn ordinary_unclosed_elements_do_not_nest() {
    for tag in [
        "<p>",
        "<br>",
        "<li>",
        "<td>",
        "<a href=x>",
        "<dd>",
        "<option>",
        "<h1>",
    ] {
        let html = format!("<table>{}</table>", format!("{tag}word ").repeat(10_000));
        let flat = flatten(&html, Kind::Page, Limits::ORDINARY);
        assert!(!flat.flattened && !flat.cut, "{tag}");
        assert!(depth(&flat.html) < 6, "{tag} nests {}", depth(&flat.html));
        assert_eq!(flat.html.matches("word").count(), 10_000, "{tag}");
    }
}

#[test]
fn nesting_beyond_the_limit_is_flattened_whatever_hides_it() {
    let units = [
        "<div>",
        "<b>",
        "<b id=1><table><td></b>",
        "<div><table><tr><td></div>",
        "<p><b>",
        "<ul><li>",
        "<svg><style></svg><div>",
        "<div title='<!--'>",
        "<!--><div>",
        "<blockquote><p></blockquote x",
        "<font color='>'>",
        "<object><div>",
        "<table>",
        "<x-y>",
        "<div/>",
        "<ruby><rt>",
    ];
    for unit in units {
        let flat = flatten(&unit.repeat(20_000), Kind::Page, Limits::ORDINARY);
        assert!(
            depth(&flat.html) <= 512,
            "{unit} nests {}",
            depth(&flat.html)
        );
    }
    let flat = flatten(&"<div>".repeat(100_000), Kind::Page, Limits::ORDINARY);
    assert!(depth(&flat.html) == 512 && flat.flattened);
    let nested = format!("{}deep{}after", "<div>".repeat(600), "</div>".repeat(600));
    let flat = flatten(&nested, Kind::Content, Limits::ORDINARY);
    assert!(flat.flattened);
    assert!(flat.html.ends_with("</div>after") && flat.html.contains(">deep<"));
}

#[test]
fn too_much_is_cut_and_said() {
    let flat = flatten(&"<p>a".repeat(200_000), Kind::Content, Limits::ORDINARY);
    assert!(flat.cut && depth(&flat.html) == 1);
    let flat = flatten(&"ä".repeat(5_000_000), Kind::Content, Limits::ORDINARY);
    assert!(flat.html.len() <= Limits::ORDINARY.bytes + 2);
    let many = format!(
        "<p {}>a",
        (0..10_000).map(|n| format!("a{n}=1 ")).collect::<String>()
    );
    assert!(content(&many).len() < 1_000);
}

/// The printer of html5ever 0.40 looks for either character to the end of the text at each of them.
#[test]
fn what_a_printer_would_look_through_too_often_is_cut() {
    let check = |html: &str, cut: bool| {
        let flat = flatten(html, Kind::Content, Limits::ORDINARY);
        let escapes = flat.html.matches(['&', '\u{a0}']).count() as u64;
        assert!(escapes * flat.html.len() as u64 <= Limits::ORDINARY.escapes + 1_000_000);
        assert_eq!(flat.cut, cut);
        assert!(flat.html.len() >= html.len().min(141_000));
    };
    check(&"&".repeat(1_000_000), true);
    check(&"&amp;\u{a0}".repeat(300_000), true);
    check(&format!("<p title='{}'>", "&".repeat(1_000_000)), true);
    check(
        &format!("{}{}", "&".repeat(100_000), "é".repeat(1_000_000)),
        true,
    );
    check(&"&".repeat(140_000), false);
    // A long book, with a space before each of its signs.
    check(
        &"Le quai\u{a0}: la marée monte encore ce soir. ".repeat(20_000),
        false,
    );
}

#[test]
fn a_page_keeps_its_title_and_structured_data() {
    let html = "<html lang=de><head><title>Ebbe <b> Flut</title>\
        <script type='application/ld+json'>{\"a\":\"<b>\"}</script><script>x</script></head>\
        <body class=a><body class=b>Text";
    let expected = "<!DOCTYPE html><html lang=\"de\"><head><title>Ebbe &lt;b> Flut</title>\
        <script type=\"application/ld+json\">{\"a\":\"\\u003cb>\"}</script><body class=\"a\">Text";
    assert_eq!(flatten(html, Kind::Page, Limits::ORDINARY).html, expected);
}

/// A parser moves what stands in a table but in no cell before the table; ammonia 4.2 counts what is there already.
#[test]
fn too_much_between_the_cells_of_a_table_is_cut_and_said() {
    for unit in [
        "<span></span>",
        "<p>a</p><tr>",
        "<br>",
        "a<tr></tr>",
        "<math><mi>a</mi></math>",
        "<a name=b>",
    ] {
        let table = format!("<table>{}", unit.repeat(40_000));
        let flat = flatten(&table, Kind::Content, Limits::ORDINARY);
        assert!(flat.cut && flat.html.contains("<table>"), "{unit}");
        let few = format!("<table>{}<tr><td>b", unit.repeat(8_000));
        assert!(
            !flatten(&few, Kind::Content, Limits::ORDINARY).cut,
            "{unit}"
        );
    }
    let rows = format!("<table>{}", "<form><tr><td>a<td><p>b".repeat(5_000));
    assert!(!flatten(&rows, Kind::Content, Limits::ORDINARY).cut);
}

/// Parsers look through the elements that are open: 500 around each of 60,000 took seconds.
#[test]
fn too_many_elements_in_deep_places_are_cut_and_said() {
    let deep = |count: usize| format!("{}{}", "<div>".repeat(500), "<hr>".repeat(count));
    assert!(flatten(&deep(20_000), Kind::Content, Limits::ORDINARY).cut);
    assert!(!flatten(&deep(10_000), Kind::Content, Limits::ORDINARY).cut);
}
