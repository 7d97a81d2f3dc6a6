//! Name resolution that keeps only addresses that the policy allows.
//!
//! The client connects to what this hands out and to nothing else, so the address that was
//! checked is the address that is used, whatever a second look-up would say.

use std::net::SocketAddr;
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

pub(super) struct CheckedResolver {
    pub(super) policy: Arc<Policy>,
}

impl Resolve for CheckedResolver {
    fn resolve(&self, name: Name) -> Resolving {
        let policy = Arc::clone(&self.policy);
        Box::pin(async move {
            let host = name.as_str();
            // Port 0 means the port of the URL to the client.
            let found = tokio::net::lookup_host((host, 0))
                .await
                .map_err(|fault| ResolveFault::NotFound(fault.to_string()))?;
            let addresses = keep_allowed(&policy, host, found)?;
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
