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
            BlockKind::Note => "note".to_owned(),
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
    check(
        "<dl><dt>ebb<dd>falling<dd>low<ul><li>a</ul></dl>",
        &["1-:|ebb|", "1 :falling", "1 :low", "2-:a"],
    );
}

#[test]
fn quotations_and_preformatted_text() {
    check(
        "<blockquote><p>a</p>b<footer>c</footer></blockquote>",
        &["q:a", "q:b\n|c|"],
    );
    check("<blockquote><ul><li>a</ul></blockquote>", &["1-:a"]);
    check("<pre>\n\n  a\n\tb  c\n\n</pre>", &["pre:  a\n    b  c"]);
    check(
        "<pre><code>x = 1\n<b>y</b></code></pre>",
        &["pre:`x = 1\n``**y**`"],
    );
}

#[test]
fn sources_are_kept_with_their_quotations() {
    for (source, told) in [
        ("<cite>c</cite></blockquote>", "|*c*|"),
        ("<p><cite>c</cite></p></blockquote>", "|*c*|"),
        ("<p class=attribution>c</p></blockquote>", "|c|"),
    ] {
        check(
            &format!("<blockquote><p>a</p>{source}<p>b</p>"),
            &[&format!("q:a\n{told}"), "p:b"],
        );
    }
    check(
        "<blockquote><p>a</p></blockquote><p>— c</p>",
        &["q:a\n|— c|"],
    );
    check(
        "<figure><blockquote>a</blockquote><figcaption>c</figcaption></figure>",
        &["q:a\n|c|"],
    );
    // A book that is named in the quotation is no source of it.
    check(
        "<blockquote>a <cite>b</cite> c</blockquote>",
        &["q:a *b* c"],
    );
    check("<footer>c</footer>", &["p:c"]);
}

#[test]
fn listings_say_their_language() {
    check(
        "<pre><code class='language-c++'>x;</code></pre><pre>y</pre>",
        &["pre:|c++\n|`x;`", "pre:y"],
    );
    check(
        "<div class='highlight highlight-source-sh'><pre>ls</pre></div>",
        &["pre:|sh\n|ls"],
    );
    check(
        "<pre class='language-plaintext lang-<b>'>a</pre>",
        &["pre:a"],
    );
}

// The markup of notes is that of DPUB-ARIA 1.1 (doc-noteref, doc-endnotes, doc-backlink), of EPUB 3.3's
// structural semantics, and of writers of notes in common use (common practice, no source).
#[test]
fn notes_follow_their_paragraph_once() {
    let expected = ["p:a^1^ b", "note:^|1|^ Slack.", "p:c"];
    for (link, note) in [
        (
            "<sup id=r1><a href='#fn1'>1</a></sup>",
            "<hr><ol><li id=fn1>Slack. <a href='#r1'>↩</a></li></ol>",
        ),
        (
            "<a role=doc-noteref id=r1 href='#n'><sup>1</sup></a>",
            "<section role=doc-endnotes><h2>Notes</h2><ol><li id=n><p>Slack.<a role=doc-backlink href='#r1'>back</a></p></li></ol></section>",
        ),
        (
            "<sup><a href='#n' id=r>1</a></sup>",
            "<h3>Footnotes</h3><p id=n><a href='#r'>[1]</a> Slack.</p>",
        ),
        (
            "<sup><a href='#n' name=r>1</a></sup>",
            "<p><a name=n></a>1. Slack.</p>",
        ),
        (
            "<sup><a epub:type=noteref href='#n'>1</a></sup>",
            "<aside epub:type=footnote id=n><p>Slack.</p></aside>",
        ),
        // As docutils 0.19 writes them.
        (
            "<a class=footnote-reference href='#n' id=r>1</a>",
            "<dl class=footnote><dt id=n><span><a href='#r'>1</a></span></dt><dd><p>Slack.</p></dd></dl>",
        ),
        (
            "<sup><a href='https://quay.example.org/a/#n'>1</a></sup>",
            "<div id=n>Slack.</div>",
        ),
    ] {
        let html = format!("<p>a{link} b</p><p>c</p>{note}");
        assert_eq!(notation(&html), expected, "of {html}");
    }
}

