//! CPU work kept off the async runtime: bounded, and a panic costs one piece of work, never the service.

use std::any::Any;
use std::sync::Arc;

use tokio::sync::Semaphore;

/// Runs CPU work on the runtime's blocking threads, so many pieces at a time. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Pool {
    places: Arc<Semaphore>,
}

/// Why a piece of work gave no result.
#[derive(Debug, thiserror::Error)]
pub enum PoolError {
    /// The work panicked; the text is the panic's own.
    #[error("the work broke off: {0}")]
    Panicked(String),
    /// The runtime is ending.
    #[error("the service is shutting down")]
    Ended,
}

impl Pool {
    /// A pool that does up to `workers` pieces of work at a time, at least one.
    pub fn new(workers: usize) -> Self {
        Self {
            places: Arc::new(Semaphore::new(workers.max(1))),
        }
    }

    /// Waits for a place and does the work. A caller who gives up waiting does not free the place of
    /// work that has begun, since that cannot be stopped.
    ///
    /// # Errors
    /// [`PoolError::Panicked`] where the work panicked, [`PoolError::Ended`] where the runtime ended.
    pub async fn run<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, PoolError> {
        let place = Arc::clone(&self.places)
            .acquire_owned()
            .await
            .map_err(|_| PoolError::Ended)?;
        let task = tokio::task::spawn_blocking(move || {
            let _place = place;
            work()
        });
        task.await.map_err(|fault| match fault.try_into_panic() {
            Ok(panic) => PoolError::Panicked(panic_text(panic.as_ref())),
            Err(_) => PoolError::Ended,
        })
    }
}

/// The message of a panic, which is one of two string types where the panic came from `panic!`.
fn panic_text(panic: &(dyn Any + Send)) -> String {
    panic
        .downcast_ref::<&str>()
        .map(ToString::to_string)
        .or_else(|| panic.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "without a message".to_owned())
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::sync::mpsc;

    use super::*;

    #[tokio::test]
    async fn gives_the_result_of_the_work() {
        assert_eq!(Pool::new(2).run(|| 6 * 7).await.unwrap(), 42);
    }

    #[tokio::test]
    async fn a_panic_is_an_error_and_frees_its_place() {
        let pool = Pool::new(1);
        let fault = pool.run(|| panic!("line {}", 3)).await;
        assert!(matches!(fault, Err(PoolError::Panicked(text)) if text == "line 3"));
        assert_eq!(pool.run(|| 1).await.unwrap(), 1);
    }

    #[tokio::test]
    async fn never_does_more_at_a_time_than_it_has_workers() {
        let pool = Pool::new(2);
        let (busy, most) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let mut tasks = tokio::task::JoinSet::new();
        for _ in 0..16 {
            let (pool, busy, most) = (pool.clone(), Arc::clone(&busy), Arc::clone(&most));
            tasks.spawn(async move {
                pool.run(move || {
                    most.fetch_max(busy.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                    std::thread::yield_now();
                    busy.fetch_sub(1, Ordering::SeqCst);
                })
                .await
            });
        }
        while let Some(done) = tasks.join_next().await {
            done.unwrap().unwrap();
        }
        assert!((1..=2).contains(&most.load(Ordering::SeqCst)));
    }

    #[tokio::test]
    async fn work_whose_caller_has_gone_keeps_its_place_until_it_ends() {
        let pool = Pool::new(1);
        let (go, wait) = mpsc::channel::<()>();
        let (begun, has_begun) = tokio::sync::oneshot::channel();
        let first = tokio::spawn({
            let pool = pool.clone();
            async move {
                pool.run(move || {
                    begun.send(()).unwrap();
                    wait.recv().unwrap();
                })
                .await
            }
        });
        has_begun.await.unwrap();
        first.abort();
        assert!(first.await.unwrap_err().is_cancelled());
        assert_eq!(pool.places.available_permits(), 0);
        go.send(()).unwrap();
        assert_eq!(pool.run(|| 2).await.unwrap(), 2);
    }
}
