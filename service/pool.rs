//! CPU work kept off the async runtime: bounded, and a panic costs one piece of work, never the service.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError, mpsc};
use std::{io, thread};

use tokio::sync::{Semaphore, oneshot};

/// Runs CPU work, so many pieces at a time. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Pool(Threads);

/// What runs it.
#[derive(Clone, Debug)]
enum Threads {
    /// The runtime's blocking threads, for who holds a place.
    OfTheRuntime(Arc<Semaphore>),
    /// Threads of a low priority. They end with the last pool that sends them work.
    Behind(mpsc::Sender<Work>),
}

/// A piece of work that also tells its result.
type Work = Box<dyn FnOnce() + Send>;

/// By how much threads of a low priority stand back: where both want one processor, they get a tenth of what
/// the others get (sched(7), "The nice value").
#[cfg(target_os = "linux")]
const NICE: i32 = 10;

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
        Self(Threads::OfTheRuntime(Arc::new(Semaphore::new(
            workers.max(1),
        ))))
    }

    /// The same for work that nobody waits for, on threads of its own that leave the processors to others
    /// where the system knows such (Linux).
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn behind(workers: usize) -> io::Result<Self> {
        let (sender, receiver) = mpsc::channel();
        let receiver = Arc::new(Mutex::new(receiver));
        for _ in 0..workers.max(1) {
            let receiver = Arc::clone(&receiver);
            let worker = thread::Builder::new().name("tondo-behind".to_owned());
            worker.spawn(move || work_behind(&receiver))?;
        }
        Ok(Self(Threads::Behind(sender)))
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
        let done = match &self.0 {
            Threads::OfTheRuntime(places) => {
                let place = Arc::clone(places)
                    .acquire_owned()
                    .await
                    .map_err(|_| PoolError::Ended)?;
                let task = tokio::task::spawn_blocking(move || {
                    let _place = place;
                    catch_unwind(AssertUnwindSafe(work))
                });
                task.await.map_err(|_| PoolError::Ended)?
            }
            Threads::Behind(threads) => {
                let (tell, told) = oneshot::channel();
                let work: Work = Box::new(move || {
                    // Work whose caller has gone before it began is not done.
                    if !tell.is_closed() {
                        drop(tell.send(catch_unwind(AssertUnwindSafe(work))));
                    }
                });
                threads.send(work).map_err(|_| PoolError::Ended)?;
                told.await.map_err(|_| PoolError::Ended)?
            }
        };
        done.map_err(|panic| PoolError::Panicked(panic_text(panic.as_ref())))
    }
}

/// Takes one piece after another until nobody can send any more.
fn work_behind(receiver: &Mutex<mpsc::Receiver<Work>>) {
    // On Linux this is the calling thread's alone (setpriority(2), "C library/kernel differences"). Where it is
    // refused, the work is done at the usual priority.
    #[cfg(target_os = "linux")]
    let _ = rustix::process::nice(NICE);
    loop {
        let next = receiver
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .recv();
        match next {
            Ok(work) => work(),
            Err(mpsc::RecvError) => return,
        }
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

    use super::*;

    /// A pool of either kind.
    fn both(workers: usize) -> [Pool; 2] {
        [Pool::new(workers), Pool::behind(workers).unwrap()]
    }

    #[tokio::test]
    async fn gives_the_result_of_the_work() {
        for pool in both(2) {
            assert_eq!(pool.run(|| 6 * 7).await.unwrap(), 42);
        }
    }

    #[tokio::test]
    async fn a_panic_is_an_error_and_frees_its_place() {
        for pool in both(1) {
            let fault = pool.run(|| panic!("line {}", 3)).await;
            assert!(matches!(fault, Err(PoolError::Panicked(text)) if text == "line 3"));
            assert_eq!(pool.run(|| 1).await.unwrap(), 1);
        }
    }

    #[tokio::test]
    async fn never_does_more_at_a_time_than_it_has_workers() {
        for pool in both(2) {
            let (busy, most) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
            let mut tasks = tokio::task::JoinSet::new();
            for _ in 0..16 {
                let (pool, busy, most) = (pool.clone(), Arc::clone(&busy), Arc::clone(&most));
                tasks.spawn(async move {
                    pool.run(move || {
                        most.fetch_max(busy.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
                        thread::yield_now();
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
    }

    #[tokio::test]
    async fn work_whose_caller_has_gone_keeps_its_place_until_it_ends() {
        for pool in both(1) {
            let (go, wait) = mpsc::channel::<()>();
            let (begun, has_begun) = oneshot::channel();
            let (ended, has_ended) = mpsc::channel();
            let first = tokio::spawn({
                let pool = pool.clone();
                async move {
                    pool.run(move || {
                        begun.send(()).unwrap();
                        wait.recv().unwrap();
                        ended.send(()).unwrap();
                    })
                    .await
                }
            });
            has_begun.await.unwrap();
            first.abort();
            assert!(first.await.unwrap_err().is_cancelled());
            let second = tokio::spawn({
                let pool = pool.clone();
                async move { pool.run(move || has_ended.try_recv().is_ok()).await }
            });
            tokio::task::yield_now().await;
            go.send(()).unwrap();
            assert!(second.await.unwrap().unwrap(), "the second came after it");
        }
    }

    #[tokio::test]
    async fn work_behind_whose_caller_has_gone_before_it_began_is_not_done() {
        let pool = Pool::behind(1).unwrap();
        let (go, wait) = mpsc::channel::<()>();
        let first = tokio::spawn({
            let pool = pool.clone();
            async move { pool.run(move || wait.recv().unwrap()).await }
        });
        let (done, was_done) = mpsc::channel::<()>();
        let second = tokio::spawn({
            let pool = pool.clone();
            async move { pool.run(move || done.send(()).unwrap()).await }
        });
        tokio::task::yield_now().await;
        second.abort();
        assert!(second.await.unwrap_err().is_cancelled());
        go.send(()).unwrap();
        first.await.unwrap().unwrap();
        pool.run(|| ()).await.unwrap();
        assert!(was_done.try_recv().is_err());
    }

    #[cfg(target_os = "linux")]
    #[tokio::test]
    async fn only_work_behind_stands_back() {
        let nice = || rustix::process::getpriority_process(None).unwrap();
        let own = nice();
        let [usual, behind] = both(1);
        assert_eq!(usual.run(nice).await.unwrap(), own);
        assert_eq!(behind.run(nice).await.unwrap(), (own + NICE).min(19));
        assert_eq!(nice(), own);
    }
}
