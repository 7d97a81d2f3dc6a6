//! The places that the lines of a text stand on, and which lines fit there, by the ink of their ends.
//! Chooses nothing.

use std::ops::Range;

use super::case::{Column, MOST_PLACES, Manner, Sort, SortId};
use super::linebreak::{self, Page};
use super::prepare::Prepared;
use super::units::Diameters;
use crate::font::SUBSTITUTE_RAISE_EM;

/// Line places of a disc, from one of them on, for the lines of a text.
pub struct Stack<'a> {
    text: &'a Prepared<'a>,
    /// The piece with which the fragments begin that are broken.
    offset: usize,
    first: f64,
    fill: f64,
    slots: Vec<Slot>,
    /// The chords of the text's ink, all of it taken together, in either font.
    inner: [Column; 2],
    /// The ends of the lines that begin or end with each piece.
    lefts: Vec<Edge>,
    rights: Vec<Edge>,
    /// The left ends once more, by places.
    begins: Vec<Vec<f64>>,
}

/// Where the lines of a text stand.
#[derive(Clone, Copy, Debug)]
pub struct Places {
    /// The place of the first of them; a half where they stand between two.
    pub first: f64,
    /// How many there are.
    pub count: usize,
    /// How much of the chords is filled: see [`KEPT_FILL`].
    pub fill: f64,
}

/// The share of the chords that text fills whose spaces are the author's. Its spaces and signs are
/// wider in a substitute font, beside the digit by which that is scaled, than letters are: where
/// the font did not arrive, a sans-serif of the system drew a deeply indented line 10 % wider.
pub const KEPT_FILL: f64 = 0.88;

/// What a line in a substitute font stays narrower by than its limit: browsers round its size.
pub const SUBSTITUTE_MARGIN: f64 = 0.003;

/// How far ink hangs over an end of a line at the most, in em: an f's hook does by 0.043.
pub const OVERHANG_EM: f64 = 0.12;

/// How many glyphs of each end are looked at, each at its own height. Those further in are far
/// enough from the rim to be reckoned together.
const GLYPHS: usize = 3;

/// What is known of a place before any line stands there.
struct Slot {
    /// What a line should fill: the chord of plain ink.
    measure: Diameters,
    /// No line is wider.
    widest: Diameters,
}

/// How wide a line may be for the ink of one of its ends, at each place, in either font.
type Edge = [Column; 2];

impl<'a> Stack<'a> {
    /// The places for the pieces of a text.
    pub fn new(places: Places, text: &'a Prepared<'a>, pieces: &Range<usize>) -> Self {
        let case = text.case();
        let slot = |slot: usize| {
            let place = places.first + slot as f64;
            Slot {
                measure: places.fill * case.free_width(place, case.plain, 0.0),
                widest: 0.0,
            }
        };
        let inner = |raise: Diameters| {
            std::array::from_fn(|slot| {
                let place = places.first + slot as f64;
                (places.fill * case.free_width(place, text.ink, raise)) as f32
            })
        };
        let mut stack = Self {
            text,
            offset: pieces.start,
            first: places.first,
            fill: places.fill,
            slots: (0..places.count.min(MOST_PLACES)).map(slot).collect(),
            inner: [0.0, SUBSTITUTE_RAISE_EM * case.em].map(inner),
            lefts: Vec::new(),
            rights: Vec::new(),
            begins: Vec::new(),
        };
        let sorts = case.sorts();
        let sort = |id: SortId| &sorts[id as usize];
        stack.lefts = pieces
            .clone()
            .map(|piece| stack.edge(text.sorts_from(piece).map(sort), |sort| sort.left))
            .collect();
        stack.rights = pieces
            .clone()
            .map(|piece| stack.edge(text.sorts_before(piece + 1).map(sort), |sort| sort.right))
            .collect();
        let begins = |slot: usize| {
            stack
                .lefts
                .iter()
                .map(|edge| f64::from(edge[0][slot]))
                .collect()
        };
        stack.begins = (0..stack.slots.len()).map(begins).collect();
        for (number, slot) in stack.slots.iter_mut().enumerate() {
            let most = |edges: &[Edge]| {
                let limits = edges.iter().map(|edge| edge[0][number]);
                f64::from(limits.fold(0.0, f32::max))
            };
            slot.widest = most(&stack.lefts).min(most(&stack.rights) + 2.0 * text.hang);
        }
        stack
    }

