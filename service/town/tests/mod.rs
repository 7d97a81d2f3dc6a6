//! What the town promises: enough to read, of every kind, in feeds that parse and pages that answer.

mod serving;
mod writing;

use super::content::{self, Piece, Publication};

fn pieces() -> impl Iterator<Item = (&'static Publication, &'static Piece)> {
    content::publications().iter().flat_map(|publication| {
        publication
            .articles
            .iter()
            .map(move |piece| (publication, piece))
    })
}