#[test]
fn a_note_that_is_referred_to_twice_or_from_a_table_is_told_once() {
    check(
        "<p>a<sup><a href='#n'>1</a></sup><p>b<sup><a href='#n'>1</a></sup><ol><li id=n>c</ol>",
        &["p:a^1^", "note:^|1|^ c", "p:b^1^"],
    );
    check(
        "<table><tr><td>a<sup><a href='#n'>*</a></sup><td>b</table><p>d</p><p id=n>* c</p>",
        &["row:a^*^\nb", "note:^|*|^ c", "p:d"],
    );
    check(
        "<p>a<a href='#n' id=r>*</a> b<p>c<p id=n>* Slack. <a href='#r'>Back to the text</a>",
        &["p:a^*^ b", "note:^|*|^ Slack.", "p:c"],
    );
    // A note to a note follows it.
    check(
        "<p>a<sup><a href='#m'>1</a></sup><p>d<ol><li id=m>b<sup><a href='#n'>2</a></sup><li id=n>c</ol>",
        &["p:a^1^", "note:^|1|^ b^2^", "note:^|2|^ c", "p:d"],
    );
}

#[test]
fn a_heading_says_no_sign_that_leads_to_itself() {
    check(
        "<h2 id=a>Tides<a href='#a'>¶</a></h2><p>a <a href='#a'>#</a>",
        &["h2:Tides", "p:a #"],
    );
    check(
        "<h2>a <a href='https://a.example/'>b</a></h2>",
        &["h2:a [b]0"],
    );
}

#[test]
fn links_within_a_page_to_anything_else_are_text() {
    check(
        "<ul><li><a href='#one'>1</a><li><a href='#two'>Two</a></ul><h2 id=one>1</h2><p id=two>b</p>",
        &["1-:1", "1-:Two", "h2:1", "p:b"],
    );
    check("<p id=a>x <sup><a href='#a'>1</a></sup></p>", &["p:x ^1^"]);
    check("<p>x <sup><a href='#none'>1</a></sup></p>", &["p:x ^1^"]);
}

#[test]
fn formulas_are_text_of_the_line() {
    check(
        "<p>so <math><msup><mi>x</mi><mn>2</mn></msup><mo>=</mo><mfrac><mn>1</mn><mi>y</mi></mfrac></math>.</p>",
        &["p:so x^2^ = 1/y."],
    );
    check(
        "<p>so \\(x_1 \\leq 2\\), $5 to $6</p>",
        &["p:so x_1_ ≤ 2, $5 to $6"],
    );
    check("<p><span class='math inline'>x^2</span></p>", &["p:x^2^"]);
    check("<p>a<script type='math/tex'>\\pi</script></p>", &["p:aπ"]);
    check("<p><code>$x^2$</code></p>", &["p:`$x^2$`"]);
    // The text stands beside a drawing that is the one to be seen.
    check(
        "<span><span class=x-mathml style='display: none'><math><mi>x</mi></math></span><span aria-hidden=true>x</span></span>",
        &["p:x"],
    );
    // What HTML ends, a formula does not hold.
    check("<p>a<math><mi>x<p>b", &["p:a", "p:b"]);
    check("<math><mtext><img src=x onerror=y></mtext></math>", &[]);
}

#[test]
fn sound_and_film_are_told_in_a_line() {
    let read = |html: &str, line: &str, address: Option<&str>| {
        assert_eq!(notation(html), [line], "of {html}");
        let links = blocks(html).links;
        let found = links.first().map(|link| link.address.as_str());
        assert_eq!(found, address, "of {html}");
    };
    let at = |path: &str| format!("https://quay.example.org/{path}");
    read(
        "<video src=/a.webm title='The lock'>old</video>",
        "p:[Video: The lock]0",
        Some(&at("a.webm")),
    );
    read(
        "<audio><source src='b.ogg'>no <a href=c>it</a></audio>",
        "p:[Audio]0",
        Some(&at("a/b.ogg")),
    );
    read("<video src='blob:x'></video>", "p:Video", None);
    read(
        "<iframe title='The &lt;gate&gt;' src='https://player.example/1'></iframe>",
        "p:[Video: The <gate>]0",
        Some("https://player.example/1"),
    );
    read(
        "<iframe allowfullscreen src='//maps.example/1'></iframe>",
        "p:[Embedded]0",
        Some("https://maps.example/1"),
    );
    read(
        "<object data='/d.pdf' type='application/pdf'>x</object>",
        "p:[PDF]0",
        Some(&at("d.pdf")),
    );
    read("<embed src='/e.mp3'>", "p:[Audio]0", Some(&at("e.mp3")));
    read(
        "<p>a<iframe src=/video/1></iframe>b</p>",
        "p:a\n[Video\n]0b",
        Some(&at("video/1")),
    );
    for silent in [
        "<iframe src='https://count.example/x'></iframe>",
        "<iframe src='/video/1' width=1 height=1></iframe>",
        "<iframe src='/video/1' style='display:none'></iframe>",
        "<iframe src='javascript:video/1' allowfullscreen></iframe>",
        "<object data='/f.svg' type='image/svg+xml'></object>",
        "<div hidden><video src=/a.webm></video></div>",
    ] {
        check(silent, &[]);
    }
}

