//! What an answer without a feed means and what to do about it, in one place for all who ask. Asks nothing.

use super::{FetchError, RetryAfter};

/// Who asks again, which decides what there is to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asker {
    /// The service, of itself, for a feed of the config.
    Service,
    /// A person, who has typed a command.
    Person,
}

impl Asker {
    /// What becomes of a trouble that passes.
    fn again(self) -> &'static str {
        match self {
            Self::Service => "it will be tried again",
            Self::Person => "try again later",
        }
    }
}

impl FetchError {
    /// The fault, and where it may pass by itself, what becomes of that.
    pub fn told(&self, asker: Asker) -> String {
        match self {
            Self::TimedOut { .. } | Self::Damaged { .. } => format!("{self}; {}", asker.again()),
            _ => self.to_string(),
        }
    }
}

/// What a status that brings no feed means, and what to do. `wish` is when the server wants to be asked again.
pub fn status_text(status: u16, wish: Option<RetryAfter>, asker: Asker) -> String {
    let person = asker == Asker::Person;
    let (meaning, mend) = match status {
        401 | 403 if person => (
            "the server refuses access",
            "a feed behind a password needs `headers` in the config",
        ),
        401 | 403 => (
            "the server refuses access",
            "check the headers given for this feed in the config",
        ),
        404 if person => (
            "there is nothing at this address",
            "look on the site for the right one",
        ),
        404 => (
            "there is nothing at this address",
            "look on the site for the feed's new address and put it into the config",
        ),
        410 if person => (
            "what was at this address is gone for good",
            "look on the site whether there is another",
        ),
        410 => (
            "the feed is gone for good",
            "it is not asked any more; take it out of the config",
        ),
        429 if person => ("the server wants to be asked less often", asker.again()),
        429 => (
            "the server wants to be asked less often",
            "raise `every`; it will be tried again",
        ),
        500..=599 => ("the server has a fault of its own", asker.again()),
        _ => return format!("the server answers with status {status} and no feed"),
    };
    let wish = wish.filter(|_| matches!(status, 429 | 503)).map(wish_text);
    format!(
        "{meaning} (status {status}); {mend}{}",
        wish.unwrap_or_default()
    )
}

fn wish_text(wish: RetryAfter) -> String {
    match wish {
        RetryAfter::Seconds(seconds) => {
            let pause = jiff::SignedDuration::from_secs(i64::try_from(seconds).unwrap_or(i64::MAX));
            format!(", not before {pause:#} from now")
        }
        RetryAfter::At(instant) => {
            format!(", not before {}", instant.strftime("%F %H:%M UTC"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The meanings of RFC 9110 sections 15.5 and 15.6 and RFC 6585 section 4.
    #[test]
    fn a_person_is_told_to_try_again_and_the_service_does_so_itself() {
        for status in 400..600 {
            let told = |asker| status_text(status, None, asker);
            let (service, person) = (told(Asker::Service), told(Asker::Person));
            assert!(service.contains(&format!("status {status}")), "{service}");
            assert!(!person.contains("will be tried"), "{person}");
            assert!(!service.contains("try again"), "{service}");
        }
        let wished = |wish| status_text(503, Some(wish), Asker::Service);
        assert_eq!(
            wished(RetryAfter::Seconds(7_260)),
            "the server has a fault of its own (status 503); it will be tried again, not before 2h 1m from now"
        );
        let at = RetryAfter::At("2031-04-01T06:00:00Z".parse().unwrap());
        assert!(wished(at).ends_with(", not before 2031-04-01 06:00 UTC"));
        // Elsewhere it is no pause but a hint of when what was asked for is ready.
        let absent = status_text(404, Some(at), Asker::Person);
        assert!(!absent.contains("2031"), "{absent}");
    }

    #[test]
    fn what_may_pass_is_told_with_what_becomes_of_it() {
        let damaged = FetchError::Damaged {
            host: "quay.example.org:443".into(),
            cause: "it broke off".into(),
        };
        assert!(
            damaged
                .told(Asker::Service)
                .ends_with("; it will be tried again")
        );
        assert!(damaged.told(Asker::Person).ends_with("; try again later"));
        let refused = FetchError::ConnectionRefused {
            host: "quay.example.org:443".into(),
        };
        assert_eq!(refused.told(Asker::Person), refused.to_string());
    }
}
