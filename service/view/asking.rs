//! The discs of a first visit: which disc is whole, and which text reads well. Never keeps an answer.

use askama::Template;

use super::choice::{Offer, pictured, sizes};
use crate::typeset::{Edge, Screen, Strip};
use crate::words::Words;

/// Asks what of the disc the browser's own bar takes, by pictures. All of it lies where every screen shows it, 0.3 of the
/// diameter above and below the middle; which height is meant the style sheet says, where the page itself is
/// lower than it is wide, and the middle one is meant elsewhere.
#[derive(Template)]
#[template(path = "whole.html")]
pub struct WholeDisc<'a> {
    screen: Screen,
    /// What is said above, its lines apart.
    said: &'a str,
    offers: Vec<Offer>,
    /// What leads to the next disc is called.
    next_disc: &'static str,
}

impl<'a> WholeDisc<'a> {
    /// The question for a browser that is offered a screen first.
    pub fn new(words: Words, screen: Screen, said: &'a str) -> Self {
        let none = std::iter::once(pictured(words, screen, None, " ia"));
        let strips = Edge::ALL.into_iter().flat_map(|edge| {
            Strip::all(edge)
                .into_iter()
                .zip(1..)
                .map(move |(strip, step)| {
                    pictured(words, screen, Some(strip), &format!(" k{step}"))
                })
        });
        Self {
            screen,
            said,
            offers: none.chain(strips).collect(),
            next_disc: words.next_disc(),
        }
    }

    /// The screen that it is set for: the whole disc, since nobody has said yet that there is a bar.
    pub(super) fn screen(&self) -> Screen {
        Screen {
            strip: None,
            ..self.screen
        }
    }
}

/// Asks which size reads well, by samples.
#[derive(Template)]
#[template(path = "reads.html")]
pub struct ReadsDisc<'a> {
    screen: Screen,
    asked: &'a str,
    offers: Vec<Offer>,
}

impl<'a> ReadsDisc<'a> {
    /// The question on a screen, with the words that are set in every size.
    pub fn new(words: Words, screen: Screen, asked: &'a str, sample: &str) -> Self {
        let mut offers = sizes(words, screen, sample);
        for offer in &mut offers {
            // What is seen of a button begins its name (WCAG 2.2, 2.5.3).
            let seen = sample.replace('\n', " ");
            offer.told = offer.told.as_ref().map(|told| format!("{seen}: {told}"));
        }
        Self {
            screen,
            asked,
            offers,
        }
    }

    /// The screen on which it is asked.
    pub(super) fn screen(&self) -> Screen {
        self.screen
    }
}
