//! Name resolution that keeps only addresses that the policy allows.
//!
//! The client connects to what this hands out and to nothing else, so the address that was
//! checked is the address that is used, whatever a second look-up would say.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;

use reqwest::dns::{Addrs, Name, Resolve, Resolving};

use crate::address::{Policy, Refused};

/// Why a name gave no address to connect to.
#[derive(Debug, Clone, thiserror::Error)]
pub(super) enum ResolveFault {
    #[error(transparent)]
    Refused(Refused),
    #[error("{0}")]
    NotFound(String),
}

/// What finds the addresses of a name.
pub(super) trait LookUp: Send + Sync {
    /// All addresses of a name as it is known at this instant, with port 0, which means the port of the
    /// URL to the client.
    fn look_up(
        &self,
        host: String,
    ) -> Pin<Box<dyn Future<Output = io::Result<Vec<SocketAddr>>> + Send>>;
}

/// The resolver of the machine.
pub(super) struct OfTheSystem;

impl LookUp for OfTheSystem {
    fn look_up(
        &self,
        host: String,
    ) -> Pin<Box<dyn Future<Output = io::Result<Vec<SocketAddr>>> + Send>> {
        Box::pin(async move { Ok(tokio::net::lookup_host((host, 0)).await?.collect()) })
    }
}

pub(super) struct CheckedResolver {
    pub(super) policy: Arc<Policy>,
    pub(super) names: Arc<dyn LookUp>,
}

impl Resolve for CheckedResolver {
    fn resolve(&self, name: Name) -> Resolving {
        let policy = Arc::clone(&self.policy);
        let found = self.names.look_up(name.as_str().to_owned());
        Box::pin(async move {
            let found = found
                .await
                .map_err(|fault| ResolveFault::NotFound(fault.to_string()))?;
            let addresses = keep_allowed(&policy, name.as_str(), found.into_iter())?;
            Ok(Box::new(addresses.into_iter()) as Addrs)
        })
    }
}

/// The allowed ones of `found`.
///
/// # Errors
/// The first refusal if there were addresses and every one was refused.
pub(super) fn keep_allowed(
    policy: &Policy,
    host: &str,
    found: impl Iterator<Item = SocketAddr>,
) -> Result<Vec<SocketAddr>, ResolveFault> {
    let mut first_refusal = None;
    let mut allowed = Vec::new();
    for address in found {
        match policy.check_ip(host, address.ip()) {
            Ok(()) => allowed.push(address),
            Err(refused) => {
                first_refusal.get_or_insert(refused);
            }
        }
    }
    match (allowed.is_empty(), first_refusal) {
        (false, _) => Ok(allowed),
        (true, Some(refused)) => Err(ResolveFault::Refused(refused)),
        (true, None) => Err(ResolveFault::NotFound("no address".to_owned())),
    }
}
