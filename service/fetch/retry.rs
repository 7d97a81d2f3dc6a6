//! Reads Retry-After (RFC 9110 section 10.2.3).

use jiff::Timestamp;

use super::freshness::read_date;

/// When a server wants to be asked again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RetryAfter {
    /// So many seconds after the answer came.
    Seconds(u64),
    /// Not before this instant, which may lie in the past.
    At(Timestamp),
}

/// Reads the value of Retry-After: whole seconds, or an HTTP date in one of the three forms of
/// RFC 9110 section 5.6.7. Anything else is as good as absent.
pub(super) fn read_retry_after(value: &str) -> Option<RetryAfter> {
    let value = value.trim();
    if !value.is_empty() && value.bytes().all(|byte| byte.is_ascii_digit()) {
        // More digits than fit still say "not for a very long time".
        return Some(RetryAfter::Seconds(value.parse().unwrap_or(u64::MAX)));
    }
    read_date(value).map(RetryAfter::At)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 9110 sections 10.2.3 and 5.6.7; the last three are one instant, whose
    /// seconds since 1970 were worked out by hand.
    #[test]
    fn the_examples_of_the_standard_are_read() {
        let at = |second| Some(RetryAfter::At(Timestamp::from_second(second).unwrap()));
        assert_eq!(read_retry_after("120"), Some(RetryAfter::Seconds(120)));
        assert_eq!(
            read_retry_after("Fri, 31 Dec 1999 23:59:59 GMT"),
            at(946_684_799)
        );
        for date in [
            "Sun, 06 Nov 1994 08:49:37 GMT",
            "Sunday, 06-Nov-94 08:49:37 GMT",
            "Sun Nov  6 08:49:37 1994",
        ] {
            assert_eq!(read_retry_after(date), at(784_111_777), "{date}");
        }
    }

    #[test]
    fn what_is_no_time_counts_as_absent() {
        for value in ["", "-1", "1.5", "soon", "+3", "1994-11-06"] {
            assert_eq!(read_retry_after(value), None, "{value}");
        }
        assert_eq!(
            read_retry_after("99999999999999999999999"),
            Some(RetryAfter::Seconds(u64::MAX))
        );
    }
}
