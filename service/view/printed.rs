//! Lines and their stretches, ready to print. Never decides what stands on a page.

use crate::distil::block::{Script, Style as Look};
use crate::typeset::{LineKind, Span};

pub(super) struct Text<'a> {
    pub(super) tag: Option<&'static str>,
    /// Where it is another than that of the page, and the item's parts are in several.
    pub(super) language: Option<&'a str>,
    pub(super) lines: Vec<PrintedLine<'a>>,
}

pub(super) struct PrintedLine<'a> {
    pub(super) turned_over: bool,
    pub(super) spans: Vec<PrintedSpan<'a>>,
    pub(super) end: PrintedEnd,
}

/// How a line is told from the next. A hyphen and a bare end are drawn, so that text that is copied
/// or read out has its words whole.
pub(super) enum PrintedEnd {
    Hyphen,
    Bare,
    Space,
    Last,
}

pub(super) struct PrintedSpan<'a> {
    pub(super) open: String,
    pub(super) text: &'a str,
    pub(super) close: String,
}

pub(super) fn printed_span(span: &Span, kind: LineKind) -> PrintedSpan<'_> {
    let Look {
        emphasis,
        strong,
        code,
        label,
        script,
    } = span.style;
    let looks = [
        (strong, "<strong>", "</strong>"),
        (emphasis, "<em>", "</em>"),
        (code && kind != LineKind::Preformatted, "<code>", "</code>"),
        (label, "<dfn>", "</dfn>"),
        (script == Script::Superscript, "<sup>", "</sup>"),
        (script == Script::Subscript, "<sub>", "</sub>"),
        (span.linked, "<u>", "</u>"),
    ];
    let worn = || looks.iter().filter(|(worn, _, _)| *worn);
    PrintedSpan {
        open: worn().map(|(_, open, _)| *open).collect(),
        text: &span.text,
        close: worn().rev().map(|(_, _, close)| *close).collect(),
    }
}
