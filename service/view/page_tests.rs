//! What a page says in HTML: escaping, line ends, classes, languages, ways on.

use super::*;
use crate::distil::block::{Block, BlockKind, Marker, Run, Script, Style as Look};
use crate::font::{FontFiles, REGULAR, Typeface};
use crate::typeset::{Cell, Ground, Item, Lines, Spacing, Span, Step, typeset};
use crate::view::rim::rim_degrees;
use crate::view::style::{Style, text_sheet};
use crate::words::Words;

const SCREEN: Screen = Screen::DEFAULT;

fn style() -> Styles {
    Styles::from(Style {
        text: "p>a{}".to_owned(),
        hash: String::new(),
        font: "f.woff2".to_owned(),
    })
}

fn language(tag: &str) -> Language {
    Language::parse(tag).expect("a tag")
}

fn span(text: &str) -> Span {
    Span {
        text: text.to_owned(),
        style: Look::default(),
        linked: false,
    }
}

fn line(item: usize, place: usize, text: &str, end: LineEnd) -> Line {
    Line {
        item,
        part: 0,
        kind: LineKind::Paragraph,
        size: Step::OWN,
        mark: None,
        hang: 0.0,
        spans: vec![span(text)],
        cells: Vec::new(),
        end,
        place: place as f64,
        width: 0.5,
        chord: 0.6,
        characters: 0..text.chars().count(),
    }
}

fn disc(kind: DiscKind, lines: Vec<Line>) -> Disc {
    Disc {
        kind,
        screen: SCREEN,
        rows: if kind == DiscKind::Text {
            vec![]
        } else {
            vec![4; lines.len()]
        },
        lines,
    }
}

fn print(discs: &[Disc], targets: &[Target], sizes_of: Option<Screen>) -> String {
    let page = PageView {
        title: "\"Ebb\" & <flow>",
        language: &language("en"),
        direction: Direction::Ltr,
        discs,
        targets,
        words: Words::default(),
        sizes_of,
        style: &style(),
        script: None,
    };
    page.print().expect("a page")
}

fn plain() -> Target {
    Target::none(&language("en"), Direction::Ltr)
}

/// The elements of the only disc of a page.
fn printed(lines: Vec<Line>) -> String {
    inside(&print(
        &[disc(DiscKind::Text, lines)],
        &[plain(), plain(), plain()],
        None,
    ))
}

/// What stands in the first section of a page.
fn inside(page: &str) -> String {
    let (_, after) = page.split_once("<section").expect("a section");
    let (_, after) = after.split_once('>').expect("a tag");
    let (inside, _) = after.split_once("</section>").expect("its end");
    inside.to_owned()
}

#[test]
fn text_titles_and_addresses_are_escaped() {
    let target = Target {
        leaves: true,
        ..Target::to(
            "https://a.example/?a=1&b=\"<x>'".to_owned(),
            &language("en"),
        )
    };
    let lines = vec![line(0, 0, "1 < 2 & \"<b>\"</section>", LineEnd::Set)];
    let page = print(&[disc(DiscKind::Rows, lines)], &[target], None);
    assert!(
        page.contains("<title>&#34;Ebb&#34; &#38; &#60;flow&#62;</title>"),
        "{page}"
    );
    assert!(page.contains(
        r#"<a class="r r4" href="https://a.example/?a=1&#38;b=&#34;&#60;x&#62;&#39;" rel="noreferrer">"#
    ));
    assert!(
        page.contains("<span>1 &#60; 2 &#38; &#34;&#60;b&#62;&#34;&#60;/section&#62;</span></a>")
    );
}

#[test]
fn divided_words_have_no_white_space_within() {
    let lines = vec![
        line(0, 0, "the har", LineEnd::Hyphen),
        line(0, 1, "bour at", LineEnd::Space),
        line(0, 2, "lime-", LineEnd::Bare),
        line(0, 3, "tree", LineEnd::Set),
        line(0, 4, "end", LineEnd::Set),
    ];
    assert_eq!(
        printed(lines),
        "<p>the har<i></i>bour at\nlime-<b></b>tree\nend</p>"
    );
}

#[test]
fn a_word_that_goes_on_to_the_next_disc_says_so() {
    let lines = vec![line(0, 0, "har", LineEnd::Hyphen)];
    assert_eq!(printed(lines), "<p>har<i></i></p>");
    assert_eq!(
        printed(vec![line(0, 0, "lime-", LineEnd::Bare)]),
        "<p>lime-<b></b></p>"
    );
}

