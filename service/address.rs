//! Which addresses may be fetched: a policy over parsed URLs and IP addresses. Pure.
//!
//! It never resolves a name and never connects; whoever does hands each resolved address to
//! [`Policy::check_ip`] and connects to the address that was checked.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

use ipnet::{IpNet, Ipv4Net, Ipv6Net};
use url::{Host, Url};

#[cfg(test)]
pub(crate) mod registry;
#[cfg(test)]
mod tests;

/// One exception from the rule that only public addresses are fetched.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Allowed {
    /// Every address of this range, whatever the name that leads to it.
    Range(IpNet),
    /// This host, a name or an IP address, whatever the address that the name resolves to.
    Host(String),
}

/// Why an address is not fetched.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// Neither http nor https.
    #[error("{scheme}: addresses are not fetched; give one that starts with http:// or https://")]
    Scheme {
        /// The scheme without its colon.
        scheme: String,
    },
    /// A URL without a host.
    #[error("the address names no host; write it in full, as in https://example.org/feed")]
    NoHost,
    /// A user name or a password in the URL. Its text is not repeated here.
    #[error(
        "the address at {host} holds a user name or a password, which would be logged wherever \
         the address is; take them out and send them as a request header"
    )]
    Credentials {
        /// The host without the credentials.
        host: String,
    },
    /// A name that stands for the machine itself (RFC 6761 section 6.3).
    #[error(
        "{host} is a name of this machine itself and is not fetched; if that is meant, name it \
         in allow_private"
    )]
    LocalName {
        /// The host as the URL gives it.
        host: String,
    },
    /// An address that is not a public one.
    #[error(
        "{} and is not fetched; if that is meant, name it in allow_private",
        what_was_found(host, *ip, purpose)
    )]
    Address {
        /// The host as the URL gives it.
        host: String,
        /// The address as it was resolved.
        ip: IpAddr,
        /// What the address is for, with its article: `a private address`.
        purpose: &'static str,
    },
}

/// The rule that every fetched address keeps: http or https, no credentials, a public address.
#[derive(Debug, Clone, Default)]
pub struct Policy {
    ranges: Vec<IpNet>,
    hosts: Vec<String>,
}

impl Policy {
    /// A policy that refuses everything but public addresses and `allowed`.
    pub fn new(allowed: Vec<Allowed>) -> Self {
        let mut policy = Self::default();
        for exception in allowed {
            match exception {
                Allowed::Range(range) => policy.ranges.push(range),
                Allowed::Host(host) => match host_as_url_reads_it(&host) {
                    Host::Ipv4(ip) => policy.ranges.push(IpAddr::V4(ip).into()),
                    Host::Ipv6(ip) => policy.ranges.push(IpAddr::V6(ip).into()),
                    Host::Domain(name) => policy.hosts.push(without_final_dot(&name).to_owned()),
                },
            }
        }
        policy
    }

    /// Checks all that can be checked before a name is resolved: the scheme, the absence of
    /// credentials, and a host that is an IP address in any spelling that browsers accept.
    ///
    /// # Errors
    /// [`Refused`], which says what to do.
    pub fn check_url(&self, url: &Url) -> Result<(), Refused> {
        if !matches!(url.scheme(), "http" | "https") {
            return Err(Refused::Scheme {
                scheme: url.scheme().to_owned(),
            });
        }
        let host = url.host().ok_or(Refused::NoHost)?;
        if !url.username().is_empty() || url.password().is_some() {
            return Err(Refused::Credentials {
                host: host.to_string(),
            });
        }
        match host {
            Host::Ipv4(ip) => self.check_ip(&ip.to_string(), IpAddr::V4(ip)),
            Host::Ipv6(ip) => self.check_ip(&ip.to_string(), IpAddr::V6(ip)),
            Host::Domain(name) => self.check_name(name),
        }
    }

    /// Checks one address that `host` resolved to.
    ///
    /// # Errors
    /// [`Refused::Address`] for an address that is neither public nor allowed.
    pub fn check_ip(&self, host: &str, ip: IpAddr) -> Result<(), Refused> {
        let Some(purpose) = special_purpose(ip) else {
            return Ok(());
        };
        // A mapped address reaches the IPv4 host itself, so it is allowed with that host.
        let canonical = ip.to_canonical();
        let in_range = self
            .ranges
            .iter()
            .any(|range| range.contains(&ip) || range.contains(&canonical));
        if in_range || self.names(host) {
            return Ok(());
        }
        Err(Refused::Address {
            host: host.to_owned(),
            ip,
            purpose,
        })
    }

