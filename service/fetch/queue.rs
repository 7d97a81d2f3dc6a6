//! One request a host at a time: a lock for each host in use, and none for the others.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError, Weak};

use tokio::sync::OwnedMutexGuard;

/// The hosts that are in use or waited for.
#[derive(Debug, Default)]
pub(super) struct HostQueue {
    turns: Mutex<HashMap<String, Weak<tokio::sync::Mutex<()>>>>,
}

impl HostQueue {
    /// Waits for this host's turn, first come first served; the turn ends when the guard drops.
    pub(super) async fn turn(&self, host: &str) -> OwnedMutexGuard<()> {
        let turn = {
            let mut turns = self.turns.lock().unwrap_or_else(PoisonError::into_inner);
            // Hosts that nobody uses any more leave here, so the map holds only those in use.
            turns.retain(|_, turn| turn.strong_count() > 0);
            let known = turns.get(host).and_then(Weak::upgrade);
            known.unwrap_or_else(|| {
                let turn = Arc::new(tokio::sync::Mutex::new(()));
                turns.insert(host.to_owned(), Arc::downgrade(&turn));
                turn
            })
        };
        turn.lock_owned().await
    }

    #[cfg(test)]
    pub(super) fn hosts(&self) -> usize {
        self.turns.lock().expect("no test panics inside").len()
    }
}
