//! Links of articles, followed when a reader taps them: fetched, distilled and stored, one fetch of an address at a
//! time and few at once. Knows no feed's schedule, and answers no watch.

use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::watch;
use url::Url;

use super::Conductor;
use super::page::{PageFault, Way};
use crate::config::Subscription;
use crate::distil::same_page::page_key;
use crate::distil::{DISTILLER_VERSION, NoArticle, Page, distil_page};
use crate::fetch::{FetchError, Reach};
use crate::store::{Distilled, LinkedPage, StoreError, StoredLink};

/// Pages of links that are on their way at once: one finger taps no more, and a page that is slow is given up by the
/// limits of fetching.
pub const LINKS_AT_ONCE: usize = 4;

/// Faults that are remembered, so that they can be told when they are asked for again.
const FAULTS_KEPT: usize = 64;

/// How it stands with a link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Followed {
    /// Its page is stored, as this entry.
    Stored(i64),
    /// Its page is being fetched.
    UnderWay,
    /// Its page could not be had.
    Failed(Unfetched),
    /// Nobody has asked for it of late.
    Unasked,
}

/// Why the page of a link could not be had.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfetched {
    /// As many pages as may be are being fetched already.
    Crowded,
    /// Addresses such as this are not fetched: of the home network, or not as the web has them.
    Refused,
    /// No connection comes about.
    Unreachable,
    /// It took longer than anything may take.
    TooSlow,
    /// It is larger than anything may be.
    TooLarge,
    /// The answer broke off or makes no sense.
    Damaged,
    /// The server answers with this status.
    Status(u16),
    /// It is no web page, but of this media type, in small letters and without parameters.
    Kind(String),
    /// There is no article on it.
    NoArticle(NoArticle),
    /// The service could not make an article of it or store it. The log says why.
    Broken,
}

/// What is under way, and what failed of late.
#[derive(Default)]
pub(super) struct Links {
    under_way: HashMap<[u8; 32], watch::Receiver<()>>,
    failed: VecDeque<([u8; 32], Unfetched)>,
}

/// A link that can be fetched, and how.
struct Wanted {
    address: Url,
    key: [u8; 32],
    subscription: Option<Subscription>,
    reach: Reach,
}

/// One fetch under way. However it ends, a panic included, it is under way no longer.
struct Turn {
    links: Arc<Mutex<Links>>,
    key: [u8; 32],
    fault: Option<Unfetched>,
    /// Whoever waits is woken when it goes.
    _woken: watch::Sender<()>,
}

impl Turn {
    /// Ends it with its outcome. The whole of it goes along into the fetch, and with that at the latest.
    fn end(mut self, fault: Option<Unfetched>) {
        self.fault = fault;
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        let mut links = locked(&self.links);
        links.under_way.remove(&self.key);
        if let Some(fault) = self.fault.take() {
            links.remember(self.key, fault);
        }
    }
}

impl Links {
    fn remember(&mut self, key: [u8; 32], fault: Unfetched) {
        self.failed.retain(|(known, _)| *known != key);
        self.failed.push_back((key, fault));
        if self.failed.len() > FAULTS_KEPT {
            self.failed.pop_front();
        }
    }

    fn fault(&self, key: [u8; 32]) -> Option<Unfetched> {
        let mut failed = self.failed.iter();
        let (_, fault) = failed.find(|(known, _)| *known == key)?;
        Some(fault.clone())
    }
}

