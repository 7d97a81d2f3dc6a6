//! How a feed stands after an answer: its address, its validators, its hints, when it is due. Stores nothing.

use jiff::{SignedDuration, Timestamp};

use super::Conductor;
use super::interval::Pace;
use super::schedule::{self, Asked};
use super::visit::Visit;
use crate::distil::feed::Rhythm;
use crate::fetch::{Freshness, Response, RetryAfter};
use crate::store::{Hints, Standing, Validators};

impl Conductor {
    /// How the feed stands after an answer that was a feed, or told that it is unchanged. `body_hash` is of a
    /// body that was read to its end, `rhythm` what it says, `changes` when the feed changed of late, what is new with it.
    pub(super) fn standing_after(
        &self,
        visit: &Visit<'_>,
        response: &Response,
        (body_hash, rhythm): (Option<[u8; 32]>, Rhythm),
        changes: Vec<Timestamp>,
    ) -> Standing {
        let now = self.clock.now();
        let (fresh_seconds, fresh) = fresh(now, visit, response);
        let mut standing = Standing {
            body_hash,
            reading: Some(visit.reading().to_owned()),
            hints: Hints {
                fresh_seconds,
                rhythm,
            },
            ..visit.standing()
        };
        take_address(&mut standing, visit, response);
        // What is left of a body is fetched in full, but soon, as if nothing were known of the feed.
        let whole = body_hash.is_some();
        let pace = if whole {
            Pace::of(now, changes)
        } else {
            Pace::default()
        };
        let conditional = standing.validators != Validators::default() || !whole;
        let asked = asked(visit, rhythm, response.retry_after);
        standing.next_due = schedule::after_success(now, &asked, fresh, conditional, pace);
        standing
    }
}

/// What the schedule has to know of a feed.
pub(super) fn asked<'a>(visit: &Visit<'a>, rhythm: Rhythm, wish: Option<RetryAfter>) -> Asked<'a> {
    Asked {
        address: &visit.feed.address,
        every_minutes: visit.subscription.every_minutes,
        rhythm,
        wish,
    }
}

/// The seconds to remember, and how long this answer stays fresh from now on. A 304 that says nothing leaves
/// standing what was said before (RFC 9111 section 3.2).
fn fresh(
    now: Timestamp,
    visit: &Visit<'_>,
    response: &Response,
) -> (Option<u32>, Option<SignedDuration>) {
    let seconds = |seconds: u64| SignedDuration::from_secs(i64::try_from(seconds).unwrap_or(0));
    let (lifetime, age) = match response.freshness {
        Some(Freshness::For {
            lifetime_seconds,
            age_seconds,
        }) => (seconds(lifetime_seconds), seconds(age_seconds)),
        Some(Freshness::Until(instant)) => (instant.duration_since(now), SignedDuration::ZERO),
        None if response.status == 304 => {
            let before = visit.feed.hints.fresh_seconds.unwrap_or(0);
            (seconds(before.into()), SignedDuration::ZERO)
        }
        None => (SignedDuration::ZERO, SignedDuration::ZERO),
    };
    // Nought is said by those who want to be asked each time that they are shown, and counts as nothing.
    let stored = u32::try_from(lifetime.as_secs().max(0)).unwrap_or(u32::MAX);
    let left = lifetime.saturating_sub(age);
    (
        (stored > 0).then_some(stored),
        left.is_positive().then_some(left),
    )
}

/// Where the feed is asked next, and by which validators.
fn take_address(standing: &mut Standing, visit: &Visit<'_>, response: &Response) {
    let sent = Validators {
        etag: response.validators.etag.clone(),
        last_modified: response.validators.last_modified.clone(),
    };
    match &response.permanent_url {
        // RFC 9110 section 15.4.5: a 304 need not repeat what has not changed.
        None if response.status == 304 => {
            standing.validators.etag = sent.etag.or(standing.validators.etag.take());
            standing.validators.last_modified = sent
                .last_modified
                .or(standing.validators.last_modified.take());
        }
        None => standing.validators = sent,
        Some(target) if visit.may_move_to(target, response.reach) => {
            standing.moved_address =
                (*target != visit.subscription.url).then(|| target.to_string());
            standing.validators = sent;
        }
        // They belong to an address that will not be asked.
        Some(_) => standing.validators = Validators::default(),
    }
}
