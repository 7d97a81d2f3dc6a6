//! Which element says where a quotation is from. Knows elements alone, never blocks.

use dom_query::NodeRef;

use super::context::Holder;

/// The most bytes of a line that names a source; what is longer is quoted.
const LONGEST: usize = 300;

/// The most nodes of such a line, which are counted anew for each element around them.
const MOST_NODES: usize = 100;

/// The most children of a figure that are looked at.
const MOST_CHILDREN: usize = 40;

/// Whether an element says the source of a quotation: a footer or a caption of it, a `cite` that stands
/// alone (HTML Living Standard, 4.4.4, has its examples in this form), a last paragraph that begins with a
/// dash, or one that its class names so (common practice, no source).
pub(super) fn is_source(name: &str, node: NodeRef<'_>, holder: Holder) -> bool {
    let quoted = holder == Holder::Quotation;
    match name {
        "footer" | "figcaption" if quoted => is_short(node),
        "figcaption" => holds_quotation(node),
        "cite" if quoted => stands_alone(node),
        "p" | "div" | "small" | "span" if quoted => {
            is_named_so(node) && is_short(node)
                || name == "p" && (is_dashed(node) || is_cited(node))
        }
        "p" => follows_quotation(node) && is_dashed(node),
        _ => false,
    }
}

fn is_short(node: NodeRef<'_>) -> bool {
    let mut length = 0;
    node.descendants_it().enumerate().all(|(count, inner)| {
        if inner.is_text() {
            length += inner.text().len();
        }
        length <= LONGEST && count < MOST_NODES
    })
}

/// A figure of a quotation has no picture, whose caption it would be.
fn holds_quotation(caption: NodeRef<'_>) -> bool {
    let figure = caption.parent().filter(|figure| figure.has_name("figure"));
    figure.is_some_and(|figure| {
        let mut pictured = figure.descendants_it().take(200);
        figure
            .children_it(false)
            .take(MOST_CHILDREN)
            .any(|child| child.has_name("blockquote"))
            && !pictured.any(|inner| inner.has_name("img"))
    })
}

/// Between blocks, or with nothing before and after it but blocks.
fn stands_alone(cite: NodeRef<'_>) -> bool {
    let block = |node: NodeRef<'_>| {
        let name = node.node_name();
        name.is_some_and(|name| !super::is_inline(&name) && &*name != "br")
            || node.is_text() && node.text().trim().is_empty()
    };
    let parent = cite.parent().filter(|parent| parent.has_name("blockquote"));
    parent.is_some()
        && cite.prev_sibling().is_some_and(block)
        && cite.next_sibling().is_none_or(block)
}

/// All its words are in a `cite`, but for a dash before it.
fn is_cited(paragraph: NodeRef<'_>) -> bool {
    let mut children = paragraph.children_it(false);
    let rest =
        |node: &NodeRef<'_>| !node.has_name("cite") && node.text().contains(char::is_alphanumeric);
    is_short(paragraph)
        && paragraph
            .children_it(false)
            .any(|child| child.has_name("cite"))
        && !children.any(|child| rest(&child))
}

/// A short last line that begins with a dash, as print signs quotations.
fn is_dashed(paragraph: NodeRef<'_>) -> bool {
    let last = paragraph.next_element_sibling().is_none() || follows_quotation(paragraph);
    last && is_short(paragraph) && {
        let text = paragraph.text();
        let text = text.trim_start();
        text.starts_with(['—', '–', '―']) && text.len() <= LONGEST / 2
    }
}

fn follows_quotation(node: NodeRef<'_>) -> bool {
    let before = node.prev_element_sibling();
    before.is_some_and(|before| before.has_name("blockquote"))
}

fn is_named_so(node: NodeRef<'_>) -> bool {
    let class = node.attr_or("class", "").to_ascii_lowercase();
    let mut words = class.split(|c: char| !c.is_ascii_alphanumeric());
    words.any(|word| {
        matches!(
            word,
            "attribution" | "source" | "author" | "cite" | "citation" | "credit" | "byline"
        )
    })
}
