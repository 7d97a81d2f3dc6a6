//! What is written of a feed that is read leniently: tags, attributes and texts. Never decides which
//! element ends where.

use super::{Open, Particulars, Writer};
use crate::distil::feed::dates::mend_date;
use crate::distil::feed::fields::{Place, Seen};
use crate::distil::feed::markup::{push_attribute, push_element, push_text};
use crate::distil::feed::mend::{
    Family, mend_attribute, mend_person, mend_text, mend_type, said_instead, stand_in,
    whole_duration,
};
use crate::distil::feed::names::Vocabulary;

impl Writer {
    pub(super) fn open_tag(
        &mut self,
        name: &str,
        open: &mut Open,
        family: Family,
        vocabulary: Vocabulary,
    ) {
        self.out.push('<');
        self.out.push_str(name);
        if open.base != open.told_base {
            open.told_base = open.base.clone();
            push_attribute(&mut self.out, "xml:base", open.base.as_str());
        }
        let typed = family == Family::Atom && open.place == Place::Text;
        if typed {
            let kind = mend_type(&open.attributes, vocabulary != Vocabulary::Core);
            self.mixed = kind.is_markup;
            push_attribute(&mut self.out, "type", kind.name);
            self.type_at = Some(self.out.len() - kind.name.len() - 1);
        }
        for (key, value) in &open.attributes {
            let mended = mend_attribute(name, key, value);
            if let Some((key, value)) = mended.filter(|(key, _)| !(typed && *key == "type")) {
                push_attribute(&mut self.out, key, &value);
            }
        }
        self.out.push('>');
    }

    /// Notes what the element just opened says of its entry, and writes what older formats say by
    /// attributes of an entry or a feed.
    pub(super) fn begin_place(&mut self) {
        let Some(open) = self.stack.last() else {
            return;
        };
        if open.place == Place::Entry && open.written.is_some() {
            self.seen_of_entry = Seen::default();
            self.entries.push(Particulars {
                base: Some(open.base.clone()),
                language: open.language.clone(),
                ..Particulars::default()
            });
        }
        let says = matches!(open.place, Place::Entry | Place::Feed) && !open.silent;
        if says && self.family != Some(Family::Atom) {
            for (name, value) in said_instead(&open.attributes) {
                push_element(&mut self.out, name, value);
            }
        }
        let of_content = match open.written.as_deref() {
            Some("content" | "content:encoded") => true,
            Some("summary" | "description") => false,
            _ => return,
        };
        let outer = self.stack.len().checked_sub(2).map(|at| &self.stack[at]);
        let in_entry = outer.is_some_and(|outer| outer.place == Place::Entry);
        let entry = self.entries.last_mut();
        if let Some(entry) = entry.filter(|entry| in_entry && (of_content || !entry.of_content)) {
            entry.base = Some(open.base.clone());
            entry.language.clone_from(&open.language);
            entry.of_content = of_content;
        }
    }

    /// Takes text, with its references resolved and as it is written.
    pub(super) fn text(&mut self, resolved: &str, source: &str) {
        if !self.stack.last().is_none_or(|open| open.silent) {
            self.text.push_str(resolved);
            self.unresolved.push_str(source);
        }
    }

    /// Takes text without references: a CDATA section, or a character that begins no tag.
    pub(super) fn literal(&mut self, text: &str) {
        if text == "<" {
            self.text(text, "&lt;");
        } else {
            self.text(text, text);
        }
    }

    /// Writes the text gathered since the last tag.
    pub(super) fn flush(&mut self) {
        let resolved = std::mem::take(&mut self.text);
        let unresolved = std::mem::take(&mut self.unresolved);
        // Among tags that were not escaped, references are HTML's.
        let mixed = std::mem::take(&mut self.mixed);
        let text = if mixed { unresolved } else { resolved };
        let Some(at) = self.stack.len().checked_sub(1) else {
            return;
        };
        if let (true, Some(at)) = (mixed, self.type_at.take()) {
            self.out.replace_range(at..at + 4, "html");
        }
        let text = match self.stack[at].written.clone() {
            Some(written) => self.mended(&written, at, text),
            None if self.stack[at].silent => return,
            None => text,
        };
        push_text(&mut self.out, &text);
    }

    /// The text of an element as it is written; notes what the parser's model loses of it.
    fn mended(&mut self, written: &str, at: usize, text: String) -> String {
        let open = &self.stack[at];
        let said = |name: &str| {
            let found = open.attributes.iter().find(|(key, _)| key == name);
            found.map(|(_, value)| value.trim())
        };
        match written {
            // An empty address would resolve to the feed's own.
            "link" | "guid" | "id" if text.trim().is_empty() => {
                stand_in(written, &open.attributes).unwrap_or_default()
            }
            "guid" => {
                if said("isPermaLink").is_some_and(|it| it.eq_ignore_ascii_case("false")) {
                    self.opaque.insert(text.trim().to_owned());
                }
                text
            }
            "itunes:duration" => {
                let whole = whole_duration(&text);
                let seconds = whole.as_deref().and_then(|whole| whole.parse().ok());
                if let Some(entry) = self.entries.last_mut() {
                    entry.duration = seconds;
                }
                whole.unwrap_or_default()
            }
            "pubDate" | "updated" | "published" => mend_date(&text).unwrap_or(text),
            "author" | "dc:creator" | "managingEditor" | "webMaster" | "name" => mend_person(&text),
            _ if open.place == Place::Text => mend_text(text, said("mode"), said("type")),
            _ => text,
        }
    }

    /// Whether a tag stands where there is text only, and so belongs to HTML that was not escaped.
    pub(super) fn is_inline_markup(&self) -> bool {
        let in_text = |open: &Open| open.place == Place::Text && !open.silent;
        self.inline > 0 || self.stack.last().is_some_and(in_text)
    }

    /// Takes a tag as text.
    pub(super) fn inline(&mut self, source: &str, empty: bool, start: bool) {
        let void = ["<br", "<hr", "<img"]
            .iter()
            .any(|tag| source.to_ascii_lowercase().starts_with(tag));
        if start {
            self.mixed = true;
            self.inline += usize::from(!empty && !void);
        } else {
            // The end of what is open in the feed ends the text too, whatever is open in the HTML.
            let name = source[2..source.len() - 1].trim();
            if self.stack.iter().any(|open| open.source == name) {
                self.inline = 0;
                self.end(name);
                return;
            }
            self.inline -= 1;
        }
        self.text(source, source);
    }
}