#[test]
fn long_tables_say_how_many_rows_they_leave_out() {
    let rows = |count: usize| {
        let rows: String = (0..count)
            .map(|row| format!("<tr><td>{row}<td>b"))
            .collect();
        notation(&format!("<table>{rows}</table><p>c"))
    };
    let read = rows(500);
    assert_eq!(read.len(), 62);
    assert_eq!(read[60], "p:440 more rows of this table are not shown.");
    assert_eq!(rows(63).len(), 64);
}

#[test]
fn summaries_name_what_they_open() {
    check(
        "<details><summary>More</summary><p>a</p></details>",
        &["p:|More|", "p:a"],
    );
}

#[test]
fn verse_and_addresses_keep_their_lines() {
    check(
        "<p>Ebb<br>and flow<br>and ebb</p>",
        &["p:Ebb\nand flow\nand ebb"],
    );
    check(
        "<address>Quay 1<br>Kestrel Quay</address>",
        &["p:Quay 1\nKestrel Quay"],
    );
}

#[test]
fn what_is_hidden_is_no_text() {
    for style in [
        "display:none",
        "DISPLAY : NONE !important",
        "visibility: hidden",
        "font-size:0",
        "display:&#110;one",
        "display&colon;none",
        "display:/* a */none",
        "display: none ! important",
        "font-size: 0px; color: red",
        "height:0;overflow:hidden",
        "width:1px;height:1px;overflow:hidden",
        "clip: rect(0 0 0 0)",
        "clip:rect(1px, 1px, 1px, 1px)",
        "clip-path:inset(50%)",
        "text-indent:-9999px",
        "position:absolute; left: -10000px",
    ] {
        check(&format!("<div style='{style}'><p>a</p></div>b"), &["p:b"]);
    }
    for attribute in ["hidden", "aria-hidden=true"] {
        check(&format!("<div {attribute}>a</div>b"), &["p:b"]);
    }
    check(
        "<p>a<span class=sr-only>opens in a new window</span></p>",
        &["p:a"],
    );
}

#[test]
fn what_is_seen_stays_text() {
    for style in [
        "display:block",
        "font-size:0.9em",
        // Scripts let text fade in.
        "opacity:0",
        "height:0",
        "overflow:hidden",
        "text-indent:-1em",
        "left:-10px;position:absolute",
        "clip:auto",
    ] {
        check(&format!("<div style='{style}'>a</div>"), &["p:a"]);
    }
    // A table of a newsletter takes the white between cells away, and gives each its size again.
    check(
        "<div style='font-size:0'>x<div style='font-size:16px'>a</div> <span style='font-size:1rem'>b</span></div>",
        &["p:a", "p:b"],
    );
    check(
        "<div style='visibility:hidden'>x<p style='visibility:visible'>a</p></div>",
        &["p:a"],
    );
    check("<h2 class=visually-hidden>Tides</h2>", &["h2:Tides"]);
    check(
        &format!("<p><span class=sr-only>{}</span>", "word ".repeat(9)),
        &["p:word word word word word word word word word"],
    );
    check("<div hidden=until-found>a</div>", &["p:a"]);
}

