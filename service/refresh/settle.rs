//! Feeds that have nothing new are noted several at once: one look at the store and one small write for all.
//! Fetches nothing.

use std::collections::HashMap;
use std::time::Duration;

use jiff::Timestamp;
use tokio::task::JoinError;
use tokio::time::Instant;

use super::interval::CHANGES_LOOKED_AT;
use super::schedule;
use super::standing::asked;
use super::visit::{Visit, Visited};
use super::{Conductor, FeedReport};
use crate::config::Subscription;
use crate::distil::feed::Rhythm;
use crate::fetch::Response;
use crate::store::{ScheduledFeed, Standing, StoreError};

/// Feeds that are noted together at the most.
const MOST_TOGETHER: usize = 64;

/// How long a feed waits to be noted at the most: what a process that is killed asks again for nothing is
/// what it was answered within that time.
const LONGEST_WAIT: Duration = Duration::from_secs(1);

/// A feed that has nothing new, and is still to be noted.
pub(super) struct Unchanged {
    pub(super) feed: ScheduledFeed,
    pub(super) subscription: Subscription,
    /// The answer without its body.
    pub(super) response: Response,
    /// The hash of its body where that was read to its end, and how often it wants to be asked.
    pub(super) said: (Option<[u8; 32]>, Rhythm),
    pub(super) report: FeedReport,
}

/// The feeds of a pass that are still to be noted.
#[derive(Default)]
pub(super) struct Waiting {
    feeds: Vec<Unchanged>,
    /// When the first of them has waited long enough.
    until: Option<Instant>,
}

impl Waiting {
    /// Takes in what a visit came to, and gives back what can be told by now.
    pub(super) fn take_in(&mut self, done: Result<Visited, JoinError>) -> Vec<FeedReport> {
        match done {
            Ok(Visited::Stored(report)) => vec![report],
            Ok(Visited::Unchanged(unchanged)) => {
                self.until.get_or_insert(Instant::now() + LONGEST_WAIT);
                self.feeds.push(*unchanged);
                Vec::new()
            }
            Err(fault) => broken_off(&fault),
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.feeds.is_empty()
    }

    /// Whether there are as many as are noted together.
    pub(super) fn is_full(&self) -> bool {
        self.feeds.len() >= MOST_TOGETHER
    }

    /// Comes when one of them has waited long enough; never without any.
    pub(super) async fn long_enough(&self) {
        match self.until {
            Some(until) => tokio::time::sleep_until(until).await,
            None => std::future::pending().await,
        }
    }

    /// All that waits, for [`Conductor::settle`].
    pub(super) fn take(&mut self) -> Vec<Unchanged> {
        self.until = None;
        std::mem::take(&mut self.feeds)
    }
}

/// The report where work on feeds ended without a result. It hands all that could panic to the pool, so that
/// this is a slip of ours.
pub(super) fn broken_off(fault: &JoinError) -> Vec<FeedReport> {
    vec![FeedReport {
        fault: Some(format!("the work on a feed broke off: {fault}")),
        ..FeedReport::default()
    }]
}

impl Conductor {
    /// Notes these feeds together. What the store cannot take stands in the reports, and is kept in mind.
    pub(super) async fn settle(self, feeds: Vec<Unchanged>) -> Vec<FeedReport> {
        let noted = self.note(&feeds).await;
        let report = |unchanged: Unchanged| {
            let mut report = unchanged.report;
            if let Err(fault) = &noted {
                let visit = Visit::new(&unchanged.feed, &unchanged.subscription);
                self.keep_in_mind(&visit, fault, &mut report);
            }
            report.make_printable();
            report
        };
        feeds.into_iter().map(report).collect()
    }

    /// Stores that feeds have nothing new: that they are due later, and whatever else is not as it was.
    async fn note(&self, feeds: &[Unchanged]) -> Result<(), StoreError> {
        let ids: Vec<i64> = feeds.iter().map(|unchanged| unchanged.feed.id).collect();
        let mut changes = self.changes(&ids).await;
        let mut due = Vec::new();
        let mut whole = Vec::new();
        for unchanged in feeds {
            let (feed, response) = (&unchanged.feed, &unchanged.response);
            let visit = Visit::new(feed, &unchanged.subscription);
            let changes = changes.remove(&feed.id).unwrap_or_default();
            let standing = self.standing_after(&visit, response, unchanged.said, changes);
            let before = Standing {
                next_due: standing.next_due,
                ..visit.standing()
            };
            let as_known = !self.unstored().contains_key(&feed.id);
            if feed.failures == 0 && standing == before && as_known {
                due.push((feed.id, standing.next_due));
            } else {
                whole.push((feed.id, standing));
            }
        }
        if !due.is_empty() {
            self.store.note_due(&due).await?;
        }
        if !whole.is_empty() {
            self.store.note_unchanged(&whole).await?;
            let mut unstored = self.unstored();
            for (feed, _) in &whole {
                unstored.remove(feed);
            }
        }
        Ok(())
    }

    /// When each feed changed of late, as the store knows it. Without the store it is as if nothing were known:
    /// the schedule is no reason to fail.
    pub(super) async fn changes(&self, feeds: &[i64]) -> HashMap<i64, Vec<Timestamp>> {
        let stored = self.store.change_instants(feeds, CHANGES_LOOKED_AT).await;
        stored.unwrap_or_default()
    }

    /// The store could not take that the feed is due later, so it is remembered here.
    pub(super) fn keep_in_mind(
        &self,
        visit: &Visit<'_>,
        fault: &StoreError,
        report: &mut FeedReport,
    ) {
        report.fault = Some(fault.to_string());
        let asked = asked(visit, visit.feed.hints.rhythm, None);
        self.unstored().insert(
            visit.feed.id,
            Standing {
                next_due: schedule::after_failure(self.clock.now(), &asked, 1),
                ..visit.standing()
            },
        );
    }
}
