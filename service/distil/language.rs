//! Which language a text is in and which way it runs. Never reads HTML.

/// A BCP 47 tag in lower case, such as `en-gb`; `und` where nothing is known.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Language(String);

/// The base direction of a block.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Direction {
    /// Left to right.
    #[default]
    Ltr,
    /// Right to left.
    Rtl,
}

impl Language {
    /// Nothing is known of the language (BCP 47's `und`).
    pub fn unknown() -> Self {
        Self("und".to_owned())
    }

    /// Reads a tag; anything that is not shaped like one gives `None`.
    pub fn parse(tag: &str) -> Option<Self> {
        let tag = tag.trim().replace('_', "-");
        let mut parts = tag.split('-');
        let primary = parts.next()?;
        let shaped = (2..=3).contains(&primary.len())
            && primary.bytes().all(|byte| byte.is_ascii_alphabetic())
            && parts.all(|part| {
                (1..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphanumeric())
            });
        shaped.then(|| Self(tag.to_ascii_lowercase()))
    }

    /// The whole tag.
    pub fn tag(&self) -> &str {
        &self.0
    }

    /// The primary subtag, such as `en` of `en-gb`.
    pub fn primary(&self) -> &str {
        self.0.split('-').next().unwrap_or("und")
    }
}
