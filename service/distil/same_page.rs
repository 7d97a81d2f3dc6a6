//! Which addresses lead to the same page: an address without what only tells where its reader came from.
//! Never asks a server.

use url::{Position, Url};

/// Query parameters that tell a publisher where a reader came from and change nothing on the page; those that
/// begin with `utm_` are left out too. Common practice, no source.
const TELLTALES: [&str; 24] = [
    "_ga",
    "_gl",
    "_hsenc",
    "_hsmi",
    "at_campaign",
    "at_medium",
    "dclid",
    "epik",
    "fbclid",
    "gbraid",
    "gclid",
    "gclsrc",
    "igshid",
    "mc_cid",
    "mc_eid",
    "mkt_tok",
    "msclkid",
    "ns_campaign",
    "ns_mchannel",
    "ns_source",
    "twclid",
    "wbraid",
    "xtor",
    "yclid",
];

/// What the parameters of one kind of campaign begin with.
const TELLTALE_START: &str = "utm_";

/// What the part of a fragment begins with that points at words in the text
/// (<https://wicg.github.io/scroll-to-text-fragment/#the-fragment-directive>).
const DIRECTIVE: &str = ":~:";

/// Names the page that an address leads to: addresses with one name lead to one page, as far as can be told
/// without asking. `http` and `https` are one; parameters that tell of the way here count for nothing, in
/// the query as in the fragment, and neither does what points at words in the text. Any other difference makes
/// another page: a server may tell parameters by their order, and a page may list several entries, each with
/// a fragment of its own.
pub fn page_key(address: &Url) -> [u8; 32] {
    let scheme = match address.scheme() {
        "http" => "https",
        scheme => scheme,
    };
    let fragment = address
        .fragment()
        .and_then(|fragment| fragment.split(DIRECTIVE).next());
    let mut hasher = blake3::Hasher::new();
    hasher.update(scheme.as_bytes());
    hasher.update(address[Position::AfterScheme..Position::AfterPath].as_bytes());
    for (sign, part) in [("?", address.query()), ("#", fragment)] {
        for parameter in part.unwrap_or_default().split('&') {
            if !parameter.is_empty() && !is_telltale(parameter) {
                hasher.update(sign.as_bytes());
                hasher.update(parameter.as_bytes());
            }
        }
    }
    *hasher.finalize().as_bytes()
}

fn is_telltale(parameter: &str) -> bool {
    let name = parameter.split('=').next().unwrap_or_default();
    name.starts_with(TELLTALE_START) || TELLTALES.contains(&name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(one: &str, other: &str, same: bool) {
        let key = |address: &str| page_key(&address.parse().unwrap());
        assert_eq!(key(one) == key(other), same, "{one} and {other}");
    }

    #[test]
    fn what_tells_of_the_way_here_makes_no_other_page() {
        let page = "https://gazette.example/bridge?issue=7";
        for same in [
            "http://gazette.example/bridge?issue=7",
            "https://Gazette.example:443/bridge?issue=7",
            "https://gazette.example/bridge?utm_source=feed&issue=7&utm_medium=rss",
            "https://gazette.example/bridge?issue=7&gclid=a1b2",
            "https://gazette.example/bridge?issue=7&",
            "https://gazette.example/bridge?issue=7#",
            "https://gazette.example/bridge?issue=7#xtor=RSS-1",
            "https://gazette.example/bridge?issue=7#:~:text=the%20bridge",
        ] {
            check(page, same, true);
        }
        check(
            "https://gazette.example",
            "https://gazette.example/?_ga=1",
            true,
        );
    }

    #[test]
    fn any_other_difference_makes_another_page() {
        let page = "https://gazette.example/bridge?issue=7&part=2";
        for other in [
            "https://gazette.example/bridge",
            "https://gazette.example/bridge?part=2&issue=7",
            "https://gazette.example/bridge/?issue=7&part=2",
            "https://www.gazette.example/bridge?issue=7&part=2",
            "https://gazette.example:8443/bridge?issue=7&part=2",
            "https://gazette.example/bridge?issue=7&part=2#second",
            "https://gazette.example/bridge?issue=7&part=2&source=utm_x",
        ] {
            check(page, other, false);
        }
        // A parameter of the query is none of the fragment.
        check(
            "https://gazette.example/?a",
            "https://gazette.example/#a",
            false,
        );
    }
}