#[test]
fn specks_and_links_to_share_by_go() {
    check(
        "<p>a<img alt='count of readers' width=1 height=1>",
        &["p:a"],
    );
    check(
        "<p>a<img alt='count of readers' style='width:1px;height:0'>",
        &["p:a"],
    );
    let own = "https%3A%2F%2Fquay.example.org%2Fa";
    let lists = [
        format!(
            "<ul><li><a href='https://s.example/share?url={own}'>One</a><li><a href='https://s.example/intent/post?text={own}'>Two</a></ul>"
        ),
        format!(
            "<div>Share this: <a href='mailto:?subject=a&body={own}'>by mail</a> | <a href='prog://send?text={own}'>Prog</a></div>"
        ),
        format!("<p><a href='https://s.example/sharer.php?u={own}'><img alt='Share on S'></a></p>"),
    ];
    for list in lists {
        check(&format!("<p>a</p>{list}<p>b</p>"), &["p:a", "p:b"]);
    }
    // The words of a sentence stay, and so does what only looks like it.
    check(
        &format!("<p>Do <a href='https://s.example/share?url={own}'>tell others</a> of it.</p>"),
        &["p:Do tell others of it."],
    );
    check(
        "<p><a href='https://s.example/share?id=7'>a</a></p>",
        &["p:[a]0"],
    );
    check(
        "<p><a href='mailto:a@b.example?body=https://c.example'>a</a></p>",
        &["p:[a]0"],
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

/// What would take minutes if anything in it were gone through anew for each of the rest; all of it is read.
#[test]
fn hostile_markup_is_gone_through_once() {
    // Empty lines at the start of a listing, each a run of its own.
    let lines = format!("<pre>{}a</pre>", "<b>\n</b>\n".repeat(40_000));
    assert_eq!(blocks(&lines).blocks[0].text(), "a");
    // The words of a link whose address is long.
    let address = format!("http://h.example/{}", "a".repeat(200_000));
    let words = format!("<a href='{address}'>{}</a>", "b ".repeat(40_000));
    let read = blocks(&words);
    assert_eq!(read.links.len(), 1);
    assert!(read.blocks[0].runs.iter().all(|run| run.link == Some(0)));
    assert_eq!(read.blocks[0].text().len(), 79_999);
    // Listings inside an element of long classes.
    let classes = "a ".repeat(100_000);
    let listings = format!(
        "<div class='{classes}'>{}</div>",
        "<pre>x</pre>".repeat(5_000)
    );
    assert_eq!(blocks(&listings).blocks.len(), 5_000);
    // Alternative texts of one figure, each once.
    let pictures: String = (0..40_000).map(|n| format!("<img alt=a{n:05}>")).collect();
    let text = blocks(&format!("<figure>{pictures}</figure>")).blocks;
    assert_eq!(text.len(), 40_000);
}

#[test]
fn emptied_holders_of_notes_are_looked_for_once() {
    let references: String = (0..480)
        .map(|n| format!("<p>a<a href=#fn{n}><sup>{n}</sup></a></p>"))
        .collect();
    let notes: String = (0..480)
        .map(|n| format!("<div><p id=fn{n}>note</p></div>"))
        .collect();
    let empty = "<p></p>".repeat(30_000);
    let read = blocks(&format!(
        "{references}<section>{empty}text{notes}</section>"
    ))
    .blocks;
    let notes = read.iter().filter(|block| block.kind == BlockKind::Note);
    assert_eq!(notes.count(), 480);
    assert_eq!(read.last().map(Block::text).as_deref(), Some("text"));
}

#[test]
fn directions_inside_one_another_are_asked_of_a_part_of_the_text() {
    let figures = "1 ".repeat(100_000);
    let nested = "<div dir=auto>".repeat(400);
    let read = blocks(&format!("{nested}{figures}")).blocks;
    assert_eq!(read[0].direction, Direction::Ltr);
    let read = blocks(&format!("{nested}<p>1<p>ים {figures}")).blocks;
    assert!(read.iter().all(|block| block.direction == Direction::Rtl));
    // A note has the direction of the innermost element around it that says one.
    let note =
        "<p>a<a href=#fn1><sup>1</sup></a><div dir=rtl><div dir=auto><p id=fn1>note</div></div>";
    let read = blocks(note).blocks;
    assert_eq!(read[1].direction, Direction::Ltr);
}
