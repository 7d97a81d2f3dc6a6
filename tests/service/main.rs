//! The service whole, as its user meets it: feeds come in over HTTP on loopback, and pages go out.
//!
//! `house.rs` puts the rooms together on port 0 with a clock that a test moves, `publisher.rs` is a
//! publisher whose answers a test sets, `page.rs` reads the pages back. The other files are one
//! subject each.

#[path = "../reference/beside.rs"]
mod beside;
mod breaking;
mod caching;
mod commands;
mod corpus;
mod excerpt;
mod extraction;
mod find;
mod first;
mod gallery;
mod glance;
mod handing;
mod hostile;
mod house;
mod hyphenation;
mod keeping;
#[cfg(unix)]
mod killed;
mod languages;
mod links;
mod memory;
mod minutes;
mod odd;
mod page;
mod place;
mod publisher;
mod reading;
mod recall;
mod redistil;
mod subscribing;
mod tongue;
mod typesetting;
mod weight;
mod words;
mod worked;
