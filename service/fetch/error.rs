//! What can go wrong between a URL and its bytes, in words that a person can act on.
//!
//! Messages name the host alone: paths and queries may hold secrets, and headers always may.

use std::error::Error;
use std::io;
use std::time::Duration;

use super::resolve::ResolveFault;
use crate::address::Refused;

/// Why nothing was fetched.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FetchError {
    /// The client itself could not be made.
    #[error(
        "the HTTP client cannot start: {cause}; check that the machine's certificate store \
         (often the package ca-certificates) is installed"
    )]
    Setup {
        /// What the client library said.
        cause: String,
    },
    /// A request header that HTTP cannot carry. The value is not repeated.
    #[error("the request header {name} cannot be sent; check its name and value in the config")]
    Header {
        /// Its name as given.
        name: String,
    },
    /// The policy forbids the address, at the start or after a redirect.
    #[error("{}{refused}{}",
        redirect_note(redirected_by.as_deref()),
        public_note(refused, *public_only)
    )]
    Refused {
        /// Which rule it broke and the way out.
        refused: Refused,
        /// The host that redirected to it, if one did.
        redirected_by: Option<String>,
        /// Whether the request was one that the policy's exceptions do not hold for.
        public_only: bool,
    },
    /// The host's name has no address.
    #[error(
        "the name {host} was not found ({cause}); check the spelling, and whether this machine \
         can resolve names"
    )]
    NameNotFound {
        /// The host.
        host: String,
        /// What the resolver said.
        cause: String,
    },
    /// The connection stands, but is not trusted or speaks no TLS.
    #[error(
        "the secure connection to {host} failed ({cause}); the site's certificate may be wrong \
         or out of date, or it speaks plain http there, and its address begins with http://"
    )]
    Tls {
        /// The host.
        host: String,
        /// What the TLS library said.
        cause: String,
    },
    /// Nothing listens there.
    #[error("{host} refused the connection; check the port, and whether the site is up")]
    ConnectionRefused {
        /// The host with its port.
        host: String,
    },
    /// No connection for another reason.
    #[error("{host} cannot be reached ({cause}); check this machine's network")]
    Unreachable {
        /// The host with its port.
        host: String,
        /// What the system said.
        cause: String,
    },
    /// A limit of time ran out.
    #[error("{host} did not {step} within {} s", limit.as_secs_f32())]
    TimedOut {
        /// The host.
        host: String,
        /// What was waited for: `connect` or `finish its answer`, with or without its redirects.
        step: &'static str,
        /// How long.
        limit: Duration,
    },
    /// A cap of size was reached; nothing is kept of the answer.
    #[error(
        "the answer of {host} is over the cap of {cap} bytes for {what}; it is not read until \
             its publisher makes it smaller"
    )]
    TooBig {
        /// The host.
        host: String,
        /// What the cap is for.
        what: &'static str,
        /// The cap in bytes.
        cap: usize,
    },
    /// The chain of redirects does not end.
    #[error(
        "more than {limit} redirects, the last from {host}; open the address in a browser and \
         give the one that it ends at"
    )]
    TooManyRedirects {
        /// The host of the last redirect.
        host: String,
        /// How many are followed.
        limit: usize,
    },
    /// A redirect that leads nowhere.
    #[error("{host} redirects without a usable target ({cause}); its owner has to mend that")]
    BadRedirect {
        /// The host.
        host: String,
        /// What is wrong with the target.
        cause: String,
    },
    /// The answer broke off, or is no HTTP, or cannot be decompressed.
    #[error("the answer of {host} is damaged ({cause})")]
    Damaged {
        /// The host.
        host: String,
        /// What is wrong with it.
        cause: String,
    },
}

fn redirect_note(redirected_by: Option<&str>) -> String {
    redirected_by.map_or_else(String::new, |host| {
        format!("{host} redirects to an address that is not fetched: ")
    })
}

fn public_note(refused: &Refused, public_only: bool) -> &'static str {
    match refused {
        Refused::LocalName { .. } | Refused::Address { .. } if public_only => {
            " as a feed of its own: that does not open it to what public feeds lead to"
        }
        _ => "",
    }
}

/// Reads what the HTTP client reports; `host` comes with its port.
pub(super) fn from_client(
    error: &reqwest::Error,
    host: &str,
    secure: bool,
    connect_limit: Duration,
) -> FetchError {
    let host = host.to_owned();
    let connecting = error.is_connect();
    let chain: Vec<&dyn Error> = causes(error).collect();
    let cause = chain.last().map_or_else(String::new, ToString::to_string);
    let io_kind = |wanted: io::ErrorKind| {
        chain
            .iter()
            .filter_map(|cause| cause.downcast_ref::<io::Error>())
            .any(|fault| fault.kind() == wanted)
    };
    let resolving = chain
        .iter()
        .find_map(|cause| cause.downcast_ref::<ResolveFault>());
    if let Some(fault) = resolving {
        return match fault.clone() {
            ResolveFault::Refused(refused) => FetchError::Refused {
                refused,
                redirected_by: None,
                public_only: false,
            },
            ResolveFault::NotFound(cause) => FetchError::NameNotFound {
                host: host
                    .rsplit_once(':')
                    .map_or(&*host, |(name, _)| name)
                    .to_owned(),
                cause,
            },
        };
    }
    if error.is_timeout() {
        return FetchError::TimedOut {
            host,
            step: "connect",
            limit: connect_limit,
        };
    }
    if io_kind(io::ErrorKind::ConnectionRefused) {
        return FetchError::ConnectionRefused { host };
    }
    // The TLS library reports its faults as invalid data, and a hang-up as an early end.
    let handshake_fault =
        io_kind(io::ErrorKind::InvalidData) || io_kind(io::ErrorKind::UnexpectedEof);
    match (connecting, secure && handshake_fault) {
        (true, true) => FetchError::Tls { host, cause },
        (true, false) => FetchError::Unreachable { host, cause },
        (false, _) => FetchError::Damaged { host, cause },
    }
}

/// The causes below `error`, outermost first. The client's own line is left out, since it
/// repeats the whole URL.
fn causes<'a>(error: &'a (dyn Error + 'static)) -> impl Iterator<Item = &'a (dyn Error + 'static)> {
    std::iter::successors(error.source(), |cause: &&'a (dyn Error + 'static)| {
        let cause: &'a (dyn Error + 'static) = *cause;
        // An io::Error passes over the error that it wraps when asked for its source.
        match cause
            .downcast_ref::<io::Error>()
            .and_then(io::Error::get_ref)
        {
            Some(wrapped) => Some(wrapped as &(dyn Error + 'static)),
            None => cause.source(),
        }
    })
}
