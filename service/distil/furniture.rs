//! What is on a page and not of its article, by structure: landmarks, names of classes, links. Knows
//! no blocks, and no words of running text.
//!
//! An element goes where its role says that it is furniture (WAI-ARIA 1.2, landmark and dialog roles), or
//! where the names in its class or id do. Names lie: some publishers call the body of an article by the
//! name of what else is in it. So nothing goes that holds much of the text.

use std::collections::HashMap;

use dom_query::{Document, NodeId, NodeRef};

/// The share of the unlinked text above which an element is not furniture whatever its name.
const MOST_OF_TEXT: f64 = 0.25;

/// Roles of what is not of the article (WAI-ARIA 1.2, section 5.3).
const ROLES: &[&str] = &[
    "navigation",
    "banner",
    "contentinfo",
    "search",
    "menu",
    "menubar",
    "toolbar",
    "dialog",
    "alertdialog",
];

/// Words in the names of furniture's classes (common practice, no source; each is measured to help on the
/// pages of tests/service/extraction.rs, or does no harm there).
const NAMES: &[&str] = &[
    "advert",
    "advertisement",
    "advertising",
    "ads",
    "adslot",
    "breadcrumb",
    "breadcrumbs",
    "comments",
    "commentlist",
    "consent",
    "cookie",
    "cookies",
    "disclaimer",
    "gdpr",
    "kudos",
    "newsletter",
    "pager",
    "pagination",
    "postmeta",
    "promo",
    "related",
    "recirc",
    "recirculation",
    "recommended",
    "recommendations",
    "respond",
    "share",
    "sharing",
    "shares",
    "sharebar",
    "signup",
    "social",
    "socials",
    "sponsor",
    "sponsored",
    "subscribe",
    "taglist",
    "toolbar",
    "tags",
];

/// Pairs of words that are furniture together.
const PAIRS: &[(&str, &str)] = &[
    ("ad", "container"),
    ("ad", "feedback"),
    ("ad", "slot"),
    ("ad", "unit"),
    ("ad", "wrapper"),
    ("author", "bio"),
    ("author", "box"),
    ("about", "author"),
    ("entry", "meta"),
    ("hide", "print"),
    ("more", "stories"),
    ("no", "print"),
    ("post", "meta"),
    ("post", "navigation"),
    ("post", "nav"),
    ("print", "link"),
    ("print", "none"),
    ("read", "more"),
    ("read", "next"),
    ("see", "also"),
    ("sign", "up"),
    ("story", "package"),
];

/// Names of text that is there for readers of the screen alone, which stands twice or explains the page.
const UNSEEN: &[&str] = &[
    "visuallyhidden",
    "visually-hidden",
    "screen-reader-text",
    "sr-only",
    "off-screen",
    "offscreen",
    "element-invisible",
    "assistive-text",
];

/// Takes landmarks and dialogs out of a page, and what nobody sees.
pub(super) fn clear_page(document: &Document) {
    let texts = Texts::of(document);
    for node in document.select("nav, dialog, [role], [class]").nodes() {
        let name = node.node_name().unwrap_or_default();
        let role = node.attr_or("role", "");
        let role = role.split_ascii_whitespace().next().unwrap_or_default();
        let landmark = matches!(&*name, "nav" | "dialog") || ROLES.contains(&role);
        if (landmark || is_unseen(node)) && texts.may_go(node, &name) {
            node.remove_from_parent();
        }
    }
}

/// Takes what its names tell to be furniture out of an article.
pub(super) fn clear_article(document: &Document) {
    let texts = Texts::of(document);
    for node in document.select("[class], [id]").nodes() {
        let name = node.node_name().unwrap_or_default();
        if is_named(node) && texts.may_go(node, &name) {
            node.remove_from_parent();
        }
    }
}

/// How many bytes of text each element has that are not within links, white space left out. All are
/// counted in one walk: elements stand in one another, and each would be walked once more.
struct Texts {
    bytes: HashMap<NodeId, usize>,
    whole: usize,
}

impl Texts {
    fn of(document: &Document) -> Self {
        let root = document.root();
        let mut order: Vec<(NodeId, Option<usize>, usize)> = Vec::new();
        let mut waiting = vec![(root, None)];
        while let Some((node, parent)) = waiting.pop() {
            let place = order.len();
            let mut own = 0;
            if node.is_text() {
                let text = node.text();
                own = text.split_ascii_whitespace().map(str::len).sum();
            } else if !is_skipped(&node) {
                let children = node.children_it(false);
                waiting.extend(children.map(|child| (child, Some(place))));
            }
            order.push((node.id, parent, own));
        }
        // A child stands after its parent, so that the last are summed up first.
        for place in (0..order.len()).rev() {
            let (_, parent, bytes) = order[place];
            if let Some(parent) = parent {
                order[parent].2 += bytes;
            }
        }
        Self {
            whole: order.first().map_or(0, |root| root.2),
            bytes: order.iter().map(|(id, _, bytes)| (*id, *bytes)).collect(),
        }
    }

