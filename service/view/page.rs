//! A page: discs as sections, blocks as elements, lines as text. Never decides what a page holds.

use askama::Template;

use super::choice::Choice;
use super::first::First;
use super::printed::{PrintedEnd, PrintedLine, Text, printed_span};
use super::rim::rim_class;
use super::style::{hang_class, mark_class, palette, screen_class, title_class};
use super::styles::{Needs, Styles};
use super::table::{PrintedCell, table_rows};
use crate::distil::language::{Direction, Language};
use crate::typeset::{Disc, DiscKind, Line, LineEnd, LineKind, Mark, Screen};
use crate::words::Words;

/// What a page is made of.
pub struct PageView<'a> {
    /// Its title, for the browser.
    pub title: &'a str,
    /// The language of most of it.
    pub language: &'a Language,
    /// The direction of most of it.
    pub direction: Direction,
    /// Its discs.
    pub discs: &'a [Disc],
    /// One for each item that was set.
    pub targets: &'a [Target],
    /// The service's own words.
    pub words: Words,
    /// Whether the last discs offer the text sizes and spacings, and which are chosen.
    pub sizes_of: Option<Screen>,
    /// The style sheets, of which it has the one for its screen and for what it needs.
    pub style: &'a Styles,
    /// The script of a page that is read.
    pub script: Option<&'a super::Script>,
}

/// What an item is beside its text.
#[derive(Clone, Debug)]
pub struct Target {
    /// Where a tap on it leads.
    pub href: Option<String>,
    /// Whether that is away from home.
    pub leaves: bool,
    /// Whether a tap changes something there, so that it is sent and not gone to.
    pub sends: bool,
    /// Whether it was read before.
    pub seen: bool,
    /// Whether it has come since the last look.
    pub new: bool,
    /// Whether it is of an excerpt: words that stand in the running text once more.
    pub excerpt: bool,
    /// The language of its text.
    pub language: Language,
    /// The language of each of its parts, where they are in more than one; else none, and all are in that language.
    pub parts: Vec<Language>,
    /// The direction of its text.
    pub direction: Direction,
}

impl Target {
    /// An item that cannot be tapped.
    pub fn none(language: &Language, direction: Direction) -> Self {
        Self {
            href: None,
            leaves: false,
            sends: false,
            seen: false,
            new: false,
            excerpt: false,
            language: language.clone(),
            parts: Vec::new(),
            direction,
        }
    }

    /// An item that leads to another page of the service.
    pub fn to(href: String, language: &Language) -> Self {
        Self {
            href: Some(href),
            ..Self::none(language, Direction::Ltr)
        }
    }
}

