//! What is asked for: where, what is hoped for, what is known of it. Connects to nothing.

use std::fmt;

use url::Url;

use super::reach::Reach;

/// What a request hopes to find; it decides the Accept header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// RSS, Atom or JSON Feed.
    Feed,
    /// A web page.
    Page,
}

impl Kind {
    /// The Accept header.
    pub(super) fn accept(self) -> &'static str {
        match self {
            Self::Feed => {
                "application/atom+xml, application/rss+xml, application/feed+json, \
                 application/xml;q=0.9, text/xml;q=0.9, application/json;q=0.8, */*;q=0.1"
            }
            Self::Page => "text/html, application/xhtml+xml, */*;q=0.1",
        }
    }
}

/// What tells one version of a resource from another, byte for byte as the server sent it
/// (RFC 9110 section 8.8).
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Validators {
    /// The value of ETag, with its quotes and its `W/`.
    pub etag: Option<Vec<u8>>,
    /// The value of Last-Modified.
    pub last_modified: Option<Vec<u8>>,
}

/// One thing to fetch.
#[derive(Clone)]
pub struct Request {
    /// Where it is.
    pub url: Url,
    /// What is hoped for.
    pub kind: Kind,
    /// What the last answer *of this very URL* carried; sent as If-None-Match and
    /// If-Modified-Since.
    pub validators: Validators,
    /// Further headers, such as credentials. They go to the origin of `url` and to no other.
    pub headers: Vec<(String, String)>,
    /// Which addresses it and its redirects may reach.
    pub reach: Reach,
}

impl Request {
    /// A first request for the feed at an address that a person named, without headers of its own.
    pub fn named(url: Url) -> Self {
        Self {
            url,
            kind: Kind::Feed,
            validators: Validators::default(),
            headers: Vec::new(),
            reach: Reach::Named,
        }
    }
}

impl fmt::Debug for Request {
    /// Leaves out the values of headers.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<&str> = self.headers.iter().map(|(name, _)| name.as_str()).collect();
        formatter
            .debug_struct("Request")
            .field("url", &self.url.as_str())
            .field("kind", &self.kind)
            .field("validators", &self.validators)
            .field("headers", &names)
            .field("reach", &self.reach)
            .finish()
    }
}
