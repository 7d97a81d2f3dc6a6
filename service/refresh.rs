//! The conductor: what is due is fetched, distilled and stored. Owns the order of things, the
//! back-off and the limits of a pass. Never writes SQL and never answers a watch.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use jiff::Timestamp;
use tokio::task::JoinSet;
use tokio_util::sync::CancellationToken;

use crate::clock::Clock;
use crate::config::{Shelves, Subscription};
use crate::fetch::Fetcher;
use crate::pool::Pool;
use crate::store::{Listed, ScheduledFeed, Standing, Store, StoreError, Subscribed};

mod entries;
mod find;
mod follow;
mod interval;
mod page;
mod redistil;
mod schedule;
mod settle;
mod standing;
mod sweep;
#[cfg(test)]
mod tests;
mod visit;

pub use entries::ENTRIES_A_PASS;
pub use follow::{Followed, LINKS_AT_ONCE, Unfetched};
pub use redistil::Redistilled;
pub use sweep::Swept;

use settle::{Waiting, broken_off};

/// Feeds that are on their way at once. More would only wait for the two to four cores of a home
/// server, and eight keep slow hosts from holding up the rest.
pub const FEEDS_AT_ONCE: usize = 8;

/// The longest sleep between two looks at the schedule, so that a clock that was set is noticed.
const LONGEST_SLEEP: Duration = Duration::from_secs(60);

/// The shortest one, so that a store that cannot be read is not asked without pause.
const SHORTEST_SLEEP: Duration = Duration::from_secs(1);

/// Time after which a visit begins no further entry, so that a site whose every page is slow holds
/// up the feeds behind it for minutes and not for hours. At a usual second or two a page, two
/// minutes are enough for all [`ENTRIES_A_PASS`]; later visits read what is left. Common practice,
/// no source.
const ENTRIES_BUDGET: Duration = Duration::from_secs(120);

/// All that a pass needs. Cheap to clone; clones share what the store could not take.
#[derive(Clone)]
pub struct Conductor {
    store: Store,
    pool: Pool,
    clock: Clock,
    entries_budget: Duration,
    /// What the config says; another one takes its place while passes go on.
    plan: Arc<Mutex<Arc<Plan>>>,
    /// How each feed stands whose last answer the store could not take, so that its server is not asked again
    /// at once for that; the loop tries to store it at its end.
    unstored: Arc<Mutex<HashMap<i64, Standing>>>,
    /// The links that are being followed.
    links: Arc<Mutex<follow::Links>>,
}

/// What the config says that matters here.
struct Plan {
    fetcher: Fetcher,
    subscriptions: HashMap<String, Subscription>,
    listed: Vec<Listed>,
    shelves: Shelves,
}

/// What a pass tells while it goes on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Progress {
    /// So many feeds are due; told once, first.
    Due(usize),
    /// A feed is done.
    Done(FeedReport),
}

/// What a fetch of one feed came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FeedReport {
    /// The title to show for the feed.
    pub title: String,
    /// Its address in the config. It may hold a key of the reader's, so it goes to no log.
    pub address: String,
    /// Entries that were new.
    pub added: u32,
    /// Known entries that had changed.
    pub changed: u32,
    /// Whether the feed was as it had been.
    pub unchanged: bool,
    /// What is odd about it but did not hinder, a sentence each.
    pub warnings: Vec<String>,
    /// Why it could not be read; what is stored of it is served as before.
    pub fault: Option<String>,
}

/// What a pass came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Feeds that were due.
    pub feeds: usize,
    /// Those that could not be read.
    pub failed: usize,
    /// Entries that were new.
    pub added: u32,
    /// Known entries that had changed.
    pub changed: u32,
}

impl Conductor {
    /// A conductor for these subscriptions; `shelves` says how much stays.
    pub fn new(
        store: Store,
        fetcher: Fetcher,
        pool: Pool,
        clock: Clock,
        subscriptions: Vec<Subscription>,
        shelves: Shelves,
    ) -> Self {
        let plan = Plan::new(fetcher, subscriptions, shelves);
        Self {
            store,
            pool,
            clock,
            entries_budget: ENTRIES_BUDGET,
            plan: Arc::new(Mutex::new(Arc::new(plan))),
            unstored: Arc::default(),
            links: Arc::default(),
        }
    }

    /// Brings the store's feeds in line with the subscriptions. To be called before the first pass.
    ///
    /// # Errors
    /// [`StoreError`].
    pub async fn subscribe(&self) -> Result<Subscribed, StoreError> {
        let plan = self.plan();
        self.store.subscribe(&plan.listed, self.clock.now()).await
    }

    /// Takes up other subscriptions and limits, and another fetcher where there is one. The next pass and the
    /// next sweep follow them; visits that are under way end as they began.
    ///
    /// # Errors
    /// [`StoreError`]; everything stays as it was then.
    pub async fn take_up(
        &self,
        subscriptions: Vec<Subscription>,
        shelves: Shelves,
        fetcher: Option<Fetcher>,
    ) -> Result<Subscribed, StoreError> {
        let fetcher = fetcher.unwrap_or_else(|| self.plan().fetcher.clone());
        let plan = Plan::new(fetcher, subscriptions, shelves);
        let now = self.clock.now();
        let subscribed = self.store.subscribe(&plan.listed, now).await?;
        *self.plan.lock().unwrap_or_else(PoisonError::into_inner) = Arc::new(plan);
        Ok(subscribed)
    }