    /// What a line fills: the chord of its place or, where it is wider than plain ink allows, what
    /// it may have.
    pub fn chord_of(&self, line: &linebreak::Line, width: Diameters) -> Diameters {
        let measure = self.slots[line.slot].measure;
        if width > measure {
            self.limit(line.slot, line.start, line.end)
        } else {
            measure
        }
    }

    fn limit(&self, slot: usize, start: usize, end: usize) -> Diameters {
        self.limit_in(slot, start, end, Manner::Own)
    }

    fn limit_in(&self, slot: usize, start: usize, end: usize, manner: Manner) -> Diameters {
        let (left, right) = (&self.lefts[start], &self.rights[end - 1]);
        // A mark that hangs out at the left has its like in white at the right.
        let hang = if self.offset + start == 0 {
            2.0 * self.text.hang
        } else {
            0.0
        };
        let manner = manner as usize;
        f64::from(left[manner][slot]).min(f64::from(right[manner][slot]) + hang)
    }

    /// Every glyph of an end must be inside the circle at its own height, and those further in are
    /// further from the rim.
    fn edge<'s>(
        &self,
        sorts: impl Iterator<Item = &'s Sort>,
        bearing: impl Fn(&Sort) -> Diameters,
    ) -> Edge {
        let fill = self.fill as f32;
        let mut edge = [[f32::INFINITY; MOST_PLACES]; 2];
        let mut inset = 0.0;
        for sort in sorts.take(GLYPHS) {
            let room = (2.0 * (inset + bearing(sort))) as f32;
            narrow(
                &mut edge[0],
                sort.chords(self.first, Manner::Own),
                fill,
                room,
            );
            narrow(
                &mut edge[1],
                sort.chords(self.first, Manner::Substitute),
                fill,
                room,
            );
            inset += sort.advance;
        }
        let room = 2.0 * inset as f32;
        narrow(&mut edge[0], &self.inner[0], 1.0, room);
        narrow(&mut edge[1], &self.inner[1], 1.0, room);
        // A browser puts a line into the middle only where it is no wider than the disc, the white at
        // its ends with it.
        for limits in &mut edge {
            narrow(limits, &WHOLE, 1.0, 0.0);
        }
        edge
    }
}

/// The diameter, at every place.
const WHOLE: Column = [1.0; MOST_PLACES];

/// Lowers limits to chords, of which a share is filled, and the room that there is beside them.
fn narrow(limits: &mut Column, chords: &Column, fill: f32, room: f32) {
    for (limit, chord) in limits.iter_mut().zip(chords) {
        let other = fill * chord + room;
        *limit = if other < *limit { other } else { *limit };
    }
}

impl Page for Stack<'_> {
    fn measure(&self, slot: usize) -> f64 {
        self.slots[slot].measure
    }

    fn widest(&self, slot: usize) -> f64 {
        self.slots[slot].widest
    }

    fn limits_from(&self, slot: usize) -> &[f64] {
        &self.begins[slot]
    }

    fn limit_to(&self, slot: usize, end: usize) -> f64 {
        // A mark that hangs out has its like in white before the right end.
        f64::from(self.rights[end - 1][0][slot]) + 2.0 * self.text.hang
    }

    /// Where the font does not arrive, the line must be inside too.
    fn fits(&self, slot: usize, line: Range<usize>, natural: f64) -> bool {
        let pieces = self.offset + line.start..self.offset + line.end;
        let substitute = self.text.substitute_width(&pieces) + SUBSTITUTE_MARGIN;
        let overhang = 2.0 * self.text.overhang;
        if self.text.hang == 0.0 && substitute <= f64::from(self.inner[1][slot]) - overhang {
            return true;
        }
        let limit = |manner| self.limit_in(slot, line.start, line.end, manner);
        substitute <= limit(Manner::Substitute)
            && (self.text.hang == 0.0 || natural <= limit(Manner::Own) + 1e-9)
    }
}
