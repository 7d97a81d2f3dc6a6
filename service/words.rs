//! The service's own words, a file a language in `templates/messages/`, and which language a reader wants. Never knows
//! a page; the words of pages are named in `web/words/` and `view/words.rs`.

use std::collections::HashMap;
use std::fmt;
use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};
use fluent_syntax::ast::{Entry, PatternElement};
use unic_langid::LanguageIdentifier;

pub use fluent_bundle::FluentValue as Value;

use crate::distil::language::Language;

mod accepted;

/// The languages, the first of which is had by readers who want none of them.
const FILES: [(&str, &str); 2] = [
    ("en", include_str!("../templates/messages/en.ftl")),
    ("de", include_str!("../templates/messages/de.ftl")),
];

/// The words of one language.
#[derive(Clone, Copy)]
pub struct Words(&'static Tongue);

/// A language that the service speaks.
struct Tongue {
    language: Language,
    messages: FluentBundle<FluentResource>,
    /// Those that take no variables, by their ids.
    plain: HashMap<String, String>,
}

static TONGUES: LazyLock<Vec<Tongue>> = LazyLock::new(|| {
    FILES
        .iter()
        .map(|(tag, file)| Tongue::read(tag, file))
        .collect()
});

impl Tongue {
    /// Reads a file of messages. What of it cannot be read is left out; a test sees to it that nothing is.
    fn read(tag: &str, file: &str) -> Self {
        let resource = match FluentResource::try_new(file.to_owned()) {
            Ok(resource) | Err((resource, _)) => resource,
        };
        let plain = resource.entries().filter_map(plain).collect();
        let language = tag.parse::<LanguageIdentifier>().unwrap_or_default();
        let mut messages = FluentBundle::new_concurrent(vec![language]);
        // Marks of isolation would be set as characters of their own.
        messages.set_use_isolating(false);
        messages.add_resource_overriding(resource);
        Self {
            language: Language::parse(tag).unwrap_or_else(Language::unknown),
            messages,
            plain,
        }
    }
}

/// The id and the text of a message that is text alone.
fn plain(entry: &Entry<&str>) -> Option<(String, String)> {
    let Entry::Message(message) = entry else {
        return None;
    };
    let texts = message.value.as_ref()?.elements.iter();
    let texts = texts.map(|element| match element {
        PatternElement::TextElement { value } => Some(*value),
        PatternElement::Placeable { .. } => None,
    });
    Some((message.id.name.to_owned(), texts.collect::<Option<_>>()?))
}

impl Words {
    /// All languages that the service speaks.
    pub fn all() -> impl Iterator<Item = Self> {
        TONGUES.iter().map(Self)
    }

    /// The words for a reader whose browser sends these values of `Accept-Language`: in the language wanted most of
    /// those that there are, or else in English.
    pub fn accepted<'a>(values: impl Iterator<Item = &'a str>) -> Self {
        let tags: Vec<&str> = TONGUES.iter().map(|tongue| tongue.language.tag()).collect();
        Self(&TONGUES[accepted::lookup(values, &tags).unwrap_or(0)])
    }

    /// Their language.
    pub fn language(self) -> &'static Language {
        &self.0.language
    }

    /// The message of an id that takes no variables. One that is missing is told in English, and one that is missing
    /// there by its id.
    pub fn say(self, id: &'static str) -> &'static str {
        let mut tongues = [self.0, &TONGUES[0]].into_iter();
        tongues
            .find_map(|tongue| tongue.plain.get(id))
            .map_or(id, String::as_str)
    }

    /// The message of an id, with its variables. What is missing is told as in [`Words::say`].
    pub fn tell<const COUNT: usize>(
        self,
        id: &'static str,
        variables: [(&'static str, Value<'_>); COUNT],
    ) -> String {
        let variables: FluentArgs = variables.into_iter().collect();
        let told = |tongue: &'static Tongue| {
            let message = tongue.messages.get_message(id)?;
            let (pattern, mut faults) = (message.value()?, Vec::new());
            let told = tongue
                .messages
                .format_pattern(pattern, Some(&variables), &mut faults);
            Some(told.into_owned())
        };
        let mut tongues = [self.0, &TONGUES[0]].into_iter();
        tongues.find_map(told).unwrap_or_else(|| id.to_owned())
    }
}

impl Default for Words {
    fn default() -> Self {
        Self(&TONGUES[0])
    }
}

impl fmt::Debug for Words {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "Words({})", self.0.language.tag())
    }
}

/// Names the words of pages that take no variables: each function says the message of the id beside it.
macro_rules! say {
    ($($(#[$told:meta])* $name:ident = $id:literal;)+) => {
        impl $crate::words::Words {
            $($(#[$told])* pub fn $name(self) -> &'static str {
                self.say($id)
            })+
        }
    };
}
pub(crate) use say;

#[cfg(test)]
#[path = "words/tests.rs"]
mod tests;
