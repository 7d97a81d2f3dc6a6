//! When what is beyond the limits is swept away, and which entries are not read because it would be theirs at
//! once. Takes nothing away itself.

use std::cmp::Reverse;
use std::collections::HashSet;
use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use tokio::time::Instant;

use super::{Conductor, Summary};
use crate::config::Shelf;
use crate::distil::feed::Entry;
use crate::store::{ENTRIES_A_STEP, Room, StoreError};

/// The least time between two sweeps while passes go on: limits count in days and hundreds, so that an hour
/// more or less is nothing. Common practice, no source.
const SWEEP_EVERY: Duration = Duration::from_secs(60 * 60);

/// What a sweep came to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Swept {
    /// Entries whose articles were taken away.
    pub entries: u64,
    /// Bytes of the database file that were given back to the disk.
    pub bytes: u64,
}

impl Conductor {
    /// Sweeps away what is beyond the limits, feed by feed, then in all, in steps between which others write,
    /// and gives the room back to the disk. It may be ended at any moment: each step is done whole or not at
    /// all, and the next sweep goes on from there.
    ///
    /// # Errors
    /// [`StoreError`]; what was swept until then stays so.
    pub async fn sweep(&self) -> Result<Swept, StoreError> {
        let (plan, now) = (self.plan(), self.clock.now());
        let mut entries = 0;
        let stocks = self.store.stocks().await?;
        let total: i64 = stocks.iter().map(|stock| stock.entries).sum();
        for stock in stocks {
            let subscription = plan.subscriptions.get(&stock.address);
            let shelf = subscription.map_or(plan.shelves.usual, |subscription| subscription.shelf);
            let room = room(shelf, now);
            if !stock.may_exceed(room) {
                continue;
            }
            let beyond = self.store.beyond_feed(stock.feed, room, now).await?;
            entries += self.take_away(&beyond, now).await?;
        }
        if let Some(most) = plan.shelves.in_all
            && total > i64::from(most)
        {
            let beyond = self.store.beyond_all(most, now).await?;
            entries += self.take_away(&beyond, now).await?;
        }
        let bytes = self.give_back().await?;
        Ok(Swept { entries, bytes })
    }

    /// Sweeps after a pass, unless there was a sweep within the last hour, and tells of it in the log. `last` is
    /// when the last one began.
    pub(super) async fn sweep_after(&self, pass: &Summary, last: &mut Option<Instant>) {
        let lately = last.is_some_and(|last| last.elapsed() < SWEEP_EVERY);
        if lately || !pass.has_read() {
            return;
        }
        *last = Some(Instant::now());
        match self.sweep().await {
            Ok(swept) if swept == Swept::default() => tracing::debug!("nothing to sweep"),
            Ok(Swept { entries, bytes }) => {
                tracing::info!(entries, bytes, "swept what is beyond the limits of `shelf`");
            }
            Err(fault) => tracing::error!(%fault, "what is beyond the limits could not be swept"),
        }
    }

    async fn take_away(&self, entries: &[i64], now: Timestamp) -> Result<u64, StoreError> {
        let mut swept = 0;
        for step in entries.chunks(ENTRIES_A_STEP) {
            swept += self.store.sweep_step(step, now).await?;
        }
        Ok(swept)
    }

    /// Gives back what is free, whichever sweep freed it.
    async fn give_back(&self) -> Result<u64, StoreError> {
        let mut bytes = 0;
        loop {
            match self.store.free_step().await? {
                0 => break,
                freed => bytes += freed,
            }
        }
        if bytes > 0 {
            self.store.shrink_file().await?;
        }
        Ok(bytes)
    }
}

impl Summary {
    /// Whether a feed was read. Without one nothing is swept: a clock that is wrong by months lets no
    /// certificate pass, and would make everything seem old; and where nothing comes in, nothing has to go.
    pub fn has_read(&self) -> bool {
        self.failed < self.feeds
    }
}

/// The room that a shelf has at `now`.
fn room(shelf: Shelf, now: Timestamp) -> Room {
    Room {
        entries: shelf.articles,
        seen_since: shelf.days.and_then(|days| {
            let span = SignedDuration::from_hours(i64::from(days) * 24);
            now.checked_sub(span).ok()
        }),
    }
}

/// Those of a body's entries for which the shelf has no place: all but the newest by date. One without a date, or
/// with one in the future, counts as of `now`, as the store has it; of two with one date the first counts as newer.
pub(super) fn beyond_shelf(entries: &[Entry], shelf: Shelf, now: Timestamp) -> HashSet<&str> {
    let Some(most) = shelf.articles.and_then(|most| usize::try_from(most).ok()) else {
        return HashSet::new();
    };
    let mut order: Vec<&Entry> = entries.iter().collect();
    order.sort_by_key(|entry| Reverse(entry.published.map_or(now, |published| published.min(now))));
    let beyond = order.into_iter().skip(most);
    beyond.map(|entry| entry.identity.as_str()).collect()
}
