//! Notes: which links of a page lead to one, and what it says. A note is taken out of where it stood, so
//! that it can follow the paragraph that refers to it. Never sets it there.

use std::collections::{HashMap, HashSet};

use dom_query::{NodeId, NodeRef};
use url::Url;

use super::context::Context;
use super::{Run, Script, Style};
use crate::distil::plain::one_line;

/// A note that is referred to.
pub(super) struct Note {
    /// What refers to it, as it is written there: a figure, a sign.
    pub marker: String,
    /// The element that holds its text, which stands in the tree no longer.
    pub body: NodeId,
    /// What holds where it stood.
    pub context: Context,
}

/// Notes by the link that refers to them first.
pub(super) type Notes = HashMap<NodeId, Note>;

/// The most notes of an article that are brought to their paragraphs.
const MOST_NOTES: usize = 500;
/// The most bytes of a note, and nodes in it; what is longer is a part of the article.
const LONGEST: usize = 4_000;
const MOST_NODES: usize = 600;
/// The most words of a link that leads back from a note to just where it is referred to.
const MOST_BACK_WORDS: usize = 4;
/// The most words of a heading over notes.
const MOST_HEADING_WORDS: usize = 4;

/// Takes the notes out of a tree.
pub(super) fn take_notes(root: NodeRef<'_>, context: &Context) -> Notes {
    let (places, references) = survey(root);
    let mut notes = Notes::new();
    let mut judged: HashSet<NodeId> = HashSet::new();
    let mut left = Vec::new();
    for (order, reference, place) in references {
        let room = notes.len() < MOST_NOTES && judged.len() < 2 * MOST_NOTES;
        let target = places
            .get(&place)
            .filter(|(later, _)| room && *later > order);
        let Some(&(_, target)) = target else {
            continue;
        };
        let Some(marker) = marker_of(reference, &place) else {
            continue;
        };
        // Once for each, since many links may lead to one long text.
        let body = body_of(target).filter(|body| judged.insert(body.id));
        let Some(body) = body.filter(|body| is_note(*body, reference)) else {
            continue;
        };
        drop_back_links(body, order, &places);
        notes.insert(
            reference.id,
            Note {
                marker,
                body: body.id,
                context: Context::at(body, context),
            },
        );
        left.extend(body.parent().map(|parent| (body, parent)));
        // What stands before it says its figure alone.
        let term = body.prev_element_sibling().filter(|_| body.has_name("dd"));
        let term = term.filter(|term| {
            term.has_name("dt")
                && text_within(*term, 100).is_some_and(|text| is_sign(core_of(&text)))
        });
        left.extend(term.and_then(|term| Some((term, term.parent()?))));
    }
    // Where a note stands within another, it goes along with that one.
    let mut headings = Vec::new();
    for (body, _) in &left {
        headings.extend(
            body.prev_element_sibling()
                .filter(|before| is_heading(*before)),
        );
        body.remove_from_parent();
    }
    for heading in headings {
        let last = heading.next_element_sibling().is_none_or(is_heading);
        if last && words_within(heading) <= MOST_HEADING_WORDS {
            heading.remove_from_parent();
        }
    }
    let mut looked_at = HashSet::new();
    let mut saying = HashMap::new();
    for (_, parent) in left {
        if looked_at.insert(parent.id) {
            drop_emptied(parent, root, &mut saying);
        }
    }
    notes
}

type Places<'a> = HashMap<String, (usize, NodeRef<'a>)>;

