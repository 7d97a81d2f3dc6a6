//! Pictures against the font's own tables and against what the typesetter reckoned.

use super::look::stretches;
use super::*;
use crate::distil::block::{Block, BlockKind, Marker, Run, Script, Style, TableCell};
use crate::distil::language::{Direction, Language};
use crate::font::{REGULAR, Typeface};
use crate::palette::{PALETTE, channels};
use crate::typeset::{
    Cell, Disc, DiscKind, Item, Line, LineEnd, LineKind, Mark, Screen, Span, Step, typeset,
};

const PIXELS: u32 = 1_000;

const SCREEN: Screen = Screen::DEFAULT;

fn typeface() -> Typeface {
    Typeface::read(REGULAR).expect("a font")
}

fn span(text: &str) -> Span {
    Span {
        text: text.to_owned(),
        style: Style::default(),
        linked: false,
    }
}

fn line(place: f64, spans: Vec<Span>) -> Line {
    Line {
        item: 0,
        part: 0,
        kind: LineKind::Paragraph,
        size: Step::OWN,
        mark: None,
        hang: 0.0,
        spans,
        cells: Vec::new(),
        end: LineEnd::Set,
        place,
        width: 0.5,
        chord: 0.6,
        characters: 0..1,
    }
}

fn disc(kind: DiscKind, rows: Vec<usize>, lines: Vec<Line>) -> Disc {
    Disc {
        kind,
        screen: SCREEN,
        rows,
        lines,
    }
}

fn painted(disc: &Disc, rim: Option<usize>) -> Picture {
    let typeface = typeface();
    let painter = Painter::new(&typeface, REGULAR).expect("a font");
    painter
        .disc(disc, rim, PIXELS)
        .expect("a picture of that size")
}

fn text(lines: Vec<Line>) -> Picture {
    painted(&disc(DiscKind::Text, vec![], lines), None)
}

/// Red, green and blue at a place.
fn at(picture: &Picture, x: u32, y: u32) -> [u8; 3] {
    let start = 4 * (y * picture.width() + x) as usize;
    let bytes = &picture.bytes()[start..start + 3];
    [bytes[0], bytes[1], bytes[2]]
}

/// The first and last column and row with ink.
fn bounds(picture: &Picture) -> [u32; 4] {
    let mut bounds = [u32::MAX, 0, u32::MAX, 0];
    for y in 0..picture.height() {
        for x in 0..picture.width() {
            if at(picture, x, y) != [0; 3] {
                bounds[0] = bounds[0].min(x);
                bounds[1] = bounds[1].max(x);
                bounds[2] = bounds[2].min(y);
                bounds[3] = bounds[3].max(y);
            }
        }
    }
    bounds
}

/// How many pixels have exactly a colour of the palette.
fn count(picture: &Picture, css: &str) -> usize {
    let wanted = channels(css).expect("a colour");
    let pixels = picture.bytes().chunks_exact(4);
    pixels.filter(|pixel| pixel[..3] == wanted).count()
}

#[test]
fn a_glyph_stands_where_the_fonts_tables_put_it() {
    // The font's glyf and hmtx tables, read with fontTools: 'H' has the box 199..1317 by 0..1462 of
    // 2048 units and an advance of 1518. Ten lines have a pitch of 88.6 pixels of 1000.
    let em = 1_000.0 * SCREEN.lines.em(&typeface());
    let unit = em / 2_048.0;
    let plain = typeface().plain_ink;
    for place in [0.0, 4.5, 9.0] {
        let picture = text(vec![line(place, vec![span("H")])]);
        let middle = 500.0 + (place - 4.5) * 1_000.0 * 0.038 * 1.25 / 0.536;
        let baseline = middle + (plain.rise - plain.fall) / 2.0 * em;
        let left = 500.0 - 1_518.0 / 2.0 * unit;
        let wanted = [
            left + 199.0 * unit,
            left + 1_317.0 * unit,
            baseline - 1_462.0 * unit,
            baseline,
        ];
        let [first, last, top, bottom] = bounds(&picture).map(f64::from);
        for (found, wanted) in [first, last + 1.0, top, bottom + 1.0].iter().zip(wanted) {
            assert!(
                (found - wanted).abs() < 1.0,
                "{place}: {found} is not {wanted}"
            );
        }
    }
}

