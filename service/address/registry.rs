//! Every row of the IANA IPv4 and IPv6 Special-Purpose Address Registries, for tests alone: the range
//! and the RFC that the registry names. Judges nothing.
//!
//! The registries (RFC 6890, RFC 8190) are iana.org/assignments/iana-ipv4-special-registry and
//! iana-ipv6-special-registry. Rows that name a range within another stand here too, so that each is
//! asked by itself. The rows and the numbers of their RFCs are written down from memory.

/// Rows of both registries, and the ranges beside them that are no unicast or no longer in use. In all
/// of them nothing is fetched.
pub(crate) const REFUSED: &[(&str, &str)] = &[
    ("0.0.0.0/8", "RFC 791"),
    ("0.0.0.0/32", "RFC 1122"),
    ("10.0.0.0/8", "RFC 1918"),
    ("100.64.0.0/10", "RFC 6598"),
    ("127.0.0.0/8", "RFC 1122"),
    ("169.254.0.0/16", "RFC 3927"),
    ("172.16.0.0/12", "RFC 1918"),
    ("192.0.0.0/24", "RFC 6890"),
    ("192.0.0.0/29", "RFC 7335"),
    ("192.0.0.8/32", "RFC 7600"),
    ("192.0.0.9/32", "RFC 7723"),
    ("192.0.0.10/32", "RFC 8155"),
    ("192.0.0.170/32", "RFC 7050"),
    ("192.0.0.171/32", "RFC 7050"),
    ("192.0.2.0/24", "RFC 5737"),
    ("192.31.196.0/24", "RFC 7535"),
    ("192.52.193.0/24", "RFC 7450"),
    ("192.88.99.0/24", "RFC 7526"),
    ("192.88.99.2/32", "RFC 6751"),
    ("192.168.0.0/16", "RFC 1918"),
    ("192.175.48.0/24", "RFC 7534"),
    ("198.18.0.0/15", "RFC 2544"),
    ("198.51.100.0/24", "RFC 5737"),
    ("203.0.113.0/24", "RFC 5737"),
    ("240.0.0.0/4", "RFC 1112"),
    ("255.255.255.255/32", "RFC 919"),
    // The IPv4 Multicast Address Space registry.
    ("224.0.0.0/4", "RFC 5771"),
    ("::1/128", "RFC 4291"),
    ("::/128", "RFC 4291"),
    ("64:ff9b:1::/48", "RFC 8215"),
    ("100::/64", "RFC 6666"),
    ("100:0:0:1::/64", "RFC 9780"),
    ("2001::/23", "RFC 2928"),
    ("2001::/32", "RFC 4380"),
    ("2001:1::1/128", "RFC 7723"),
    ("2001:1::2/128", "RFC 8155"),
    ("2001:1::3/128", "RFC 9665"),
    ("2001:2::/48", "RFC 5180"),
    ("2001:3::/32", "RFC 7450"),
    ("2001:4:112::/48", "RFC 7535"),
    ("2001:10::/28", "RFC 4843"),
    ("2001:20::/28", "RFC 7343"),
    ("2001:30::/28", "RFC 9374"),
    ("2001:db8::/32", "RFC 3849"),
    ("2620:4f:8000::/48", "RFC 7534"),
    ("3fff::/20", "RFC 9637"),
    ("5f00::/16", "RFC 9602"),
    ("fc00::/7", "RFC 4193"),
    ("fe80::/10", "RFC 4291"),
    // The IPv6 Address Space registry: former site-local addresses, and multicast.
    ("fec0::/10", "RFC 3879"),
    ("ff00::/8", "RFC 4291"),
];

/// The rows whose addresses stand for an IPv4 address: how its 32 bits stand in them, as a start
/// before two groups of 16 bits and an end behind.
pub(crate) const EMBEDDING: &[(&str, &str, &str)] = &[
    ("::ffff:", "", "RFC 4291"),
    ("64:ff9b::", "", "RFC 6052"),
    ("2002:", "::1", "RFC 3056"),
];

/// Spellings of inner addresses that browsers read as such (WHATWG URL Standard, host parsing), with the
/// address that each stands for.
pub(crate) const SPELLINGS: &[(&str, &str)] = &[
    ("http://127.1/", "127.0.0.1"),
    ("http://0x7f000001/", "127.0.0.1"),
    ("http://2130706433/", "127.0.0.1"),
    ("http://0177.0.0.1/", "127.0.0.1"),
    ("http://0x7f.1/", "127.0.0.1"),
    ("http://①②⑦.⓪.⓪.①/", "127.0.0.1"),
    ("http://127。0。0。1/", "127.0.0.1"),
    ("http://%31%32%37.0.0.1/", "127.0.0.1"),
    ("http://127.0.0.1./", "127.0.0.1"),
    ("http:\\\\127.0.0.1\\", "127.0.0.1"),
    ("http://0/", "0.0.0.0"),
    ("http://3232235777/", "192.168.1.1"),
    ("http://[::1]/", "::1"),
    ("http://[0:0:0:0:0:0:0:1]/", "::1"),
    ("http://[::ffff:127.0.0.1]/", "::ffff:127.0.0.1"),
    ("http://[::ffff:a9fe:a9fe]/", "::ffff:169.254.169.254"),
    ("http://[64:ff9b::7f00:1]/", "64:ff9b::7f00:1"),
    ("http://[2002:7f00:1::]/", "2002:7f00:1::"),
    ("http://[::7f00:1]/", "::7f00:1"),
];
