//! Time as a parameter: the system's, or a fixed one for tests. Never read elsewhere.

use std::sync::Arc;

use jiff::Timestamp;

/// Where the present instant comes from. Cheap to clone; handed into whatever needs the time.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Timestamp + Send + Sync>);

impl Clock {
    /// The machine's clock.
    #[expect(clippy::disallowed_methods, reason = "the one place that reads it")]
    pub fn system() -> Self {
        Self(Arc::new(Timestamp::now))
    }

    /// A clock that stands still, for tests and for output that must not change.
    pub fn fixed(instant: Timestamp) -> Self {
        Self(Arc::new(move || instant))
    }

    /// A clock that a test moves.
    pub fn from_fn(read: impl Fn() -> Timestamp + Send + Sync + 'static) -> Self {
        Self(Arc::new(read))
    }

    /// The present instant.
    pub fn now(&self) -> Timestamp {
        (self.0)()
    }
}
