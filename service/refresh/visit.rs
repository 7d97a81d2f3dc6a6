//! One feed's way: the request, the answer, what it means for the feed. Knows no HTML.

use jiff::Timestamp;
use url::Url;

use super::entries::Read;
use super::settle::Unchanged;
use super::standing::asked;
use super::{Conductor, FeedReport, schedule};
use crate::config::{FullText, Subscription};
use crate::distil::DISTILLER_VERSION;
use crate::distil::plain::printable;
use crate::fetch::{self, Asker, FetchError, Kind, Reach, Request, Response, status_text};
use crate::store::{Failure, Outcome, ScheduledFeed, Standing, StoreError};

/// What a visit came to.
pub(super) enum Visited {
    /// It is stored, or the report says why it is not.
    Stored(FeedReport),
    /// The feed has nothing new, which is still to be noted.
    Unchanged(Box<Unchanged>),
}

/// A feed on its way.
pub(super) struct Visit<'a> {
    pub(super) feed: &'a ScheduledFeed,
    pub(super) subscription: &'a Subscription,
    /// By which distiller and rule its body is read.
    reading: String,
}

/// Why a feed could not be read.
struct Fault {
    text: String,
    response: Option<Response>,
    /// Whether this is no passing trouble: nothing is there, or something else than a feed, or it
    /// may not be asked.
    lasting: bool,
}

impl Conductor {
    /// Fetches a feed and stores what is new. Never fails: what went wrong stands in the report.
    pub(super) async fn visit(self, feed: ScheduledFeed, subscription: Subscription) -> Visited {
        let visit = Visit::new(&feed, &subscription);
        let mut report = FeedReport {
            title: feed.title.clone(),
            address: feed.address.clone(),
            ..FeedReport::default()
        };
        let unchanged = |response: Response, said, report| {
            Visited::Unchanged(Box::new(Unchanged {
                response: Response {
                    body: Vec::new(),
                    ..response
                },
                said,
                report,
                feed: feed.clone(),
                subscription: subscription.clone(),
            }))
        };
        let stored = match self.ask(&visit).await {
            Ok(response) if response.status == 304 => {
                report.unchanged = true;
                return unchanged(response, (feed.body_hash, feed.hints.rhythm), report);
            }
            Ok(response) => match self.read(&visit, &response, &mut report).await {
                Ok(read) if read.entries.is_empty() && read.feed_title == feed.feed_title => {
                    report.unchanged = true;
                    report.warnings.extend(visit.told_move(&response));
                    return unchanged(response, (read.body_hash, read.rhythm), report);
                }
                Ok(read) => self.save(&visit, &response, read, &mut report).await,
                Err(text) => {
                    let fault = Fault {
                        text,
                        response: Some(response),
                        lasting: true,
                    };
                    self.fail(&visit, fault, &mut report).await
                }
            },
            Err(fault) => self.fail(&visit, fault, &mut report).await,
        };
        if let Err(fault) = stored {
            self.keep_in_mind(&visit, &fault, &mut report);
        }
        report.make_printable();
        Visited::Stored(report)
    }

    /// Asks for the feed; an answer that is neither a body nor "not modified" is a fault.
    async fn ask(&self, visit: &Visit<'_>) -> Result<Response, Fault> {
        let request = visit.request();
        let conditional = request.validators != fetch::Validators::default();
        let response = self
            .plan()
            .fetcher
            .get(&request)
            .await
            .map_err(|fault| Fault {
                text: fault.told(Asker::Service),
                response: None,
                lasting: matches!(fault, FetchError::Refused { .. }),
            })?;
        let text = match response.status {
            // What a redirect led to was not asked conditionally, so that its 304 proves nothing.
            304 if conditional && response.final_url == request.url => return Ok(response),
            200..=299 if response.body.iter().all(u8::is_ascii_whitespace) => {
                "the answer is empty; its owner has to mend that".to_owned()
            }
            200..=299 => return Ok(response),
            404 | 410 if visit.feed.moved_address.is_some() => format!(
                "there is nothing any more where the feed had moved to (status {}); its address in the \
                 config is asked next",
                response.status
            ),
            status => status_text(status, response.retry_after, Asker::Service),
        };
        Err(Fault {
            text,
            lasting: matches!(response.status, 404 | 410),
            response: Some(response),
        })
    }

    /// Stores what was read.
    async fn save(
        &self,
        visit: &Visit<'_>,
        response: &Response,
        read: Read,
        report: &mut FeedReport,
    ) -> Result<(), StoreError> {
        let now = self.clock.now();
        let stored = self.changes(&[visit.feed.id]).await;
        let mut changes: Vec<Timestamp> = stored.into_values().flatten().collect();
        // The store takes a date in the future as the present too.
        let new = read
            .entries
            .iter()
            .map(|entry| entry.published.unwrap_or(now));
        changes.extend(new.map(|instant| instant.min(now)));
        let said = (read.body_hash, read.rhythm);
        let standing = self.standing_after(visit, response, said, changes);
        let outcome = Outcome {
            at: now,
            status: response.status,
            body_bytes: response.body.len() as u64,
            feed_title: read.feed_title,
            standing,
            entries: read.entries,
        };
        let saved = self.store.save(visit.feed.id, &outcome).await?;
        report.warnings.extend(visit.told_move(response));
        self.unstored().remove(&visit.feed.id);
        (report.added, report.changed) = (saved.added, saved.changed);
        if visit.subscription.title.is_none()
            && let Some(title) = outcome.feed_title
        {
            report.title = title;
        }
        Ok(())
    }

