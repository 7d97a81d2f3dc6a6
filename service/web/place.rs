//! How far an article was read: told by its page as discs are turned, and gone back to at any text size. Never sets
//! a line.
//!
//! A place is (block, character), which names the same words at every size; a page knows where each of its discs
//! begins. Which disc a place is on is found out when it is asked for, so that an article's page never changes with it.

use axum::Form;
use axum::extract::rejection::FormRejection;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use super::asked::Asked;
use super::error::WebError;
use super::{Web, answer, article, message, stored};
use crate::store::{Place, READER};
use crate::words::Words;

/// Leads to the disc where reading stopped; to the opening where nothing is remembered.
pub async fn on(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
) -> Response {
    let shown = lead(&web, &screen, entry).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn lead(web: &Web, screen: &str, entry: i64) -> Result<Response, WebError> {
    let place = web.shared.store.mark(READER, entry).await?.place;
    let mut to = format!("/{screen}/{entry}");
    if let Some(place) = place {
        let printed = stored::printed(web, (screen, entry), "text", article::compose).await?;
        to.push_str(&format!("#{}", disc_of(&printed.starts, place)));
    }
    Ok(answer::lead_to(&to))
}

/// The number of the disc that shows a place, the first being 1: the last that begins no later.
fn disc_of(starts: &[Place], place: Place) -> usize {
    starts
        .iter()
        .rposition(|start| *start <= place)
        .unwrap_or(0)
        + 1
}

/// What the page's script tells.
#[derive(Deserialize)]
pub struct Turned {
    /// The number of the disc that is shown, the first being 1.
    disc: usize,
}

/// Remembers the disc that is shown.
pub async fn turned(
    web: Web,
    Asked((screen, entry)): Asked<(String, i64)>,
    headers: HeaderMap,
    told: Result<Form<Turned>, FormRejection>,
) -> Response {
    let disc = told.ok().map(|Form(told)| told.disc);
    let shown = remember(&web, &screen, entry, disc).await;
    message::or_message(&web, &screen, &headers, shown).await
}

async fn remember(
    web: &Web,
    screen: &str,
    entry: i64,
    disc: Option<usize>,
) -> Result<Response, WebError> {
    let printed = stored::printed(web, (screen, entry), "text", article::compose).await?;
    let starts = printed.starts.as_slice();
    let number = disc.filter(|disc| (1..=starts.len()).contains(disc));
    let number = number.ok_or(WebError::Unreadable(Words::no_such_disc))?;
    let store = &web.shared.store;
    let known = store.mark(READER, entry).await?.place;
    let place = place_after(starts, starts[number - 1], known);
    store.set_place(READER, entry, place).await?;
    let now = web.shared.clock.now();
    store
        .note_reading(READER, entry, starts[number - 1], now)
        .await?;
    Ok((
        StatusCode::NO_CONTENT,
        [(header::CACHE_CONTROL, "no-store")],
    )
        .into_response())
}

/// What is remembered once a disc is shown that begins at a place. At the opening nothing is. On the discs of controls
/// behind the text nothing either, if the text was read to one of its last two discs: whoever only goes there to hand an
/// article over keeps the place.
fn place_after(starts: &[Place], shown: Place, known: Option<Place>) -> Option<Place> {
    let end = starts.last().copied().unwrap_or(Place::START);
    if shown < end {
        return (shown > Place::START).then_some(shown);
    }
    let mut of_text = starts.iter().rev().filter(|start| **start < end);
    let late = of_text.nth(1).copied().unwrap_or(Place::START);
    known.filter(|known| *known < late)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_forgotten_at_the_opening_and_once_the_text_is_read() {
        let place = |block| Place {
            block,
            character: 0,
        };
        let starts: Vec<Place> = [0, 0, 1, 2, 3, 4, 4].map(place).to_vec();
        let after = |shown: u32, known: Option<u32>| {
            place_after(&starts, place(shown), known.map(place)).map(|place| place.block)
        };
        assert_eq!(after(2, None), Some(2));
        assert_eq!(after(0, Some(2)), None);
        for (known, left) in [
            (None, None),
            (Some(1), Some(1)),
            (Some(2), None),
            (Some(3), None),
        ] {
            assert_eq!(after(4, known), left, "{known:?}");
        }
        assert_eq!(place_after(&[], place(0), Some(place(1))), None);
    }

    #[test]
    fn a_place_is_on_the_last_disc_that_begins_no_later() {
        let place = |block, character| Place { block, character };
        let starts = [
            place(0, 0),
            place(0, 0),
            place(0, 80),
            place(2, 5),
            place(4, 0),
        ];
        for (at, disc) in [
            (place(0, 0), 2),
            (place(0, 79), 2),
            (place(0, 80), 3),
            (place(1, 300), 3),
            (place(2, 5), 4),
            (place(9, 9), 5),
        ] {
            assert_eq!(disc_of(&starts, at), disc, "{at:?}");
        }
        assert_eq!(disc_of(&[], place(3, 0)), 1);
    }
}
