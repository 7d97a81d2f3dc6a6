//! OPML event by event, so that no depth of nesting uses stack. It reads what others wrote wrongly as
//! far as it can be read: bare ampersands, names of attributes in other cases, missing ends.

use std::collections::HashSet;

use quick_xml::Reader;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesStart, Event};

use super::{BETWEEN_GROUPS, Fault, Listed, MOST_GROUPS};

/// The longest reference that is looked for behind an ampersand, in bytes: `#x10FFFF` has eight.
const LONGEST_REFERENCE: usize = 10;

/// Reads a list: its feeds in their order, and what could not be taken, both with their lines.
///
/// An outline with an `xmlUrl` is a feed, whatever its `type`, and one with others inside is a group.
/// What is commented out (`isComment`) is left out with all that is in it.
pub fn read(text: &str) -> (Vec<Listed>, Vec<Fault>) {
    let mut list = List::new(text);
    let mut reader = Reader::from_str(text);
    let config = reader.config_mut();
    config.check_end_names = false;
    config.allow_unmatched_ends = true;
    config.allow_dangling_amp = true;
    loop {
        let at = offset(reader.buffer_position());
        match reader.read_event() {
            Ok(Event::Start(element)) => {
                if !list.start(at, &element, false) {
                    break;
                }
            }
            Ok(Event::Empty(element)) => {
                if !list.start(at, &element, true) {
                    break;
                }
            }
            Ok(Event::End(element)) => {
                if is_named(element.name().as_ref(), "outline") {
                    list.end();
                } else if is_named(element.name().as_ref(), "opml") {
                    list.ended = true;
                }
            }
            Ok(Event::Eof) => {
                list.finish(text.len(), "the file ends before its list does");
                break;
            }
            Ok(_) => {}
            Err(fault) => {
                let at = offset(reader.error_position());
                list.finish(at, &format!("this is no XML any more ({fault})"));
                break;
            }
        }
    }
    (list.feeds, list.faults)
}

fn offset(position: u64) -> usize {
    usize::try_from(position).unwrap_or(usize::MAX)
}

fn is_named(name: &str, wanted: &str) -> bool {
    name.eq_ignore_ascii_case(wanted)
}

/// What is read so far.
struct List<'a> {
    lines: Lines<'a>,
    feeds: Vec<Listed>,
    faults: Vec<Fault>,
    /// The outlines that are open, innermost last.
    open: Vec<Open>,
    /// The prefixes that are declared, each by the outline so many levels in, or at 0 by what is around all.
    declared: Vec<(usize, String, String)>,
    begun: bool,
    ended: bool,
}

struct Open {
    line: usize,
    name: Option<String>,
    commented: bool,
    /// Whether it has to have something in it: it is neither a feed nor commented out.
    empty: bool,
}

/// The attributes of an outline that say something here.
#[derive(Default)]
struct Outline {
    text: Option<String>,
    title: Option<String>,
    address: Option<String>,
    category: Option<String>,
    commented: bool,
    /// All attributes but `text` and `xmlUrl`, as they are written.
    further: Vec<(String, String)>,
}

impl<'a> List<'a> {
    fn new(text: &'a str) -> Self {
        Self {
            lines: Lines {
                text: text.as_bytes(),
                at: 0,
                line: 1,
            },
            feeds: Vec::new(),
            faults: Vec::new(),
            open: Vec::new(),
            declared: Vec::new(),
            begun: false,
            ended: false,
        }
    }

    fn fault(&mut self, line: usize, message: impl Into<String>) {
        let message = message.into();
        self.faults.push(Fault { line, message });
    }

    /// Takes a start tag. False where reading on is of no use.
    fn start(&mut self, at: usize, element: &BytesStart<'_>, closed: bool) -> bool {
        let line = self.lines.of(at);
        let name = element.name();
        if !self.begun {
            self.begun = true;
            if !is_named(name.as_ref(), "opml") {
                let message = "this is no OPML: its first element is not <opml>; export the list \
                               as OPML from where it comes from";
                self.fault(line, message);
                return false;
            }
            self.ended = closed;
        } else if is_named(name.as_ref(), "outline") {
            self.outline(line, element, closed);
            return true;
        }
        if is_named(name.as_ref(), "opml") || is_named(name.as_ref(), "body") {
            self.declare(0, &Outline::read(element).further);
        }
        true
    }

    fn outline(&mut self, line: usize, element: &BytesStart<'_>, closed: bool) {
        let outline = Outline::read(element);
        let around = self.open.last_mut().map(|open| {
            open.empty = false;
            open.commented
        });
        let commented = around.unwrap_or(false) || outline.commented;
        let name = outline.name();
        let is_feed = outline.address.is_some();
        self.declare(self.open.len() + 1, &outline.further);
        if let Some(address) = outline.address.filter(|_| !commented) {
            let group = self
                .group()
                .or(outline.category.as_deref().and_then(category));
            let title = name.clone().filter(|name| *name != address);
            let further = self.further(outline.further, title.as_deref());
            self.feeds.push(Listed {
                line,
                title,
                address,
                group,
                further,
            });
        }
        self.open.push(Open {
            line,
            name,
            commented,
            empty: !is_feed && !commented,
        });
        if closed {
            self.end();
        }
    }

    /// Takes the declarations of prefixes among the attributes of an element.
    fn declare(&mut self, depth: usize, attributes: &[(String, String)]) {
        self.declared
            .extend(attributes.iter().filter_map(|(name, address)| {
                let prefix = name.strip_prefix("xmlns:")?;
                Some((depth, prefix.to_owned(), address.clone()))
            }));
    }

