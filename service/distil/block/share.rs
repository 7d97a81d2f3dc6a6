//! Links that hand the page's own address to another service: which they are, and that they go. Never
//! takes away a word that tells something.

use dom_query::NodeRef;

/// Parts of the paths and hosts of addresses to share by. Common practice, no source.
const WORDS: [&str; 13] = [
    "share",
    "sharer",
    "sharing",
    "sharearticle",
    "sharelink",
    "share-offsite",
    "shareoffsite",
    "intent",
    "bookmarklet",
    "addtoany",
    "submit",
    "send",
    "bookmarks",
];

/// Parameters that carry what is shared.
const CARRIERS: [&str; 11] = [
    "url", "u", "link", "href", "text", "body", "media", "uri", "su", "mini", "status",
];

/// Whether an address is one to share a page by: it says so and carries an address, or is a letter without
/// a receiver that has one in its text.
pub(super) fn is_share(address: &str) -> bool {
    let (path, query) = address.split_once('?').unwrap_or((address, ""));
    let query = query.split('#').next().unwrap_or_default();
    let carries = |(name, value): (std::borrow::Cow<'_, str>, std::borrow::Cow<'_, str>)| {
        CARRIERS.contains(&name.to_ascii_lowercase().as_str())
            && (value.contains("http://") || value.contains("https://"))
    };
    if !url::form_urlencoded::parse(query.as_bytes()).any(carries) {
        return false;
    }
    if let Some(receiver) = path.strip_prefix("mailto:") {
        return receiver.is_empty();
    }
    let path = path.to_ascii_lowercase();
    path.split(['/', '.']).any(|part| WORDS.contains(&part))
}

/// The most nodes around a link that are looked at, and elements upward.
const MOST_NODES: usize = 80;
const MOST_LEVELS: usize = 6;
/// The most links that are looked at; what is beyond stays as text.
const MOST_LINKS: usize = 300;
/// The most bytes of what else an element says: a call to share is no longer.
const MOST_OTHERS: usize = 100;
/// The most words of a link to share by; what is longer says something itself.
const MOST_LINK_WORDS: usize = 5;

/// Takes elements out of a tree that hold nothing but links to share by, and a word that says so.
pub(super) fn drop_share_links(root: NodeRef<'_>) {
    let shares = |node: &NodeRef<'_>| node.has_name("a") && is_share(&node.attr_or("href", ""));
    let links = root.descendants_it().filter(shares).take(MOST_LINKS);
    let links: Vec<NodeRef<'_>> = links.collect();
    for link in links {
        if link.text().split_whitespace().count() > MOST_LINK_WORDS {
            continue;
        }
        let mut holder = link;
        for _ in 0..MOST_LEVELS {
            let Some(outer) = holder.parent().filter(|outer| outer.id != root.id) else {
                break;
            };
            if !holds_shares_alone(outer) {
                break;
            }
            holder = outer;
        }
        // A link between the words of a sentence stays as text.
        let alone =
            holder.id != link.id || link.parent().is_none_or(|outer| holds_shares_alone(outer));
        if alone && holder.parent().is_some() {
            holder.remove_from_parent();
        }
    }
}

/// Whether all that an element says is said by links to share by, but for a call to do so.
fn holds_shares_alone(node: NodeRef<'_>) -> bool {
    let mut others = String::new();
    for (count, inner) in node.descendants_it().enumerate() {
        let pictured = inner.has_name("img") && !inner.attr_or("alt", "").is_empty();
        if count > MOST_NODES || others.len() > MOST_OTHERS || inner.has_name("pre") {
            return false;
        }
        let within = || {
            let levels = inner.ancestors_it(Some(MOST_LEVELS));
            levels.take_while(|outer| outer.id != node.id).any(|outer| {
                outer.has_name("a")
                    && is_share(&outer.attr_or("href", ""))
                    && outer.text().len() < 100
            })
        };
        if (inner.is_text() || pictured) && !within() {
            let text = inner.text();
            let text = text.trim();
            if text.len() > MOST_OTHERS {
                return false;
            }
            others.push_str(text);
            others.push_str(&inner.attr_or("alt", ""));
            others.push(' ');
        }
    }
    let others = others.to_lowercase();
    let mut words = others
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty());
    words.all(|word| CALLS.contains(&word) || BESIDE.contains(&word))
}

/// Words that call for sharing, in languages of many feeds; from memory.
const CALLS: [&str; 15] = [
    "share",
    "shares",
    "sharing",
    "teilen",
    "partager",
    "partagez",
    "compartir",
    "comparte",
    "condividi",
    "compartilhar",
    "compartilhe",
    "delen",
    "dela",
    "udostępnij",
    "поделиться",
];

/// Words that stand beside those; from memory.
const BESIDE: [&str; 24] = [
    "this", "it", "on", "via", "by", "with", "post", "article", "page", "story", "links", "please",
    "beitrag", "artikel", "diesen", "auf", "cet", "sur", "en", "su", "op", "på", "este", "or",
];
