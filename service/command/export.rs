//! `export`: prints the feeds of the config file as OPML.

use std::collections::HashMap;
use std::path::PathBuf;

use clap::Args;

use super::Ended;
use crate::config::Config;
use crate::opml::{self, Subscription};
use crate::store::Store;

/// The arguments of `export`.
#[derive(Debug, Args)]
pub struct Export {
    /// The config file; `tondo example` prints one.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
}

impl Export {
    /// Prints the list. A feed without a title of the config's has its own there, where it was
    /// fetched before. Nothing is written: neither a database nor to one.
    #[expect(
        clippy::print_stdout,
        clippy::print_stderr,
        reason = "a command speaks to the user"
    )]
    pub async fn run(self) -> Result<(), Ended> {
        let config = Config::read(&self.config)?;
        let own_titles = Store::own_titles(&config.data)
            .await
            .unwrap_or_else(|fault| {
                eprintln!(
                    "tondo: feeds without a title in the config have none in the list: {fault}"
                );
                HashMap::new()
            });
        let feeds: Vec<Subscription<'_>> = config
            .feeds
            .iter()
            .map(|feed| Subscription {
                address: feed.url.as_str(),
                title: feed
                    .title
                    .as_deref()
                    .or(own_titles.get(feed.url.as_str()).map(String::as_str)),
                group: feed.group.as_deref(),
                further: &feed.outline,
            })
            .collect();
        print!("{}", opml::write(&feeds));
        Ok(())
    }
}
