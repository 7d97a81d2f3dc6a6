//! Which elements close which, after the tree construction of the HTML Living Standard. Names only.

use super::Kind;
use super::tokens::Attribute;

/// Elements without content (HTML Living Standard, "void elements", and the obsolete ones).
pub(super) fn is_void(name: &str) -> bool {
    matches!(
        name,
        "area"
            | "base"
            | "basefont"
            | "bgsound"
            | "br"
            | "col"
            | "embed"
            | "frame"
            | "hr"
            | "image"
            | "img"
            | "input"
            | "keygen"
            | "link"
            | "meta"
            | "param"
            | "source"
            | "track"
            | "wbr"
    )
}

/// Elements whose content the tokeniser takes as text.
pub(super) fn is_raw_text(name: &str) -> bool {
    matches!(
        name,
        "iframe"
            | "noembed"
            | "noframes"
            | "plaintext"
            | "script"
            | "style"
            | "textarea"
            | "title"
            | "xmp"
    )
}

/// Elements that a parser may open again in a following block.
pub(super) fn is_formatting(name: &str) -> bool {
    matches!(
        name,
        "a" | "b"
            | "big"
            | "code"
            | "em"
            | "font"
            | "i"
            | "nobr"
            | "s"
            | "small"
            | "strike"
            | "strong"
            | "tt"
            | "u"
    )
}

/// Elements that hold only rows, cells and their like.
pub(super) fn is_table_structure(name: &str) -> bool {
    matches!(
        name,
        "table" | "thead" | "tbody" | "tfoot" | "tr" | "colgroup"
    )
}

/// Elements that may stand in those; a form may as well, though nothing in it does.
pub(super) fn is_table_part(name: &str) -> bool {
    is_table_structure(name) || matches!(name, "td" | "th" | "caption" | "col" | "form" | "input")
}

/// Elements that are left out with all that is in them.
pub(super) fn drops_content(name: &str, kind: Kind) -> bool {
    let always = matches!(
        name,
        "svg"
            | "math"
            | "template"
            | "noscript"
            | "object"
            | "applet"
            | "frameset"
            | "canvas"
            | "audio"
            | "video"
    );
    always
        || kind == Kind::Content
            && matches!(name, "select" | "button" | "datalist" | "dialog" | "option")
}

/// The name that an attribute is written by: other spellings of the same thing go.
pub(super) fn attribute_name<'a>(name: &'a str, all: &[Attribute<'_>]) -> &'a str {
    match name {
        "xml:lang" => "lang",
        // EPUB's names for notes are those of DPUB-ARIA without their beginning.
        "epub:type" if !all.iter().any(|attribute| attribute.name == "role") => "role",
        _ => name,
    }
}

/// An address that hands the page's own to another program is one to share by, and is written as
/// the one of its kind that every later stage knows: a letter without a receiver.
pub(super) fn href(address: &str) -> &str {
    let Some((scheme, rest)) = address.trim().split_once(':') else {
        return address;
    };
    let known = ["http", "https", "mailto", "javascript", "data"];
    let scheme = scheme.to_ascii_lowercase();
    let program = scheme
        .chars()
        .all(|c| c.is_ascii_alphanumeric() || "+-.".contains(c))
        && !known.contains(&scheme.as_str());
    let rest = rest.to_ascii_lowercase();
    let hands_on = ["http%3a", "https%3a", "=http"]
        .iter()
        .any(|sign| rest.contains(sign));
    match program && hands_on {
        true => "mailto:?body=https://",
        false => address,
    }
}

/// The index in the stack of open elements (innermost last) of one that the start tag closes
/// without an end tag. `paragraph_open` says whether a `p` is among them.
pub(super) fn closed_by_start<'a>(
    stack: impl DoubleEndedIterator<Item = &'a str> + ExactSizeIterator,
    name: &str,
    paragraph_open: bool,
) -> Option<usize> {
    let mut innermost = true;
    let mut paragraph_reachable = paragraph_open && closes_paragraph(name);
    let mut sibling_reachable = true;
    for (index, open) in stack.enumerate().rev() {
        if paragraph_reachable && open == "p" {
            return Some(index);
        }
        if sibling_reachable && is_sibling(open, name, innermost) {
            return Some(index);
        }
        paragraph_reachable &= !bounds_paragraph(open);
        sibling_reachable &= !bounds_sibling(open, name);
        if !paragraph_reachable && !sibling_reachable {
            return None;
        }
        innermost = false;
    }
    None
}

