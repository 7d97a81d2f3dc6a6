//! Dates of feeds into those of RFC 3339, however they are spelled. Knows nothing of the machine's time
//! zone: what names no zone is in UTC.

use jiff::civil::DateTime;
use jiff::tz::Offset;

/// No date that is meant is longer.
const MAXIMUM_LENGTH: usize = 64;

/// The date as RFC 3339 has it; none where it cannot be made out, and where parts are out of range.
pub(super) fn mend_date(text: &str) -> Option<String> {
    let text = text.trim();
    if text.is_empty() || text.len() > MAXIMUM_LENGTH || !text.is_ascii() {
        return None;
    }
    let (date, offset) = numeric(text).or_else(|| worded(text))?;
    offset
        .to_timestamp(date)
        .ok()
        .map(|instant| instant.to_string())
}

/// `2003-12-31T10:14:55Z` and what is shorter, by the W3C's note on date and time formats.
fn numeric(text: &str) -> Option<(DateTime, Offset)> {
    let (date, rest) = match text.find(['T', 't', ' ']) {
        Some(at) => (&text[..at], text[at + 1..].trim()),
        None => (text, ""),
    };
    let mut parts = date.split(['-', '/']);
    let year = parts.next().filter(|year| year.len() == 4)?;
    let month = parts.next().unwrap_or("1");
    let day = parts.next().unwrap_or("1");
    if parts.next().is_some() {
        return None;
    }
    let zone_at = rest.find(|c: char| !c.is_ascii_digit() && !":. ".contains(c));
    let (time, zone) = rest.split_at(zone_at.unwrap_or(rest.len()));
    let date = moment(number(year)?, number(month)?, number(day)?, time.trim())?;
    Some((date, offset(zone.trim())?))
}

/// `Sat, 07 Sep 2002 09:42:31 EST` (RFC 822), with or without most of it, and in the order of C's asctime.
fn worded(text: &str) -> Option<(DateTime, Offset)> {
    let (mut month, mut day, mut year, mut time, mut zone) = (None, None, None, "", Offset::UTC);
    for word in text
        .split([' ', ',', '\t', '\n'])
        .filter(|word| !word.is_empty())
    {
        if word.contains(':') && word.as_bytes()[0].is_ascii_digit() {
            time = word;
        } else if word.bytes().all(|byte| byte.is_ascii_digit()) {
            match day {
                None if word.len() <= 2 => day = Some(number(word)?),
                _ => year = year.or(Some(full_year(word)?)),
            }
        } else if month.is_none() && month_of(word).is_some() {
            month = month_of(word);
        } else if word.find('/') == Some(4) && word.as_bytes()[0].is_ascii_digit() {
            let mut parts = word.split('/').map(number);
            year = Some(parts.next()??);
            month = Some(parts.next()??);
            day = Some(parts.next()??);
        } else if !is_weekday(word) {
            zone = offset(word)?;
        }
    }
    Some((moment(year?, month?, day?, time)?, zone))
}

fn number(digits: &str) -> Option<i32> {
    let sound = (1..=4).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    sound.then(|| digits.parse().ok())?
}

/// Years of two and three digits are those from 1950 on (RFC 5322, section 4.3).
fn full_year(word: &str) -> Option<i32> {
    let year = number(word)?;
    Some(match word.len() {
        4 => year,
        2 if year < 50 => 2000 + year,
        _ => 1900 + year,
    })
}

fn month_of(word: &str) -> Option<i32> {
    let months = "janfebmaraprmayjunjulaugsepoctnovdec";
    let start = word.get(..3)?.to_ascii_lowercase();
    let at = (0..12).find(|month| months[month * 3..month * 3 + 3] == start)?;
    i32::try_from(at + 1).ok()
}

fn is_weekday(word: &str) -> bool {
    let start = word.get(..3).map(str::to_ascii_lowercase);
    start.is_some_and(|start| {
        ["mon", "tue", "wed", "thu", "fri", "sat", "sun"].contains(&start.as_str())
    })
}