    fn check_name(&self, name: &str) -> Result<(), Refused> {
        let bare = without_final_dot(name).to_ascii_lowercase();
        let local = bare == "localhost" || bare.ends_with(".localhost");
        // With a loopback range allowed, each resolved address decides.
        let loopback_open = self.ranges.iter().any(|range| {
            range.addr().is_loopback() || range.contains(&IpAddr::V4(Ipv4Addr::LOCALHOST))
        });
        if local && !loopback_open && !self.names(name) {
            return Err(Refused::LocalName {
                host: name.to_owned(),
            });
        }
        Ok(())
    }

    fn names(&self, host: &str) -> bool {
        let bare = without_final_dot(host);
        self.hosts
            .iter()
            .any(|allowed| allowed.eq_ignore_ascii_case(bare))
    }
}

fn what_was_found(host: &str, ip: IpAddr, purpose: &str) -> String {
    if host.parse() == Ok(ip) {
        format!("{ip} is {purpose}")
    } else {
        format!("{host} leads to {ip}, {purpose},")
    }
}

/// Reads a host by the URL standard; one that cannot be read stays a name that nothing matches.
fn host_as_url_reads_it(host: &str) -> Host<String> {
    if let Ok(ip) = host.parse::<Ipv6Addr>() {
        return Host::Ipv6(ip);
    }
    Host::parse(host).unwrap_or_else(|_| Host::Domain(host.to_owned()))
}

fn without_final_dot(name: &str) -> &str {
    name.strip_suffix('.').unwrap_or(name)
}

const fn v4(a: u8, b: u8, c: u8, d: u8, prefix_length: u8) -> Ipv4Net {
    Ipv4Net::new_assert(Ipv4Addr::new(a, b, c, d), prefix_length)
}

const fn v6(high: u128, prefix_length: u8) -> Ipv6Net {
    Ipv6Net::new_assert(Ipv6Addr::from_bits(high << 64), prefix_length)
}

/// Ranges of the IANA IPv4 Special-Purpose Address Registry (RFC 6890 and its updates) that hold
/// no public host, and multicast (RFC 5771). Its three ranges of anycast services are among them
/// although anyone reaches some host there: which one is up to the network, so that it may be one of the
/// home (RFC 7534 lets anyone run one), and none of them has a feed.
const SPECIAL_V4: [(Ipv4Net, &str); 19] = [
    (v4(0, 0, 0, 0, 8), "an address of this network (RFC 791)"),
    (v4(10, 0, 0, 0, 8), "a private address (RFC 1918)"),
    (v4(100, 64, 0, 0, 10), "a provider's own address (RFC 6598)"),
    (v4(127, 0, 0, 0, 8), "this machine itself (RFC 1122)"),
    (v4(169, 254, 0, 0, 16), "a link-local address (RFC 3927)"),
    (v4(172, 16, 0, 0, 12), "a private address (RFC 1918)"),
    (
        v4(192, 0, 0, 0, 24),
        "an address kept for protocols (RFC 6890)",
    ),
    (
        v4(192, 0, 2, 0, 24),
        "an address for documentation (RFC 5737)",
    ),
    (
        v4(192, 31, 196, 0, 24),
        "a name server's shared address (RFC 7535)",
    ),
    (
        v4(192, 52, 193, 0, 24),
        "a multicast relay's shared address (RFC 7450)",
    ),
    (
        v4(192, 175, 48, 0, 24),
        "a name server's shared address (RFC 7534)",
    ),
    (v4(192, 88, 99, 0, 24), "a former relay address (RFC 7526)"),
    (v4(192, 168, 0, 0, 16), "a private address (RFC 1918)"),
    (
        v4(198, 18, 0, 0, 15),
        "an address for benchmarks (RFC 2544)",
    ),
    (
        v4(198, 51, 100, 0, 24),
        "an address for documentation (RFC 5737)",
    ),
    (
        v4(203, 0, 113, 0, 24),
        "an address for documentation (RFC 5737)",
    ),
    (v4(224, 0, 0, 0, 4), "a multicast address (RFC 5771)"),
    (
        v4(255, 255, 255, 255, 32),
        "the broadcast address (RFC 919)",
    ),
    (v4(240, 0, 0, 0, 4), "a reserved address (RFC 1112)"),
];