#[test]
fn lines_are_drawn_as_wide_as_they_were_reckoned() {
    let language = Language::parse("en").expect("a tag");
    let run = |text: &str, style: Style, link| Run {
        text: text.to_owned(),
        style,
        link,
        cell: None,
    };
    let raised = Style {
        script: Script::Superscript,
        strong: true,
        ..Style::default()
    };
    let runs = vec![
        run(
            "The harbourmaster's counterrevolutionary arithmetic, 日本 and ",
            Style::default(),
            None,
        ),
        run("all the tide tables of the year", Style::default(), Some(0)),
        run("12", raised, None),
        run(
            " disagree about the extraordinary springs.",
            Style::default(),
            None,
        ),
    ];
    let kinds = [
        BlockKind::Heading { level: 2 },
        BlockKind::Paragraph,
        BlockKind::Paragraph,
        BlockKind::Quotation,
        BlockKind::Preformatted,
        BlockKind::ListItem {
            depth: 1,
            marker: Marker::Bullet,
        },
        BlockKind::ListItem {
            depth: 2,
            marker: Marker::Number(12),
        },
        BlockKind::TableRow,
        BlockKind::TableRow,
    ];
    let mut blocks = kinds.map(|kind| Block {
        kind,
        runs: runs.clone(),
        language: language.clone(),
        direction: Direction::Ltr,
    });
    let [.., row, other] = &mut blocks;
    for (number, row) in [row, other].into_iter().enumerate() {
        let cell = |column: u32, text: &str| Run {
            cell: Some(TableCell {
                row: number as u32,
                column,
                head: false,
            }),
            ..run(text, raised, None)
        };
        row.kind = BlockKind::TableRow;
        row.runs = vec![cell(0, "Otter"), cell(1, "Kestrel Quay")];
    }
    let items: Vec<Item> = blocks.iter().map(Item::Block).collect();
    let typeface = typeface();
    let painter = Painter::new(&typeface, REGULAR).expect("a font");
    let (mut hyphens, mut marks, mut rows) = (0, 0, 0);
    for screen in Screen::all() {
        for disc in typeset(&items, &screen, &typeface) {
            for line in &disc.lines {
                let drawn = painter.width(line, &disc);
                assert!((drawn - line.width).abs() < 1e-9, "{drawn}: {line:?}");
                hyphens += usize::from(line.end == LineEnd::Hyphen);
                marks += usize::from(line.mark.is_some());
                rows += usize::from(!line.cells.is_empty());
            }
        }
    }
    assert!(hyphens > 0 && marks > 0 && rows > 0);
}

#[test]
fn every_look_has_its_colour() {
    let look = |style: Style| {
        let spans = vec![Span {
            style,
            ..span("HHH")
        }];
        text(vec![line(4.0, spans)])
    };
    let plain = Style::default();
    let check = |style: Style, css: &str| assert!(count(&look(style), css) > 100, "{style:?}");
    check(plain, PALETTE.text);
    let strong = Style {
        strong: true,
        ..plain
    };
    check(strong, PALETTE.strong);
    let emphasis = Style {
        emphasis: true,
        ..plain
    };
    check(emphasis, PALETTE.emphasis);
    let code = Style {
        code: true,
        ..plain
    };
    check(code, PALETTE.code);
    let label = Style {
        label: true,
        ..plain
    };
    check(label, PALETTE.label);
    let both = Style {
        emphasis: true,
        ..strong
    };
    check(both, PALETTE.emphasis);
    // Strong text is heavier than plain text.
    let inked = |style: Style| {
        let picture = look(style);
        let pixels = picture.bytes().chunks_exact(4);
        pixels.filter(|pixel| pixel[0] > 0x80).count()
    };
    assert!(inked(strong) > inked(plain) * 11 / 10);
}

#[test]
fn marks_and_hyphens_are_drawn_beside_the_text() {
    let marked = Line {
        mark: Some(Mark::Bullet { depth: 1 }),
        end: LineEnd::Hyphen,
        ..line(4.0, vec![span("har")])
    };
    let drawn = stretches(&marked, DiscKind::Text);
    let shown: String = drawn.iter().map(|stretch| stretch.text.as_ref()).collect();
    assert_eq!(shown, marked.shown());
    let picture = text(vec![marked]);
    assert!(count(&picture, PALETTE.mark) > 100);
    assert!(count(&picture, PALETTE.text) > 100);
}

#[test]
fn raised_text_is_smaller_and_higher_and_lowered_text_hangs() {
    let script = |script| {
        let style = Style {
            script,
            ..Style::default()
        };
        bounds(&text(vec![line(4.0, vec![Span { style, ..span("H") }])]))
    };
    let [.., top, bottom] = script(Script::Baseline);
    let [.., raised_top, raised_bottom] = script(Script::Superscript);
    let [.., lowered_bottom] = script(Script::Subscript);
    assert!(raised_bottom < bottom && raised_top < top + 2);
    assert!(raised_bottom - raised_top < bottom - top);
    assert!(lowered_bottom > bottom);
}

#[test]
fn the_cells_of_a_grid_are_drawn_where_they_stand() {
    let cell = |column: usize, left: f64| Cell {
        column,
        spans: 2 * column..2 * column + 1,
        left,
        width: 0.05,
        numeric: false,
    };
    let spans = vec![span("H"), span(" "), span("H")];
    let row = |cells| Line {
        cells,
        ..line(4.5, spans.clone())
    };
    let picture = text(vec![row(vec![cell(0, -0.3), cell(1, 0.2)])]);
    let [first, last, ..] = bounds(&picture);
    // A capital stands a little right of where its pen does.
    assert!((200..215).contains(&first), "{first}");
    assert!((735..755).contains(&last), "{last}");
    let middle = text(vec![row(vec![cell(1, 0.2)])]);
    assert!((700..715).contains(&bounds(&middle)[0]));
}