impl Conductor {
    /// How it stands with the link of that number, from 1, of an entry's article; `None` where it has no such link, or
    /// one that leads to no page of the web. Fetches nothing.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn followed(
        &self,
        entry: i64,
        number: usize,
    ) -> Result<Option<Followed>, StoreError> {
        match self.wanted(entry, number).await? {
            Some(wanted) => self.standing_of(&wanted).await.map(Some),
            None => Ok(None),
        }
    }

    /// Follows that link: unless its page is stored, it is fetched, and waited for as long as `patience` has it; the
    /// fetch goes on when that is over. `None` as for [`Conductor::followed`].
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn follow(
        &self,
        entry: i64,
        number: usize,
        patience: Duration,
    ) -> Result<Option<Followed>, StoreError> {
        let Some(wanted) = self.wanted(entry, number).await? else {
            return Ok(None);
        };
        if let Some(entry) = self.store.page_at(&wanted.address).await? {
            return Ok(Some(Followed::Stored(entry)));
        }
        let Some(mut ended) = self.begin(&wanted) else {
            return Ok(Some(Followed::Failed(Unfetched::Crowded)));
        };
        // Nothing is ever sent, so that what ends the waiting is the sender's going.
        let _ = tokio::time::timeout(patience, ended.changed()).await;
        self.standing_of(&wanted).await.map(Some)
    }

    /// Begins to fetch, unless that is under way; `None` where too many are.
    fn begin(&self, wanted: &Wanted) -> Option<watch::Receiver<()>> {
        let mut links = locked(&self.links);
        if let Some(known) = links.under_way.get(&wanted.key) {
            return Some(known.clone());
        }
        if links.under_way.len() >= LINKS_AT_ONCE {
            links.remember(wanted.key, Unfetched::Crowded);
            return None;
        }
        let (woken, ended) = watch::channel(());
        links.under_way.insert(wanted.key, ended.clone());
        links.failed.retain(|(known, _)| *known != wanted.key);
        let turn = Turn {
            links: Arc::clone(&self.links),
            key: wanted.key,
            fault: Some(Unfetched::Broken),
            _woken: woken,
        };
        let (conductor, address) = (self.clone(), wanted.address.clone());
        let (subscription, reach) = (wanted.subscription.clone(), wanted.reach);
        tokio::spawn(async move {
            let way = Way {
                subscription: subscription.as_ref(),
                reach,
            };
            turn.end(conductor.bring(way, address).await.err());
        });
        Some(ended)
    }

    /// Fetches a page, distils and stores it.
    async fn bring(&self, way: Way<'_>, asked: Url) -> Result<(), Unfetched> {
        let page = self.one_page(way, &asked).await?;
        let found = page.address.clone();
        let (further, _) = self.further(way, &page).await;
        let (published, distilled) = self.article_of(page, further).await?;
        let page = LinkedPage {
            asked,
            found,
            published,
            distilled,
        };
        let saved = self.store.save_page(&page, self.clock.now()).await;
        saved.map(|_| ()).map_err(|fault| broken(&fault))
    }

    async fn article_of(
        &self,
        page: Page,
        further: Vec<Page>,
    ) -> Result<(Option<jiff::Timestamp>, Distilled), Unfetched> {
        let work = move || {
            let (article, source) = distil_page(page, further).map_err(Unfetched::NoArticle)?;
            let distilled = Distilled::new(&article, &source, DISTILLER_VERSION);
            distilled
                .map(|distilled| (article.published, distilled))
                .map_err(|fault| broken(&fault))
        };
        self.pool.run(work).await.map_err(|fault| broken(&fault))?
    }

    async fn standing_of(&self, wanted: &Wanted) -> Result<Followed, StoreError> {
        if let Some(entry) = self.store.page_at(&wanted.address).await? {
            return Ok(Followed::Stored(entry));
        }
        let links = locked(&self.links);
        if links.under_way.contains_key(&wanted.key) {
            return Ok(Followed::UnderWay);
        }
        let fault = links.fault(wanted.key);
        Ok(fault.map_or(Followed::Unasked, Followed::Failed))
    }

    async fn wanted(&self, entry: i64, number: usize) -> Result<Option<Wanted>, StoreError> {
        let link = self.store.link(entry, number).await?;
        Ok(link.and_then(|link| self.way_to(&link)))
    }

    /// How a link is fetched. The config's exceptions hold for a host that a person named there, and on which the
    /// article itself was found: a stranger's article opens no page of the home network by linking to it.
    fn way_to(&self, stored: &StoredLink) -> Option<Wanted> {
        let mut address = Url::parse(&stored.link.address).ok()?;
        if !matches!(address.scheme(), "http" | "https") {
            return None;
        }
        address.set_fragment(None);
        let plan = self.plan();
        let host = address.host_str();
        let own = Url::parse(&stored.of_feed).ok();
        let at_home = own.as_ref().and_then(Url::host_str) == host;
        let mut named = plan.subscriptions.values();
        let named = named.any(|subscription| subscription.url.host_str() == host);
        let reach = if at_home && named {
            Reach::Named
        } else {
            Reach::Public
        };
        Some(Wanted {
            key: page_key(&address),
            subscription: plan.subscriptions.get(&stored.of_feed).cloned(),
            address,
            reach,
        })
    }
}

