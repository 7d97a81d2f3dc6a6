//! What its author keeps from sight: elements that are left out, and text of no size within those that
//! stay. Reads attributes alone.

use std::borrow::Cow;

use super::foreign::decoded;
use super::tokens::{Attribute, Token, Tokens};

/// What an element does to the sight of its content.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Sight {
    /// Nothing in it can be seen, whatever stands in it.
    pub hidden: bool,
    /// It says of which size its text is: none, or some. Elements within may say otherwise.
    pub no_size: Option<bool>,
    /// It says that its text is not seen, or is. Elements within may say otherwise.
    pub invisible: Option<bool>,
}

/// What an element's attributes do to its sight.
pub(super) fn sight(name: &str, attributes: &[Attribute<'_>]) -> Sight {
    let mut sight = Sight::default();
    // Formulas are kept beside a picture or a drawing of them that is the one to be seen.
    if attributes.iter().any(is_formula_beside) {
        return sight;
    }
    for attribute in attributes {
        let value = attribute.value.trim();
        match attribute.name.as_str() {
            // What a search of the page would open is text.
            "hidden" => sight.hidden |= !value.eq_ignore_ascii_case("until-found"),
            "aria-hidden" => sight.hidden |= value.eq_ignore_ascii_case("true"),
            "style" => read_style(&without_comments(&decoded(value)), &mut sight),
            _ => {}
        }
    }
    sight.hidden |= name == "img" && is_speck(attributes);
    sight
}

/// A wrapper of MathML that is there for those who do not see.
pub(super) fn is_formula_beside(attribute: &Attribute<'_>) -> bool {
    attribute.name == "class" && attribute.value.to_ascii_lowercase().contains("mathml")
}

/// Whether an element says that it is a pixel at the most, as what counts readers is.
pub(super) fn is_speck(attributes: &[Attribute<'_>]) -> bool {
    let tiny = |name: &str| {
        attributes.iter().any(|attribute| {
            let own = attribute.name == name && is_at_most(attribute.value, 1.0);
            own || attribute.name == "style"
                && declarations(attribute.value)
                    .any(|(property, value)| property == name && is_at_most(&value, 1.0))
        })
    };
    tiny("width") && tiny("height")
}

fn read_style(style: &str, sight: &mut Sight) {
    let mut clipped = false;
    let (mut narrow, mut placed, mut outside) = (false, false, false);
    for (property, value) in declarations(style) {
        let value = value.as_str();
        match property.as_str() {
            "display" => sight.hidden |= value == "none",
            "visibility" => sight.invisible = Some(matches!(value, "hidden" | "collapse")),
            "font-size" => sight.no_size = size(value).map(|size| size == 0.0).or(sight.no_size),
            "text-indent" => sight.hidden |= size(value).is_some_and(|size| size <= -FAR),
            "overflow" | "overflow-x" | "overflow-y" => {
                clipped |= matches!(value, "hidden" | "clip");
            }
            "width" | "height" | "max-width" | "max-height" => narrow |= is_at_most(value, 1.0),
            "clip" => sight.hidden |= is_no_rectangle(value),
            "clip-path" => {
                sight.hidden |= matches!(value, "inset(50%)" | "inset(100%)" | "circle(0)");
            }
            "position" => placed = matches!(value, "absolute" | "fixed"),
            "left" | "top" => outside |= size(value).is_some_and(|size| size <= -FAR),
            _ => {}
        }
    }
    sight.hidden |= clipped && narrow || placed && outside;
}

/// How many pixels away nothing is seen any more; authors write 999 to 99,999 (common practice, no
/// source).
const FAR: f64 = 900.0;

/// `rect(0, 0, 0, 0)` and the like: nothing, or a pixel.
fn is_no_rectangle(value: &str) -> bool {
    let Some(sides) = value.strip_prefix("rect(") else {
        return false;
    };
    let mut sides = sides.trim_end_matches(')').split([',', ' ']);
    sides.all(|side| side.is_empty() || is_at_most(side, 1.0))
}

/// A style attribute without what a browser passes over (CSS Syntax Level 3, 4.3.2).
fn without_comments(style: &str) -> Cow<'_, str> {
    if !style.contains("/*") {
        return Cow::Borrowed(style);
    }
    let mut pieces = style.split("/*");
    let first = pieces.next().unwrap_or_default();
    let rest = pieces.map(|piece| piece.split_once("*/").map_or("", |(_, after)| after));
    Cow::Owned([first].into_iter().chain(rest).collect())
}

/// The declarations of a style attribute in small letters, without their weight.
fn declarations(style: &str) -> impl Iterator<Item = (String, String)> {
    style.split(';').filter_map(|declaration| {
        let (property, value) = declaration.split_once(':')?;
        let value = value.trim().to_ascii_lowercase();
        let weighty = value.strip_suffix("important").map(str::trim_end);
        let value = weighty
            .and_then(|value| value.strip_suffix('!'))
            .unwrap_or(&value);
        Some((
            property.trim().to_ascii_lowercase(),
            value.trim().to_owned(),
        ))
    })
}

/// A length in whatever unit it is, where it has one that does not depend on what is around it.
fn size(value: &str) -> Option<f64> {
    let end = value.find(|c: char| !(c.is_ascii_digit() || "+-.".contains(c)));
    let (number, unit) = value.split_at(end.unwrap_or(value.len()));
    let number: f64 = number.parse().ok()?;
    // Nought in any unit is nought; a share of nought is nought as well.
    let depends = number > 0.0 && (unit.starts_with("em") || unit.starts_with('%'));
    (!depends).then_some(number)
}

fn is_at_most(value: &str, most: f64) -> bool {
    size(value.trim()).is_some_and(|size| (0.0..=most).contains(&size))
}

/// The most words of a label that is for those who do not see the page: "opens in a new window".
const MOST_LABEL_WORDS: usize = 8;

/// How many tokens on a label's end may be.
const MOST_LABEL_TOKENS: usize = 12;

/// Whether an element is a label of the page's furniture that only a screen reader says: short, in a
/// line of text, and by its class out of sight. Headings, captions and paragraphs of that class tell
/// something that nothing else does.
pub(super) fn is_spoken_label(
    name: &str,
    attributes: &[Attribute<'_>],
    inside: &Tokens<'_>,
) -> bool {
    const CLASSES: [&str; 6] = [
        "sr-only",
        "visually-hidden",
        "visuallyhidden",
        "screen-reader-text",
        "screen-reader-only",
        "element-invisible",
    ];
    let unseen = matches!(
        name,
        "span" | "small" | "em" | "i" | "b" | "strong" | "a" | "label"
    ) && attributes.iter().any(|attribute| {
        attribute.name == "class"
            && attribute
                .value
                .split_ascii_whitespace()
                .any(|class| CLASSES.contains(&class.to_ascii_lowercase().as_str()))
    });
    if !unseen {
        return false;
    }
    let mut tokens = inside.clone();
    let mut words = 0;
    for _ in 0..MOST_LABEL_TOKENS {
        match tokens.next() {
            Some(Token::Text(text)) => words += text.split_ascii_whitespace().count(),
            Some(Token::End { name: end }) if end == name => return words <= MOST_LABEL_WORDS,
            Some(Token::Start { name, .. }) if !crate::distil::block::is_inline(&name) => {
                return false;
            }
            Some(_) => {}
            None => return false,
        }
    }
    false
}