impl PageView<'_> {
    /// Prints the page.
    ///
    /// # Errors
    /// The template cannot be printed, which does not happen.
    pub fn print(&self) -> Result<String, askama::Error> {
        self.print_after(None)
    }

    /// Prints the page with a disc of another kind before all others.
    ///
    /// # Errors
    /// The template cannot be printed, which does not happen.
    pub fn print_after(&self, first: Option<First>) -> Result<String, askama::Error> {
        let before = usize::from(first.is_some());
        let number = |place: usize| before + place + 1;
        let last = before + self.discs.len() + self.sizes_of.map_or(0, |_| Choice::DISCS);
        let sections = self.discs.iter().enumerate().map(|(place, disc)| {
            let onward = (number(place) < last).then_some(number(place) + 1);
            self.section(disc, number(place), onward)
        });
        let screen = self.screen(first.as_ref());
        let opened = (self.discs.iter()).any(|disc| disc.kind == DiscKind::Opening);
        let needs = match &first {
            Some(first) => first.needs(),
            None if opened => Needs::Text,
            None if self.sizes_of.is_some() => Needs::Choice,
            None => Needs::Discs,
        };
        let style = self.style.of(screen, needs);
        PageTemplate {
            title: self.title,
            language: self.language.tag(),
            rtl: self.direction == Direction::Rtl,
            font: style.map_or("", |style| &style.font),
            style: style.map_or("", |style| &style.text),
            ground: palette(screen.ground).ground,
            script: self.script.map(|script| script.name.as_str()),
            opened,
            first,
            sections: sections.collect(),
            choice: self
                .sizes_of
                .map(|screen| Choice::of(self.words, screen, before + self.discs.len())),
        }
        .render()
    }

    /// For which screen it is set.
    fn screen(&self, first: Option<&First>) -> Screen {
        let of_discs = self.discs.first().map(|disc| disc.screen);
        of_discs
            .or(self.sizes_of)
            .or(first.map(First::screen))
            .unwrap_or(Screen::DEFAULT)
    }

    /// A disc as a section: `number` is its own, the first being 1, and `onward` that of the disc to
    /// which it leads on.
    pub(super) fn section<'a>(
        &'a self,
        disc: &'a Disc,
        number: usize,
        onward: Option<usize>,
    ) -> Section<'a> {
        let of_excerpt = |line: &Line| self.targets[line.item].excerpt;
        let kind = match disc.kind {
            // Whoever reads the page back tells the running text from its excerpt.
            DiscKind::Text if disc.lines.first().is_some_and(of_excerpt) => " a",
            DiscKind::Text => " t",
            DiscKind::Opening => "",
            DiscKind::Rows => " x",
        };
        let rim = rim_class(disc, number, self.discs.len());
        // The lines of a disc that is not full begin further down.
        let top = match (disc.kind, disc.lines.first()) {
            (DiscKind::Text, Some(first)) => first.place,
            _ => 0.0,
        };
        let lowered = match top {
            0.0 => String::new(),
            _ => format!(" y{}", 2.0 * top),
        };
        let mut parts: Vec<Part> = Vec::new();
        let mut before = top - 1.0;
        let together = |one: &Line, other: &Line| match one.cells.is_empty() {
            true => one.item == other.item && other.cells.is_empty(),
            false => !other.cells.is_empty(),
        };
        for lines in disc.lines.chunk_by(together) {
            parts.push(self.part(disc, lines, parts.len(), before));
            before = lines.last().map_or(before, |line| line.place);
        }
        Section {
            class: format!("{}{kind}{lowered}{rim}", screen_class(disc.screen)),
            number,
            parts,
            onward,
            next_disc: self.words.next_disc(),
            own_language: self.told_apart(self.words.language()),
        }
    }

    /// The lines of one item on one disc, or the rows of a grid: an element.
    fn part<'a>(&'a self, disc: &Disc, lines: &'a [Line], row: usize, before: f64) -> Part<'a> {
        let first = &lines[0];
        let target = &self.targets[first.item];
        let mut class = Vec::new();
        let in_row = disc.kind != DiscKind::Text;
        if in_row {
            class.extend([
                "r".to_owned(),
                format!("r{}", disc.rows.get(row).copied().unwrap_or(1)),
            ]);
        }
        if in_row && row > 0 && disc.is_spare(row) {
            class.push("l".to_owned());
        }
        class.extend(title_class(first.size));
        if disc.kind == DiscKind::Opening && disc.is_parted() {
            class.push("u".to_owned());
        }
        let looks = [(target.seen, "v"), (target.new, "p")].into_iter();
        let worn = looks.filter(|(worn, _)| *worn);
        class.extend(worn.map(|(_, look)| look.to_owned()));
        match (first.kind, first.mark) {
            (LineKind::Quotation, None) => class.push("q".to_owned()),
            (LineKind::Preformatted, _) => class.push("c".to_owned()),
            (_, mark) => class.extend(mark.and_then(mark_class).map(str::to_owned)),
        }
        if let Some(mark) = first.mark.filter(|_| first.hang > 0.0) {
            class.push(hang_class(mark));
        }
        let gap = !in_row && first.place > before + 1.5;
        if gap {
            class.push("g".to_owned());
        }
        let tag = match (disc.kind, first.kind) {
            (DiscKind::Opening, _) => "header",
            (DiscKind::Rows, _) if target.href.is_some() && target.sends => "button",
            (DiscKind::Rows, _) if target.href.is_some() => "a",
            (DiscKind::Rows, _) => "p",
            (_, LineKind::Heading { level: 0..=2 }) => "h2",
            (_, LineKind::Heading { .. }) => "h3",
            (_, LineKind::Preformatted) => "pre",
            _ if !first.cells.is_empty() => "table",
            _ => "p",
        };
        let (rows, texts) = match tag {
            "table" => (table_rows(lines), Vec::new()),
            _ => (
                Vec::new(),
                lines
                    .chunk_by(|one, other| one.part == other.part)
                    .map(|lines| self.text(lines, disc.kind, target))
                    .collect(),
            ),
        };
        Part {
            tag,
            class: class.join(" "),
            href: target.href.as_deref().filter(|_| tag == "a"),
            sends_to: target.href.as_deref().filter(|_| tag == "button"),
            leaves: target.leaves && tag == "a",
            language: (target.parts.is_empty())
                .then(|| self.told_apart(&target.language))
                .flatten(),
            direction: (target.direction != self.direction).then_some(match target.direction {
                Direction::Ltr => "ltr",
                Direction::Rtl => "rtl",
            }),
            number: first
                .mark
                .filter(|mark| matches!(mark, Mark::Number { .. }))
                .map(|mark| mark.drawn().trim_end().to_owned()),
            note: first.kind == LineKind::Note,
            texts,
            rows,
        }
    }

    /// The tag of an element's language where the page is in another. The service's own words are not told apart from a
    /// variety of their language: British voices read "Next" well.
    fn told_apart<'a>(&self, language: &'a Language) -> Option<&'a str> {
        let own = language == self.words.language();
        let same = own && language.primary() == self.language.primary();
        (language != self.language && !same).then(|| language.tag())
    }

    /// The lines of one text of an item.
    fn text<'a>(&self, lines: &'a [Line], disc: DiscKind, target: &'a Target) -> Text<'a> {
        let tag = match lines[0].kind {
            LineKind::Label => Some("small"),
            LineKind::Title if disc == DiscKind::Opening => Some("h1"),
            _ if disc == DiscKind::Rows => Some("span"),
            _ => None,
        };
        let language = target.parts.get(lines[0].part);
        let last = lines.len() - 1;
        let lines = lines.iter().enumerate().map(|(place, line)| PrintedLine {
            turned_over: line.mark == Some(Mark::TurnedOver),
            spans: line
                .spans
                .iter()
                .map(|span| printed_span(span, line.kind))
                .collect(),
            end: match line.end {
                LineEnd::Hyphen => PrintedEnd::Hyphen,
                LineEnd::Bare => PrintedEnd::Bare,
                _ if place == last => PrintedEnd::Last,
                LineEnd::Space | LineEnd::Set => PrintedEnd::Space,
            },
        });
        Text {
            tag,
            language: language.and_then(|language| self.told_apart(language)),
            lines: lines.collect(),
        }
    }
}

