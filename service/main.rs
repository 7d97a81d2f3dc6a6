//! The program: the log, the signals, and one call into a command. No logic.

use std::process::ExitCode;

use clap::Parser;
use tokio_util::sync::CancellationToken;
use tondo::command::{Arguments, run};
use tracing_subscriber::EnvFilter;

#[tokio::main]
async fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let filter =
        EnvFilter::try_from_env("TONDO_LOG").unwrap_or_else(|_| EnvFilter::new("warn,tondo=info"));
    tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .compact()
        .init();
    let stop = CancellationToken::new();
    tokio::spawn(stop_on_signal(stop.clone()));
    // On a thread of the runtime what it starts is next to it; from the main thread each feed would cost two wakings.
    match tokio::spawn(run(arguments, stop)).await {
        Ok(code) => code,
        Err(fault) => std::panic::resume_unwind(fault.into_panic()),
    }
}

/// Cancels the token on the first signal to end, and ends the process on the second.
async fn stop_on_signal(stop: CancellationToken) {
    for last in [false, true] {
        signal().await;
        if last {
            std::process::exit(130);
        }
        stop.cancel();
    }
}

#[cfg(unix)]
async fn signal() {
    use tokio::signal::unix::{SignalKind, signal};
    match signal(SignalKind::terminate()) {
        Ok(mut terminate) => {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = terminate.recv() => {}
            }
        }
        Err(_) => drop(tokio::signal::ctrl_c().await),
    }
}

#[cfg(not(unix))]
async fn signal() {
    drop(tokio::signal::ctrl_c().await);
}
