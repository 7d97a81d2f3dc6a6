//! What sanitised HTML becomes as blocks, by example and by property.

use super::*;
use crate::distil::plain::plain_text;
use crate::distil::sanitise::sanitise;
use proptest::prelude::*;
use url::Url;

fn blocks(html: &str) -> Blocks {
    let base = Url::parse("https://quay.example.org/a/").expect("an address");
    let language = Language::parse("en").expect("a tag");
    read_blocks(&sanitise(html, &base), &language)
}

/// Blocks in a short notation: a kind, a colon, the text with styles and links marked.
fn notation(html: &str) -> Vec<String> {
    let render = |run: &Run| {
        let mut text = run.text.clone();
        for (on, mark) in [
            (run.style.emphasis, "*"),
            (run.style.strong, "**"),
            (run.style.code, "`"),
            (run.style.label, "|"),
            (run.style.script == Script::Superscript, "^"),
            (run.style.script == Script::Subscript, "_"),
        ] {
            if on {
                text = format!("{mark}{text}{mark}");
            }
        }
        run.link
            .map_or(text.clone(), |link| format!("[{text}]{link}"))
    };
    let blocks = blocks(html).blocks;
    let line = |block: &Block| {
        let kind = match block.kind {
            BlockKind::Paragraph => "p".to_owned(),
            BlockKind::Heading { level } => format!("h{level}"),
            BlockKind::ListItem {
                depth,
                marker: Marker::Bullet,
            } => format!("{depth}-"),
            BlockKind::ListItem {
                depth,
                marker: Marker::Number(number),
            } => format!("{depth}.{number}"),
            BlockKind::ListItem {
                depth,
                marker: Marker::None,
            } => format!("{depth} "),
            BlockKind::Quotation => "q".to_owned(),
            BlockKind::Preformatted => "pre".to_owned(),
            BlockKind::TableRow => "row".to_owned(),
            BlockKind::Picture => "pic".to_owned(),
            BlockKind::Rule => "rule".to_owned(),
        };
        // Which cells they are of is no matter of looks.
        let alike = block
            .runs
            .chunk_by(|one, other| (one.style, one.link) == (other.style, other.link));
        let runs = alike.map(|runs| Run {
            text: runs.iter().map(|run| run.text.as_str()).collect(),
            ..runs[0].clone()
        });
        format!(
            "{kind}:{}",
            runs.map(|run| render(&run)).collect::<String>()
        )
    };
    blocks.iter().map(line).collect()
}

fn check(html: &str, expected: &[&str]) {
    assert_eq!(notation(html), expected, "of {html}");
}

#[test]
fn paragraphs_and_headings() {
    check(
        "<h1>Tides</h1><p>The  ebb\n runs.</p>",
        &["h1:Tides", "p:The ebb runs."],
    );
    check(
        "a<div>b<p>c</p>d</div>e",
        &["p:a", "p:b", "p:c", "p:d", "p:e"],
    );
    check("<p>a<br>b<br><br>c<br></p>", &["p:a\nb", "p:c"]);
    check("<p> </p><div></div>", &[]);
    check("<hr><p>a<hr><hr><p>b<hr>", &["p:a", "rule:", "p:b"]);
    check("<section><h2>a <em>b</em></h2></section>", &["h2:a *b*"]);
}

#[test]
fn styles_are_runs_and_spaces_stand_outside_them() {
    check(
        "<p>a <em>b </em> <b>c</b>d<code> e</code></p>",
        &["p:a *b* **c**d `e`"],
    );
    check("<p><b>a <i>b</i></b> c</p>", &["p:**a *****b*** c"]);
    check("<p>H<sub>2</sub>O, m<sup>3</sup></p>", &["p:H_2_O, m^3^"]);
    check(
        "<p>say <q>aye</q> <ruby>港<rp>(</rp><rt>みなと</rt><rp>)</rp></ruby></p>",
        &["p:say “aye” 港(みなと)"],
    );
}

#[test]
fn lists_nest_and_count() {
    check(
        "<ul><li>a<li>b<ul><li>c</ul>d</ul>",
        &["1-:a", "1-:b", "2-:c", "1 :d"],
    );
    check(
        "<ol start=3><li>a<li value=7><p>b</p><p>c</p><li>d</ol>",
        &["1.3:a", "1.7:b", "1 :c", "1.8:d"],
    );
    check("<ol reversed><li>a<li>b</ol>", &["1.2:a", "1.1:b"]);
    check(
        "<ol><li><h3>a</h3>b<ol><li>c</ol></ol>",
        &["h3:a", "1.1:b", "2.1:c"],
    );
    check(
        "<ol start=99999999999999><li>a</ol><ol start=2147483647><li>b<li>c</ol>",
        &["1.1:a", "1.2147483647:b", "1.2147483647:c"],
    );
    check("<dl><dt>ebb<dd>falling</dl>", &["p:|ebb|", "p:falling"]);
}

