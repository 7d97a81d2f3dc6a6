//! A local HTML file as an article, for the commands that show one without a feed. Never sets it.

use std::path::{Path, PathBuf};

use url::Url;

use super::Ended;
use crate::distil::decode::decode;
use crate::distil::{Article, Page, Source, distil};

/// Why the file cannot be set.
#[derive(Debug, thiserror::Error)]
#[error("{} cannot be read ({cause}); name an HTML file", file.display())]
struct Unreadable {
    file: PathBuf,
    cause: std::io::Error,
}

/// The article in a file, which is read as a page whose feed said nothing of it. What there is to
/// warn of is said to the user.
#[expect(clippy::print_stderr, reason = "a command speaks to the user")]
pub fn article(file: &Path) -> Result<Article, Ended> {
    let bytes = std::fs::read(file).map_err(|cause| {
        Ended::Usage(Box::new(Unreadable {
            file: file.to_owned(),
            cause,
        }))
    })?;
    // Its links count from a place of its own.
    let address = Url::parse("http://file.invalid/")?;
    let html = decode(&bytes, None);
    let (article, warnings) = distil(&Source {
        page: Some(Page {
            html,
            address: address.clone(),
        }),
        ..Source::blank(address)
    });
    for warning in warnings {
        eprintln!("{warning}");
    }
    Ok(article)
}
