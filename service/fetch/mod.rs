//! All outbound HTTP: one GET with caps, time-outs, and each redirect and address checked.
//!
//! It never reads what it fetches, stores nothing, keeps no cookies, asks no proxy, and never
//! logs a header. Bodies are handed on as the bytes that they are.

use std::sync::Arc;
use std::time::Duration;

use reqwest::header::{self, HeaderMap};
use tokio::sync::OnceCell;
use tokio::time::Instant;
use url::Url;

use crate::address::Policy;

mod body;
mod error;
mod freshness;
mod headers;
mod hop;
mod limits;
mod queue;
mod reach;
mod request;
mod resolve;
mod retry;
mod status;
#[cfg(test)]
mod tests;

pub use error::FetchError;
pub use freshness::Freshness;
pub use limits::Limits;
pub use reach::Reach;
pub use request::{Kind, Request, Validators};
pub use retry::RetryAfter;
pub use status::{Asker, status_text};

use body::{BodyFault, BodyReader};
use headers::{header_bytes, header_text, read_headers, request_headers};
use hop::Hop;
use queue::HostQueue;
use resolve::{LookUp, OfTheSystem};

/// The answer at the end of all redirects, whatever its status.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Response {
    /// The HTTP status: 200, 304, 404, 500...
    pub status: u16,
    /// The URL that answered.
    pub final_url: Url,
    /// How far what the answer links to may reach: never [`Reach::Named`].
    pub reach: Reach,
    /// Where the resource has moved for good: as far as every hop was a 301 or 308. A hop from
    /// https to http ends that, since a downgrade is never worth keeping.
    pub permanent_url: Option<Url>,
    /// Content-Type as sent.
    pub content_type: Option<String>,
    /// The validators to send next time to `permanent_url`, or to the requested URL without one.
    /// Empty after a temporary redirect, since they would belong to another URL.
    pub validators: Validators,
    /// Retry-After, if it was sent and could be read: that of the answer, else that of the last redirect
    /// to it that had one.
    pub retry_after: Option<RetryAfter>,
    /// For how long the server says that the answer stays fresh, where it says so.
    pub freshness: Option<Freshness>,
    /// The body, decompressed.
    pub body: Vec<u8>,
}

/// The HTTP client. Cheap to clone; clones share their connections and their queue of hosts.
#[derive(Clone)]
pub struct Fetcher {
    excepting: Gate,
    /// Made when it is first needed, since reading the certificates to trust takes milliseconds: most feeds are
    /// at hosts that a person named, and their servers redirect to no other.
    strict: Arc<OnceCell<Gate>>,
    names: Arc<dyn LookUp>,
    limits: Limits,
    queue: Arc<HostQueue>,
}

/// A policy, and the client whose connections were all opened under it: a connection that is used
/// again is not checked again.
#[derive(Clone)]
struct Gate {
    client: reqwest::Client,
    policy: Arc<Policy>,
}

/// What one hop brought.
enum Answer {
    Redirect {
        status: u16,
        location: Vec<u8>,
        reach: Reach,
        retry_after: Option<RetryAfter>,
    },
    Last(Box<Response>),
}

impl Gate {
    fn new(policy: Policy, limits: &Limits, names: Arc<dyn LookUp>) -> Result<Self, FetchError> {
        let policy = Arc::new(policy);
        let resolver = resolve::CheckedResolver {
            policy: Arc::clone(&policy),
            names,
        };
        let client = reqwest::Client::builder()
            .user_agent(concat!("tondo/", env!("CARGO_PKG_VERSION")))
            .dns_resolver(Arc::new(resolver))
            // A proxy would resolve names itself, past the policy.
            .no_proxy()
            .redirect(reqwest::redirect::Policy::none())
            .referer(false)
            .connect_timeout(limits.connect_timeout)
            .pool_idle_timeout(limits.idle_timeout)
            .http2_max_header_list_size(limits.header_bytes)
            .build()
            .map_err(|fault| FetchError::Setup {
                cause: fault.to_string(),
            })?;
        Ok(Self { client, policy })
    }
}

impl Fetcher {
    /// A client that keeps to the policy and the limits.
    ///
    /// # Errors
    /// [`FetchError::Setup`] where TLS finds no certificates to trust.
    pub fn new(policy: Policy, limits: Limits) -> Result<Self, FetchError> {
        Self::with_names(policy, limits, Arc::new(OfTheSystem))
    }

    fn with_names(
        policy: Policy,
        limits: Limits,
        names: Arc<dyn LookUp>,
    ) -> Result<Self, FetchError> {
        Ok(Self {
            excepting: Gate::new(policy, &limits, Arc::clone(&names))?,
            strict: Arc::default(),
            names,
            limits,
            queue: Arc::default(),
        })
    }

    /// Fetches one resource, following redirects. A status that is no success is a [`Response`].
    ///
    /// # Errors
    /// [`FetchError`], whose message says what to do.
    pub async fn get(&self, request: &Request) -> Result<Response, FetchError> {
        let private_headers = read_headers(&request.headers)?;
        let mut hop = Hop::first(&request.url, request.reach);
        let mut time_left = self.limits.total_timeout;
        let mut wish = None;
        for _ in 0..=self.limits.redirects {
            let headers = request_headers(request, &private_headers, &hop);
            let answer = self.take_hop(&hop, headers, &mut time_left).await;
            match answer.map_err(|fault| hop.add_origin_of(fault))? {
                Answer::Last(mut response) => {
                    response.retry_after = response.retry_after.or(wish);
                    return Ok(*response);
                }
                Answer::Redirect {
                    status,
                    location,
                    reach,
                    retry_after,
                } => {
                    // The wish of a redirect would have its target asked later (RFC 9110 section
                    // 10.2.3). It holds for the next fetch, since one that stopped here would find
                    // the same wish each time and never come to the feed.
                    wish = retry_after.or(wish);
                    hop = hop.follow(status, &location, reach)?;
                }
            }
        }
        Err(FetchError::TooManyRedirects {
            host: hop.came_from().unwrap_or_default().to_owned(),
            limit: self.limits.redirects,
        })
    }

