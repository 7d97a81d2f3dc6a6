//! Lists of subscriptions as OPML 2.0 (opml.org/spec2.opml, 2007): text in, feeds and faults out,
//! and back. Pure; it checks no address, and it cannot fail: what cannot be read is told by its line.

use std::fmt::Write;

mod read;

pub use read::read;

#[cfg(test)]
mod tests;

/// What stands between the names of nested groups where they are one text.
const BETWEEN_GROUPS: &str = " / ";

/// Groups that are told apart inside one another; a list is no deeper for a person (common practice,
/// no source).
const MOST_GROUPS: usize = 64;

/// A feed of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// Where it stands, counted from 1.
    pub line: usize,
    /// Its `xmlUrl` as it is written.
    pub address: String,
    /// Its `text`, else its `title`; not where that only repeats an address.
    pub title: Option<String>,
    /// The outlines that it stands in, joined with " / ", else the first of its categories.
    pub group: Option<String>,
    /// Its further attributes as they are written, in their order: all but those above and what
    /// [`write()`] says without being told. The prefixes of their names are declared among them.
    pub further: Vec<(String, String)>,
}

/// What cannot be taken of a list.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fault {
    /// The line, counted from 1.
    pub line: usize,
    /// What is wrong there, for a person.
    pub message: String,
}

/// A feed to be listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Subscription<'a> {
    /// Its address.
    pub address: &'a str,
    /// Its name.
    pub title: Option<&'a str>,
    /// Its group; " / " parts groups inside one another.
    pub group: Option<&'a str>,
    /// Its further attributes. A `type` and a `title` among them stand for those that are written
    /// otherwise, `rss` and its name.
    pub further: &'a [(String, String)],
}

/// The list as a whole file: groups are outlines, and each stands where its first feed does.
pub fn write(feeds: &[Subscription<'_>]) -> String {
    let mut root = Group::default();
    for feed in feeds {
        let mut group = &mut root;
        for name in feed.group.map(names_of).unwrap_or_default() {
            group = group.inner(name);
        }
        group.members.push(Member::Feed(*feed));
    }
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<opml version=\"2.0\">\n  <head>\n    \
         <title>Feeds</title>\n  </head>\n  <body>\n",
    );
    root.print(&mut out, 2);
    out.push_str("  </body>\n</opml>\n");
    out
}

/// The names of the groups inside one another that a text names. It is one name where it could not
/// be put together again from its parts.
fn names_of(group: &str) -> Vec<&str> {
    let names: Vec<&str> = group.split(BETWEEN_GROUPS).collect();
    let whole = |name: &&str| !name.is_empty() && name.trim() == *name;
    if names.len() <= MOST_GROUPS && names.iter().all(whole) {
        names
    } else {
        vec![group]
    }
}

#[derive(Default)]
struct Group<'a> {
    name: &'a str,
    members: Vec<Member<'a>>,
    groups: Vec<Group<'a>>,
}

enum Member<'a> {
    Feed(Subscription<'a>),
    /// By its place among the groups.
    Group(usize),
}

impl<'a> Group<'a> {
    /// The group of that name in this one; it is made where there is none yet.
    fn inner(&mut self, name: &'a str) -> &mut Self {
        let known = self.groups.iter().position(|group| group.name == name);
        let place = known.unwrap_or_else(|| {
            self.groups.push(Self {
                name,
                ..Self::default()
            });
            self.members.push(Member::Group(self.groups.len() - 1));
            self.groups.len() - 1
        });
        &mut self.groups[place]
    }

    /// Prints what is in it, so many steps in. It calls itself no deeper than [`MOST_GROUPS`].
    fn print(&self, out: &mut String, depth: usize) {
        let indent = "  ".repeat(depth);
        for member in &self.members {
            match member {
                Member::Group(place) => {
                    let group = &self.groups[*place];
                    push(
                        out,
                        &[&indent, "<outline text=\"", &escaped(group.name), "\">\n"],
                    );
                    group.print(out, depth + 1);
                    push(out, &[&indent, "</outline>\n"]);
                }
                Member::Feed(feed) => {
                    push(out, &[&indent, "<outline"]);
                    for (name, value) in feed.attributes() {
                        push(out, &[" ", name, "=\"", &escaped(value), "\""]);
                    }
                    out.push_str("/>\n");
                }
            }
        }
    }
}

impl<'a> Subscription<'a> {
    /// The attributes of its outline.
    fn attributes(self) -> impl Iterator<Item = (&'a str, &'a str)> {
        let further = self.further.iter();
        let mut further: Vec<_> = further.map(|(name, value)| (&**name, &**value)).collect();
        let mut own = |name, usual| {
            let place = further.iter().position(|(known, _)| *known == name);
            place
                .map(|place| further.remove(place))
                .or(Some((name, usual?)))
        };
        let (kind, title) = (own("type", Some("rss")), own("title", self.title));
        let text = ("text", self.title.unwrap_or(self.address));
        let first = [kind, Some(text), title, Some(("xmlUrl", self.address))];
        first.into_iter().flatten().chain(further)
    }
}

fn push(out: &mut String, pieces: &[&str]) {
    for piece in pieces {
        out.push_str(piece);
    }
}

/// A text as the value of an attribute. What is no character of XML 1.0 (section 2.2) is left out;
/// line ends and tabs are references, since a reader makes spaces of them otherwise (section 3.3.3).
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' | '\r' => {
                // Writing into a text does not fail.
                let _ = write!(out, "&#{};", u32::from(character));
            }
            '\0'..'\u{20}' | '\u{fffe}' | '\u{ffff}' => {}
            _ => out.push(character),
        }
    }
    out
}
