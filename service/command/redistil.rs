//! `redistil`: makes the stored articles anew that an older version has made.

use std::path::PathBuf;

use clap::Args;
use tokio_util::sync::CancellationToken;

use super::Ended;
use super::household::Household;
use super::progress::Count;
use super::refresh::counted;
use crate::config::Config;

/// The arguments of `redistil`.
#[derive(Debug, Args)]
pub struct Redistil {
    /// The config file; `tondo example` prints one.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
}

impl Redistil {
    /// Makes them anew, one after the other. Each is stored by itself, so that where `stop` is cancelled, or the
    /// program is killed, what is done stays, and the next run goes on with the others.
    #[expect(clippy::print_stdout, reason = "a command speaks to the user")]
    pub async fn run(self, stop: CancellationToken) -> Result<(), Ended> {
        let household = Household::open(Config::read(&self.config)?).await?;
        let progress = Count::new("articles");
        let work = household
            .conductor
            .redistil(|done, of| progress.tell(done, of));
        let outcome = tokio::select! {
            outcome = work => Some(outcome?),
            () = stop.cancelled() => None,
        };
        progress.end();
        household.store.close().await;
        let Some(outcome) = outcome else {
            println!("Stopped; what is done stays, and `tondo redistil` goes on with the others.");
            return Err(Ended::Partly);
        };
        for warning in &outcome.warnings {
            println!("{warning}");
        }
        if outcome.found == 0 {
            println!("All articles are of the present distiller.");
        } else {
            println!(
                "{} of {} made anew.",
                outcome.renewed,
                counted(
                    usize::try_from(outcome.found).unwrap_or(usize::MAX),
                    "article"
                )
            );
        }
        if outcome.warnings.is_empty() {
            Ok(())
        } else {
            Err(Ended::Partly)
        }
    }
}
