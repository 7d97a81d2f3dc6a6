//! The web page of an entry: whether it is wanted, what asking for it brings, and its further parts. Distils
//! nothing.

use tokio::time::Instant;
use url::Url;

use super::Conductor;
use super::visit::{Visit, headers_for};
use crate::config;
use crate::config::Subscription;
use crate::distil::decode::decode;
use crate::distil::feed::Entry;
use crate::distil::{FullText, MOST_PARTS, Page, next_part, wants_page};
use crate::fetch::{self, Asker, Kind, Reach, Request, Response};

/// A web page, or how asking for it went wrong.
pub(super) enum PageAnswer {
    /// The page and the further parts of its article, and what is missing of them.
    Pages(Page, Vec<Page>, Option<Missing>),
    /// There is none, and asking again will not help.
    None(String),
    /// It may be there another time.
    Later(String),
}

/// How pages are asked for.
#[derive(Clone, Copy)]
pub(super) struct Way<'a> {
    /// The subscription whose headers go along to its origin.
    pub(super) subscription: Option<&'a Subscription>,
    /// How far the request may reach.
    pub(super) reach: Reach,
}

/// Why a web page was not had.
#[derive(Debug)]
pub(super) enum PageFault {
    /// Nothing came.
    Fetch(fetch::FetchError),
    /// Something came that is no page, of this media type.
    Kind(String),
    /// The server says so.
    Status(u16),
    /// It could not be decoded.
    Undecoded(String),
}

impl PageFault {
    /// What it means for an entry of a feed.
    fn of_entry(self) -> PageAnswer {
        match self {
            Self::Fetch(fault @ fetch::FetchError::Refused { .. }) => {
                PageAnswer::None(fault.to_string())
            }
            Self::Fetch(fault) => PageAnswer::Later(fault.told(Asker::Service)),
            Self::Kind(kind) => PageAnswer::None(format!(
                "its link leads to {kind} and not to a web page, so that the feed's own text has to do"
            )),
            Self::Status(status @ (404 | 410)) => PageAnswer::None(format!(
                "its web page is not there (status {status}), so that the feed's own text has to do"
            )),
            Self::Status(status) => {
                PageAnswer::Later(format!("its web page answers with status {status}"))
            }
            Self::Undecoded(fault) => {
                PageAnswer::None(format!("its web page could not be read: {fault}"))
            }
        }
    }
}

/// Why an article's further parts are not all there, and whether they may be another time.
pub(super) struct Missing {
    pub(super) reason: String,
    pub(super) later: bool,
}

impl Conductor {
    /// The web page of an entry that is to be read from there; `None` where it is not. `reach` is
    /// how far the feed's links may reach.
    pub(super) async fn page(
        &self,
        visit: &Visit<'_>,
        entry: &Entry,
        reach: Reach,
    ) -> Option<PageAnswer> {
        let link = entry.link.as_ref()?;
        let rule = distil_rule(visit.subscription.full_text);
        let asked = entry.clone();
        let wanted = self.pool.run(move || wants_page(&asked, rule)).await;
        if !wanted.unwrap_or(false) {
            return None;
        }
        let way = Way {
            subscription: Some(visit.subscription),
            reach,
        };
        let page = match self.one_page(way, link).await {
            Ok(page) => page,
            Err(fault) => return Some(fault.of_entry()),
        };
        let (further, missing) = self.further(way, &page).await;
        Some(PageAnswer::Pages(page, further, missing))
    }

    /// The further parts of an article, as far as they can be had, and a warning where that is not all
    /// the way. Each is on the site of the first, none is asked for twice, and a visit's time for entries
    /// bounds them as it does all.
    pub(super) async fn further(&self, way: Way<'_>, first: &Page) -> (Vec<Page>, Option<Missing>) {
        let start = Instant::now();
        let mut pages = vec![first.clone()];
        let missing = loop {
            let (last, place) = (pages[pages.len() - 1].clone(), pages.len());
            let next = self.pool.run(move || next_part(&last, place)).await;
            let Some(next) = next.ok().flatten() else {
                break None;
            };
            if place >= MOST_PARTS || start.elapsed() >= self.entries_budget {
                let reason = format!("its article goes on at {next}, after {place} pages");
                break Some(Missing {
                    reason,
                    later: false,
                });
            }
            match self.one_page(way, &next).await {
                Ok(page) if pages.iter().any(|known| known.address == page.address) => break None,
                Ok(page) => pages.push(page),
                Err(fault) => {
                    let answer = fault.of_entry();
                    let later = matches!(answer, PageAnswer::Later(_));
                    let (PageAnswer::None(fault) | PageAnswer::Later(fault)) = answer else {
                        break None;
                    };
                    let reason = format!("its article goes on at {next}, but {fault}");
                    break Some(Missing { reason, later });
                }
            }
        };
        (pages.split_off(1), missing)
    }

    /// One web page.
    pub(super) async fn one_page(&self, way: Way<'_>, link: &Url) -> Result<Page, PageFault> {
        let request = Request {
            url: link.clone(),
            kind: Kind::Page,
            validators: fetch::Validators::default(),
            headers: way
                .subscription
                .map(|subscription| headers_for(subscription, link))
                .unwrap_or_default(),
            reach: way.reach,
        };
        let response = self.plan().fetcher.get(&request).await;
        let response = response.map_err(PageFault::Fetch)?;
        match response.status {
            200..=299 if !is_page(response.content_type.as_deref()) => {
                Err(PageFault::Kind(response.content_type.unwrap_or_default()))
            }
            200..=299 => self.decoded(response).await,
            status => Err(PageFault::Status(status)),
        }
    }

    async fn decoded(&self, response: Response) -> Result<Page, PageFault> {
        let address = response.final_url;
        let (body, content_type) = (response.body, response.content_type);
        let decoded = self
            .pool
            .run(move || decode(&body, content_type.as_deref()))
            .await;
        let html = decoded.map_err(|fault| PageFault::Undecoded(fault.to_string()))?;
        Ok(Page { html, address })
    }
}

/// Whether a media type is that of a web page; one that is not declared may be.
fn is_page(content_type: Option<&str>) -> bool {
    let Some(content_type) = content_type else {
        return true;
    };
    let essence = content_type.split(';').next().unwrap_or_default();
    matches!(
        essence.trim().to_ascii_lowercase().as_str(),
        "" | "text/html" | "application/xhtml+xml" | "application/xml" | "text/xml"
    )
}

fn distil_rule(rule: config::FullText) -> FullText {
    match rule {
        config::FullText::Auto => FullText::Auto,
        config::FullText::Always => FullText::Always,
        config::FullText::Never => FullText::Never,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_may_be_a_web_page_is_read_as_one() {
        assert!(is_page(None) && is_page(Some("Text/HTML; charset=x")) && is_page(Some("")));
        assert!(!is_page(Some("application/pdf")) && !is_page(Some("image/png")));
    }
}
