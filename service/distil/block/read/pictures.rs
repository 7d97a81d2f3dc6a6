//! Pictures as their texts: in the line, after the paragraph, before the caption. Never loads one.

use std::collections::HashSet;

use dom_query::NodeRef;

use super::Reader;
use crate::distil::block::context::Context;
use crate::distil::block::{BlockKind, Run};
use crate::distil::plain::one_line;

impl Reader {
    /// A picture between the words of a line waits for the paragraph's end; one with an
    /// alternative text of three characters at most is a character of the text.
    pub(super) fn picture(&mut self, node: NodeRef<'_>) {
        let alternative = one_line(&node.attr_or("alt", ""));
        if alternative.is_empty() || self.figures > 0 {
            return;
        }
        let context = self.context();
        if alternative.chars().count() <= 3 {
            self.punctuate(&alternative, &context);
        } else {
            self.pictures.push((alternative, context));
            if self.begun.is_none() {
                self.flush();
            }
        }
    }

    /// Sets the alternative texts of a figure before the first runs of its caption.
    pub(super) fn prepend_alternatives(&mut self, runs: &mut Vec<Run>) {
        let caption: String = runs.iter().map(|run| run.text.as_str()).collect();
        let mut texts = std::mem::take(&mut self.alternatives);
        texts.retain(|text| !text.is_empty() && *text != caption);
        if !texts.is_empty() {
            let text = format!("{}\n", texts.join("\n"));
            runs.insert(
                0,
                Run {
                    text,
                    ..Run::default()
                },
            );
        }
    }

    pub(super) fn push_pictures(&mut self, context: &Context) {
        let texts = std::mem::take(&mut self.alternatives);
        for text in texts.into_iter().filter(|text| !text.is_empty()) {
            let run = Run {
                text,
                ..Run::default()
            };
            self.blocks
                .push(context.block(BlockKind::Picture, vec![run]));
        }
    }
}

/// The alternative texts of the pictures in a figure, each once.
pub(super) fn alternatives(figure: NodeRef<'_>) -> Vec<String> {
    let pictures = figure.descendants_it().filter(|node| node.has_name("img"));
    // A picture without a text still makes its caption a picture's.
    let mut texts: Vec<String> = pictures
        .map(|node| one_line(&node.attr_or("alt", "")))
        .collect();
    let mut known = HashSet::new();
    texts.retain(|text| known.insert(text.clone()));
    texts
}
