//! `redistil`: makes the stored articles anew that an older version has made.

use std::path::PathBuf;

use clap::Args;
use indicatif::ProgressBar;
use tokio_util::sync::CancellationToken;

use super::Ended;
use super::household::Household;
use crate::config::Config;

/// The arguments of `redistil`.
#[derive(Debug, Args)]
pub struct Redistil {
    /// The config file; `tondo example` prints one.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
}

impl Redistil {
    /// Makes them anew, one after the other; what is done stays where `stop` is cancelled.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub async fn run(self, stop: CancellationToken) -> Result<(), Ended> {
        let household = Household::open(Config::read(&self.config)?).await?;
        let bar = ProgressBar::new(0);
        let work = household.conductor.redistil(|done, of| {
            bar.set_length(of);
            bar.set_position(done);
        });
        let outcome = tokio::select! {
            outcome = work => outcome?,
            () = stop.cancelled() => return Err(Ended::Partly),
        };
        bar.finish_and_clear();
        household.store.close().await;
        for warning in &outcome.warnings {
            println!("{warning}");
        }
        println!(
            "{} of {} articles made anew.",
            outcome.renewed, outcome.found
        );
        if outcome.warnings.is_empty() {
            Ok(())
        } else {
            Err(Ended::Partly)
        }
    }
}
