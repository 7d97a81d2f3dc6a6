//! Another layout of the same words, for `speed`: `parley`, in one width. Times nothing.

use std::sync::Arc;

use parley::fontique::{Blob, Collection, CollectionOptions};
use parley::{
    Alignment, AlignmentOptions, FontContext, FontFamily, Layout, LayoutContext, StyleProperty,
};
use tondo::distil::block::Block;
use tondo::font::Typeface;

/// Characters of the width that lines are laid in, by their mean advance in the text.
const CHARACTERS: f64 = 20.0;

/// Any size does: widths are in proportion to it.
const SIZE: f32 = 16.0;

/// `parley` with the typeface loaded and nothing else.
pub struct Parley {
    fonts: FontContext,
    layouts: LayoutContext<()>,
    family: String,
    width: f32,
}

impl Parley {
    /// Loads the font, and measures how wide 20 characters are.
    pub fn new(typeface: &Typeface, blocks: &[Block]) -> Self {
        let mut collection = Collection::new(CollectionOptions {
            shared: false,
            system_fonts: false,
        });
        let font = Blob::new(Arc::new(notosans::REGULAR_TTF));
        let families = collection.register_fonts(font, None);
        let family = collection
            .family_name(families[0].0)
            .expect("the font has a name")
            .to_owned();
        let text: String = blocks.iter().map(Block::text).collect();
        let mean = typeface.width(&text) / text.chars().count() as f64;
        Self {
            fonts: FontContext {
                collection,
                source_cache: parley::fontique::SourceCache::default(),
            },
            layouts: LayoutContext::new(),
            family,
            width: (CHARACTERS * mean) as f32 * SIZE,
        }
    }

    /// Lays each block by itself; gives the number of lines.
    pub fn lay(&mut self, blocks: &[Block]) -> usize {
        let mut lines = 0;
        for block in blocks {
            let text = block.text();
            let mut builder = self
                .layouts
                .ranged_builder(&mut self.fonts, &text, 1.0, false);
            builder.push_default(FontFamily::named(&self.family));
            builder.push_default(StyleProperty::FontSize(SIZE));
            let mut layout: Layout<()> = builder.build(&text);
            layout.break_all_lines(Some(self.width));
            layout.align(Alignment::Center, AlignmentOptions::default());
            lines += layout.len();
        }
        lines
    }
}
