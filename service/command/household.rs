//! What the commands that use a store have in common: the rooms put together from a config.

use std::thread::available_parallelism;

use crate::address::{Allowed, Policy};
use crate::clock::Clock;
use crate::config::{self, Allow, Config};
use crate::fetch::{FetchError, Fetcher, Limits};
use crate::pool::Pool;
use crate::refresh::Conductor;
use crate::store::Store;
use crate::typeset::{Edge, Ground, Lines, Screen, Spacing, Strip};
use crate::web::{Settings, Web};

use super::Ended;

/// A client that may reach public addresses and what the config excepts.
///
/// # Errors
/// [`FetchError::Setup`].
pub fn fetcher(allow_private: &[Allow]) -> Result<Fetcher, FetchError> {
    let allowed = allow_private.iter().map(|allow| match allow {
        Allow::Range(range) => Allowed::Range(*range),
        Allow::Host(host) => Allowed::Host(host.clone()),
    });
    Fetcher::new(Policy::new(allowed.collect()), Limits::default())
}

/// A pool with a place for each processor.
pub fn pool() -> Pool {
    Pool::new(processors())
}

fn processors() -> usize {
    available_parallelism().map_or(1, usize::from)
}

/// A store and what works on it.
pub struct Household {
    /// The store.
    pub store: Store,
    /// What refreshes it.
    pub conductor: Conductor,
    pool: Pool,
    clock: Clock,
    settings: Settings,
}

impl Household {
    /// Opens the store that a config names, and takes up its subscriptions.
    pub async fn open(config: Config) -> Result<Self, Ended> {
        let clock = Clock::system();
        let fetcher = fetcher(&config.allow_private)?;
        // What is gathered may wait, and what a watch asks for may not.
        let (pool, behind) = (pool(), Pool::behind(processors())?);
        let store = Store::open(&config.data, &clock).await?;
        let conductor = Conductor::new(
            store.clone(),
            fetcher,
            behind,
            clock.clone(),
            config.feeds,
            config.shelves,
        );
        conductor.subscribe().await?;
        let settings = Settings {
            time_zone: config.time_zone,
            screen: screen(&config.screen),
            hosts: config.hosts,
            read_entries: config.read_entries,
        };
        Ok(Self {
            store,
            conductor,
            pool,
            clock,
            settings,
        })
    }

    /// Makes the pages ready, and gives back what goes on beside them.
    pub fn into_web(self) -> Result<(Web, Conductor, Store), Ended> {
        let (store, conductor) = (self.store.clone(), self.conductor.clone());
        let web = Web::new(store, conductor, self.pool, self.clock, self.settings)?;
        Ok((web, self.conductor, self.store))
    }
}

/// The screen that a config says.
fn screen(said: &config::Screen) -> Screen {
    let strip = said.strip.and_then(|strip| {
        let edge = match strip.edge {
            config::Edge::Top => Edge::Top,
            config::Edge::Bottom => Edge::Bottom,
        };
        Strip::new(edge, strip.hundredths)
    });
    Screen {
        lines: Lines::from_count(usize::from(said.lines)).unwrap_or(Lines::Ten),
        spacing: match said.spacing {
            config::Spacing::Usual => Spacing::Usual,
            config::Spacing::Wide => Spacing::Wide,
        },
        strip,
        ground: match said.ground {
            config::Ground::Dark => Ground::Dark,
            config::Ground::Light => Ground::Light,
        },
        ..Screen::DEFAULT
    }
}
