//! How far a request may reach: whether the policy's exceptions hold for it. Connects to nothing.

use std::net::IpAddr;

use crate::address::Policy;

/// Which addresses a request and its redirects may reach. A stranger's feed must not have pages of
/// the home network fetched by linking to them, so the policy's exceptions serve only what a
/// person named and what private addresses themselves lead to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Public addresses only, whatever the policy excepts.
    Public,
    /// For an address that a person gave: the exceptions hold for it, and for its redirects where
    /// it turns out to be a private one.
    Named,
    /// For what a private address leads to: the exceptions hold throughout.
    Private,
}

impl Reach {
    /// How far what an answer leads to may reach, by the address that gave the answer. The address
    /// of the very connection is taken, so that no second look-up of the name can change it.
    pub(super) fn after(self, answered_by: Option<IpAddr>) -> Self {
        match self {
            Self::Named => {
                let strict = Policy::default();
                let private = answered_by.is_some_and(|ip| strict.check_ip("", ip).is_err());
                if private { Self::Private } else { Self::Public }
            }
            settled => settled,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_named_address_opens_private_ones_only_where_it_is_private_itself() {
        let after = |reach: Reach, ip: &str| reach.after(Some(ip.parse().unwrap()));
        for private in [
            "192.168.1.7",
            "127.0.0.1",
            "10.0.0.1",
            "::ffff:10.0.0.1",
            "fd00::1",
        ] {
            assert_eq!(after(Reach::Named, private), Reach::Private, "{private}");
            assert_eq!(after(Reach::Public, private), Reach::Public, "{private}");
        }
        // They stand for any public address; nothing is sent to them.
        for public in ["1.0.0.1", "2000::1"] {
            assert_eq!(after(Reach::Named, public), Reach::Public, "{public}");
            assert_eq!(after(Reach::Private, public), Reach::Private, "{public}");
        }
        assert_eq!(Reach::Named.after(None), Reach::Public);
    }
}
