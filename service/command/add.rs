//! `add`: finds the feed of a site and writes it into the config file.

use std::path::PathBuf;

use clap::Args;
use jiff::tz::TimeZone;
use tokio_util::sync::CancellationToken;
use url::Url;

use super::Ended;
use super::find::{Finder, Found, Search, Seen, summary};
use super::household::{fetcher, pool};
use crate::config::{Addition, Config, Draft, read_address};
use crate::distil::feed::FeedError;
use crate::distil::plain::printable;
use crate::fetch::Request;

/// The arguments of `add`.
#[derive(Debug, Args)]
pub struct Add {
    /// The address of a feed, or of a page of a site that has one.
    address: String,
    /// The name to show instead of the feed's own.
    #[arg(long)]
    title: Option<String>,
    /// The group to list it in.
    #[arg(long)]
    group: Option<String>,
    /// The config file; it is made where there is none.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
}

/// Why nothing was added although all worked.
#[derive(Debug, thiserror::Error)]
enum AddFault {
    #[error("{0}")]
    Address(String),
    #[error("{0} is in the config already, so nothing is added")]
    Known(Url),
    #[error(
        "no feed was found at {0}, nor where the page and common practice lead; look on the site \
         for the address of its feed and give that"
    )]
    NoFeed(Url),
}

impl Add {
    /// Looks for the feed, says what there is, and adds it.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub async fn run(self, stop: CancellationToken) -> Result<(), Ended> {
        let url = read_typed(&self.address)?;
        let draft = Draft::open(&self.config)?;
        refuse_known(draft.config(), &url)?;
        let finder = Finder {
            fetcher: fetcher(&draft.config().allow_private)?,
            pool: pool(),
        };
        let zone = draft.config().time_zone.clone();
        let found = tokio::select! {
            found = find(&finder, &url, &zone) => found?,
            () = stop.cancelled() => return Err(Ended::Partly),
        };
        for warning in &found.warnings {
            println!("  {}", printable(warning));
        }
        // The search took its time, in which the file may have been changed.
        let draft = Draft::open(&self.config)?;
        refuse_known(draft.config(), &found.address)?;
        draft.add(&[Addition {
            url: found.address.clone(),
            title: self.title,
            group: self.group,
            outline: Vec::new(),
        }])?;
        let file = self.config.display();
        if draft.is_new() {
            println!("{file} is new; all its settings are switched off and explained there.");
        }
        println!("Added {} to {file}.", found.address);
        Ok(())
    }
}

/// What was typed as an address. Its scheme may be left out, as in a browser.
fn read_typed(typed: &str) -> Result<Url, Ended> {
    let typed = typed.trim();
    let whole = if typed.contains("://") {
        typed.to_owned()
    } else {
        format!("https://{typed}")
    };
    read_address(&whole).map_err(|fault| Ended::Usage(Box::new(AddFault::Address(fault))))
}

fn refuse_known(config: &Config, url: &Url) -> Result<(), Ended> {
    if config.feeds.iter().any(|feed| feed.url == *url) {
        return Err(Ended::Usage(Box::new(AddFault::Known(url.clone()))));
    }
    Ok(())
}

/// The feed at an address or that a page there leads to; what there is is said on the way.
#[expect(clippy::print_stdout, reason = "a command speaks to the user")]
async fn find(finder: &Finder, url: &Url, zone: &TimeZone) -> Result<Found, Ended> {
    let page = match finder.look(&Request::named(url.clone())).await? {
        Seen::Feed(found) => {
            if found.address != *url {
                println!("{url} has moved for good.");
            }
            println!(
                "{} is a feed.\n  {}",
                found.address,
                summary(&found.feed, zone)
            );
            return Ok(*found);
        }
        Seen::Other(page, fault) => {
            match fault {
                FeedError::WebPage => println!("{url} is no feed itself."),
                _ => println!("{url}: {}", printable(&fault.to_string())),
            }
            *page
        }
    };
    let search = finder.search(url, page).await?;
    for line in told(&search, zone) {
        println!("{line}");
    }
    search
        .found
        .ok_or_else(|| Ended::Fault(Box::new(AddFault::NoFeed(url.clone()))))
}

/// What a search came to, line by line.
fn told(search: &Search, zone: &TimeZone) -> Vec<String> {
    let failed = search
        .failed
        .iter()
        .map(|(address, fault)| format!("{address} is no feed: {}", printable(fault)));
    let found = search.found.iter().map(|found| {
        let address = &found.address;
        format!("{address} is a feed.\n  {}", summary(&found.feed, zone))
    });
    let others = search.others.iter().map(|other| {
        let title = other.title.as_deref().unwrap_or("no title");
        format!("The page also tells of {} ({title}).", other.address)
    });
    failed.chain(found).chain(others).collect()
}