    fn may_go(&self, node: &NodeRef<'_>, name: &str) -> bool {
        let kept = matches!(
            name,
            "html"
                | "head"
                | "body"
                | "main"
                | "article"
                | "figure"
                | "figcaption"
                | "table"
                | "pre"
        );
        let bytes = self.bytes.get(&node.id).copied().unwrap_or_default();
        !kept && bytes as f64 <= MOST_OF_TEXT * self.whole as f64
    }
}

fn is_skipped(node: &NodeRef<'_>) -> bool {
    node.node_name()
        .is_some_and(|name| matches!(&*name, "a" | "script" | "style" | "head"))
}

/// Whether an element is hidden from those who see, and stands outside of running text: within a
/// paragraph it may be the only copy of a letter that is drawn.
fn is_unseen(node: &NodeRef<'_>) -> bool {
    let classes = node.attr_or("class", "").to_ascii_lowercase();
    let unseen = classes
        .split_ascii_whitespace()
        .any(|class| UNSEEN.contains(&class));
    unseen
        && !node.ancestors_it(None).any(|outer| {
            outer
                .node_name()
                .is_some_and(|name| matches!(&*name, "p" | "h1" | "h2" | "h3" | "h4" | "li" | "td"))
        })
}

fn is_named(node: &NodeRef<'_>) -> bool {
    ["class", "id"].iter().any(|attribute| {
        let value = node.attr_or(attribute, "");
        value.split_ascii_whitespace().any(|name| {
            let words = words(name);
            words.iter().any(|word| NAMES.contains(&word.as_str()))
                || words
                    .windows(2)
                    .any(|pair| PAIRS.contains(&(pair[0].as_str(), pair[1].as_str())))
        })
    })
}

/// The words of a name: `relatedPosts`, `related-posts` and `related__posts` have the same two.
fn words(name: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut small = false;
    for character in name.chars() {
        let begins = !character.is_ascii_alphanumeric() || small && character.is_ascii_uppercase();
        small = character.is_ascii_lowercase();
        if begins {
            words.push(String::new());
        }
        if let Some(word) = words
            .last_mut()
            .filter(|_| character.is_ascii_alphanumeric())
        {
            word.push(character.to_ascii_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "<p>The dredger came through the north gate on Monday, and by the evening flood \
        the channel was deep enough for the ferry again, as the harbour master said.</p>";

    fn check(clear: fn(&Document), furniture: &str, goes: bool) {
        let html = format!("<html><body>{TEXT}{furniture}{TEXT}</body></html>");
        let document = Document::from(html.as_str());
        clear(&document);
        let stays = document.text().contains("KEPT");
        assert_eq!(stays, !goes, "{furniture}");
        assert_eq!(document.text().matches("dredger").count(), 2);
    }

    // The roles are those of WAI-ARIA 1.2.
    #[test]
    fn landmarks_and_dialogs_go_by_their_role() {
        for furniture in [
            "<nav><a href=/>KEPT</a></nav>",
            "<div role=navigation>KEPT</div>",
            "<div role='dialog'>We use cookies KEPT</div>",
            "<div role=' contentinfo x'>KEPT</div>",
            "<span class='a visually-hidden'>KEPT</span>",
        ] {
            check(clear_page, furniture, true);
        }
        check(clear_page, "<div role=main>KEPT</div>", false);
        check(
            clear_page,
            "<p><span class=visually-hidden>KEPT</span></p>",
            false,
        );
    }

    // Common practice, no source.
    #[test]
    fn furniture_goes_by_the_words_of_its_names() {
        for furniture in [
            "<div class=relatedPosts>KEPT</div>",
            "<div class='x post__share-bar'>KEPT</div>",
            "<ul id=cookie-notice><li>KEPT</ul>",
            "<div class=read-more>KEPT</div>",
        ] {
            check(clear_article, furniture, true);
        }
        for text in [
            "<div class=ready>KEPT</div>",
            "<div class=interrelatedness>KEPT</div>",
            "<div class=shared-borders>KEPT</div>",
            "<p class=more>KEPT</p>",
        ] {
            check(clear_article, text, false);
        }
    }

    #[test]
    fn nothing_goes_that_holds_much_of_the_text() {
        let html = format!("<html><body><div class=related>{TEXT}</div>{TEXT}</body></html>");
        let document = Document::from(html.as_str());
        clear_article(&document);
        assert_eq!(document.text().matches("dredger").count(), 2);
    }
}