fn is_heading(name: &str) -> bool {
    matches!(name, "h1" | "h2" | "h3" | "h4" | "h5" | "h6")
}

fn closes_paragraph(name: &str) -> bool {
    is_heading(name)
        || matches!(
            name,
            "address"
                | "article"
                | "aside"
                | "blockquote"
                | "center"
                | "dd"
                | "details"
                | "dialog"
                | "dir"
                | "div"
                | "dl"
                | "dt"
                | "fieldset"
                | "figcaption"
                | "figure"
                | "footer"
                | "form"
                | "header"
                | "hgroup"
                | "hr"
                | "li"
                | "listing"
                | "main"
                | "menu"
                | "nav"
                | "ol"
                | "p"
                | "pre"
                | "search"
                | "section"
                | "summary"
                | "table"
                | "ul"
        )
}

fn bounds_paragraph(open: &str) -> bool {
    matches!(
        open,
        "applet" | "button" | "caption" | "marquee" | "object" | "table" | "td" | "template" | "th"
    )
}

/// The names of elements that the start tag might close.
pub(super) fn closable_by_start(name: &str) -> impl Iterator<Item = &str> {
    let paragraph = closes_paragraph(name).then_some("p");
    let own = matches!(name, "a" | "nobr" | "button" | "form").then_some(name);
    siblings(name).iter().copied().chain(paragraph).chain(own)
}

/// The open elements that cannot hold the new one, being its like.
fn siblings(name: &str) -> &'static [&'static str] {
    match name {
        "li" => &["li"],
        "dd" | "dt" => &["dd", "dt"],
        "td" | "th" => &["td", "th", "caption"],
        "tr" => &["tr", "caption"],
        "thead" | "tbody" | "tfoot" | "caption" | "colgroup" => {
            &["thead", "tbody", "tfoot", "caption", "colgroup", "tr"]
        }
        "option" | "optgroup" => &["option"],
        "rt" | "rp" => &["rt", "rp"],
        _ if is_heading(name) => &["h1", "h2", "h3", "h4", "h5", "h6"],
        _ => &[],
    }
}

/// A heading closes another only if nothing is open in it.
fn is_sibling(open: &str, name: &str, innermost: bool) -> bool {
    match name {
        "a" | "nobr" | "button" | "form" => open == name,
        _ => siblings(name).contains(&open) && (innermost || !is_heading(name)),
    }
}

/// Whether nothing beyond the open element is closed by the new one.
fn bounds_sibling(open: &str, name: &str) -> bool {
    match name {
        "td" | "th" | "tr" | "thead" | "tbody" | "tfoot" | "caption" | "colgroup" => {
            matches!(open, "table" | "template")
        }
        "li" | "dd" | "dt" => bounds_paragraph(open) || bounds_item(open),
        "rt" | "rp" => open == "ruby",
        "option" | "optgroup" => open == "select",
        _ => bounds_paragraph(open) && open != name,
    }
}

/// The standard's "special" elements but for `address`, `div` and `p`.
fn bounds_item(open: &str) -> bool {
    is_heading(open)
        || matches!(
            open,
            "article"
                | "aside"
                | "blockquote"
                | "center"
                | "details"
                | "dir"
                | "dl"
                | "fieldset"
                | "figcaption"
                | "figure"
                | "footer"
                | "form"
                | "header"
                | "hgroup"
                | "main"
                | "menu"
                | "nav"
                | "ol"
                | "pre"
                | "section"
                | "summary"
                | "ul"
        )
}

/// Whether an end tag closes nothing beyond the open element.
pub(super) fn end_boundary(open: &str, name: &str) -> bool {
    if is_table_structure(name) || matches!(name, "td" | "th" | "caption") {
        return matches!(open, "table" | "template");
    }
    if name == "li" {
        return matches!(open, "ol" | "ul" | "menu") || bounds_paragraph(open);
    }
    bounds_paragraph(open)
}
