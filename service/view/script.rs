//! The one script of the pages, which reading works without: what it is, and the name by which it is kept. Never serves it.

use sha2::{Digest, Sha256};

/// The script of a page that is read: it tells which disc is shown, and goes on without a step of history a disc.
#[derive(Clone, Debug)]
pub struct Script {
    /// What a browser runs.
    pub text: &'static str,
    /// The name of its file, made of its content.
    pub name: String,
}

impl Script {
    /// Makes it ready.
    pub fn turning() -> Self {
        let text = include_str!("../../templates/turn.js");
        let digest = Sha256::digest(text);
        let name: String = digest[..4]
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        Self {
            text,
            name: format!("{name}.js"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_small() {
        assert!(Script::turning().text.len() <= 1_000);
    }
}