impl From<PageFault> for Unfetched {
    fn from(fault: PageFault) -> Self {
        match fault {
            PageFault::Status(status) => Self::Status(status),
            PageFault::Kind(kind) => {
                let essence = kind.split(';').next().unwrap_or_default();
                Self::Kind(essence.trim().to_ascii_lowercase())
            }
            PageFault::Undecoded(fault) => broken(&fault),
            PageFault::Fetch(fault) => match fault {
                FetchError::Refused { .. } => Self::Refused,
                FetchError::TimedOut { .. } => Self::TooSlow,
                FetchError::TooBig { .. } => Self::TooLarge,
                FetchError::Damaged { .. }
                | FetchError::BadRedirect { .. }
                | FetchError::TooManyRedirects { .. } => Self::Damaged,
                FetchError::NameNotFound { .. }
                | FetchError::Tls { .. }
                | FetchError::ConnectionRefused { .. }
                | FetchError::Unreachable { .. } => Self::Unreachable,
                FetchError::Setup { .. } | FetchError::Header { .. } => broken(&fault),
            },
        }
    }
}

/// A fault of the service's own, which its log tells.
fn broken(fault: &dyn std::fmt::Display) -> Unfetched {
    tracing::error!(%fault, "the page of a link could not be made an article");
    Unfetched::Broken
}

/// What is under way. A thread that panicked while it held the lock left it whole.
fn locked(links: &Mutex<Links>) -> MutexGuard<'_, Links> {
    links.lock().unwrap_or_else(PoisonError::into_inner)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::address::{Allowed, Policy};
    use crate::clock::Clock;
    use crate::config::{FullText, Shelf, Shelves};
    use crate::distil::block::Link;
    use crate::fetch::{Fetcher, Limits};
    use crate::pool::Pool;
    use crate::store::sample::{Bench, instant};

    async fn conductor(bench: &Bench, feeds: &[&str]) -> Conductor {
        let subscription = |url: &&str| Subscription {
            url: url.parse().unwrap(),
            title: None,
            group: None,
            full_text: FullText::Auto,
            every_minutes: 60,
            headers: Vec::new(),
            shelf: Shelf::default(),
            outline: Vec::new(),
        };
        let policy = Policy::new(vec![Allowed::Host("10.0.0.7".to_owned())]);
        Conductor::new(
            bench.store.clone(),
            Fetcher::new(policy, Limits::default()).unwrap(),
            Pool::new(1),
            Clock::fixed(instant(0)),
            feeds.iter().map(subscription).collect(),
            Shelves::default(),
        )
    }

    #[tokio::test]
    async fn the_configs_exceptions_hold_for_links_from_a_named_host_to_itself_alone() {
        let bench = Bench::new().await;
        let feeds = ["http://10.0.0.7/feed", "https://gazette.example/feed"];
        let conductor = conductor(&bench, &feeds).await;
        let reach = |of_feed: &str, address: &str| {
            let link = StoredLink {
                link: Link {
                    address: address.to_owned(),
                    text: String::new(),
                },
                of_feed: of_feed.to_owned(),
            };
            conductor.way_to(&link).map(|wanted| wanted.reach)
        };
        let home = "http://10.0.0.7:8080/page#part";
        assert_eq!(reach(feeds[0], home), Some(Reach::Named));
        assert_eq!(reach("site://10.0.0.7", home), Some(Reach::Named));
        // A stranger's article, and one of a site that no feed of the config is at.
        assert_eq!(reach(feeds[1], home), Some(Reach::Public));
        assert_eq!(reach("site://quay.example", home), Some(Reach::Public));
        let elsewhere = "http://10.0.0.8/";
        assert_eq!(reach("site://10.0.0.8", elsewhere), Some(Reach::Public));
        assert_eq!(reach(feeds[0], elsewhere), Some(Reach::Public));
        for no_page in ["mailto:a@quay.example", "ftp://quay.example/", "odd"] {
            assert_eq!(reach(feeds[0], no_page), None, "{no_page}");
        }
    }

    #[test]
    fn the_latest_faults_are_remembered_each_address_once() {
        let mut links = Links::default();
        for number in 0..FAULTS_KEPT + 2 {
            let key = [u8::try_from(number).unwrap(); 32];
            links.remember(key, Unfetched::Refused);
            links.remember(key, Unfetched::TooSlow);
        }
        assert_eq!(links.failed.len(), FAULTS_KEPT);
        assert_eq!(links.fault([1; 32]), None);
        assert_eq!(links.fault([2; 32]), Some(Unfetched::TooSlow));
    }
}