    /// What is kept of a feed's attributes: not what [`super::write`] writes without being told, and
    /// before each prefix its declaration, which may stand further out.
    fn further(
        &self,
        attributes: Vec<(String, String)>,
        title: Option<&str>,
    ) -> Vec<(String, String)> {
        let mut kept: Vec<(String, String)> = Vec::new();
        let own: HashSet<String> = attributes.iter().map(|(name, _)| name.clone()).collect();
        for (name, value) in attributes {
            let usual =
                name == "type" && value == "rss" || name == "title" && Some(&*value) == title;
            if usual || name == "xmlns" {
                continue;
            }
            if let Some((prefix, _)) = name.split_once(':') {
                let declaration = format!("xmlns:{prefix}");
                let mut outer = self.declared.iter().rev();
                let known =
                    own.contains(&declaration) || kept.iter().any(|(name, _)| *name == declaration);
                if let Some((_, _, address)) = outer.find(|found| found.1 == prefix)
                    && !known
                {
                    kept.push((declaration, address.clone()));
                }
            }
            kept.push((name, value));
        }
        kept
    }

    /// The names of the open outlines as one.
    fn group(&self) -> Option<String> {
        let names = self.open.iter().filter_map(|open| open.name.as_deref());
        let names: Vec<&str> = names.take(MOST_GROUPS).collect();
        (!names.is_empty()).then(|| names.join(BETWEEN_GROUPS))
    }

    fn end(&mut self) {
        let open = self.open.pop();
        let depth = self.open.len();
        while self.declared.last().is_some_and(|last| last.0 > depth) {
            self.declared.pop();
        }
        if let Some(open) = open.filter(|open| open.empty) {
            let name = open.name.unwrap_or_default();
            let message = format!("the outline \"{name}\" has no xmlUrl, so it is no feed");
            self.fault(open.line, message);
        }
    }

    /// The list is over; what is open was never closed.
    fn finish(&mut self, at: usize, why: &str) {
        if !self.begun {
            let message = "this is no OPML: there is no element in it; export the list as OPML from \
                           where it comes from";
            self.fault(1, message);
        } else if !self.ended {
            let line = self.lines.of(at);
            self.fault(line, format!("{why}; what stands before is taken"));
        }
    }
}

impl Outline {
    fn read(element: &BytesStart<'_>) -> Self {
        let mut outline = Self::default();
        let mut names = HashSet::new();
        let mut attributes = element.html_attributes();
        // Two attributes of one name are no reason to lose a feed: the first counts.
        for attribute in attributes.with_checks(false).flatten() {
            let name = attribute.key.as_ref();
            let value = unescaped(&attribute.value);
            let trimmed = value.trim();
            let place = match name.to_ascii_lowercase().as_str() {
                "text" => &mut outline.text,
                "title" => &mut outline.title,
                "xmlurl" => &mut outline.address,
                "category" => &mut outline.category,
                "iscomment" => {
                    outline.commented |= trimmed.eq_ignore_ascii_case("true");
                    &mut None
                }
                _ => &mut None,
            };
            if place.is_none() && !trimmed.is_empty() {
                *place = Some(trimmed.to_owned());
            }
            if !is_named(name, "text") && !is_named(name, "xmlUrl") && names.insert(name.to_owned())
            {
                outline.further.push((name.to_owned(), value));
            }
        }
        outline
    }

    fn name(&self) -> Option<String> {
        self.text.clone().or_else(|| self.title.clone())
    }
}

/// The first of the comma-separated categories: names parted by slashes, or a tag without one.
fn category(categories: &str) -> Option<String> {
    let first = categories
        .split(',')
        .map(str::trim)
        .find(|category| !category.is_empty())?;
    let names = first.split('/').map(str::trim);
    let names: Vec<&str> = names
        .filter(|name| !name.is_empty())
        .take(MOST_GROUPS)
        .collect();
    (!names.is_empty()).then(|| names.join(BETWEEN_GROUPS))
}

/// The text that an attribute's value stands for, white space as spaces (XML 1.0, section 3.3.3).
/// An ampersand that begins no reference of XML stays one, as in addresses that were not escaped.
fn unescaped(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    let mut rest = value;
    while let Some(at) = rest.find(['&', '\n', '\t', '\r']) {
        out.push_str(&rest[..at]);
        let found = &rest[at..];
        match reference(found) {
            Some((character, length)) => {
                out.push(character);
                rest = &found[length..];
            }
            None => {
                out.push(if found.starts_with('&') { '&' } else { ' ' });
                rest = &found[1..];
            }
        }
    }
    out.push_str(rest);
    out
}

/// The character of the reference that a text begins with, and the reference's length in bytes.
fn reference(text: &str) -> Option<(char, usize)> {
    let body = text.strip_prefix('&')?;
    let end = body
        .bytes()
        .take(LONGEST_REFERENCE)
        .position(|byte| byte == b';')?;
    let name = &body[..end];
    let character = match name.strip_prefix('#') {
        Some(number) => {
            let code = match number.strip_prefix(['x', 'X']) {
                Some(digits) => u32::from_str_radix(digits, 16).ok()?,
                None => number.parse().ok()?,
            };
            char::from_u32(code).filter(|character| *character != '\0')?
        }
        None => resolve_xml_entity(name)?.chars().next()?,
    };
    Some((character, end + 2))
}

/// Counts lines on the way through a text.
struct Lines<'a> {
    text: &'a [u8],
    at: usize,
    line: usize,
}

impl Lines<'_> {
    /// The line of a byte, counted from 1; it is never before the last one that was asked for.
    fn of(&mut self, at: usize) -> usize {
        let end = at.clamp(self.at, self.text.len().max(self.at));
        let passed = self.text.get(self.at..end).unwrap_or_default();
        self.line += passed.iter().filter(|byte| **byte == b'\n').count();
        self.at = end;
        self.line
    }
}