#[test]
fn language_and_direction_are_said_where_they_differ() {
    let targets = [
        plain(),
        Target::none(&language("de"), Direction::Ltr),
        Target::none(&language("ar"), Direction::Rtl),
    ];
    let lines = (0..3)
        .map(|item| line(item, item, "a", LineEnd::Set))
        .collect();
    let page = print(&[disc(DiscKind::Text, lines)], &targets, None);
    assert!(page.starts_with("<!doctype html><html lang=\"en\"><head>"));
    assert_eq!(
        inside(&page),
        "<p>a</p><p lang=\"de\">a</p><p lang=\"ar\" dir=rtl>a</p>"
    );
}

#[test]
fn blocks_have_the_elements_and_classes_of_their_kinds() {
    let check = |kind, mark, wanted: &str| {
        let line = Line {
            kind,
            mark,
            ..line(0, 0, "a", LineEnd::Set)
        };
        assert_eq!(printed(vec![line]), wanted);
    };
    check(
        LineKind::Paragraph,
        Some(Mark::Paragraph),
        "<p class=\"m\">a</p>",
    );
    check(
        LineKind::ListItem,
        Some(Mark::Bullet { depth: 1 }),
        "<p class=\"b\">a</p>",
    );
    check(
        LineKind::ListItem,
        Some(Mark::Bullet { depth: 9 }),
        "<p class=\"e\">a</p>",
    );
    check(
        LineKind::ListItem,
        Some(Mark::Number {
            number: 12,
            depth: 1,
        }),
        "<p data-n=\"12.\">a</p>",
    );
    check(
        LineKind::Quotation,
        Some(Mark::Quotation),
        "<p class=\"q m\">a</p>",
    );
    check(LineKind::Quotation, None, "<p class=\"q\">a</p>");
    check(LineKind::Preformatted, None, "<pre class=\"c\">\na</pre>");
    check(
        LineKind::TableRow,
        Some(Mark::TableRow),
        "<p class=\"w\">a</p>",
    );
    check(
        LineKind::Picture,
        Some(Mark::Picture),
        "<p class=\"f\">a</p>",
    );
    check(LineKind::Heading { level: 2 }, None, "<h2>a</h2>");
    check(LineKind::Heading { level: 4 }, None, "<h3>a</h3>");
}

/// A line of a grid, each of its cells with its column; a cell whose text begins with a stroke is a
/// label.
fn row(item: usize, kind: LineKind, place: usize, cells: &[(usize, &str)]) -> Line {
    let mut row = Line {
        kind,
        spans: Vec::new(),
        ..line(item, place, "", LineEnd::Set)
    };
    for &(column, text) in cells {
        if !row.spans.is_empty() {
            row.spans.push(span(" "));
        }
        row.cells.push(Cell {
            column,
            spans: row.spans.len()..row.spans.len() + 1,
            left: 0.1 * column as f64,
            width: 0.05,
            numeric: column == 1,
        });
        let mut shown = span(text.trim_start_matches('|'));
        shown.style.label = text.starts_with('|');
        row.spans.push(shown);
    }
    row
}

#[test]
fn a_grid_is_a_table_whose_heads_are_one_row() {
    let lines = vec![
        Line {
            kind: LineKind::Heading { level: 2 },
            ..line(0, 0, "Tides", LineEnd::Set)
        },
        row(1, LineKind::TableHead, 1, &[(1, "|High,")]),
        row(1, LineKind::TableHead, 2, &[(0, "|Day"), (1, "|m")]),
        row(1, LineKind::TableRow, 3, &[(0, "|Mon"), (1, "3.1")]),
        row(2, LineKind::TableRow, 4, &[(0, "T & W")]),
    ];
    assert_eq!(
        printed(lines),
        "<h2>Tides</h2><table><tr><th scope=col><dfn>Day</dfn></th>\
         <th scope=col class=n><dfn>High,</dfn>\n<dfn>m</dfn></th></tr>\
         <tr><th scope=row><dfn>Mon</dfn></th><td class=n>3.1</td></tr>\
         <tr><td>T &#38; W</td><td></td></tr></table>"
    );
}

