//! The publisher of Kestrel Quay, an invented harbour town: a small web server whose feeds and
//! pages `tondo demo` pulls as it would pull any other. It owns the town's texts and their printing.
//! It never fetches, stores or distils anything, and nothing but the demo and tests may use it.

mod answer;
mod content;
mod print;
mod site;
mod sound;
#[cfg(test)]
mod tests;

use std::{io, sync::Arc};

use jiff::Timestamp;
use tokio::net::TcpListener;
use tokio_util::sync::CancellationToken;
use url::Url;

/// One feed of the town, ready to be subscribed to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TownFeed {
    /// Where the publisher serves it.
    pub address: Url,
    /// The publication's title.
    pub title: &'static str,
    /// The group under which a reader may file it.
    pub group: &'static str,
}

/// One article of the town as its author handed it in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TownArticle {
    /// The publication that it is of.
    pub publication: &'static str,
    /// What its addresses are made of: the publication's part and its own.
    pub name: (&'static str, &'static str),
    /// Its title.
    pub title: &'static str,
    /// Who wrote it.
    pub author: &'static str,
    /// BCP 47.
    pub language: &'static str,
    /// Its text, a fragment of HTML without the title.
    pub html: &'static str,
}

/// Every article of the town, publication after publication.
pub fn articles() -> impl Iterator<Item = TownArticle> {
    content::publications().iter().flat_map(|publication| {
        publication.articles.iter().map(|piece| TownArticle {
            publication: &publication.title,
            name: (&publication.key, &piece.slug),
            title: &piece.title,
            author: &piece.author,
            language: &publication.language,
            html: publication.text(piece),
        })
    })
}

/// Publishes the town on `listener` until `shutdown` is cancelled; requests under way are finished.
///
/// The addresses in feeds and pages are those of the listener, which should therefore be bound to
/// the address by which it is asked, as loopback is. Every article appeared its number of hours
/// before `now`.
///
/// # Errors
/// Where the listener has no local address, or can no longer accept connections.
pub async fn publish(
    listener: TcpListener,
    now: Timestamp,
    shutdown: CancellationToken,
) -> io::Result<()> {
    let base = Url::parse(&format!("http://{}/", listener.local_addr()?))
        .map_err(|error| io::Error::new(io::ErrorKind::AddrNotAvailable, error))?;
    let site = Arc::new(site::Site::build(&base, now));
    axum::serve(listener, answer::router(site))
        .with_graceful_shutdown(shutdown.cancelled_owned())
        .await
}

/// The town's feeds as a publisher at `base` serves them, in the order in which they were founded.
///
/// `base` is the publisher's root, such as `http://127.0.0.1:8091/`.
pub fn subscriptions(base: &Url) -> Vec<TownFeed> {
    let feed = |publication: &'static content::Publication| TownFeed {
        address: site::address(base, &publication.feed_path()),
        title: &publication.title,
        group: &publication.group,
    };
    content::publications().iter().map(feed).collect()
}