    /// Asks once, and takes the time that it took from what is left for the whole fetch.
    async fn take_hop(
        &self,
        hop: &Hop,
        headers: HeaderMap,
        time_left: &mut Duration,
    ) -> Result<Answer, FetchError> {
        self.gate(hop)
            .await?
            .policy
            .check_url(hop.url())
            .map_err(|refused| FetchError::Refused {
                refused,
                redirected_by: None,
                public_only: false,
            })?;
        let _turn = self.queue.turn(hop.queue_key()).await;
        let start = Instant::now();
        let limit = self.limits.hop_timeout.min(*time_left);
        let answer = tokio::time::timeout(limit, self.ask(hop, headers)).await;
        *time_left = time_left.saturating_sub(start.elapsed());
        answer.unwrap_or_else(|_| {
            let (step, limit) = if limit < self.limits.hop_timeout {
                (
                    "finish its answer, redirects included,",
                    self.limits.total_timeout,
                )
            } else {
                ("finish its answer", limit)
            };
            Err(FetchError::TimedOut {
                host: hop.host(),
                step,
                limit,
            })
        })
    }

    async fn ask(&self, hop: &Hop, headers: HeaderMap) -> Result<Answer, FetchError> {
        let response = self
            .gate(hop)
            .await?
            .client
            .get(hop.url().clone())
            .headers(headers)
            .send()
            .await
            .map_err(|fault| self.client_fault(&fault, hop))?;
        let reach = hop
            .reach()
            .after(response.remote_addr().map(|end| end.ip()));
        self.check_header_size(response.headers(), hop)?;
        let status = response.status().as_u16();
        let retry_after = header_text(response.headers(), &header::RETRY_AFTER)
            .and_then(|value| retry::read_retry_after(&value));
        if matches!(status, 301 | 302 | 303 | 307 | 308) {
            let location = header_bytes(response.headers(), &header::LOCATION);
            return Ok(Answer::Redirect {
                status,
                location: location.unwrap_or_default(),
                reach,
                retry_after,
            });
        }
        let headers = response.headers().clone();
        let body = self.read_body(response, hop).await?;
        let validators = Validators {
            etag: header_bytes(&headers, &header::ETAG),
            last_modified: header_bytes(&headers, &header::LAST_MODIFIED),
        };
        Ok(Answer::Last(Box::new(Response {
            status,
            final_url: hop.url().clone(),
            reach,
            permanent_url: hop.permanent_url().cloned(),
            content_type: header_text(&headers, &header::CONTENT_TYPE),
            validators: if hop.is_permanent() {
                validators
            } else {
                Validators::default()
            },
            retry_after,
            freshness: freshness::read_freshness(&headers),
            body,
        })))
    }

    async fn gate(&self, hop: &Hop) -> Result<&Gate, FetchError> {
        match hop.reach() {
            Reach::Public => {
                let make =
                    async { Gate::new(Policy::default(), &self.limits, Arc::clone(&self.names)) };
                self.strict.get_or_try_init(|| make).await
            }
            Reach::Named | Reach::Private => Ok(&self.excepting),
        }
    }

    fn check_header_size(&self, headers: &HeaderMap, hop: &Hop) -> Result<(), FetchError> {
        let size: usize = headers
            .iter()
            .map(|(name, value)| name.as_str().len() + value.len() + ": \r\n".len())
            .sum();
        let cap = usize::try_from(self.limits.header_bytes).unwrap_or(usize::MAX);
        if size > cap {
            return Err(FetchError::TooBig {
                host: hop.host(),
                what: "its header",
                cap,
            });
        }
        Ok(())
    }

    async fn read_body(
        &self,
        mut response: reqwest::Response,
        hop: &Hop,
    ) -> Result<Vec<u8>, FetchError> {
        let Limits {
            sent_bytes,
            body_bytes,
            ..
        } = self.limits;
        let fault = |fault| body_fault(fault, hop);
        let announced = response.content_length().unwrap_or(0);
        if usize::try_from(announced).unwrap_or(usize::MAX) > sent_bytes {
            return Err(fault(BodyFault::SentOver(sent_bytes)));
        }
        let coding = header_text(response.headers(), &header::CONTENT_ENCODING);
        let mut reader =
            BodyReader::new(coding.as_deref(), sent_bytes, body_bytes).map_err(fault)?;
        while let Some(piece) = response
            .chunk()
            .await
            .map_err(|fault| self.client_fault(&fault, hop))?
        {
            reader.take(&piece).map_err(fault)?;
        }
        reader.finish().map_err(fault)
    }

    fn client_fault(&self, fault: &reqwest::Error, hop: &Hop) -> FetchError {
        let secure = hop.url().scheme() == "https";
        error::from_client(fault, &hop.host(), secure, self.limits.connect_timeout)
    }
}

fn body_fault(fault: BodyFault, hop: &Hop) -> FetchError {
    let host = hop.host();
    match fault {
        BodyFault::SentOver(cap) => FetchError::TooBig {
            host,
            what: "its body as sent",
            cap,
        },
        BodyFault::UnpackedOver(cap) => FetchError::TooBig {
            host,
            what: "its body when decompressed",
            cap,
        },
        BodyFault::Damaged(cause) => FetchError::Damaged { host, cause },
    }
}