/// The places that links may lead to, and the links that lead to a place, in order.
fn survey(root: NodeRef<'_>) -> (Places<'_>, Vec<(usize, NodeRef<'_>, String)>) {
    let mut places = Places::new();
    let mut references = Vec::new();
    for (order, node) in root.descendants_it().enumerate() {
        for attribute in ["id", "name"] {
            if let Some(place) = node.attr(attribute).and_then(|name| spelt(&name)) {
                places.entry(place).or_insert((order, node));
            }
        }
        let place = node.attr("href").and_then(|address| {
            let (_, place) = address.split_once('#')?;
            Some(place.to_owned())
        });
        references.extend(place.map(|place| (order, node, place)));
    }
    references.retain(|(_, _, place)| places.contains_key(place));
    (places, references)
}

/// A place as an address spells it.
fn spelt(name: &str) -> Option<String> {
    let mut address = Url::parse("http://page.invalid/").ok()?;
    address.set_fragment(Some(name));
    let place = address.fragment().filter(|place| !place.is_empty());
    place.map(str::to_owned)
}

/// How a link refers to a note, if it does: by its role or its class (DPUB-ARIA 1.1, EPUB's structural
/// semantics), or by being a sign of notes, or a figure that is raised, bracketed, or leads to a place of such
/// a name (common practice, no source).
fn marker_of(link: NodeRef<'_>, place: &str) -> Option<String> {
    let says = |attribute: &str| link.attr_or(attribute, "").to_ascii_lowercase();
    let (role, class) = (says("role"), says("class"));
    if role.contains("backlink")
        || ["back", "reverse", "return"]
            .iter()
            .any(|word| class.contains(word))
    {
        return None;
    }
    let text = one_line(&text_within(link, 100)?);
    let named = role.contains("noteref")
        || ["footnote", "noteref", "fnref", "endnote"]
            .iter()
            .any(|word| class.contains(word));
    if named && !text.is_empty() && text.chars().count() <= 30 {
        return Some(text);
    }
    let core = core_of(&text);
    let raised = link
        .ancestors_it(Some(3))
        .any(|outer| outer.has_name("sup"))
        || link
            .descendants_it()
            .take(5)
            .any(|inner| inner.has_name("sup"));
    let bracketed = core != text;
    let place = place.to_ascii_lowercase();
    let hint = ["note", "fn", "ftn"]
        .iter()
        .any(|word| place.contains(word));
    let sign = !core.contains(char::is_alphanumeric);
    (is_sign(core) && (sign || raised || bracketed || hint)).then_some(text)
}

/// A marker without its brackets.
pub(super) fn core_of(marker: &str) -> &str {
    marker.trim_matches(|c: char| "[]().:".contains(c) || c.is_whitespace())
}

/// Whether a text is a figure or a sign of notes.
pub(super) fn is_sign(core: &str) -> bool {
    let count = core.chars().count();
    let figures = count <= 4 && core.chars().all(char::is_numeric);
    let letters = count == 1 && core.chars().all(char::is_alphabetic);
    let roman = count <= 5
        && core
            .chars()
            .all(|c| "ivxlc".contains(c.to_ascii_lowercase()));
    let signs = count <= 4 && core.chars().all(|c| "*†‡§¶‖#※⁂⁎".contains(c));
    !core.is_empty() && (figures || letters || roman || signs)
}

/// The element that holds a note's text, from the place that a link leads to.
fn body_of(target: NodeRef<'_>) -> Option<NodeRef<'_>> {
    let inline = |node: &NodeRef<'_>| node.node_name().is_none_or(|name| super::is_inline(&name));
    let mut body = target;
    while inline(&body) {
        body = body.parent()?;
    }
    if body.has_name("td") || body.has_name("th") {
        return body.parent();
    }
    if body.has_name("dt") {
        return body
            .next_element_sibling()
            .filter(|next| next.has_name("dd"));
    }
    // A note of several paragraphs has its place in the first of them.
    let outer = body.parent().filter(|outer| {
        let item = outer.has_name("li")
            || outer.has_name("dd")
            || outer.attr_or("role", "").contains("note");
        item && body.has_name("p") && body.prev_element_sibling().is_none()
    });
    let body = outer.unwrap_or(body);
    let holds = [
        "li",
        "p",
        "div",
        "aside",
        "dd",
        "tr",
        "section",
        "blockquote",
        "footer",
        "small",
    ];
    holds.iter().any(|name| body.has_name(name)).then_some(body)
}

/// Whether an element is a note: a short text without parts of its own, and not around the link to it.
fn is_note(body: NodeRef<'_>, reference: NodeRef<'_>) -> bool {
    let around = reference
        .ancestors_it(None)
        .any(|outer| outer.id == body.id);
    let parted = body.descendants_it().take(MOST_NODES).any(|node| {
        let name = node.node_name();
        name.is_some_and(|name| {
            matches!(
                &*name,
                "h1" | "h2" | "h3" | "h4" | "h5" | "h6" | "table" | "figure" | "hr"
            )
        })
    });
    let text = text_within(body, LONGEST).filter(|text| text.contains(char::is_alphanumeric));
    !around && !parted && text.is_some()
}

/// The text of a node; none where it is longer than so many bytes or has too many nodes.
fn text_within(node: NodeRef<'_>, most: usize) -> Option<String> {
    let mut text = String::new();
    for (count, node) in node.descendants_it().enumerate() {
        if node.is_text() {
            text.push_str(&node.text());
        }
        if text.len() > most || count > MOST_NODES {
            return None;
        }
    }
    Some(text)
}

/// Takes links out of a note that lead back to where it is referred to.
fn drop_back_links(body: NodeRef<'_>, order: usize, places: &Places<'_>) {
    let links: Vec<NodeRef<'_>> = body
        .descendants_it()
        .filter(|node| node.has_name("a"))
        .collect();
    for link in links {
        let address = link.attr_or("href", "");
        let place = address.split_once('#').map(|(_, place)| place.to_owned());
        let back = place.and_then(|place| places.get(&place).map(|(at, _)| *at));
        let text = one_line(&link.text());
        let said = link.attr_or("class", "").contains("back")
            || link.attr_or("role", "").contains("backlink");
        let sign = !text.contains(char::is_alphanumeric) || is_sign(core_of(&text));
        // The place may be the paragraph around the link, the link, or what is raised in it.
        let near = |back: usize| back + 3 >= order;
        let few = text.split(' ').count() <= MOST_BACK_WORDS;
        if back.is_some_and(|back| back <= order + 1 && (said || sign || few && near(back))) {
            link.remove_from_parent();
        }
    }
}

/// Takes away what held notes alone, with its heading. `saying` has the child for which an element was
/// found to stay, since one may hold a great many others, and be asked for each of them.
fn drop_emptied(parent: NodeRef<'_>, root: NodeRef<'_>, saying: &mut HashMap<NodeId, NodeId>) {
    let mut holder = parent;
    while holder.id != root.id && holder.parent().is_some() {
        let said = saying
            .get(&holder.id)
            .and_then(|said| NodeRef::new(*said, holder.tree).parent());
        if said.is_some_and(|outer| outer.id == holder.id) {
            return;
        }
        let mut headings = 0;
        for child in holder.children_it(false) {
            let words = words_within(child);
            let heading = is_heading(child) && words <= MOST_HEADING_WORDS;
            headings += usize::from(heading);
            if headings > 1 || !heading && words > 0 {
                saying.insert(holder.id, child.id);
                return;
            }
        }
        let before = holder.prev_element_sibling();
        let before = match before.filter(|before| before.has_name("hr")) {
            Some(rule) => rule
                .prev_element_sibling()
                .filter(|before| is_heading(*before)),
            None => before,
        };
        let last = holder
            .next_element_sibling()
            .is_none_or(|next| is_heading(next));
        let Some(outer) = holder.parent() else { return };
        if let Some(heading) = before.filter(|before| is_heading(*before) && last && headings == 0)
            && words_within(heading) <= MOST_HEADING_WORDS
        {
            heading.remove_from_parent();
        }
        holder.remove_from_parent();
        holder = outer;
    }
}

/// How many words stand in a node; very many where it is long or has pictures.
fn words_within(node: NodeRef<'_>) -> usize {
    let pictured = node
        .descendants_it()
        .take(MOST_NODES)
        .any(|node| node.has_name("img"));
    match text_within(node, LONGEST).filter(|_| !pictured && !node.has_name("img")) {
        Some(_) if node.is_text() => node.text().split_whitespace().count(),
        Some(text) => text.split_whitespace().count(),
        None => usize::MAX,
    }
}

fn is_heading(node: NodeRef<'_>) -> bool {
    let name = node.node_name();
    name.is_some_and(|name| matches!(&*name, "h1" | "h2" | "h3" | "h4" | "h5" | "h6"))
}

/// A note's runs: its marker, raised, before its text, which says the marker itself no more.
pub(super) fn marked(marker: &str, mut text: Vec<Run>) -> Vec<Run> {
    let core = core_of(marker);
    if let Some(first) = text.first_mut() {
        let begun = first.text.trim_start_matches(['[', '(']);
        let rest = begun.strip_prefix(core).filter(|_| is_sign(core));
        let rest = rest.filter(|rest| !rest.starts_with(char::is_alphanumeric));
        if let Some(rest) = rest {
            first.text = rest
                .trim_start_matches([']', ')', '.', ':', ' '])
                .to_owned();
        }
    }
    while text
        .first()
        .is_some_and(|first| first.text.trim().is_empty())
    {
        text.remove(0);
    }
    if let Some(first) = text.first_mut() {
        first.text = first.text.trim_start_matches(['.', ':', ' ']).to_owned();
    }
    text.retain(|run| !run.text.is_empty());
    if text.is_empty() {
        return text;
    }
    let marker = match is_sign(core) {
        true => core,
        false => marker,
    };
    let run = |text: &str, style: Style| Run {
        text: text.to_owned(),
        style,
        ..Run::default()
    };
    let raised = Style {
        label: true,
        script: Script::Superscript,
        ..Style::default()
    };
    let mut runs = vec![run(marker, raised), run(" ", Style::default())];
    runs.extend(text);
    runs
}
