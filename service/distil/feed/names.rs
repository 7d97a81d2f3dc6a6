//! The names of elements, by their namespace: whatever prefix a feed gives them, they are written by
//! the one that the parser is told. Knows vocabularies, not where in the feed an element stands.

use super::mend::Family;

/// How many prefixes are kept in mind. Each element is looked up among them.
const MAXIMUM_BINDINGS: usize = 256;

/// What an element's name belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Vocabulary {
    /// The feed's own format.
    Core,
    /// Atom inside RSS.
    Atom,
    Content,
    DublinCore,
    /// The newer names of Dublin Core.
    Terms,
    Media,
    Itunes,
    Podcast,
    /// The comments of the Well-Formed Web.
    Comments,
    Xhtml,
    Other,
}

/// The namespaces under the prefixes that elements are written by.
pub(super) const WRITTEN: [(&str, &str); 7] = [
    ("atom", "http://www.w3.org/2005/Atom"),
    ("content", "http://purl.org/rss/1.0/modules/content/"),
    ("dc", "http://purl.org/dc/elements/1.1/"),
    ("media", "http://search.yahoo.com/mrss/"),
    ("itunes", "http://www.itunes.com/dtds/podcast-1.0.dtd"),
    ("podcast", "https://podcastindex.org/namespace/1.0"),
    ("wfw", "http://wellformedweb.org/CommentAPI/"),
];

impl Vocabulary {
    /// The prefix that names of it are written by; none where they are written without.
    pub fn prefix(self) -> Option<&'static str> {
        match self {
            Self::Atom => Some("atom"),
            Self::Content => Some("content"),
            Self::DublinCore => Some("dc"),
            Self::Media => Some("media"),
            Self::Itunes => Some("itunes"),
            Self::Podcast => Some("podcast"),
            Self::Comments => Some("wfw"),
            Self::Core | Self::Terms | Self::Xhtml | Self::Other => None,
        }
    }

    /// By a namespace, in the spellings that occur.
    fn of_namespace(address: &str) -> Self {
        let plain = address.trim().to_ascii_lowercase();
        let plain = plain
            .trim_start_matches("https://")
            .trim_start_matches("http://");
        match plain.trim_end_matches(['/', '#']) {
            "www.w3.org/2005/atom" | "purl.org/atom/ns" => Self::Atom,
            "purl.org/rss/1.0"
            | "my.netscape.com/rdf/simple/0.9"
            | "channel.netscape.com/rdf/simple/0.9"
            | "backend.userland.com/rss2"
            | "blogs.law.harvard.edu/tech/rss" => Self::Core,
            "purl.org/rss/1.0/modules/content" => Self::Content,
            "purl.org/dc/elements/1.1" | "purl.org/dc/elements/1.0" => Self::DublinCore,
            "purl.org/dc/terms" => Self::Terms,
            "search.yahoo.com/mrss" => Self::Media,
            "www.itunes.com/dtds/podcast-1.0.dtd" => Self::Itunes,
            "podcastindex.org/namespace/1.0" => Self::Podcast,
            "wellformedweb.org/commentapi" => Self::Comments,
            "www.w3.org/1999/xhtml" => Self::Xhtml,
            _ => Self::Other,
        }
    }

    /// By a prefix that nobody declared, as it is used by most.
    fn of_prefix(prefix: &str) -> Self {
        match prefix.to_ascii_lowercase().as_str() {
            "" | "rss" => Self::Core,
            "atom" | "atom10" | "a10" => Self::Atom,
            "content" => Self::Content,
            "dc" => Self::DublinCore,
            "dcterms" => Self::Terms,
            "media" => Self::Media,
            "itunes" => Self::Itunes,
            "podcast" => Self::Podcast,
            "wfw" => Self::Comments,
            "xhtml" => Self::Xhtml,
            _ => Self::Other,
        }
    }
}

struct Binding {
    /// How many elements were open outside the one that declares it.
    depth: usize,
    prefix: String,
    vocabulary: Vocabulary,
}

/// The prefixes in force.
#[derive(Default)]
pub(super) struct Scopes {
    bindings: Vec<Binding>,
}

impl Scopes {
    /// Takes what the root declares. Whatever the namespace of a feed's own names is, they are the
    /// format's; those of an RDF document are RDF's, and its default is the format.
    pub fn open_root(&mut self, family: Family, root: &str, attributes: &[(String, String)]) {
        self.open(0, attributes);
        let (prefix, _) = split(root);
        let own = if family == Family::Rdf { "" } else { prefix };
        for binding in &mut self.bindings {
            let format = family == Family::Atom && binding.vocabulary == Vocabulary::Atom;
            if binding.prefix == own || binding.prefix.is_empty() || format {
                binding.vocabulary = Vocabulary::Core;
            }
        }
    }

    /// Takes what an element declares.
    pub fn open(&mut self, depth: usize, attributes: &[(String, String)]) {
        for (key, address) in attributes {
            let prefix = match key.strip_prefix("xmlns") {
                Some("") => "",
                Some(rest) if rest.starts_with(':') => &rest[1..],
                _ => continue,
            };
            if self.bindings.len() < MAXIMUM_BINDINGS {
                self.bindings.push(Binding {
                    depth,
                    prefix: prefix.to_owned(),
                    vocabulary: if address.trim().is_empty() {
                        Vocabulary::Core
                    } else {
                        Vocabulary::of_namespace(address)
                    },
                });
            }
        }
    }

    /// Forgets what was declared by an element with as many open outside it.
    pub fn close(&mut self, depth: usize) {
        while self.bindings.last().is_some_and(|last| last.depth >= depth) {
            self.bindings.pop();
        }
    }

    /// The vocabulary of a name, and the name without its prefix.
    pub fn look_up<'name>(&self, family: Family, name: &'name str) -> (Vocabulary, &'name str) {
        let (prefix, local) = split(name);
        let bound = self
            .bindings
            .iter()
            .rev()
            .find(|binding| binding.prefix == prefix);
        let vocabulary = bound.map_or_else(
            || Vocabulary::of_prefix(prefix),
            |binding| binding.vocabulary,
        );
        let own = family == Family::Atom && vocabulary == Vocabulary::Atom;
        (if own { Vocabulary::Core } else { vocabulary }, local)
    }
}

fn split(name: &str) -> (&str, &str) {
    name.split_once(':').unwrap_or(("", name))
}
