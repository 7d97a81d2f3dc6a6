//! What can be typed: one file a command. Never writes SQL or HTML.

mod add;
mod demo;
mod example;
mod export;
mod find;
mod gallery;
mod household;
mod import;
mod local;
mod progress;
mod redistil;
mod refresh;
mod reload;
mod serve;
mod spacing;
mod trial;
mod typeset;

use std::error::Error;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use tokio_util::sync::CancellationToken;

use crate::config::{ConfigError, EditError};

/// Reads feeds onto the disc of a round watch.
#[derive(Debug, Parser)]
#[command(version, about)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Shows all of it with the publications of an invented harbour town; needs no config.
    Demo(demo::Demo),
    /// Refreshes the feeds of a config file in the background and serves them to the watch.
    Serve(serve::Serve),
    /// Finds the feed of a site and adds it to the config file.
    Add(add::Add),
    /// Adds the feeds of an OPML file to the config file.
    Import(import::Import),
    /// Prints the feeds of the config file as OPML.
    Export(export::Export),
    /// Fetches once every feed that is due.
    Refresh(refresh::Refresh),
    /// Makes the stored articles anew that an older version has made.
    Redistil(redistil::Redistil),
    /// Sets a local HTML file and prints its discs.
    Typeset(typeset::Typeset),
    /// Makes pictures of the discs of local HTML files, or of the demo's articles, and a page with all
    /// of them in round frames.
    Gallery(gallery::Gallery),
    /// Prints a commented example of a config file.
    Example,
}

/// What ends a command early: said to the user, with a status.
pub(crate) enum Ended {
    /// Something failed.
    Fault(Box<dyn Error>),
    /// The config file or an argument is wrong.
    Usage(Box<dyn Error>),
    /// It went to its end, but something that it says failed.
    Partly,
}

impl<E: Error + 'static> From<E> for Ended {
    fn from(fault: E) -> Self {
        let fault: Box<dyn Error> = Box::new(fault);
        let refused = |edit: &EditError| matches!(edit, EditError::Refused(_));
        if fault.is::<ConfigError>() || fault.downcast_ref().is_some_and(refused) {
            Self::Usage(fault)
        } else {
            Self::Fault(fault)
        }
    }
}

/// Runs a command until it is done or `stop` is cancelled. The status is 0 where all went well, 1
/// where something failed, 2 where the config file or an argument is wrong.
#[expect(clippy::print_stderr, reason = "a command speaks to the user")]
pub async fn run(arguments: Arguments, stop: CancellationToken) -> ExitCode {
    let ended = match arguments.command {
        Command::Demo(demo) => demo.run(stop).await,
        Command::Serve(serve) => serve.run(stop).await,
        Command::Add(add) => add.run(stop).await,
        Command::Import(import) => import.run(),
        Command::Export(export) => export.run().await,
        Command::Refresh(refresh) => refresh.run(stop).await,
        Command::Redistil(redistil) => redistil.run(stop).await,
        Command::Typeset(typeset) => typeset.run(),
        Command::Gallery(gallery) => gallery.run(&stop),
        Command::Example => example::run(),
    };
    match ended {
        Ok(()) => ExitCode::SUCCESS,
        Err(Ended::Partly) => ExitCode::from(1),
        Err(Ended::Fault(fault)) => {
            eprintln!("tondo: {fault}");
            ExitCode::from(1)
        }
        Err(Ended::Usage(fault)) => {
            eprintln!("tondo: {fault}");
            ExitCode::from(2)
        }
    }
}