#[derive(Template)]
#[template(path = "page.html")]
struct PageTemplate<'a> {
    title: &'a str,
    language: &'a str,
    rtl: bool,
    font: &'a str,
    style: &'a str,
    /// The colour of the ground, for the browser's own bar.
    ground: &'a str,
    script: Option<&'a str>,
    /// Whether a disc bears the page's title as its first heading; else one is said that is not seen.
    opened: bool,
    first: Option<First<'a>>,
    sections: Vec<Section<'a>>,
    choice: Option<Choice>,
}

/// A disc, ready to print; pages and the gallery hold it as it stands.
#[derive(Template)]
#[template(path = "disc.html")]
pub(super) struct Section<'a> {
    class: String,
    /// The number that its `id` is made of.
    pub(super) number: usize,
    parts: Vec<Part<'a>>,
    onward: Option<usize>,
    /// What leads on is called.
    next_disc: &'static str,
    /// In which language, where the page is in another.
    own_language: Option<&'static str>,
}

struct Part<'a> {
    tag: &'static str,
    class: String,
    href: Option<&'a str>,
    /// Where a form around it is sent.
    sends_to: Option<&'a str>,
    leaves: bool,
    language: Option<&'a str>,
    direction: Option<&'static str>,
    number: Option<String>,
    /// Whether it is a note, by which browsers can tell it from the text.
    note: bool,
    texts: Vec<Text<'a>>,
    /// The cells of each row, where it is a table.
    rows: Vec<Vec<PrintedCell<'a>>>,
}

#[cfg(test)]
#[path = "page_tests.rs"]
mod tests;
