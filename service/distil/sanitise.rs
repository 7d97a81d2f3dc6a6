//! The one policy of what HTML may be, and the only maker of [`CleanHtml`]. Never extracts.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use ammonia::{Builder, UrlRelative};
use url::Url;

use super::flatten::{Kind, Limits, flatten};

/// HTML that holds only the elements and attributes of the policy, nested at most 512 deep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CleanHtml(String);

impl CleanHtml {
    /// The HTML.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// The elements that stay.
const TAGS: &str = "a abbr acronym address article aside b bdi bdo blockquote br caption center \
    cite code dd del details dfn div dl dt em figcaption figure footer h1 h2 h3 h4 h5 h6 header \
    hgroup hr i img ins kbd li main mark menu nav ol p pre q rp rt ruby s samp section small span \
    strike strong sub summary sup table tbody td tfoot th thead time tr tt u ul var";

/// The elements that go with all that is in them.
const DROPPED: &str = "applet audio button canvas datalist dialog embed head iframe \
    input math noembed noframes noscript object option script select style svg template textarea \
    title video xmp";

/// How often HTML is cleaned until nothing changes any more. Serialised HTML may parse into
/// another tree; two passes are enough for nearly all of it.
const MAXIMUM_PASSES: usize = 6;

/// Cleans strangers' HTML. Addresses become absolute against `base`, those within the page a fragment
/// alone; links that are not http, https or mailto become plain text; what is hidden goes. Cleaning
/// again changes nothing more.
pub fn sanitise(html: &str, base: &Url) -> CleanHtml {
    let builder = policy(base);
    let mut html = pass(&builder, html);
    for _ in 1..MAXIMUM_PASSES {
        let again = pass(&builder, &html);
        if again == html {
            return CleanHtml(html);
        }
        html = again;
    }
    // Markup that settles at nothing is worth less than its text.
    CleanHtml(settled_text(&html))
}

fn pass(builder: &Builder<'static>, html: &str) -> String {
    let flat = flatten(html, Kind::Content, Limits::ORDINARY);
    let clean = builder.clean(&flat.html).to_string();
    drop_first_line_ends(&clean.replace("\r\n", "\n").replace('\r', "\n"))
}

fn policy(base: &Url) -> Builder<'static> {
    let base = base.clone();
    let mut builder = Builder::empty();
    let words = |list: &'static str| list.split_ascii_whitespace().collect::<HashSet<_>>();
    let attributes: HashMap<&str, HashSet<&str>> = HashMap::from([
        ("a", words("href name")),
        ("img", words("alt")),
        ("ol", words("start reversed")),
        ("li", words("value")),
        ("td", words("colspan rowspan")),
        ("th", words("colspan rowspan scope")),
    ]);
    builder
        .tags(words(TAGS))
        .clean_content_tags(words(DROPPED))
        .tag_attributes(attributes)
        // By its places, classes and roles a note, a source or the language of a listing is known.
        // Blocks hold none of them.
        .generic_attributes(words("lang dir id class role"))
        .url_schemes(words("http https mailto"))
        .link_rel(None)
        .strip_comments(true)
        // The filter makes them absolute.
        .url_relative(UrlRelative::PassThrough)
        .attribute_filter(move |_, attribute, value| match attribute {
            "href" => absolute(&base, value),
            _ => Some(Cow::Borrowed(value)),
        });
    builder
}

/// The absolute form of a link's address if it leads out of the page, else its fragment.
fn absolute<'a>(base: &Url, value: &'a str) -> Option<Cow<'a, str>> {
    let address = base.join(value).ok()?;
    let allowed = ["http", "https", "mailto"].contains(&address.scheme());
    let place = address
        .fragment()
        .filter(|_| without_fragment(&address) == without_fragment(base));
    match place {
        Some("") => None,
        Some(place) => Some(Cow::Owned(format!("#{place}"))),
        None => allowed.then(|| Cow::Owned(address.into())),
    }
}

fn without_fragment(address: &Url) -> &str {
    address.as_str().split('#').next().unwrap_or_default()
}

/// A parser drops a line end just after `<pre>`, so a second reading would differ from the first.
fn drop_first_line_ends(html: &str) -> String {
    let mut pieces = html.split("<pre");
    let mut kept = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        kept.push_str("<pre");
        match piece.split_once('>') {
            Some((attributes, text)) => {
                kept.push_str(attributes);
                kept.push('>');
                kept.push_str(text.trim_start_matches('\n'));
            }
            None => kept.push_str(piece),
        }
    }
    kept
}

