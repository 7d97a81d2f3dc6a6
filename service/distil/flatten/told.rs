//! What is written in the place of elements that go: formulas as text, sound and film as a line, anchors
//! as places, a page's title and structured data. Never decides what is seen.

use super::foreign::{read_bare_tex, read_math, read_tex_script};
use super::hidden::sight;
use super::media::Embedded;
use super::tokens::{Attribute, Tokens};
use super::{Kind, Writer, push_attribute, push_text};

impl Writer {
    /// An element, or the formula that stands in its place.
    pub(super) fn element(
        &mut self,
        name: String,
        attributes: &[Attribute<'_>],
        tokens: &mut Tokens<'_>,
    ) {
        if name == "math"
            && self.silent_from.is_none()
            && !sight(&name, attributes).hidden
            && let Some(formula) = read_math(attributes, tokens)
        {
            let apart = attributes
                .iter()
                .any(|attribute| attribute.name == "display" && attribute.value.trim() == "block");
            return match apart {
                true => self.formula(&format!("<br>{formula}<br>")),
                false => self.formula(&formula),
            };
        }
        let bare = match self.silent_from {
            None => read_bare_tex(&name, attributes, tokens),
            Some(_) => None,
        };
        self.start(name, attributes, tokens);
        if let Some(formula) = bare {
            self.formula(&formula);
        }
    }

    /// Writes HTML of this room's own, as a formula is told in.
    fn formula(&mut self, html: &str) {
        if self.is_seen() {
            self.elements += 1;
            self.count_fostered();
            self.out.push_str(html);
        }
    }

    /// Writes what is told of sound or film: as a paragraph, or within one on a line.
    pub(super) fn tell(&mut self, embedded: Option<Embedded>) {
        let Some(embedded) = embedded.filter(|_| self.is_seen()) else {
            return;
        };
        let told = embedded.told(!self.is_open("a"));
        let (before, after) = match self.is_open("p") {
            true => ("<br>", "<br>"),
            false => ("<p>", "</p>"),
        };
        self.elements += 2;
        self.count_fostered();
        self.out.extend([before, &told, after]);
    }

    /// An element whose content is not markup: only a page's title and structured data are kept.
    pub(super) fn raw(&mut self, name: &str, attributes: &[Attribute<'_>], content: &str) {
        if self.silent_from.is_some() {
            return;
        }
        if name == "script"
            && let Some(formula) = read_tex_script(attributes, content)
        {
            return self.formula(&formula);
        }
        if name == "iframe" && !sight(name, attributes).hidden {
            return self.tell(Embedded::of(name, attributes));
        }
        if self.kind != Kind::Page {
            return;
        }
        self.elements += 1;
        if name == "title" {
            self.out.push_str("<title>");
            push_text(&mut self.out, content);
            self.out.push_str("</title>");
        }
        let structured = attributes.iter().any(|attribute| {
            attribute.name == "type" && attribute.value.eq_ignore_ascii_case("application/ld+json")
        });
        if name == "script" && structured {
            self.out.push_str("<script type=\"application/ld+json\">");
            // Inside JSON strings this spelling is the same character, and no tag can begin.
            self.out.push_str(&content.replace('<', "\\u003c"));
            self.out.push_str("</script>");
        }
    }

    /// Whether pictures that stand here are seen.
    pub(super) fn is_visible(&self) -> bool {
        self.stack.last().is_none_or(|open| !open.invisible)
    }

    /// Writes a place that links of the page may lead to, in the place of an anchor that leads nowhere.
    pub(super) fn write_place(&mut self, attributes: &[Attribute<'_>]) {
        let named = |attribute: &&Attribute<'_>| ["id", "name"].contains(&attribute.name.as_str());
        let place = attributes
            .iter()
            .find(named)
            .filter(|_| self.silent_from.is_none());
        if let Some(place) = place {
            self.elements += 1;
            self.count_fostered();
            self.out.push_str("<span id=\"");
            push_attribute(&mut self.out, place.value);
            self.out.push_str("\"></span>");
        }
    }
}