#[test]
fn a_grid_from_right_to_left_says_so() {
    let rows = (0..2).map(|item| row(item, LineKind::TableRow, item, &[(0, "a"), (1, "b")]));
    let target = Target::none(&language("he"), Direction::Rtl);
    let disc = disc(DiscKind::Text, rows.collect());
    let page = print(&[disc], &[target.clone(), target], None);
    assert!(inside(&page).starts_with("<table lang=\"he\" dir=rtl><tr><td>a</td>"));
}

#[test]
fn an_empty_place_before_a_block_is_kept() {
    let lines = vec![line(0, 0, "a", LineEnd::Set), line(1, 2, "b", LineEnd::Set)];
    assert_eq!(printed(lines), "<p>a</p><p class=\"g\">b</p>");
    // The section lowers the lines of a disc that is not full, and none of them has a gap for it.
    assert_eq!(printed(vec![line(0, 1, "a", LineEnd::Set)]), "<p>a</p>");
}

#[test]
fn looks_nest_and_close_in_order() {
    let looked = Span {
        style: Look {
            emphasis: true,
            strong: true,
            script: Script::Superscript,
            ..Look::default()
        },
        linked: true,
        ..span("2")
    };
    let mut line = line(0, 0, "x", LineEnd::Set);
    line.spans.push(looked);
    assert_eq!(
        printed(vec![line]),
        "<p>x<strong><em><sup><u>2</u></sup></em></strong></p>"
    );
}

#[test]
fn rows_are_links_or_buttons_with_their_texts_and_what_was_seen() {
    let seen = Target {
        seen: true,
        ..Target::to("/round-10/7".to_owned(), &language("en"))
    };
    let label = Line {
        part: 1,
        kind: LineKind::Label,
        ..line(0, 1, "Gazette", LineEnd::Set)
    };
    let title = Line {
        kind: LineKind::Title,
        ..line(0, 0, "Ebb", LineEnd::Set)
    };
    let rows = disc(DiscKind::Rows, vec![title.clone(), label.clone()]);
    let page = print(&[rows], std::slice::from_ref(&seen), None);
    assert_eq!(
        inside(&page),
        "<a class=\"r r4 v\" href=\"/round-10/7\"><span>Ebb</span><small>Gazette</small></a>"
    );
    let new = Target {
        seen: false,
        new: true,
        sends: true,
        ..seen
    };
    let rows = disc(DiscKind::Rows, vec![title.clone(), label.clone()]);
    assert_eq!(
        inside(&print(&[rows], &[new], None)),
        "<form method=post action=\"/round-10/7\"><button class=\"r r4 p\"><span>Ebb</span><small>Gazette</small></button></form>"
    );
    let opening = disc(DiscKind::Opening, vec![title, label]);
    assert_eq!(
        inside(&print(std::slice::from_ref(&opening), &[plain()], None)),
        "<header class=\"r r4\"><h1>Ebb</h1><small>Gazette</small></header>"
    );
    let sizes: Vec<Step> = Step::of_titles(Lines::Ten).collect();
    let (largest, smallest) = (sizes[0], sizes[sizes.len() - 1]);
    // White that is wider than that of the lines is told by a class of its own.
    let number = |size: Step| format!(" u{}", size.number());
    for (size, place, classes) in [
        (largest, 3.0, format!("{} u", number(largest))),
        (largest, 2.0, number(largest)),
        (smallest, 1.0, number(smallest)),
        (Step::OWN, 1.5, " u".to_owned()),
    ] {
        let mut opening = opening.clone();
        opening.lines[0].size = size;
        opening.lines[1].place = place;
        let wanted =
            format!("<header class=\"r r4{classes}\"><h1>Ebb</h1><small>Gazette</small></header>");
        assert_eq!(inside(&print(&[opening], &[plain()], None)), wanted);
    }
}

