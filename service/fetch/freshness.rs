//! Reads for how long an answer stays fresh: Cache-Control, Expires, Date and Age (RFC 9111). Sends
//! nothing and decides nothing.

use jiff::Timestamp;
use reqwest::header::{self, HeaderMap, HeaderName};

/// For how long a server says that its answer may be used without asking again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Freshness {
    /// For so long from when it was made, of which some has passed on its way.
    For {
        /// The whole time.
        lifetime_seconds: u64,
        /// The time that has passed: the header Age, which caches on the way set.
        age_seconds: u64,
    },
    /// Until this instant, which may lie in the past: Expires without a Date to take it from.
    Until(Timestamp),
}

/// What a number of seconds beyond what can be counted is taken as (RFC 9111 section 1.2.2).
const MOST_SECONDS: u64 = 1 << 31;

/// Stale from the start: what it is taken as that cannot be read (RFC 9111 section 4.2.1).
const STALE: Freshness = Freshness::For {
    lifetime_seconds: 0,
    age_seconds: 0,
};

/// What the header says by RFC 9111 sections 4.2.1 and 5.3: max-age, else Expires less Date; `None` where it
/// says neither. `s-maxage` is for caches that several people share, so it counts for nothing here.
pub(super) fn read_freshness(headers: &HeaderMap) -> Option<Freshness> {
    let mut max_age = None;
    for value in headers.get_all(header::CACHE_CONTROL) {
        let value = String::from_utf8_lossy(value.as_bytes());
        for (name, argument) in directives(&value) {
            match name.as_str() {
                // The most restrictive of directives that conflict counts, whatever else is said.
                "no-cache" | "no-store" => return Some(STALE),
                // Of several the first counts.
                "max-age" if max_age.is_none() => {
                    max_age = Some(argument.as_deref().and_then(read_seconds).unwrap_or(0));
                }
                _ => {}
            }
        }
    }
    let age_seconds = text(headers, &header::AGE)
        .and_then(|value| read_seconds(&value))
        .unwrap_or(0);
    if let Some(lifetime_seconds) = max_age {
        return Some(Freshness::For {
            lifetime_seconds,
            age_seconds,
        });
    }
    let Some(expires) = read_date(&text(headers, &header::EXPIRES)?) else {
        return Some(STALE);
    };
    let made = text(headers, &header::DATE).and_then(|value| read_date(&value));
    let Some(made) = made else {
        return Some(Freshness::Until(expires));
    };
    Some(Freshness::For {
        lifetime_seconds: u64::try_from(expires.duration_since(made).as_secs()).unwrap_or(0),
        age_seconds,
    })
}

/// An HTTP date in one of the three forms of RFC 9110 section 5.6.7.
pub(super) fn read_date(value: &str) -> Option<Timestamp> {
    let date = httpdate::parse_http_date(value.trim()).ok()?;
    Timestamp::try_from(date).ok()
}

/// Directives in order, their names in lower case, each with its argument without quotes.
fn directives(value: &str) -> impl Iterator<Item = (String, Option<String>)> {
    let mut quoted = false;
    let mut escaped = false;
    // A comma within quotes parts nothing (RFC 9110 section 5.6.4).
    let parts = value.split(move |character| {
        let parts = character == ',' && !quoted;
        quoted ^= character == '"' && !escaped;
        escaped = quoted && character == '\\' && !escaped;
        parts
    });
    parts.map(|part| {
        let (name, argument) = match part.split_once('=') {
            Some((name, argument)) => (name, Some(argument.trim().trim_matches('"').to_owned())),
            None => (part, None),
        };
        (name.trim().to_ascii_lowercase(), argument)
    })
}

/// Whole seconds: digits and nothing else.
fn read_seconds(value: &str) -> Option<u64> {
    let value = value.trim();
    let digits = !value.is_empty() && value.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| value.parse().unwrap_or(MOST_SECONDS).min(MOST_SECONDS))
}

fn text(headers: &HeaderMap, name: &HeaderName) -> Option<String> {
    let value = headers.get(name)?;
    Some(String::from_utf8_lossy(value.as_bytes()).into_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use reqwest::header::HeaderValue;

    fn read(lines: &[&str]) -> Option<Freshness> {
        let mut headers = HeaderMap::new();
        for line in lines {
            let (name, value) = line.split_once(": ").unwrap();
            let name = HeaderName::from_bytes(name.as_bytes()).unwrap();
            headers.append(name, HeaderValue::from_str(value).unwrap());
        }
        read_freshness(&headers)
    }

    fn check(lines: &[&str], lifetime: u64) {
        let found = read(lines);
        let Some(Freshness::For {
            lifetime_seconds, ..
        }) = found
        else {
            panic!("{lines:?}: {found:?}");
        };
        assert_eq!(lifetime_seconds, lifetime, "{lines:?}");
    }

    const DATE: &str = "Date: Sun, 06 Nov 1994 08:49:37 GMT";
    const HOUR_LATER: &str = "Expires: Sun, 06 Nov 1994 09:49:37 GMT";

    /// RFC 9111 section 4.2.1: the first match of max-age and Expires less Date.
    #[test]
    fn max_age_counts_before_expires_less_date() {
        check(&["Cache-Control: max-age=600", DATE, HOUR_LATER], 600);
        check(&[DATE, HOUR_LATER], 3600);
        check(
            &["Cache-Control: public, must-revalidate", DATE, HOUR_LATER],
            3600,
        );
        check(&["Cache-Control: s-maxage=9000", DATE, HOUR_LATER], 3600);
        check(&["Cache-Control: MAX-AGE=\"600\""], 600);
        assert_eq!(read(&[]), None);
        assert_eq!(read(&["Cache-Control: private"]), None);
    }

    /// RFC 9111 sections 4.2.1 and 5.3: what conflicts or cannot be read is stale, `0` above all.
    #[test]
    fn what_conflicts_or_cannot_be_read_is_stale() {
        check(&["Cache-Control: max-age=600, no-cache"], 0);
        check(
            &["Cache-Control: no-store", "Cache-Control: max-age=600"],
            0,
        );
        check(&["Cache-Control: max-age=soon", DATE, HOUR_LATER], 0);
        check(&["Cache-Control: max-age=-1"], 0);
        check(&["Cache-Control: max-age"], 0);
        check(&["Expires: 0", DATE], 0);
        check(&["Expires: Fri, 31 Dec 1993 23:59:59 GMT", DATE], 0);
    }

    #[test]
    fn the_first_of_several_counts_and_quotes_hide_commas() {
        check(&["Cache-Control: max-age=60, max-age=600"], 60);
        check(
            &["Cache-Control: max-age=60", "Cache-Control: max-age=600"],
            60,
        );
        check(
            &["Cache-Control: private=\"a, max-age=5\", max-age=600"],
            600,
        );
        check(
            &["Cache-Control: private=\"a\\\", max-age=5\", max-age=600"],
            600,
        );
        check(&["Cache-Control: ,, max-age = 600 ,"], 600);
        check(&["Cache-Control: max-age=99999999999999999999999"], 1 << 31);
    }

    #[test]
    fn age_is_told_and_expires_without_a_date_is_an_instant() {
        assert_eq!(
            read(&["Cache-Control: max-age=600", "Age: 200"]),
            Some(Freshness::For {
                lifetime_seconds: 600,
                age_seconds: 200
            })
        );
        // The instant of RFC 9110 section 5.6.7's examples and an hour.
        let instant = Timestamp::from_second(784_111_777 + 3_600).unwrap();
        assert_eq!(read(&[HOUR_LATER]), Some(Freshness::Until(instant)));
    }
}
