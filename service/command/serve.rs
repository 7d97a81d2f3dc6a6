//! `serve`: refreshes in the background and serves the pages until it is told to end.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::Duration;

use clap::Args;
use tokio::net::TcpListener;
use tokio_util::sync::CancellationToken;

use super::Ended;
use super::household::Household;
use super::reload::Reload;
use crate::config::Config;

/// The arguments of `serve`.
#[derive(Debug, Args)]
pub struct Serve {
    /// The config file; `tondo example` prints one.
    #[arg(long, default_value = "tondo.toml")]
    config: PathBuf,
}

impl Serve {
    /// Serves until `stop` is cancelled; a changed config file is taken up meanwhile.
    pub async fn run(self, stop: CancellationToken) -> Result<(), Ended> {
        let (config, text) = Config::read_with_text(&self.config)?;
        let reload = Reload::new(self.config, text, config.clone());
        let listener = listen(config.listen).await?;
        let household = Household::open(config).await?;
        tell_addresses(&listener)?;
        let watching = tokio::spawn(reload.run(household.conductor.clone(), stop.clone()));
        serve(household, listener, stop).await?;
        watching.await?;
        Ok(())
    }
}

/// How long answers that have begun may take to come to their end.
const LAST_ANSWERS: Duration = Duration::from_secs(5);

/// Serves and refreshes until `stop` is cancelled, then lets what has begun come to its end.
pub async fn serve(
    household: Household,
    listener: TcpListener,
    stop: CancellationToken,
) -> Result<(), Ended> {
    let (web, conductor, store) = household.into_web()?;
    let ending = stop.clone();
    let refreshing = tokio::spawn(async move { conductor.run_forever(ending).await });
    let patience = async {
        stop.cancelled().await;
        tokio::time::sleep(LAST_ANSWERS).await;
    };
    tokio::select! {
        served = web.serve(listener, stop.clone()) => served?,
        () = patience => {}
    }
    stop.cancel();
    refreshing.await?;
    store.close().await;
    Ok(())
}

/// Why the service cannot be reached.
#[derive(Debug, thiserror::Error)]
#[error(
    "cannot listen at {address}: {cause}; choose another `listen` address or end what holds it"
)]
struct NotListening {
    address: SocketAddr,
    cause: std::io::Error,
}

/// Takes an address to listen at.
pub async fn listen(address: SocketAddr) -> Result<TcpListener, Ended> {
    Ok(TcpListener::bind(address)
        .await
        .map_err(|cause| NotListening { address, cause })?)
}

/// Prints every address under which the index can be reached.
#[expect(clippy::print_stdout, reason = "a command speaks to the user")]
pub fn tell_addresses(listener: &TcpListener) -> Result<(), Ended> {
    let bound = listener.local_addr()?;
    println!("Open on the watch:");
    for address in reachable(bound) {
        println!("  http://{address}/");
    }
    Ok(())
}

/// The addresses of a listener: its own, or where it listens at all of the machine's, each of them.
fn reachable(bound: SocketAddr) -> Vec<SocketAddr> {
    if !bound.ip().is_unspecified() {
        return vec![bound];
    }
    let interfaces = if_addrs::get_if_addrs().unwrap_or_default();
    let mut addresses: Vec<SocketAddr> = interfaces
        .into_iter()
        .filter(|interface| !interface.is_link_local())
        .map(|interface| interface.ip())
        .filter(|ip| bound.is_ipv6() || ip.is_ipv4())
        .map(|ip| SocketAddr::new(ip, bound.port()))
        .collect();
    // What a watch can reach comes before loopback, and the shorter to type before the longer.
    addresses.sort_by_key(|address| (address.ip().is_loopback(), address.to_string().len()));
    addresses
}
