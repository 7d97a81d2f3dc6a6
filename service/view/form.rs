//! Discs with a form: a field that words are typed in, and a button that changes something. Never sends one.

use askama::Template;

use super::style::screen_class;
use crate::typeset::Screen;

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
}

/// A disc with one button that changes something. It is the last of its page.
pub struct Deed<'a> {
    /// For which screen.
    pub screen: Screen,
    /// What is posted to.
    pub action: &'a str,
    /// What the button is called; it may have two lines.
    pub name: &'a str,
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

/// A [`Deed`], ready to print as the disc of a number.
#[derive(Template)]
#[template(path = "deed.html")]
pub(super) struct DeedDisc<'a> {
    class: String,
    number: usize,
    deed: &'a Deed<'a>,
}

impl<'a> DeedDisc<'a> {
    pub(super) fn of(deed: &'a Deed<'a>, number: usize) -> Self {
        Self {
            class: screen_class(deed.screen),
            number,
            deed,
        }
    }
}
