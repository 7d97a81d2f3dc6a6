//! When a feed is asked again after a failure. Pure: instants in, instants out.

use jiff::{SignedDuration, Timestamp};

use crate::fetch::RetryAfter;

/// The longest that the back-off alone puts a feed off, unless it is asked less often anyway.
const LONGEST_BACK_OFF: SignedDuration = SignedDuration::from_hours(24);

/// The longest that a server's own wish puts it off: a slip in a header must not silence a feed for
/// good. A server that is never to be asked again can say 410.
const LONGEST_WISH: SignedDuration = SignedDuration::from_hours(14 * 24);

/// When a feed is due again that is asked every so many minutes.
pub(super) fn after_success(now: Timestamp, every_minutes: u32) -> Timestamp {
    later(now, SignedDuration::from_mins(every_minutes.into()))
}

/// When a feed is tried again whose `failures`-th fetch in a row has failed: its interval at first,
/// then twice as long each time up to a day, and not before its server wishes.
pub(super) fn after_failure(
    now: Timestamp,
    every_minutes: u32,
    failures: u32,
    wish: Option<RetryAfter>,
) -> Timestamp {
    let every = SignedDuration::from_mins(every_minutes.into());
    let longest = LONGEST_BACK_OFF.max(every);
    // Doubling a minute 20 times makes two years, so that more changes nothing.
    let doublings = failures.saturating_sub(1).min(20);
    let back_off = (every * (1_i32 << doublings)).min(longest);
    let wished = match wish {
        Some(RetryAfter::Seconds(seconds)) => {
            SignedDuration::from_secs(i64::try_from(seconds).unwrap_or(i64::MAX))
        }
        Some(RetryAfter::At(instant)) => instant.duration_since(now),
        None => SignedDuration::ZERO,
    };
    later(now, back_off.max(wished.min(LONGEST_WISH)))
}

fn later(now: Timestamp, by: SignedDuration) -> Timestamp {
    now.saturating_add(by).unwrap_or(Timestamp::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: Timestamp = Timestamp::UNIX_EPOCH;

    fn minutes(instant: Timestamp) -> i64 {
        instant.as_second() / 60
    }

    #[test]
    fn the_back_off_doubles_from_the_interval_up_to_a_day() {
        let delays = [1, 2, 3, 5, 6, 7, u32::MAX].map(|n| minutes(after_failure(NOW, 60, n, None)));
        assert_eq!(delays, [60, 120, 240, 960, 1_440, 1_440, 1_440]);
    }

    #[test]
    fn a_feed_asked_once_a_week_is_not_asked_more_often_for_failing() {
        assert_eq!(minutes(after_failure(NOW, 10_080, 1, None)), 10_080);
        assert_eq!(minutes(after_failure(NOW, 10_080, 9, None)), 10_080);
        assert_eq!(minutes(after_success(NOW, 10_080)), 10_080);
    }

    #[test]
    fn the_servers_wish_is_obeyed_where_it_is_longer_and_within_reason() {
        let check = |wish, expected| {
            assert_eq!(minutes(after_failure(NOW, 60, 1, Some(wish))), expected);
        };
        check(RetryAfter::Seconds(7_200), 120);
        check(RetryAfter::Seconds(5), 60);
        check(RetryAfter::Seconds(u64::MAX), 14 * 24 * 60);
        check(RetryAfter::At(Timestamp::from_second(10_800).unwrap()), 180);
        check(RetryAfter::At(Timestamp::from_second(-10_800).unwrap()), 60);
    }
}