/// Ranges of the IANA IPv6 Special-Purpose Address Registry that hold no public host, and those
/// outside global unicast that deserve a plainer word than [`NOT_GLOBAL_UNICAST`].
const SPECIAL_V6: [(Ipv6Net, &str); 12] = [
    (
        Ipv6Net::new_assert(Ipv6Addr::LOCALHOST, 128),
        "this machine itself (RFC 4291)",
    ),
    (
        Ipv6Net::new_assert(Ipv6Addr::UNSPECIFIED, 128),
        "no address at all (RFC 4291)",
    ),
    (
        v6(0x0064_ff9b_0001_0000, 48),
        "a local translation address (RFC 8215)",
    ),
    (
        v6(0x0100_0000_0000_0000, 64),
        "a discard-only address (RFC 6666)",
    ),
    (
        v6(0x2001_0000_0000_0000, 23),
        "an address kept for protocols (RFC 2928)",
    ),
    (
        v6(0x2001_0db8_0000_0000, 32),
        "an address for documentation (RFC 3849)",
    ),
    (
        v6(0x2620_004f_8000_0000, 48),
        "a name server's shared address (RFC 7534)",
    ),
    (
        v6(0x3fff_0000_0000_0000, 20),
        "an address for documentation (RFC 9637)",
    ),
    (v6(0xfc00_0000_0000_0000, 7), "a private address (RFC 4193)"),
    (
        v6(0xfe80_0000_0000_0000, 10),
        "a link-local address (RFC 4291)",
    ),
    (
        v6(0xfec0_0000_0000_0000, 10),
        "a former site-local address (RFC 3879)",
    ),
    (
        v6(0xff00_0000_0000_0000, 8),
        "a multicast address (RFC 4291)",
    ),
];

/// The only part of IPv6 that is handed out to public hosts (IANA IPv6 Address Space registry).
const GLOBAL_UNICAST: Ipv6Net = v6(0x2000_0000_0000_0000, 3);
const NOT_GLOBAL_UNICAST: &str = "outside the part of IPv6 that public hosts have (RFC 4291)";

/// Addresses that a gateway turns into IPv4, whose last 32 bits are the IPv4 address (RFC 6052).
const NAT64: Ipv6Net = v6(0x0064_ff9b_0000_0000, 96);
/// Addresses that a relay turns into IPv4, whose bits 16 to 47 are the IPv4 address (RFC 3056).
const SIX_TO_FOUR: Ipv6Net = v6(0x2002_0000_0000_0000, 16);

/// What the address is for if it is no public unicast address. Each range is asked by itself,
/// since the ready-made notions of a global address let multicast and embedded IPv4 through.
fn special_purpose(ip: IpAddr) -> Option<&'static str> {
    match ip {
        IpAddr::V4(ip) => special_purpose_v4(ip),
        IpAddr::V6(ip) => match embedded_v4(ip) {
            Some(embedded) => special_purpose_v4(embedded),
            None => special_purpose_v6(ip),
        },
    }
}

fn special_purpose_v4(ip: Ipv4Addr) -> Option<&'static str> {
    SPECIAL_V4
        .iter()
        .find(|(range, _)| range.contains(&ip))
        .map(|(_, purpose)| *purpose)
}

fn special_purpose_v6(ip: Ipv6Addr) -> Option<&'static str> {
    SPECIAL_V6
        .iter()
        .find(|(range, _)| range.contains(&ip))
        .map(|(_, purpose)| *purpose)
        .or_else(|| (!GLOBAL_UNICAST.contains(&ip)).then_some(NOT_GLOBAL_UNICAST))
}

/// The IPv4 address that a packet to `ip` ends at: mapped (RFC 4291 section 2.5.5.2), NAT64 or
/// 6to4. The deprecated compatible form (section 2.5.5.1) reaches nothing and counts as
/// IPv6 outside global unicast.
fn embedded_v4(ip: Ipv6Addr) -> Option<Ipv4Addr> {
    let [_, a, b, _, _, _, c, d] = ip.segments();
    let join = |high: u16, low: u16| Ipv4Addr::from_bits(u32::from(high) << 16 | u32::from(low));
    if let Some(mapped) = ip.to_ipv4_mapped() {
        return Some(mapped);
    }
    if NAT64.contains(&ip) {
        return Some(join(c, d));
    }
    SIX_TO_FOUR.contains(&ip).then(|| join(a, b))
}