    async fn fail(
        &self,
        visit: &Visit<'_>,
        fault: Fault,
        report: &mut FeedReport,
    ) -> Result<(), StoreError> {
        let at = self.clock.now();
        let response = fault.response.as_ref();
        let status = response.map(|response| response.status);
        let moved = visit.feed.moved_address.is_some();
        let wish = response.and_then(|response| response.retry_after);
        let asked = asked(visit, visit.feed.hints.rhythm, wish);
        let failure = Failure {
            at,
            status,
            body_bytes: response.map_or(0, |response| response.body.len() as u64),
            fault: fault.text.clone(),
            next_due: schedule::after_failure(at, &asked, visit.feed.failures + 1),
            // What is gone at an address that the feed had moved to may live on at the config's.
            stopped: status == Some(410) && !moved,
            forget_move: moved && fault.lasting,
        };
        report.fault = Some(fault.text);
        self.store.record_failure(visit.feed.id, &failure).await?;
        self.unstored().remove(&visit.feed.id);
        Ok(())
    }
}

impl FeedReport {
    /// A stranger's text may hold characters that steer a terminal, and reports are printed on one.
    pub(super) fn make_printable(&mut self) {
        let texts = self.warnings.iter_mut().chain(self.fault.as_mut());
        for text in texts.chain([&mut self.title]) {
            *text = printable(text);
        }
    }
}

impl<'a> Visit<'a> {
    pub(super) fn new(feed: &'a ScheduledFeed, subscription: &'a Subscription) -> Self {
        Self {
            feed,
            subscription,
            reading: format!("{DISTILLER_VERSION} {}", rule_name(subscription.full_text)),
        }
    }

    /// The request: conditional where the last body was read to its end and in the same way.
    pub(super) fn request(&self) -> Request {
        let moved = self.feed.moved_address.as_deref();
        let url = moved
            .and_then(|address| Url::parse(address).ok())
            .unwrap_or_else(|| self.subscription.url.clone());
        let validators = if self.knows_body() {
            fetch::Validators {
                etag: self.feed.validators.etag.clone(),
                last_modified: self.feed.validators.last_modified.clone(),
            }
        } else {
            fetch::Validators::default()
        };
        Request {
            headers: headers_for(self.subscription, &url),
            reach: self.reach_of(&url),
            url,
            kind: Kind::Feed,
            validators,
        }
    }

    /// By which distiller and rule the feed's body is read.
    pub(super) fn reading(&self) -> &str {
        &self.reading
    }

    /// Whether the feed's last body was read to its end by this distiller and rule.
    pub(super) fn knows_body(&self) -> bool {
        self.feed.body_hash.is_some() && self.feed.reading.as_ref() == Some(&self.reading)
    }

    /// A move to another origin is followed each time anew where the feed needs the config's headers,
    /// since these do not go there; and a move of a private feed to another host, since only the way
    /// there tells that the new one may be private too.
    pub(super) fn may_move_to(&self, target: &Url, reach: Reach) -> bool {
        let own = &self.subscription.url;
        let headers_go_along =
            self.subscription.headers.is_empty() || target.origin() == own.origin();
        let same_reach = reach == Reach::Public || target.host() == own.host();
        headers_go_along && same_reach
    }

    /// What a person should know where this answer moves the feed.
    fn told_move(&self, response: &Response) -> Option<String> {
        let target = response.permanent_url.as_ref()?;
        let moves = self.may_move_to(target, response.reach)
            && *target != self.subscription.url
            && self.feed.moved_address.as_deref() != Some(target.as_str());
        // Addresses go to no log.
        moves.then(|| {
            "it has moved for good and is asked there from now on; `tondo refresh --dry-run` tells the new \
             address, for the config"
                .to_owned()
        })
    }

    /// A person named the config's host; any other was chosen by the feed.
    fn reach_of(&self, url: &Url) -> Reach {
        if url.host() == self.subscription.url.host() {
            Reach::Named
        } else {
            Reach::Public
        }
    }

    /// How the feed stood before.
    pub(super) fn standing(&self) -> Standing {
        Standing {
            next_due: self.feed.next_due,
            moved_address: self.feed.moved_address.clone(),
            validators: self.feed.validators.clone(),
            body_hash: self.feed.body_hash,
            reading: self.feed.reading.clone(),
            hints: self.feed.hints,
        }
    }
}

/// The config's headers may hold a password, so they go to the origin that they were given for only.
pub(super) fn headers_for(subscription: &Subscription, url: &Url) -> Vec<(String, String)> {
    if url.origin() != subscription.url.origin() {
        return Vec::new();
    }
    subscription
        .headers
        .iter()
        .map(|(name, value)| (name.clone(), value.reveal().to_owned()))
        .collect()
}

/// The name under which a rule is remembered.
pub(super) fn rule_name(rule: FullText) -> &'static str {
    match rule {
        FullText::Auto => "auto",
        FullText::Always => "always",
        FullText::Never => "never",
    }
}
