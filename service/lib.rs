//! The map of the house, in the order in which one article goes through it.
//!
//! Every room says in its first lines what it owns and what it never does; `tests/layering.rs`
//! holds them to it. DEVELOPERS.md draws the same map with the reasons.

pub mod clock;
pub mod distil;
pub mod pool;
pub mod store;
