//! The disc with a field that words are typed in. Never sends them.

use askama::Template;

use super::style::screen_class;
use crate::typeset::Screen;
use crate::words::Words;

/// A disc with a field for words in its upper half, which a keyboard leaves to be seen, and a button below it. It is
/// the first of its page and leads on to the next.
pub struct Field<'a> {
    /// For which screen.
    pub screen: Screen,
    /// Where the words are sent, as `q` of a GET.
    pub action: &'a str,
    /// What the field is called.
    pub name: &'a str,
    /// What stands above it in place of its name, where there is something to be said.
    pub said: Option<&'a str>,
    /// The words that stand in it.
    pub words: &'a str,
    /// How many characters it takes.
    pub most_characters: usize,
    /// What the button is called.
    pub button: &'a str,
    /// The words in which it leads on.
    pub own: Words,
}

/// A [`Field`], ready to print.
#[derive(Template)]
#[template(path = "field.html")]
pub(super) struct FieldDisc<'a> {
    class: String,
    field: &'a Field<'a>,
}

impl<'a> FieldDisc<'a> {
    pub(super) fn of(field: &'a Field<'a>) -> Self {
        Self {
            class: screen_class(field.screen),
            field,
        }
    }
}
