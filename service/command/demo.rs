//! `demo`: the whole service on the publications of an invented harbour town, in a temporary store.

use std::net::{Ipv4Addr, SocketAddr};

use clap::Args;
use jiff::tz::TimeZone;
use tokio_util::sync::CancellationToken;
use url::Url;

use super::Ended;
use super::household::Household;
use super::progress::Progress;
use super::serve::{listen, serve, tell_addresses};
use crate::clock::Clock;
use crate::config::{
    Allow, Config, DEFAULT_EVERY_MINUTES, FullText, ReadEntries, Screen, Shelf, Shelves,
    Subscription,
};
use crate::town;

/// The arguments of `demo`.
#[derive(Debug, Args)]
pub struct Demo {
    /// Where to serve; 0.0.0.0:8090 lets a watch in the same network in.
    #[arg(long, default_value = "127.0.0.1:8090")]
    listen: SocketAddr,
}

impl Demo {
    /// Publishes, gathers and serves until `stop` is cancelled.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub async fn run(self, stop: CancellationToken) -> Result<(), Ended> {
        let listener = listen(self.listen).await?;
        let publisher = listen(SocketAddr::from((Ipv4Addr::LOCALHOST, 0))).await?;
        let base = Url::parse(&format!("http://{}/", publisher.local_addr()?))?;
        let publishing = tokio::spawn(town::publish(
            publisher,
            Clock::system().now(),
            stop.clone(),
        ));
        let folder = tempfile::tempdir()?;
        let household =
            Household::open(config(&base, &listener.local_addr()?, folder.path())).await?;
        let progress = Progress::new();
        let summary = household
            .conductor
            .refresh_due(|told| progress.tell(told))
            .await?;
        progress.end();
        println!(
            "Kestrel Quay: {} articles of {} publications, all of them invented.",
            summary.added, summary.feeds
        );
        tell_addresses(&listener)?;
        println!(
            "Stop to read: never while walking, driving, cycling or riding. Ctrl-C ends the demo and leaves nothing behind."
        );
        serve(household, listener, stop).await?;
        publishing.await??;
        if summary.failed > 0 {
            Err(Ended::Partly)
        } else {
            Ok(())
        }
    }
}

/// A config as a file would give it, with the town's feeds.
fn config(base: &Url, listen: &SocketAddr, data: &std::path::Path) -> Config {
    let feeds = town::subscriptions(base)
        .into_iter()
        .map(|feed| Subscription {
            url: feed.address,
            title: Some(feed.title.to_owned()),
            group: Some(feed.group.to_owned()),
            full_text: FullText::Auto,
            every_minutes: DEFAULT_EVERY_MINUTES,
            headers: Vec::new(),
            shelf: Shelf::default(),
            outline: Vec::new(),
        });
    Config {
        listen: *listen,
        data: data.to_owned(),
        time_zone: TimeZone::UTC,
        hosts: Vec::new(),
        screen: Screen::default(),
        allow_private: vec![Allow::Host("127.0.0.1".to_owned())],
        read_entries: ReadEntries::Dimmed,
        shelves: Shelves::default(),
        feeds: feeds.collect(),
    }
}