#[test]
fn a_link_has_dots_under_it_and_white_where_a_descender_crosses_them() {
    let linked = |text: &str| Span {
        linked: true,
        ..span(text)
    };
    let dots = |word: &str| count(&text(vec![line(4.0, vec![linked(word)])]), PALETTE.link);
    assert!(dots("nnnn") > 50);
    assert_eq!(
        count(&text(vec![line(4.0, vec![span("nnnn")])]), PALETTE.link),
        0
    );
    // These two letters are equally wide, and one of them hangs.
    assert!(dots("qqqq") < dots("dddd"));
}

#[test]
fn a_character_that_the_font_lacks_is_a_hollow_frame() {
    let picture = text(vec![line(4.5, vec![span("日")])]);
    let [first, last, top, bottom] = bounds(&picture);
    assert!(last - first > 50 && bottom - top > 45);
    let (x, y) = ((first + last) / 2, (top + bottom) / 2);
    assert_eq!(at(&picture, x, y), [0; 3]);
    assert_ne!(at(&picture, first + 1, y), [0; 3]);
    // One without a width leaves nothing.
    assert_eq!(
        bounds(&text(vec![line(4.5, vec![span("\u{200b}")])]))[0],
        u32::MAX
    );
}

#[test]
fn the_mark_along_the_rim_goes_clockwise_from_the_top() {
    let rim = |degrees| painted(&disc(DiscKind::Text, vec![], vec![]), Some(degrees));
    let title = channels(PALETTE.title).expect("a colour");
    for (degrees, x, y) in [(0, 500, 9), (90, 991, 500), (180, 500, 991), (270, 9, 500)] {
        let picture = rim(degrees);
        assert_eq!(at(&picture, x, y), title, "{degrees}");
        assert_eq!(at(&picture, 1_000 - x, 1_000 - y), [0; 3], "{degrees}");
    }
    // 5 % long and 0.5 % thick, its outer side at 0.7 %: from 7 to 12 pixels.
    let [first, last, top, bottom] = bounds(&rim(0));
    assert_eq!((first, last + 1, top, bottom + 1), (475, 525, 7, 12));
}

#[test]
fn rows_with_white_between_them_have_a_rule() {
    let row = |item, place| Line {
        item,
        ..line(place, vec![span("x")])
    };
    let rows = |places: Vec<usize>, lines| painted(&disc(DiscKind::Rows, places, lines), None);
    let apart = rows(vec![4, 4], vec![row(0, 1.5), row(1, 5.5)]);
    let close = rows(vec![1, 1], vec![row(0, 0.0), row(1, 1.0)]);
    assert!(count(&apart, PALETTE.rule) > 300);
    assert_eq!(count(&close, PALETTE.rule), 0);
}

#[test]
fn what_the_glass_does_not_show_is_taken_away() {
    let picture = text(vec![line(4.0, vec![span("harbour")])]);
    let [first, last, ..] = bounds(&picture);
    let round = picture.round();
    assert_eq!(round.bytes()[..4], [0; 4]);
    let middle = 4 * (500 * PIXELS + 500) as usize;
    assert_eq!(round.bytes()[middle + 3], u8::MAX);
    assert_eq!(bounds(&round)[..2], [first, last]);
}

#[test]
fn a_sheet_has_six_discs_a_row_in_frames() {
    let pixels = 100;
    let typeface = typeface();
    let painter = Painter::new(&typeface, REGULAR).expect("a font");
    let blank = disc(DiscKind::Text, vec![], vec![]);
    let mut sheet = Sheet::new(7, pixels).expect("a sheet");
    for _ in 0..7 {
        let glass = painter.disc(&blank, None, pixels);
        sheet = sheet.hang(&glass.expect("a picture").round());
    }
    let picture = sheet.picture();
    // Six discs of 100 pixels with 8 of white around each, and two rows of them.
    assert_eq!(
        (picture.width(), picture.height()),
        (6 * 108 + 8, 2 * 108 + 8)
    );
    let wall = channels(PALETTE.wall).expect("a colour");
    let hangs = |column: u32, row: u32| at(&picture, 8 + 108 * column + 50, 8 + 108 * row + 50);
    assert_eq!(hangs(5, 0), [0; 3]);
    assert_eq!(hangs(0, 1), [0; 3]);
    assert_eq!(hangs(1, 1), wall);
    assert_eq!(at(&picture, 9, 9), wall);
    assert!(count(&picture, PALETTE.rule) > 100);
}

#[test]
fn a_size_that_no_picture_has_is_an_error() {
    let typeface = typeface();
    let painter = Painter::new(&typeface, REGULAR).expect("a font");
    let blank = disc(DiscKind::Text, vec![], vec![]);
    for pixels in [0, u32::MAX] {
        assert!(painter.disc(&blank, None, pixels).is_err());
    }
    assert!(Sheet::new(usize::MAX, 320).is_err());
    assert!(Painter::new(&typeface, b"no font").is_err());
}
