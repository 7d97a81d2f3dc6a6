//! What a line looks like: its stretches from left to right, each in one colour, weight and size.
//! `templates/disc.css` says the same to the browser. Never measures or draws.

use std::borrow::Cow;

use crate::distil::block::Style;
use crate::palette::PALETTE;
use crate::typeset::{DiscKind, Line, LineEnd, LineKind, Mark, Span, size_and_raise};

/// The stroke around glyphs that makes headings heavier, in em.
const HEADING_STROKE: f64 = 0.02;
/// The same of strong text.
const STRONG_STROKE: f64 = 0.03;

/// A stretch of a line.
pub struct Stretch<'a> {
    /// What is drawn.
    pub text: Cow<'a, str>,
    /// The colour of its ink, as CSS writes it.
    pub colour: &'static str,
    /// The stroke around its glyphs, in em of the line.
    pub stroke: f64,
    /// Its font size, in that of the line.
    pub scale: f64,
    /// How far its baseline is raised, in em of the line.
    pub raise: f64,
    /// Whether dots are drawn under it.
    pub linked: bool,
}

/// The stretches of a line: its mark, its spans, its hyphen.
pub fn stretches(line: &Line, disc: DiscKind) -> Vec<Stretch<'_>> {
    let plain = plain(line.kind, disc);
    let drawn = |text: String, colour| Stretch {
        text: Cow::Owned(text),
        colour,
        stroke: plain.stroke,
        scale: 1.0,
        raise: 0.0,
        linked: false,
    };
    let mut stretches = Vec::new();
    let mark = line.mark.map(Mark::drawn);
    stretches.extend(mark.map(|mark| drawn(mark, PALETTE.mark)));
    stretches.extend(stretches_of(&line.spans, line, disc));
    let hyphen = (line.end == LineEnd::Hyphen).then(|| "-".to_owned());
    stretches.extend(hyphen.map(|hyphen| drawn(hyphen, plain.colour)));
    stretches
}

/// The stretches of some of a line's spans, as those of a cell.
pub fn stretches_of<'a>(spans: &'a [Span], line: &Line, disc: DiscKind) -> Vec<Stretch<'a>> {
    let plain = plain(line.kind, disc);
    let worn = |span| worn(span, line.kind, plain);
    spans.iter().map(worn).collect()
}

/// How ink looks.
#[derive(Clone, Copy)]
struct Ink {
    colour: &'static str,
    stroke: f64,
}

/// How the text of a kind of line looks where its spans have no look of their own.
fn plain(kind: LineKind, disc: DiscKind) -> Ink {
    let (colour, stroke) = match kind {
        LineKind::Heading { .. } => (PALETTE.title, HEADING_STROKE),
        LineKind::Title if disc == DiscKind::Opening => (PALETTE.title, HEADING_STROKE),
        LineKind::Label => (PALETTE.label, 0.0),
        LineKind::Quotation => (PALETTE.quotation, 0.0),
        LineKind::Preformatted => (PALETTE.code, 0.0),
        _ => (PALETTE.text, 0.0),
    };
    Ink { colour, stroke }
}

/// A span in its looks over those of its line. Where it has several colours the last one wins, as
/// the innermost element does on the page.
fn worn(span: &Span, kind: LineKind, plain: Ink) -> Stretch<'_> {
    let Style {
        emphasis,
        strong,
        code,
        label,
        script,
    } = span.style;
    let colours = [
        (strong, PALETTE.strong),
        (emphasis, PALETTE.emphasis),
        (code && kind != LineKind::Preformatted, PALETTE.code),
        (label, PALETTE.label),
    ];
    let worn = colours.iter().rev().find(|(worn, _)| *worn);
    let (scale, raise) = size_and_raise(script);
    Stretch {
        text: Cow::Borrowed(&span.text),
        colour: worn.map_or(plain.colour, |(_, colour)| colour),
        stroke: if strong { STRONG_STROKE } else { plain.stroke },
        scale,
        raise,
        linked: span.linked,
    }
}
