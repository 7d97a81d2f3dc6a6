//! The words that discs of every page have, in a reader's language. Never holds a text.

use crate::words::{Words, say};

say! {
    /// What leads to the next disc is called, where it cannot be seen.
    next_disc = "next-disc";
    /// The usual spacing, as one to choose; two lines.
    spacing_usual = "spacing-usual";
    /// Wide spacing, likewise.
    spacing_wide = "spacing-wide";
}

impl Words {
    /// What a size of the text is called, where its example cannot be seen.
    pub fn lines_a_disc(self, lines: usize) -> String {
        self.tell("lines-a-disc", [("lines", lines.into())])
    }
}