#[test]
fn sections_stand_in_main_and_lead_on_but_for_the_last() {
    let text = |item| disc(DiscKind::Text, vec![line(item, 0, "a", LineEnd::Set)]);
    let discs = [text(0), text(1), text(2)];
    let targets = [plain(), plain(), plain()];
    let onward = |to: usize| format!("<a class=o aria-label=\"Next disc\" href=#{to}></a>");
    let page = print(&discs, &targets, None);
    let (_, main) = page.split_once("<main>").expect("main");
    let (main, rest) = main.split_once("</main>").expect("its end");
    assert_eq!(rest, "</body></html>");
    // What has no opening is called by a heading that is not seen.
    let (_, sections) = main.split_once("</h1>").expect("its title");
    let sections: Vec<&str> = sections.split_inclusive("</section>").collect();
    assert_eq!(sections.len(), 3);
    for (place, section) in sections.iter().enumerate() {
        let number = place + 1;
        assert!(section.starts_with("<section class=\"s10 t k"), "{section}");
        assert!(section.contains(&format!("\" id={number}>")));
        assert_eq!(section.contains("<a class=o"), number < 3);
        assert_eq!(section.contains(&onward(number + 1)), number < 3);
    }
    let screen = Screen {
        lines: Lines::Eight,
        ..SCREEN
    };
    let page = print(&discs, &targets, Some(screen));
    for (number, class) in [(4, "s8 z"), (5, "s8 z"), (6, "s8 z x3")] {
        assert!(page.contains(&onward(number)));
        let disc =
            format!("<section class=\"{class}\" id={number}><form method=post action=/screen>");
        assert!(page.contains(&disc), "{disc}");
    }
    assert!(!page.contains(&onward(7)));
    // The size, the spacing, the ground, and that there is no bar.
    assert_eq!(page.matches(" aria-current=true").count(), 4);
    assert!(page.contains("value=round-8 aria-label=\"8 lines a disc\" aria-current=true>"));
    assert!(page.contains("<button class=\"s8 j a\" name=screen value=round-8-wide>Set\nwide<"));
    assert!(page.contains("name=screen value=round-8-light>Light,\nfor sun<"));
    assert!(page.contains("name=screen value=round-8-top12 aria-label=\"A bar above\"><"));
}

#[test]
fn each_choice_leaves_the_others_as_they_are() {
    let screen: Screen = "round-6-wide-bottom8-light".parse().expect("a screen");
    let disc = Disc {
        screen,
        ..disc(DiscKind::Text, vec![line(0, 0, "a", LineEnd::Set)])
    };
    let page = print(&[disc], &[plain()], Some(screen));
    let offered: Vec<&str> = page
        .split("name=screen value=")
        .skip(1)
        .filter_map(|rest| rest.split([' ', '>']).next())
        .collect();
    assert_eq!(
        offered,
        [
            "round-11-wide-bottom8-light",
            "round-10-wide-bottom8-light",
            "round-8-wide-bottom8-light",
            "round-6-wide-bottom8-light",
            "round-6-bottom8-light",
            "round-6-wide-bottom8-light",
            "round-6-wide-bottom8",
            "round-6-wide-bottom8-light",
            "round-6-wide-light",
            "round-6-wide-top8-light",
            "round-6-wide-bottom8-light",
            // The heights of a bar that is there.
            "round-6-wide-bottom8-light",
            "round-6-wide-bottom12-light",
            "round-6-wide-bottom16-light",
        ]
    );
}

#[test]
fn a_page_has_the_style_sheet_of_its_screen_and_of_what_it_needs() {
    let files = FontFiles::make(REGULAR).expect("a font");
    let typeface = Typeface::read(REGULAR).expect("a font");
    let styles = Styles::make(&typeface, &files).expect("style sheets");
    let language = language("en");
    let mut hashes = Vec::new();
    for screen in [
        "round-10",
        "round-10-light",
        "round-10-top8",
        "round-10-bottom8",
    ] {
        let screen: Screen = screen.parse().expect("a screen");
        let discs = [Disc {
            screen,
            ..disc(DiscKind::Text, vec![line(0, 0, "a", LineEnd::Set)])
        }];
        for sizes_of in [None, Some(screen)] {
            let page = PageView {
                title: "Ebb",
                language: &language,
                direction: Direction::Ltr,
                discs: &discs,
                targets: &[plain()],
                words: Words::default(),
                sizes_of,
                style: &styles,
                script: None,
            };
            let page = page.print().expect("a page");
            let hash = crate::view::style_hash(&page).expect("a style sheet");
            assert!(styles.has(&hash));
            let light = screen.ground == Ground::Light;
            let colour = format!(
                "<meta name=theme-color content={}>",
                if light { "#fff" } else { "#000" }
            );
            assert!(
                page.contains(&colour)
                    && page.contains(if light {
                        "color-scheme:light"
                    } else {
                        "color-scheme:dark"
                    })
            );
            hashes.push(hash);
        }
    }
    hashes.sort_unstable();
    hashes.dedup();
    assert_eq!(hashes.len(), 8);
    assert!(!styles.has("other"));
}