#[test]
fn quotations_and_preformatted_text() {
    check(
        "<blockquote><p>a</p>b<footer>c</footer></blockquote>",
        &["q:a", "q:b", "q:c"],
    );
    check("<blockquote><ul><li>a</ul></blockquote>", &["1-:a"]);
    check("<pre>\n\n  a\n\tb  c\n\n</pre>", &["pre:  a\n    b  c"]);
    check(
        "<pre><code>x = 1\n<b>y</b></code></pre>",
        &["pre:`x = 1\n``**y**`"],
    );
}

#[test]
fn tables_are_read_out_row_by_row() {
    check(
        "<table><caption>Tides</caption><thead><tr><th>Day<th>High<tbody><tr><th>Mon<td>3.1<tr><th>Tue<td><b>3.4</b></table>",
        &[
            "p:|Tides|",
            "row:|Day|",
            "row:|Mon|\n|High: |3.1",
            "row:|Tue|\n|High: |**3.4**",
        ],
    );
    check(
        "<table><tr><th>Height<td>3 m<tr><th>Draught<td>1 m</table>",
        &["row:|Height: |3 m", "row:|Draught: |1 m"],
    );
    check(
        "<table><tr><th>a<th>b<tr><td>1<td>2</table>",
        &["row:|a: |1\n|b: |2"],
    );
    check("<table><tr><td>1<td><td>2<br>3</table>", &["row:1\n2 3"]);
    check(
        "<table><tr><th>a<th>b<tr><td rowspan=2>1<td>2<tr><td>3</table>",
        &["row:|a: |1\n|b: |2", "row:|a: |1\n|b: |3"],
    );
    check("<table><tr><th>a<th>b</table>", &["row:a\nb"]);
    check(
        "<table><tr><td><p>a</p><ul><li>b</ul><td>c</table>",
        &["p:a", "1-:b", "p:c"],
    );
    check("<table><tr><td>a<tr><td>b</table>", &["p:a", "p:b"]);
}

#[test]
fn heads_that_stand_before_no_value_are_told_before_the_rows() {
    check(
        "<table><tr><th>Corner<th>B<tr><th>x<td>1<tr><th>y<td>2</table>",
        &["row:|Corner|", "row:|x|\n|B: |1", "row:|y|\n|B: |2"],
    );
    check(
        "<table><tr><th>A<th>B<th>C<tr><td>1<td><td><tr><td>2</table>",
        &["row:|B|\n|C|", "row:|A: |1", "row:|A: |2"],
    );
    check(
        "<table><thead><tr><th rowspan=2>Day<th colspan=2>Tides<tr><th>High<th>Low<tbody><tr><td>1<td>2<td>3</table>",
        &["row:Tides", "row:|Day: |1\n|High: |2\n|Low: |3"],
    );
    let long = "slack water ".repeat(8);
    let long = long.trim_end();
    let told = format!("row:|{long}|");
    check(
        &format!("<table><tr><th>{long}<tr><td>1<td>2</table>"),
        &[
            &told,
            "row:|slack water slack water slack water slack water slack water…: |1\n2",
        ],
    );
}

/// The cells of each block with their texts, heads marked; a semicolon parts blocks.
fn cells(html: &str) -> String {
    let cell = |run: &Run| {
        let cell = run.cell?;
        let head = if cell.head { "^" } else { "" };
        Some(format!("{},{}{head}={}", cell.row, cell.column, run.text))
    };
    let row = |block: &Block| {
        let cells: Vec<String> = block.runs.iter().filter_map(cell).collect();
        cells.join(" ")
    };
    let rows: Vec<String> = blocks(html).blocks.iter().map(row).collect();
    rows.join("; ")
}