fn settled_text(html: &str) -> String {
    let text = super::plain::plain_text(html);
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('\u{a0}', "&nbsp;")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clean(html: &str) -> String {
        let base = Url::parse("https://quay.example.org/news/tides?day=1").expect("an address");
        let once = sanitise(html, &base);
        assert_eq!(
            sanitise(once.as_str(), &base),
            once,
            "cleaning again changes {html}"
        );
        once.0
    }

    fn check(html: &str, expected: &str) {
        assert_eq!(clean(html), expected, "of {html}");
    }

    #[test]
    fn addresses_become_absolute_and_only_those_that_lead_out_stay() {
        check(
            "<a href=../a>b</a>",
            "<a href=\"https://quay.example.org/a\">b</a>",
        );
        check(
            "<a href=//c.example/d>b</a>",
            "<a href=\"https://c.example/d\">b</a>",
        );
        check(
            "<a href='mailto:a@b.example'>b</a>",
            "<a href=\"mailto:a@b.example\">b</a>",
        );
        for within in [
            "#n1",
            "?day=1#n1",
            "https://quay.example.org/news/tides?day=1#n1",
        ] {
            check(
                &format!("<a href='{within}'>1</a>"),
                "<a href=\"#n1\">1</a>",
            );
        }
        check("<a href='#'>1</a>", "1");
        check("<a href='#n \"1'>1</a>", "<a href=\"#n%20%221\">1</a>");
        check(
            "<a href='/other#n'>1</a>",
            "<a href=\"https://quay.example.org/other#n\">1</a>",
        );
        for scheme in [
            "javascript:x",
            "JAVA\tSCRIPT:x",
            " data:text/html,x",
            "vbscript:x",
            "file:///x",
        ] {
            let html = clean(&format!("<a href=\"{scheme}\">b</a>"));
            assert!(!html.contains("href"), "{scheme}: {html}");
        }
    }

    // The classes of tricks of OWASP's list of evasions.
    #[test]
    fn nothing_that_runs_gets_through() {
        let tricks = [
            "<script>alert(1)</script>x",
            "<img src=x onerror=alert(1)>x",
            "<svg/onload=alert(1)>x",
            "<svg><style><img src onerror=alert(1)></style></svg>x",
            "<iframe srcdoc='<script>'></iframe>x",
            "<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>x",
            "<a onclick=alert(1)>x</a>",
            "<p style=\"background:url(javascript:alert(1))\">x</p>",
            "<base href=javascript:x>x",
            "<form action=javascript:x><input type=submit>x</form>",
            "<<script>alert(1)//<</script>x",
            "<noscript><p title=\"</noscript><img src onerror=alert(1)>\"></noscript>x",
            "<textarea></textarea><img src onerror=alert(1)>x",
            "<IMG \"\"\"><SCRIPT>alert(1)</SCRIPT>\">x",
            "<div title=\"><script>alert(1)</script>\">x</div>",
            "<template><script>alert(1)</script></template>x",
            "<meta http-equiv=refresh content='0;javascript:x'>x",
            "<object data=x>y</object>x",
        ];
        for trick in tricks {
            let html = clean(trick);
            for sign in [
                "<script",
                "onerror=",
                "onload=",
                "onclick=",
                "style=",
                "src=",
                "<svg",
                "<iframe",
                "javascript",
                "<form",
                "<meta",
                "<base",
            ] {
                let live = html.contains(sign) && !html.contains(&format!("&lt;{sign}"));
                assert!(
                    !live || sign.ends_with('=') && !html.contains("<img "),
                    "{trick} gives {html}"
                );
            }
            assert!(
                html.contains('x')
                    || trick.contains("mglyph")
                    || trick.contains("svg/")
                    || trick.contains("script>alert(1)//"),
                "{trick} gives {html}"
            );
        }
    }

    #[test]
    fn line_ends_of_preformatted_text_settle() {
        check("<pre>\n\n\n a\n\nb\n</pre>", "<pre> a\n\nb\n</pre>");
        check("<pre lang=en>&#10;&#13;a</pre>", "<pre lang=\"en\">a</pre>");
    }

    #[test]
    fn deep_and_endless_markup_stays_small() {
        for unit in [
            "<div>",
            "<b>",
            "<b id=1>x",
            "<p><b>x",
            "<a href=x><div>",
            "<table><tr><td>",
            "<ul><li><i>",
        ] {
            let html = clean(&unit.repeat(100_000));
            assert!(html.len() < 8_000_000, "{unit} gives {} bytes", html.len());
        }
    }
}