#[test]
fn a_wide_page_keeps_its_spacing_where_a_size_is_chosen_and_its_size_where_a_spacing_is() {
    let wide = Screen {
        spacing: Spacing::Wide,
        ..SCREEN
    };
    let disc = Disc {
        screen: wide,
        ..disc(DiscKind::Text, vec![line(0, 0, "a", LineEnd::Set)])
    };
    let page = print(&[disc], &[plain()], Some(wide));
    assert!(page.contains("<section class=\"s10 j t k"), "{page}");
    for screen in Screen::all().filter(|screen| screen.spacing == Spacing::Wide) {
        assert!(
            page.contains(&format!("name=screen value={screen} ")),
            "{screen}"
        );
    }
    assert!(page.contains("name=screen value=round-10>Set\nclose<"));
    assert!(page.contains("value=round-10-wide aria-label=\"8 lines a disc\" aria-current=true>"));
}

#[test]
fn every_mark_that_hangs_out_has_a_rule_of_its_width() {
    let files = FontFiles::make(REGULAR).expect("a font");
    let typeface = Typeface::read(REGULAR).expect("a font");
    let plain = Style::make(&typeface, &files, Ground::Dark).expect("a style sheet");
    let text = text_sheet(&typeface, Ground::Dark).expect("a style sheet");
    let sheet = plain.with_more(&text).text;
    let numbers = [-1, 0, 1, 9, 10, 99, 100].map(Marker::Number);
    let markers = numbers.into_iter().chain([Marker::Bullet]);
    let kinds = markers.flat_map(|marker| (1..=4).map(move |depth| (depth, marker)));
    let blocks: Vec<Block> = kinds
        .map(|(depth, marker)| Block {
            kind: BlockKind::ListItem { depth, marker },
            runs: vec![Run {
                text: "The inner lock".to_owned(),
                ..Run::default()
            }],
            language: language("en"),
            direction: Direction::Ltr,
        })
        .collect();
    let items: Vec<Item> = blocks.iter().map(Item::Block).collect();
    let mut hanging = Vec::new();
    for screen in Screen::all() {
        let before = match screen.spacing {
            Spacing::Usual => "}.",
            Spacing::Wide => ".j .",
        };
        for disc in typeset(&items, &screen, &typeface) {
            for line in disc.lines.iter().filter(|line| line.hang > 0.0) {
                let class = hang_class(line.mark.expect("a mark"));
                let em = line.hang / screen.lines.em(&typeface);
                let width = (em * 1_000.0).round() / 1_000.0;
                let rule = format!("{before}{class}::before{{margin-left:-{width}em}}");
                assert!(sheet.contains(&rule), "{rule} of {}", line.shown());
                hanging.push(class);
            }
        }
    }
    hanging.sort_unstable();
    hanging.dedup();
    assert_eq!(hanging, ["j1", "j2", "jb", "jd", "je"]);
}

#[test]
fn the_mark_along_the_rim_goes_where_no_text_is() {
    let blank = disc(DiscKind::Text, vec![]);
    let full = Line {
        width: 0.99,
        place: 4.5,
        ..line(0, 0, "a", LineEnd::Set)
    };
    let crossed = disc(DiscKind::Text, vec![full]);
    for (disc, number, degrees, class) in [
        (&blank, 4, 0, " k"),
        (&blank, 1, 90, " k q1"),
        // A line that reaches the rim at the height of the centre pushes the mark on or back.
        (&crossed, 1, 100, " k q1 k1 ka"),
        (&crossed, 3, 280, " k q3 k1 ka"),
    ] {
        assert_eq!(rim_degrees(disc, number, 4), Some(degrees));
        assert_eq!(rim_class(disc, number, 4), class);
    }
    // Beside a strip it goes from one end of that to the other: acos(1 - 2 * 0.12) is 40.5 degrees, and the bar's
    // half is 3 more.
    for (screen, degrees) in [
        ("round-10-top12", [110, 180, 245, 315]),
        ("round-10-bottom12", [290, 0, 65, 135]),
    ] {
        let blank = Disc {
            screen: screen.parse().expect("a screen"),
            ..disc(DiscKind::Text, vec![])
        };
        let found = [1, 2, 3, 4].map(|number| rim_degrees(&blank, number, 4));
        assert_eq!(found, degrees.map(Some), "{screen}");
    }
    let rows = disc(DiscKind::Rows, vec![]);
    assert_eq!(rim_degrees(&rows, 1, 4), None);
    assert_eq!(rim_class(&rows, 1, 4), "");
}
