//! The mark along the rim of an article's discs: at which angle it says how far through the article a
//! disc is, where it touches no text. Never prints.

use std::f64::consts::SQRT_2;

use crate::typeset::{Disc, DiscKind, Edge, Line, Screen};

/// The steps of a full turn.
pub const STEPS: usize = 24;
/// The steps of a quarter of it. Quarters have classes and steps within one have, which are fewer than a class for each
/// step of the turn; the first of both is told by none.
pub const STEPS_A_QUARTER: usize = STEPS / 4;
/// How many places there are within a step: the mark may be moved by one of them either way.
const PLACES: usize = 3;
/// All places of a full turn.
const ALL: usize = STEPS * PLACES;

/// The angle of a step, in degrees.
pub const STEP_DEGREES: usize = 360 / STEPS;
/// The angle of a place.
pub const PLACE_DEGREES: usize = 360 / ALL;

/// The length of the mark, in hundredths of the diameter as the two that follow are. `paint/` draws the
/// same.
pub const LENGTH: f64 = 5.0;
/// Its thickness.
pub const THICKNESS: f64 = 0.5;
/// How far its outer side is from the middle of the disc: so far from the rim that on a disc of 168
/// pixels, the smallest that is tried, the pixels that browsers blend around it are inside too.
pub const OUTER: f64 = 49.3;

/// By how many places the mark may be moved to where it is free, the nearest first: no further
/// than to the next step.
const MOVES: [usize; 7] = [0, 1, ALL - 1, 2, ALL - 2, 3, ALL - 3];

/// The angle of the mark, clockwise from the top, on a disc of so many, the first being 1; none on a
/// disc of rows.
pub fn rim_degrees(disc: &Disc, number: usize, of: usize) -> Option<usize> {
    place(disc, number, of).map(|place| place * PLACE_DEGREES)
}

/// The classes of the mark on a disc of so many.
pub fn rim_class(disc: &Disc, number: usize, of: usize) -> String {
    let Some(place) = place(disc, number, of) else {
        return String::new();
    };
    let step = (place + PLACES / 2) / PLACES % STEPS;
    let moved = match place % PLACES {
        0 => "",
        1 => " kb",
        _ => " ka",
    };
    let told = |class: &str, number: usize| match number {
        0 => String::new(),
        _ => format!(" {class}{number}"),
    };
    let quarter = told("q", step / STEPS_A_QUARTER);
    format!(" k{quarter}{}{moved}", told("k", step % STEPS_A_QUARTER))
}

fn place(disc: &Disc, number: usize, of: usize) -> Option<usize> {
    let hidden = hidden_places(disc);
    let exact = if hidden == 0 {
        number * STEPS / of.max(1) % STEPS * PLACES
    } else {
        // It goes around from one end of the strip to the other.
        let start = match disc.screen.strip.map(|strip| strip.edge) {
            Some(Edge::Bottom) => ALL / 2 + hidden,
            _ => hidden,
        };
        (start + number * (ALL - 2 * hidden) / of.max(1)) % ALL
    };
    let mut moves = MOVES.iter().map(|moved| (exact + moved) % ALL);
    let found = moves.find(|&place| is_free(disc, place)).unwrap_or(exact);
    (disc.kind != DiscKind::Rows).then_some(found)
}

/// How many places on either side of its middle a strip covers, the length of the mark with them.
fn hidden_places(disc: &Disc) -> usize {
    let taken: f64 = Edge::ALL.map(|edge| disc.screen.taken(edge)).iter().sum();
    if taken == 0.0 {
        return 0;
    }
    let half = (1.0 - 2.0 * taken).acos() + ((LENGTH / 2.0 + WHITE) / OUTER).atan();
    (half.to_degrees() / PLACE_DEGREES as f64).ceil() as usize
}

/// Whether a point is where a strip is.
fn is_covered(screen: &Screen, y: f64) -> bool {
    let end = |edge| 0.5 - screen.taken(edge);
    y < -end(Edge::Top) || y > end(Edge::Bottom)
}

/// Whether the mark is under no strip and touches no line of a disc, nor comes within a pixel of 192 of one.
fn is_free(disc: &Disc, place: usize) -> bool {
    let (sin, cos) = ((place * PLACE_DEGREES) as f64).to_radians().sin_cos();
    let corners = [-1.0, -0.5, 0.0, 0.5, 1.0].into_iter().flat_map(|along| {
        let along = along * (LENGTH / 2.0 + WHITE);
        [OUTER, OUTER - THICKNESS - WHITE].map(|out| (along, out))
    });
    let points = corners.map(|(along, out)| {
        let (x, y) = (along * cos + out * sin, along * sin - out * cos);
        (x / 100.0, y / 100.0)
    });
    points.into_iter().all(|point| {
        !is_covered(&disc.screen, point.1)
            && !disc.lines.iter().any(|line| is_inked(line, disc, point))
    })
}

/// The least white around the mark, in hundredths of the diameter: the diagonal of a pixel of 192.
const WHITE: f64 = SQRT_2 * 100.0 / 192.0;

/// Whether a point is in the box of a line's ink: as wide as the line, and an em high.
fn is_inked(line: &Line, disc: &Disc, (x, y): (f64, f64)) -> bool {
    let em = disc.screen.pitch() / disc.screen.spacing.line() * line.size.factor();
    let middle = disc.screen.middle(line.place);
    let (left, right) = (-line.width / 2.0 - line.hang, line.width / 2.0);
    (y - middle).abs() < em / 2.0 && left < x && x < right
}