#[test]
fn the_runs_of_plain_columns_say_which_cells_they_are_of() {
    let table = "<table><caption>Tides</caption><tr><th>Day<th>High<tr><th>Mon<td>3 <b>m</b><tr><th>Tue<td></table>";
    assert_eq!(
        cells(table),
        "; 0,0^=Day; 2,0=Mon 2,1^=High 2,1=3  2,1=m; 3,0=Tue"
    );
    // A head that stands before no value keeps its column.
    assert_eq!(
        cells("<table><tr><th>a<th>b<th>c<tr><td>1<td>2</table>"),
        "0,2^=c; 2,0^=a 2,0=1 2,1^=b 2,1=2"
    );
    // Reading out puts a colon between what is in no cell with it.
    assert_eq!(
        cells("<table><tr><th>Height<td>3 m<tr><td><td>1 m</table>"),
        "1,0=Height 1,1=3 m; 2,1=1 m"
    );
    // Told in every row over which it lies.
    assert_eq!(
        cells("<table><tr><td rowspan=2>a<td>b<tr><td>c</table>"),
        "1,0=a 1,1=b; 2,0=a 2,1=c"
    );
}

#[test]
fn the_runs_of_other_tables_say_nothing_of_cells() {
    for table in [
        "<table><tr><td colspan=2>a<tr><td>b<td>c</table>",
        "<table><thead><tr><th>a<th>b<tr><th>c<th>d<tbody><tr><td>1<td>2</table>",
        "<table><tr><td>1<td>2<tbody></tbody><thead><tr><th>a<th>b</thead><tr><td>3<td>4</table>",
    ] {
        assert!(!cells(table).contains('='), "{table}: {}", cells(table));
    }
    assert_eq!(cells("<p>a</p><dl><dt>b<dd>c</dl>"), "; ; ");
}

#[test]
fn marks_do_not_pile_up_across_elements() {
    let piles = "<b>\u{300}\u{301}</b><i>\u{300}</i>".repeat(9);
    check(
        &format!("<p>a{piles} b</p>"),
        &["p:a**\u{300}\u{301}***\u{300}***\u{300}** b"],
    );
}

#[test]
fn spans_of_strangers_do_not_multiply_text() {
    let row = "<tr><td colspan=999999999 rowspan=999999999>word".repeat(1_000);
    let read = blocks(&format!("<table><tr><td>a<td>b{row}</table>"));
    let words: usize = read
        .blocks
        .iter()
        .map(|block| block.text().matches("word").count())
        .sum();
    assert!(words <= 60_000, "{words} words");
}

#[test]
fn pictures_are_their_texts() {
    check("<img alt='The gate'>", &["pic:The gate"]);
    check("<img src=a><img alt=''>", &[]);
    check(
        "<p>Up <img alt='A chart'> and <img alt='🌊'>down</p>",
        &["p:Up and 🌊down", "pic:A chart"],
    );
    check(
        "<figure><img alt='The gate'><figcaption>Shut <b>now</b></figcaption></figure>",
        &["pic:The gate\nShut **now**"],
    );
    check(
        "<figure><figcaption>Shut</figcaption><img alt='Shut'></figure>",
        &["pic:Shut"],
    );
    check("<figure><img alt='The gate'></figure>", &["pic:The gate"]);
    check(
        "<figure><pre>x</pre><figcaption>Code</figcaption></figure>",
        &["pre:x", "p:Code"],
    );
}

#[test]
fn captions_of_several_paragraphs_belong_to_the_picture() {
    check("<figure><img alt=''></figure>", &[]);
    check(
        "<figure><img alt=''><figcaption><p>a</p><p>b</p></figcaption></figure>",
        &["pic:a", "pic:b"],
    );
    check(
        "<figure><img alt='The gate'><figcaption><p>Shut</p></figcaption></figure><p>c</p>",
        &["pic:The gate\nShut", "p:c"],
    );
}

#[test]
fn links_are_collected_once_an_address() {
    let read = blocks(
        "<p><a href=b>the <b>gate</b></a> or <a href=c></a><a href='/a/b'>it</a> <a href=d><img alt='A map of it'></a><a href=#n>1</a></p>",
    );
    let texts: Vec<(&str, &str)> = read
        .links
        .iter()
        .map(|link| (link.address.as_str(), link.text.as_str()))
        .collect();
    assert_eq!(texts, [("https://quay.example.org/a/b", "the gate")]);
    check(
        "<p><a href=b>the <b>gate</b></a> or <a href=b>it</a>.</p>",
        &["p:[the ]0[**gate**]0 or [it]0."],
    );
}

