//! `refresh`: one pass over all that is due, and one sweep.

use std::path::PathBuf;

use clap::Args;
use tokio_util::sync::CancellationToken;

use super::Ended;
use super::household::Household;
use super::progress::Progress;
use super::trial;
use crate::config::Config;
use crate::refresh::Swept;

/// The arguments of `refresh`.
#[derive(Debug, Args)]
pub struct Refresh {
    /// The config file; `tondo example` prints one.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
    /// Asks each feed once, due or not and whole, as if for the first time, and says what can be done about
    /// each trouble; nothing is stored.
    #[arg(long)]
    dry_run: bool,
}

impl Refresh {
    /// Fetches what is due and sweeps, and ends early, between two feeds, where `stop` is cancelled.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub async fn run(self, stop: CancellationToken) -> Result<(), Ended> {
        let config = Config::read(&self.config)?;
        if self.dry_run {
            return trial::run(config, stop).await;
        }
        let household = Household::open(config).await?;
        let progress = Progress::new();
        let conductor = &household.conductor;
        let pass = conductor.refresh_due(|told| progress.tell(told));
        let summary = tokio::select! {
            summary = pass => summary?,
            () = stop.cancelled() => return Err(Ended::Partly),
        };
        progress.end();
        let swept = if summary.has_read() {
            tokio::select! {
                swept = conductor.sweep() => swept?,
                () = stop.cancelled() => return Err(Ended::Partly),
            }
        } else {
            Swept::default()
        };
        household.store.close().await;
        if summary.feeds == 0 {
            println!("No feed is due yet.");
            return Ok(());
        }
        println!(
            "{}, {} failed; {} new, {} changed.",
            counted(summary.feeds, "feed"),
            summary.failed,
            counted(summary.added as usize, "article"),
            summary.changed
        );
        if swept.entries > 0 {
            println!(
                "{} articles swept away, beyond the limits of `shelf`.",
                swept.entries
            );
        }
        if summary.failed > 0 {
            Err(Ended::Partly)
        } else {
            Ok(())
        }
    }
}

/// So many things, in the singular where it is one.
pub fn counted(count: usize, thing: &str) -> String {
    let plural = if count == 1 { "" } else { "s" };
    format!("{count} {thing}{plural}")
}
