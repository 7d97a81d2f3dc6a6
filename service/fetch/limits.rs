//! How long and how much one fetch may take. Holds numbers only.

use std::time::Duration;

/// The caps of one fetch. The defaults suit a home server: figures without a source are common
/// practice.
#[derive(Debug, Clone)]
pub struct Limits {
    /// Time for the name, the connection and its TLS handshake. Default 10 s.
    pub connect_timeout: Duration,
    /// Time for one hop, from the start of its connection to the last byte of its body, so that
    /// a body that trickles is cut too. Waiting for another request to the same host does not
    /// count. Default 30 s.
    pub hop_timeout: Duration,
    /// Time for one whole fetch, all its hops together, so that a chain of slow redirects takes
    /// no multiple of `hop_timeout`. Waiting for another request to the same host does not count.
    /// Default 60 s: a slow answer behind one slow redirect.
    pub total_timeout: Duration,
    /// For how long a connection is kept that nobody uses. Default 2 s: the pages of a feed's entries are asked for
    /// one right after another, and with thousands of feeds, each on a host of its own, a system that gives a
    /// process 1,024 open files would run out of them. Common practice is a minute and more, for clients of few hosts.
    pub idle_timeout: Duration,
    /// Bytes of a body as it is sent, compressed or not. Default 8 MiB: a feed of 1 MB is called
    /// a burden already (JSON Feed 1.1).
    pub sent_bytes: usize,
    /// Bytes of a body after decompression. Default 16 MiB; DEFLATE alone packs about a thousand
    /// to one (zlib technical notes), so the input's size bounds nothing.
    pub body_bytes: usize,
    /// Bytes of all header fields of one answer, each with the four bytes of its punctuation.
    /// Default 64 KiB. Over HTTP/2 it is announced and kept while reading. Over HTTP/1 hyper
    /// gives up at 100 fields or once its buffer of 417,792 bytes is full, neither of which the
    /// client lets us lower to this; what it has read is then held to this cap.
    pub header_bytes: u32,
    /// Redirects followed in one fetch. Default 5, the most that RFC 2068 section 10.3
    /// recommended; RFC 9110 section 15.4 still warns that some clients stop there, so a server
    /// that asks for more is at fault.
    pub redirects: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            connect_timeout: Duration::from_secs(10),
            hop_timeout: Duration::from_secs(30),
            total_timeout: Duration::from_secs(60),
            idle_timeout: Duration::from_secs(2),
            sent_bytes: 8 << 20,
            body_bytes: 16 << 20,
            header_bytes: 64 << 10,
            redirects: 5,
        }
    }
}