    /// One pass: fetches each feed that is due, several at once, and tells of each as it is stored.
    /// A feed that fails, whatever the reason, hinders no other.
    ///
    /// # Errors
    /// [`StoreError`] where the schedule cannot be read.
    pub async fn refresh_due(&self, mut tell: impl FnMut(Progress)) -> Result<Summary, StoreError> {
        let now = self.clock.now();
        let mut due = self.schedule().await?;
        due.retain(|(feed, _)| feed.next_due <= now);
        let mut summary = Summary {
            feeds: due.len(),
            ..Summary::default()
        };
        tell(Progress::Due(due.len()));
        let mut due = due.into_iter();
        let (mut visits, mut notes) = (JoinSet::new(), JoinSet::new());
        let mut waiting = Waiting::default();
        loop {
            while visits.len() < FEEDS_AT_ONCE
                && let Some((feed, subscription)) = due.next()
            {
                visits.spawn(self.clone().visit(feed, subscription));
            }
            // The next visits go on while these are noted; without a visit under way nothing comes to join them.
            if waiting.is_full() || visits.is_empty() && !waiting.is_empty() {
                notes.spawn(self.clone().settle(waiting.take()));
            }
            let reports = tokio::select! {
                Some(done) = visits.join_next() => waiting.take_in(done),
                Some(noted) = notes.join_next() => noted.unwrap_or_else(|fault| broken_off(&fault)),
                () = waiting.long_enough(), if !waiting.is_empty() => {
                    notes.spawn(self.clone().settle(waiting.take()));
                    Vec::new()
                }
                else => return Ok(summary),
            };
            for report in reports {
                summary.failed += usize::from(report.fault.is_some());
                summary.added += report.added;
                summary.changed += report.changed;
                tell(Progress::Done(report));
            }
        }
    }

    /// Passes over what is due, sweeps from time to time, and makes articles findable, until `stop` is cancelled.
    pub async fn run_forever(&self, stop: CancellationToken) {
        let pass_again = async {
            let mut last_sweep = None;
            loop {
                match self.refresh_due(log).await {
                    Ok(pass) => self.sweep_after(&pass, &mut last_sweep).await,
                    Err(fault) => tracing::error!(%fault, "the feeds cannot be refreshed"),
                }
                let sleep = match self.next_due().await {
                    Ok(Some(next)) => self.until(next),
                    Ok(None) | Err(_) => LONGEST_SLEEP,
                };
                tokio::time::sleep(sleep).await;
            }
        };
        let both = async { tokio::join!(pass_again, self.keep_findable()) };
        stop.run_until_cancelled(both).await;
        if let Err(fault) = self.store_again().await {
            tracing::error!(%fault, "the schedule could not be stored");
        }
    }

    /// The feeds of the subscriptions, as stored but for what this process knows better.
    async fn schedule(&self) -> Result<Vec<(ScheduledFeed, Subscription)>, StoreError> {
        let feeds = self.store.scheduled_feeds().await?;
        let (plan, unstored) = (self.plan(), self.unstored());
        Ok(feeds
            .into_iter()
            .filter_map(|mut feed| {
                let subscription = plan.subscriptions.get(&feed.address)?.clone();
                if let Some(standing) = unstored.get(&feed.id) {
                    feed.next_due = standing.next_due;
                    feed.validators = standing.validators.clone();
                    feed.body_hash = standing.body_hash;
                }
                Some((feed, subscription))
            })
            .collect())
    }

    /// When the next feed is due.
    async fn next_due(&self) -> Result<Option<Timestamp>, StoreError> {
        let schedule = self.schedule().await?;
        Ok(schedule.iter().map(|(feed, _)| feed.next_due).min())
    }

    fn until(&self, instant: Timestamp) -> Duration {
        let left = instant.duration_since(self.clock.now());
        Duration::try_from(left)
            .unwrap_or(SHORTEST_SLEEP)
            .clamp(SHORTEST_SLEEP, LONGEST_SLEEP)
    }

    async fn store_again(&self) -> Result<(), StoreError> {
        let standings: Vec<(i64, Standing)> = self
            .unstored()
            .iter()
            .map(|(feed, standing)| (*feed, standing.clone()))
            .collect();
        if standings.is_empty() {
            return Ok(());
        }
        self.store.note_unchanged(&standings).await
    }

    /// What the config says at present.
    fn plan(&self) -> Arc<Plan> {
        Arc::clone(&self.plan.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// What the store could not take. A thread that panicked while it held the lock left the map whole.
    fn unstored(&self) -> MutexGuard<'_, HashMap<i64, Standing>> {
        self.unstored.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Plan {
    fn new(fetcher: Fetcher, subscriptions: Vec<Subscription>, shelves: Shelves) -> Self {
        let listed = subscriptions.iter().map(|subscription| Listed {
            address: subscription.url.to_string(),
            title: subscription.title.clone(),
            group: subscription.group.clone(),
        });
        Self {
            listed: listed.collect(),
            shelves,
            fetcher,
            subscriptions: subscriptions
                .into_iter()
                .map(|subscription| (subscription.url.to_string(), subscription))
                .collect(),
        }
    }
}

/// Tells of a pass in the log. Neither addresses nor headers go there.
fn log(progress: Progress) {
    let Progress::Done(report) = progress else {
        return;
    };
    let feed = report.title;
    for warning in report.warnings {
        tracing::warn!(feed, "{warning}");
    }
    match report.fault {
        Some(fault) => tracing::warn!(feed, "{fault}"),
        None if report.unchanged => tracing::debug!(feed, "nothing new"),
        None => tracing::info!(feed, added = report.added, changed = report.changed, "read"),
    }
}