#[test]
fn language_and_direction_come_from_the_nearest_element() {
    let read = blocks(
        "<p>a</p><div lang=ar><p>b</p><p dir=ltr>c</p></div><p dir=auto>שלום</p><p lang='x y'>d</p>",
    );
    let seen: Vec<(&str, Direction)> = read
        .blocks
        .iter()
        .map(|block| (block.language.tag(), block.direction))
        .collect();
    let expected = [
        ("en", Direction::Ltr),
        ("ar", Direction::Rtl),
        ("ar", Direction::Ltr),
        ("en", Direction::Rtl),
        ("en", Direction::Ltr),
    ];
    assert_eq!(seen, expected);
}

/// Random HTML of the elements that matter, unclosed and misplaced ones among it.
fn html() -> impl Strategy<Value = String> {
    let parts = "<p> </p> <div> </div> <b> </b> <i> </i> <a_href=x> <a_href=y> </a> <ul> <ol> </ul> </ol> <li> </li> <h2> </h2> \
        <blockquote> </blockquote> <pre> </pre> <br> <hr> <em> </em> <sup> </sup> <dl> <dt> <dd> </dl> <span> </span> <code> </code> \
        <section> </section> <figure> <figcaption> </figure> <details> <summary> <center> <svg> </svg> <script> </script> <!-- --> \
        <select> <option> <button> </button> <form> <small> <nobr> <font> <u> <main> &lt;p&gt; &amp; < > &#13; &nbsp; \u{a0} é \
        <p_hidden> <math> <template> </template> <title> <textarea> </textarea> <object> <marquee> <ruby> <p_title=\"<b>\">";
    let parts: Vec<String> = parts
        .split(' ')
        .map(|part| part.replace('_', " "))
        .collect();
    let part = prop_oneof![
        3 => prop::sample::select(parts),
        3 => "[a-z]{1,6}".prop_map(|word| format!(" {word} ")),
        1 => "[ \n]{1,3}|[a-z]{1,3}",
    ];
    prop::collection::vec(part, 0..50).prop_map(|parts| parts.concat())
}

fn html_with_tables() -> impl Strategy<Value = String> {
    let table = "<table>|</table>|<tr>|<td>|<th>|<td rowspan=2>|</td>|<caption>|<thead>|<tbody>|<img alt='x y z'>|<q>|</q>";
    let parts: Vec<&str> = table.split('|').collect();
    (
        html(),
        prop::collection::vec(prop::sample::select(parts), 0..12),
        html(),
    )
        .prop_map(|(before, table, after)| {
            let middle: Vec<String> = table
                .iter()
                .enumerate()
                .map(|(n, part)| format!("{part}w{n} "))
                .collect();
            format!("{before}{}{after}", middle.concat())
        })
}

fn letters(text: &str) -> String {
    text.chars()
        .filter(|character| character.is_alphanumeric())
        .collect()
}

proptest! {
    #[test]
    fn sanitising_twice_changes_nothing_more(html in html_with_tables()) {
        let base = Url::parse("https://quay.example.org/a/").expect("an address");
        let once = sanitise(&html, &base);
        prop_assert_eq!(sanitise(once.as_str(), &base), once);
    }

    /// Blocks hold the text alone: the characters of the HTML's text content, in order, once.
    #[test]
    fn every_word_is_in_the_blocks_in_order_and_no_markup(html in html()) {
        let base = Url::parse("https://quay.example.org/a/").expect("an address");
        let clean = sanitise(&html, &base);
        let read = read_blocks(&clean, &Language::unknown());
        let texts: Vec<String> = read.blocks.iter().map(Block::text).collect();
        prop_assert_eq!(letters(&texts.concat()), letters(&Document::fragment(clean.as_str()).text()));
        let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        prop_assert_eq!(words(&texts.join(" ")), words(&plain_text(clean.as_str())));
        for run in read.blocks.iter().flat_map(|block| &block.runs) {
            prop_assert!(run.link.is_none_or(|link| link < read.links.len()));
            prop_assert!(!run.text.is_empty());
        }
        for block in read.blocks.iter().filter(|block| block.kind != BlockKind::Preformatted) {
            let text = block.text();
            prop_assert!(!text.contains("  ") && !text.contains(" \n") && !text.contains("\n "), "{:?}", text);
            prop_assert_eq!(text.trim_ascii(), &text);
        }
    }

    #[test]
    fn tables_never_panic_and_links_point_somewhere(html in html_with_tables()) {
        let read = blocks(&html);
        for run in read.blocks.iter().flat_map(|block| &block.runs) {
            prop_assert!(run.link.is_none_or(|link| link < read.links.len()));
        }
    }
}