/// A date with its time, which may be missing in part. A leap second counts as the second before it,
/// and hour 24 as the first of the same day, which is what those mean who write it.
fn moment(year: i32, month: i32, day: i32, time: &str) -> Option<DateTime> {
    let mut parts = time.split(':').map(str::trim);
    let mut next = |most: i32| -> Option<i32> {
        let part = parts.next().unwrap_or("");
        let whole = part.split('.').next().unwrap_or("");
        let value = if part.is_empty() { 0 } else { number(whole)? };
        (value <= most).then_some(value)
    };
    let (hour, minute, second) = (next(24)? % 24, next(59)?, next(60)?.min(59));
    if parts.next().is_some() {
        return None;
    }
    let fraction = time
        .rsplit(':')
        .next()
        .and_then(|part| part.split_once('.'));
    let digits = fraction.map_or("", |(_, digits)| digits);
    let nanosecond = format!("{digits:0<9}").get(..9)?.parse().ok()?;
    let small = |value: i32| i8::try_from(value).ok();
    let date = jiff::civil::Date::new(i16::try_from(year).ok()?, small(month)?, small(day)?);
    let time = jiff::civil::Time::new(small(hour)?, small(minute)?, small(second)?, nanosecond);
    Some(date.ok()?.to_datetime(time.ok()?))
}

/// A zone by its name or its distance from UTC. The names are RFC 822's, the American ones without
/// season, and those of middle Europe; what is not known is UTC (RFC 5322, section 4.3).
fn offset(zone: &str) -> Option<Offset> {
    let upper = zone.to_ascii_uppercase();
    let name = upper.trim_start_matches("ETC/");
    let hours = match name {
        "AT" | "EDT" => -4,
        "ET" | "EST" | "CDT" => -5,
        "CT" | "CST" | "MDT" => -6,
        "MT" | "MST" | "PDT" => -7,
        "PT" | "PST" => -8,
        "MET" | "CET" | "BST" => 1,
        "MEST" | "CEST" => 2,
        "JST" => 9,
        _ => 0,
    };
    let distance = name
        .trim_start_matches("GMT")
        .trim_start_matches("UTC")
        .trim_start_matches("UT");
    let Some(sign) = distance.chars().next().filter(|c| ['+', '-'].contains(c)) else {
        return Offset::from_hours(hours).ok();
    };
    let digits: String = distance[1..].chars().filter(|c| *c != ':').collect();
    let digits = if digits.len() <= 2 {
        format!("{digits}00")
    } else {
        digits
    };
    let value = number(&digits)?;
    let seconds = (value / 100 * 60 + value % 100) * 60;
    Offset::from_seconds(if sign == '-' { -seconds } else { seconds }).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, expected: &str) {
        assert_eq!(mend_date(text).as_deref(), Some(expected), "{text}");
    }

    // RFC 3339, 5.8, for the first four; RFC 9110, 5.6.7, for the three spellings of one instant.
    #[test]
    fn dates_of_the_standards_are_read() {
        check("1985-04-12T23:20:50.52Z", "1985-04-12T23:20:50.52Z");
        check("1996-12-19T16:39:57-08:00", "1996-12-20T00:39:57Z");
        check("1990-12-31T23:59:60Z", "1990-12-31T23:59:59Z");
        check("1937-01-01T12:00:27.87+00:20", "1937-01-01T11:40:27.87Z");
        for text in [
            "Sun, 06 Nov 1994 08:49:37 GMT",
            "Sunday, 06 Nov 94 08:49:37 GMT",
            "Sun Nov  6 08:49:37 1994",
        ] {
            check(text, "1994-11-06T08:49:37Z");
        }
    }

    #[test]
    fn what_others_write_is_read_where_it_is_plain() {
        check("Thu, 30 April, 2015 8:57 Etc/GMT", "2015-04-30T08:57:00Z");
        check("30 Apr 2015", "2015-04-30T00:00:00Z");
        check("2015-04", "2015-04-01T00:00:00Z");
        check("2015-04-30 08:57:00 +0200", "2015-04-30T06:57:00Z");
        check("30 Apr 2015 08:57 GMT+02:30", "2015-04-30T06:27:00Z");
        check("30 Apr 2015 24:10:00 nowhere", "2015-04-30T00:10:00Z");
    }

    #[test]
    fn what_is_out_of_range_is_no_date() {
        for text in [
            "",
            "soon",
            "2003-13-01",
            "31 Feb 2004",
            "2003-12-31T25:00:00Z",
            "1 Jan 2004 1:2:3:4",
            "9999-12-31T23:59:59-23:59",
            "2004/1/",
            "+:",
            "T",
            "1/2/3 Jan",
            "Jan 1 1 1 1 -99999",
            "2004-01-01T00:00:00.\u{e9}Z",
            "Jan",
        ] {
            assert_eq!(mend_date(text), None, "{text}");
        }
    }

    proptest::proptest! {
        #[test]
        fn any_text_is_a_date_or_none(text in "[-+:/., TZa-z0-9]{0,24}") {
            let _either = mend_date(&text);
        }
    }
}
