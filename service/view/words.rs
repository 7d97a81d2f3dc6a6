//! The words that discs of every page have, in a reader's language. Never holds a text.

use crate::words::{Words, say};

say! {
    /// What leads to the next disc is called, where it cannot be seen.
    next_disc = "next-disc";
    /// The usual spacing, as one to choose; two lines.
    spacing_usual = "spacing-usual";
    /// Wide spacing, likewise.
    spacing_wide = "spacing-wide";
    /// The dark ground, as one to choose.
    ground_dark = "ground-dark";
    /// The light ground, likewise; two lines.
    ground_light = "ground-light";
    /// What the disc is about on which the browser's bar is told.
    bar = "bar";
    /// The picture of a disc without a bar is called, where it cannot be seen.
    whole_disc = "whole-disc";
    /// That of one with a bar above.
    bar_above = "bar-above";
    /// That of one with a bar below.
    bar_below = "bar-below";
}

impl Words {
    /// What a size of the text is called, where its example cannot be seen.
    pub fn lines_a_disc(self, lines: usize) -> String {
        self.tell("lines-a-disc", [("lines", lines.into())])
    }
}
