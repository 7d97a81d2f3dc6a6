//! The map of the house, in the order in which one article goes through it.
//!
//! Every room says in its first lines what it owns and what it never does; `tests/layering.rs`
//! holds them to it. DEVELOPERS.md draws the same map with the reasons.

pub mod address;
pub mod clock;
pub mod command;
pub mod config;
pub mod distil;
pub mod fetch;
pub mod font;
pub mod hand;
pub mod opml;
pub mod paint;
pub mod palette;
pub mod pool;
pub mod refresh;
pub mod store;
pub mod town;
pub mod typeset;
pub mod view;
pub mod web;
pub mod words;
