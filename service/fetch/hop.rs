//! Where a fetch stands in its chain of redirects, and what the next request may carry.

use url::Url;

use super::{FetchError, Reach};

/// One request of a chain.
#[derive(Debug)]
pub(super) struct Hop {
    url: Url,
    reach: Reach,
    came_from: Option<String>,
    /// Every hop so far was permanent.
    permanent: bool,
    permanent_url: Option<Url>,
    /// Every hop so far stayed at the first origin. Once left, it counts as left for good: the
    /// other origin chose where the chain went from there.
    same_origin: bool,
}

impl Hop {
    pub(super) fn first(url: &Url, reach: Reach) -> Self {
        let mut url = url.clone();
        url.set_fragment(None);
        Self {
            url,
            reach,
            came_from: None,
            permanent: true,
            permanent_url: None,
            same_origin: true,
        }
    }

    pub(super) fn url(&self) -> &Url {
        &self.url
    }

    pub(super) fn reach(&self) -> Reach {
        self.reach
    }

    /// Host and port; the port of the scheme where the URL names none.
    pub(super) fn host(&self) -> String {
        let host = self.url.host_str().unwrap_or_default();
        match self.url.port_or_known_default() {
            Some(port) => format!("{host}:{port}"),
            None => host.to_owned(),
        }
    }

    /// Whose turn a request waits for: the host alone, since all its ports and schemes are one
    /// machine's work. The URL has it in lower case already; a final dot changes no host.
    pub(super) fn queue_key(&self) -> &str {
        let host = self.url.host_str().unwrap_or_default();
        host.strip_suffix('.').unwrap_or(host)
    }

    /// The host that redirected here.
    pub(super) fn came_from(&self) -> Option<&str> {
        self.came_from.as_deref()
    }

    pub(super) fn is_permanent(&self) -> bool {
        self.permanent
    }

    pub(super) fn permanent_url(&self) -> Option<&Url> {
        self.permanent_url.as_ref()
    }

    /// Private headers go to the origin that they were given for and to no other.
    pub(super) fn carries_private_headers(&self) -> bool {
        self.same_origin
    }

    /// A validator belongs to one URL (RFC 9110 section 8.8.3) and stays behind at each redirect: a
    /// page that is older than the feed would answer "not modified", and pass for the feed unread.
    pub(super) fn carries_validators(&self) -> bool {
        self.came_from.is_none()
    }

    /// The hop that a redirect with this status and Location leads to, and how far it may reach.
    ///
    /// # Errors
    /// [`FetchError::BadRedirect`] without a target that a URL can be made of.
    pub(super) fn follow(
        self,
        status: u16,
        location: &[u8],
        reach: Reach,
    ) -> Result<Self, FetchError> {
        let host = self.host();
        let bad = |cause: &str| FetchError::BadRedirect {
            host: host.clone(),
            cause: cause.to_owned(),
        };
        if location.is_empty() {
            return Err(bad("no Location header"));
        }
        let location = String::from_utf8_lossy(location);
        let mut url = self
            .url
            .join(&location)
            .map_err(|fault| bad(&fault.to_string()))?;
        url.set_fragment(None);
        let downgrade = self.url.scheme() == "https" && url.scheme() != "https";
        let permanent = self.permanent && matches!(status, 301 | 308) && !downgrade;
        Ok(Self {
            reach,
            came_from: Some(host),
            permanent,
            permanent_url: if permanent {
                Some(url.clone())
            } else {
                self.permanent_url
            },
            same_origin: self.same_origin && self.url.origin() == url.origin(),
            url,
        })
    }

    /// Says in a refusal which host redirected to the refused address, and whether the policy's
    /// exceptions held.
    pub(super) fn add_origin_of(&self, fault: FetchError) -> FetchError {
        match fault {
            FetchError::Refused { refused, .. } => FetchError::Refused {
                refused,
                redirected_by: self.came_from.clone(),
                public_only: self.reach == Reach::Public,
            },
            other => other,
        }
    }
}
