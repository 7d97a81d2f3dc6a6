//! What MathML says, before its elements go: read from the tokens, written as text with raised and
//! lowered parts.

use std::borrow::Cow;

use dom_query::Document;

use super::rules::is_raw_text;
use super::tokens::{Attribute, Token, Tokens};
use crate::distil::block::{Script, is_inline};
use crate::distil::formula::{Element, MathPiece, Stretch, read_mathml, read_tex};

/// The most tokens of a formula.
const MOST_TOKENS: usize = 4_000;

/// The most elements of a formula inside one another.
const DEEPEST: usize = 64;

/// Text with its references resolved.
pub(super) fn decoded(text: &str) -> Cow<'_, str> {
    match text.contains('&') {
        // What could begin a tag is written as a reference, so that the parser sees text alone.
        true => Cow::Owned(
            Document::fragment(text.replace('<', "&lt;"))
                .text()
                .to_string(),
        ),
        false => Cow::Borrowed(text),
    }
}

/// The formula of a `math` element whose start tag has been read, as HTML of this room's own; the
/// tokens stand after its end. `None`, with the tokens where they were, where the element does not end as
/// a formula does: then it is left out with all that is in it.
pub(super) fn read_math(attributes: &[Attribute<'_>], tokens: &mut Tokens<'_>) -> Option<String> {
    let mut ahead = tokens.clone();
    let mut open = vec![element("math".to_owned(), attributes)];
    for _ in 0..MOST_TOKENS {
        match ahead.next()? {
            Token::Text(text) => open
                .last_mut()?
                .pieces
                .push(MathPiece::Text(decoded(text).into_owned())),
            Token::Start {
                name,
                attributes,
                empty,
            } => {
                let foreign = is_inline(&name) || !is_html(&name);
                if name == "math" || is_raw_text(&name) || !foreign || open.len() >= DEEPEST {
                    return None;
                }
                let inside = element(name, &attributes);
                match empty || is_empty(&inside.name) {
                    true => open.last_mut()?.pieces.push(MathPiece::Element(inside)),
                    false => open.push(inside),
                }
            }
            Token::End { name } => {
                let Some(from) = open.iter().rposition(|element| element.name == name) else {
                    if is_html(&name) && !is_inline(&name) {
                        return None;
                    }
                    continue;
                };
                while open.len() > from.max(1) {
                    let inside = open.pop()?;
                    open.last_mut()?.pieces.push(MathPiece::Element(inside));
                }
                if from == 0 {
                    *tokens = ahead;
                    return open.pop().map(|math| written(&read_mathml(&math)));
                }
            }
        }
    }
    None
}

/// The formula of a script that holds TeX, which a script of the page would have set.
pub(super) fn read_tex_script(attributes: &[Attribute<'_>], content: &str) -> Option<String> {
    let tex = attributes.iter().any(|attribute| {
        attribute.name == "type"
            && attribute
                .value
                .trim()
                .to_ascii_lowercase()
                .starts_with("math/tex")
    });
    tex.then(|| written(&read_tex(content)))
}

/// The formula of an element that its class says is one, where it holds TeX without delimiters alone; its
/// text has then been read.
pub(super) fn read_bare_tex(
    name: &str,
    attributes: &[Attribute<'_>],
    tokens: &mut Tokens<'_>,
) -> Option<String> {
    let named = matches!(name, "span" | "div")
        && attributes.iter().any(|attribute| {
            attribute.name == "class"
                && attribute
                    .value
                    .split_ascii_whitespace()
                    .any(|class| class == "math")
        });
    if !named {
        return None;
    }
    let mut ahead = tokens.clone();
    let Some(Token::Text(text)) = ahead.next() else {
        return None;
    };
    let after = ahead.clone().next();
    let alone = matches!(after, Some(Token::End { name: end }) if end == name);
    let tex = decoded(text);
    let bare = tex.contains(['\\', '^', '_'])
        && !["\\(", "\\[", "$"].iter().any(|sign| tex.contains(sign));
    (alone && bare).then(|| {
        *tokens = ahead;
        written(&read_tex(&tex))
    })
}

fn element(name: String, attributes: &[Attribute<'_>]) -> Element {
    let own = |attribute: &Attribute<'_>| {
        (
            attribute.name.clone(),
            decoded(attribute.value).into_owned(),
        )
    };
    Element {
        name,
        attributes: attributes.iter().map(own).collect(),
        pieces: Vec::new(),
    }
}

/// Elements of MathML that have nothing in them, whether they say so or not.
fn is_empty(name: &str) -> bool {
    matches!(
        name,
        "mspace" | "none" | "mprescripts" | "maligngroup" | "malignmark"
    )
}

/// Elements of HTML end a formula, as the standard's tree construction has it.
fn is_html(name: &str) -> bool {
    !(name.starts_with('m')
        || name.starts_with("annotation")
        || name == "semantics"
        || name == "none")
        || matches!(
            name,
            "main" | "map" | "mark" | "marquee" | "menu" | "meta" | "meter"
        )
}

fn written(formula: &[Stretch]) -> String {
    let mut html = String::from("<span>");
    for part in formula {
        let tag = match part.script {
            Script::Baseline => None,
            Script::Superscript => Some("sup"),
            Script::Subscript => Some("sub"),
        };
        if let Some(tag) = tag {
            html.push_str(&format!("<{tag}>"));
        }
        push_escaped(&mut html, &part.text);
        if let Some(tag) = tag {
            html.push_str(&format!("</{tag}>"));
        }
    }
    html.push_str("</span>");
    html
}

/// Appends text so that nothing in it can be taken for markup.
pub(super) fn push_escaped(html: &mut String, text: &str) {
    for character in text.chars() {
        match character {
            '&' => html.push_str("&amp;"),
            '<' => html.push_str("&lt;"),
            '>' => html.push_str("&gt;"),
            '"' => html.push_str("&quot;"),
            '\0' => {}
            _ => html.push(character),
        }
    }
}
