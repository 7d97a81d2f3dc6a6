//! What the pages of the index are put together from: rows and notices, and how they are set and printed. Never asks
//! the store.

use std::iter::once;

use crate::distil::block::Block;
use crate::distil::language::Direction;
use crate::store::{FailingFeed, Tally};
use crate::typeset::units::{Diameters, LEAST_TARGET, WIDE_TARGET};
use crate::typeset::{Item, LineKind, Row, RowText, Screen, typeset};
use crate::view::{PageView, PrintError, Target};
use crate::web::Web;
use crate::web::cache::Printed;
use crate::words::Words;

/// What a row says.
pub struct Said {
    /// Its first text.
    pub title: String,
    /// What stands below, a line each; empty where nothing does.
    pub label: String,
    /// What it is.
    pub kind: Kind,
    /// Where it leads.
    pub target: Target,
}

/// What a row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An entry, which is tapped most.
    Entry,
    /// What leads on, or does something.
    Control,
    /// A line that is read alone, no higher than its text.
    Line,
}

impl Said {
    /// A row of the service's own words that leads to another page.
    pub fn control(words: Words, title: &str, label: String, href: String) -> Self {
        Self {
            title: title.to_owned(),
            label,
            kind: Kind::Control,
            target: Target::to(href, words.language()),
        }
    }

    /// A line of the service's own words.
    pub fn line(words: Words, title: String) -> Self {
        Self {
            title,
            label: String::new(),
            kind: Kind::Line,
            target: Target::none(words.language(), Direction::Ltr),
        }
    }

    /// An entry, whose title is in a language of its own.
    pub fn entry(words: Words, title: &str, label: String, mut target: Target) -> Self {
        let own = label.lines().map(|_| words.language().clone());
        target.parts = once(target.language.clone()).chain(own).collect();
        Self {
            title: title.to_owned(),
            label,
            kind: Kind::Entry,
            target,
        }
    }

    /// A title may take three lines, what stands below one each.
    fn row(&self) -> Row<'_> {
        let of_part = |part: usize| self.target.parts.get(part).unwrap_or(&self.target.language);
        let text = |part, text, kind, most_lines| RowText {
            text,
            language: of_part(part),
            kind,
            most_lines,
        };
        let (kind, most_lines, height): (_, _, Diameters) = match self.kind {
            Kind::Entry => (LineKind::Title, 3, WIDE_TARGET),
            Kind::Control => (LineKind::Control, 3, LEAST_TARGET),
            Kind::Line => (LineKind::Title, 1, 0.0),
        };
        let mut texts = vec![text(0, self.title.as_str(), kind, most_lines)];
        let below = self.label.lines().enumerate();
        texts.extend(below.map(|(place, line)| text(place + 1, line, LineKind::Label, 1)));
        Row { texts, height }
    }
}

/// A page of the index, ready to be set.
pub struct Parts {
    /// Its title, for the browser.
    pub title: String,
    /// What is said on discs of its own before the rows.
    pub first: Vec<Block>,
    /// The rows, in their order.
    pub rows: Vec<Said>,
    /// What is said on discs of its own after them.
    pub last: Vec<Block>,
}

impl Parts {
    /// A feed or two that fail are said at first glance, if nothing is new; many would hide what there is to read.
    pub fn tell_failing(&mut self, lines: Vec<Block>, failing: &[FailingFeed], tally: Tally) {
        let place = if failing.len() <= 2 && tally.new == 0 {
            &mut self.first
        } else {
            &mut self.last
        };
        place.extend(lines);
    }

    /// Sets and prints the page: for the pool.
    ///
    /// # Errors
    /// The page cannot be printed.
    pub fn print(&self, web: &Web, screen: Screen) -> Result<Printed, PrintError> {
        let language = web.words.language();
        let rows = self.rows.iter().map(|said| Item::Entry(said.row()));
        let items: Vec<Item> = self
            .first
            .iter()
            .map(Item::Block)
            .chain(rows)
            .chain(self.last.iter().map(Item::Block))
            .collect();
        let notice = |_: &Block| Target::none(language, Direction::Ltr);
        let targets = self.rows.iter().map(|said| said.target.clone());
        let targets: Vec<Target> = self
            .first
            .iter()
            .map(notice)
            .chain(targets)
            .chain(self.last.iter().map(notice))
            .collect();
        let page = PageView {
            title: &self.title,
            language,
            direction: Direction::Ltr,
            discs: &typeset(&items, &screen, &web.shared.typeface),
            targets: &targets,
            words: web.words,
            sizes_of: Some(screen),
            style: &web.shared.style,
            script: None,
        };
        page.print().map(Printed::new)
    }
}
