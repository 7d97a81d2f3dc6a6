//! `refresh --dry-run`: asks each feed once and says what a person can do about each trouble. It
//! opens no store and writes nothing.

use std::sync::Arc;

use jiff::tz::TimeZone;
use tokio::sync::Semaphore;
use tokio_util::sync::CancellationToken;
use tokio_util::task::AbortOnDropHandle;
use url::Url;

use super::Ended;
use super::find::{Finder, Seen, summary};
use super::household::{fetcher, pool};
use super::refresh::counted;
use crate::config::{Config, Subscription};
use crate::distil::plain::printable;
use crate::fetch::Request;
use crate::refresh::FEEDS_AT_ONCE;

/// What trying a feed came to: what is said of it, and whether it failed.
struct Tried {
    lines: Vec<String>,
    failed: bool,
}

/// Asks each feed of the config, and tells of each in the config's order.
#[expect(clippy::print_stdout, reason = "a command speaks to the user")]
pub async fn run(config: Config, stop: CancellationToken) -> Result<(), Ended> {
    let finder = Arc::new(Finder {
        fetcher: fetcher(&config.allow_private)?,
        pool: pool(),
    });
    let places = Arc::new(Semaphore::new(FEEDS_AT_ONCE));
    let feeds = config.feeds.len();
    let tasks: Vec<_> = config
        .feeds
        .into_iter()
        .map(|feed| {
            let (finder, places) = (Arc::clone(&finder), Arc::clone(&places));
            let zone = config.time_zone.clone();
            AbortOnDropHandle::new(tokio::spawn(async move {
                let _place = places.acquire_owned().await;
                try_out(&finder, &feed, &zone).await
            }))
        })
        .collect();
    let mut failed = 0;
    for task in tasks {
        let tried = tokio::select! {
            tried = task => tried?,
            () = stop.cancelled() => return Err(Ended::Partly),
        };
        failed += usize::from(tried.failed);
        for line in tried.lines {
            println!("{line}");
        }
    }
    println!(
        "{} tried, {failed} failed; nothing was written.",
        counted(feeds, "feed")
    );
    if failed > 0 {
        Err(Ended::Partly)
    } else {
        Ok(())
    }
}

async fn try_out(finder: &Finder, feed: &Subscription, zone: &TimeZone) -> Tried {
    let url = &feed.url;
    let headers = feed.headers.iter();
    let request = Request {
        headers: headers
            .map(|(name, value)| (name.clone(), value.reveal().to_owned()))
            .collect(),
        ..Request::named(url.clone())
    };
    let fault = match finder.look(&request).await {
        Ok(Seen::Feed(found)) => {
            let mut lines = vec![format!("{url}: {}", summary(&found.feed, zone))];
            lines.extend(moved(url, &found.address));
            let warnings = found.warnings.iter();
            lines.extend(warnings.map(|warning| format!("  {}", printable(warning))));
            return Tried {
                lines,
                failed: false,
            };
        }
        Ok(Seen::Other(_, fault)) => fault.to_string(),
        Err(fault) => fault.to_string(),
    };
    Tried {
        lines: vec![format!("{url}: failed: {}", printable(&fault))],
        failed: true,
    }
}

/// What to do about a feed that has moved for good.
fn moved(from: &Url, to: &Url) -> Option<String> {
    let mut from = from.clone();
    from.set_fragment(None);
    (from != *to).then(|| format!("  it has moved for good; put {to} into the config instead"))
}
