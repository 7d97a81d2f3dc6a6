//! Looks whether there is a feed at an address, or at one that a page there tells of. Writes nothing.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use url::Url;

use crate::distil::decode::decode;
use crate::distil::discover::{Declared, common_places, declared_feeds};
use crate::distil::feed::{Feed, FeedError, read_feed};
use crate::distil::plain::printable;
use crate::fetch::{Asker, FetchError, Fetcher, Reach, Request, Response, RetryAfter, status_text};
use crate::pool::{Pool, PoolError};

/// Asks for addresses, one after the other.
pub struct Finder {
    /// What asks.
    pub fetcher: Fetcher,
    /// What reads the answers.
    pub pool: Pool,
}

/// An address with a feed.
#[derive(Debug)]
pub struct Found {
    /// The address to subscribe to: the one that was asked, or where it has moved for good.
    pub address: Url,
    /// The feed.
    pub feed: Feed,
    /// What is odd about it, for a person.
    pub warnings: Vec<String>,
}

/// What there is at an address.
#[derive(Debug)]
pub enum Seen {
    /// A feed.
    Feed(Box<Found>),
    /// Something else, and why it is no feed.
    Other(Box<Response>, FeedError),
}

/// What a search came to: all that was tried without success on the way, and the feed.
#[derive(Debug, Default)]
pub struct Search {
    /// Addresses that the page tells of and that are no feeds, with what is wrong there.
    pub failed: Vec<(Url, String)>,
    /// The first that is one.
    pub found: Option<Found>,
    /// Further feeds of which the page tells, untried.
    pub others: Vec<Declared>,
}

/// Why nothing was seen at an address.
#[derive(Debug, thiserror::Error)]
pub enum LookFault {
    /// Nothing came.
    #[error("{}", .0.told(Asker::Person))]
    Fetch(#[from] FetchError),
    /// The answer says that there is nothing, or not for us, and when to come again.
    #[error("{}", status_text(*.0, *.1, Asker::Person))]
    Status(u16, Option<RetryAfter>),
    /// The reading broke off.
    #[error(transparent)]
    Pool(#[from] PoolError),
}

impl Finder {
    /// Asks once.
    ///
    /// # Errors
    /// [`LookFault`] where no answer came, or none with a body of its own.
    pub async fn look(&self, request: &Request) -> Result<Seen, LookFault> {
        let response = self.fetcher.get(request).await?;
        if !(200..=299).contains(&response.status) {
            return Err(LookFault::Status(response.status, response.retry_after));
        }
        let asked = request.url.clone();
        let work = move || {
            let kind = response.content_type.as_deref();
            match read_feed(&response.body, kind, &response.final_url) {
                Ok((feed, warnings)) => Seen::Feed(Box::new(Found {
                    address: response.permanent_url.unwrap_or(asked),
                    feed,
                    warnings,
                })),
                Err(fault) => Seen::Other(Box::new(response), fault),
            }
        };
        Ok(self.pool.run(work).await?)
    }

    /// Looks for the feed of a page that a person named by `named`: at the addresses that it tells
    /// of, in its order, then at common places of its origin, until one is a feed.
    ///
    /// # Errors
    /// [`LookFault::Pool`].
    pub async fn search(&self, named: &Url, page: Response) -> Result<Search, LookFault> {
        let (base, reach) = (page.final_url.clone(), page.reach);
        let address = base.clone();
        let read = move || {
            let html = decode(&page.body, page.content_type.as_deref());
            declared_feeds(&html, &address)
        };
        let mut search = Search::default();
        let mut declared = self.pool.run(read).await?.into_iter();
        for candidate in declared.by_ref() {
            match self.try_out(named, &candidate.address, reach).await {
                Ok(found) => {
                    search.found = Some(found);
                    break;
                }
                Err(fault) => search.failed.push((candidate.address, fault)),
            }
        }
        search.others = declared.collect();
        if search.found.is_none() {
            for place in common_places(&base) {
                // It was a guess, so that its failing says nothing.
                if let Ok(found) = self.try_out(named, &place, reach).await {
                    search.found = Some(found);
                    break;
                }
            }
        }
        Ok(search)
    }

    /// The feed at an address that a page led to, or what is wrong there. It may reach the host that
    /// a person named as that person may, and others only as far as the page may.
    async fn try_out(&self, named_url: &Url, url: &Url, reach: Reach) -> Result<Found, String> {
        let mut request = Request::named(url.clone());
        if url.host() != named_url.host() {
            request.reach = reach;
        }
        match self.look(&request).await {
            Ok(Seen::Feed(found)) => Ok(*found),
            Ok(Seen::Other(_, fault)) => Err(fault.to_string()),
            Err(fault) => Err(fault.to_string()),
        }
    }
}

/// What a feed is, on one line: its title, how many entries it has, and the day of its newest.
pub fn summary(feed: &Feed, zone: &TimeZone) -> String {
    let title = feed.title.as_deref().unwrap_or("a feed without a title");
    let entries = match feed.entries.len() {
        0 => "no entries yet".to_owned(),
        1 => "1 entry".to_owned(),
        count => format!("{count} entries"),
    };
    let newest = feed.entries.iter().filter_map(|entry| entry.published);
    let newest = newest.max().map_or_else(String::new, |newest: Timestamp| {
        format!(", the newest of {}", zone.to_datetime(newest).date())
    });
    printable(&format!("{title}: {entries}{newest}"))
}
