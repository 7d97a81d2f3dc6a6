//! The places that the lines of a text stand on, and which lines fit there, by the ink of their ends.
//! Chooses nothing.

use std::ops::Range;

use super::case::{Column, MOST_PLACES, Manner, Sort};
use super::linebreak::Page;
use super::prepare::Prepared;
use super::units::Diameters;
use crate::font::SUBSTITUTE_RAISE_EM;

/// Line places of a disc, from one of them on, and the ends of a text's lines there.
pub struct Stack<'a> {
    /// The places.
    pub rim: Rim<'a>,
    /// The piece with which the fragments begin that are broken.
    offset: usize,
    /// No line is wider at each place.
    widest: Vec<Diameters>,
    /// The ends of the lines that begin or end with each piece.
    lefts: Vec<Edge>,
    rights: Vec<Edge>,
    /// A line that is no wider than this in substitute fonts fits at each place, whatever its ends;
    /// nought where a mark hangs out, since each line is asked about there.
    sure: Vec<Diameters>,
}

/// Line places of a disc, from one of them on, for the lines of a text: what is known of them before
/// any line stands there.
pub struct Rim<'a> {
    text: &'a Prepared<'a>,
    first: f64,
    fill: f64,
    /// What a line should fill at each place: the chord of plain ink.
    measures: Vec<Diameters>,
    /// The chords of the text's ink, all of it taken together, in either font.
    inner: [Column; 2],
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

/// How wide a line may be for the ink of one of its ends, at each place, in either font.
type Edge = [Column; 2];

impl<'a> Stack<'a> {
    /// The places for the pieces of a text.
    pub fn new(places: Places, text: &'a Prepared<'a>, pieces: &Range<usize>) -> Self {
        let rim = Rim::new(places, text);
        let lefts: Vec<Edge> = pieces.clone().map(|piece| rim.left(piece)).collect();
        let rights: Vec<Edge> = pieces.clone().map(|piece| rim.right(piece + 1)).collect();
        let slots = 0..rim.measures.len();
        let widest = |slot: usize| {
            let most = |edges: &[Edge]| {
                let limits = edges.iter().map(|edge| edge[0][slot]);
                f64::from(limits.fold(0.0, f32::max))
            };
            most(&lefts).min(most(&rights) + 2.0 * text.hang)
        };
        let sure = |slot: usize| {
            if text.hang > 0.0 {
                0.0
            } else {
                f64::from(rim.inner[1][slot]) - 2.0 * text.overhang
            }
        };
        Self {
            offset: pieces.start,
            widest: slots.clone().map(widest).collect(),
            sure: slots.map(sure).collect(),
            rim,
            lefts,
            rights,
        }
    }

    fn limit_in(&self, slot: usize, start: usize, end: usize, manner: Manner) -> Diameters {
        let edges = (&self.lefts[start], &self.rights[end - 1]);
        let hang = self.rim.hang(self.offset + start);
        limit(edges, hang, slot, manner)
    }
}

/// What a line may have at a place for both of its ends.
fn limit((left, right): (&Edge, &Edge), hang: f64, slot: usize, manner: Manner) -> Diameters {
    let manner = manner as usize;
    f64::from(left[manner][slot]).min(f64::from(right[manner][slot]) + hang)
}

impl<'a> Rim<'a> {
    /// The places for a text.
    pub fn new(places: Places, text: &'a Prepared<'a>) -> Self {
        let case = text.case();
        let place = |slot: usize| places.first + slot as f64;
        let measure = |slot: usize| places.fill * case.free_width(place(slot), case.plain, 0.0);
        let inner = |raise: Diameters| {
            std::array::from_fn(|slot| {
                (places.fill * case.free_width(place(slot), text.ink, raise)) as f32
            })
        };
        Self {
            text,
            first: places.first,
            fill: places.fill,
            measures: (0..places.count.min(MOST_PLACES)).map(measure).collect(),
            inner: [0.0, SUBSTITUTE_RAISE_EM * case.em].map(inner),
        }
    }

    /// What a line of some pieces fills: the chord of its place or, where it is wider than plain ink
    /// allows, what it may have.
    pub fn chord_of(&self, pieces: &Range<usize>, slot: usize, width: Diameters) -> Diameters {
        let measure = self.measures[slot];
        if width > measure {
            let edges = (&self.left(pieces.start), &self.right(pieces.end));
            limit(edges, self.hang(pieces.start), slot, Manner::Own)
        } else {
            measure
        }
    }

    /// A mark that hangs out at the left has its like in white at the right.
    fn hang(&self, start: usize) -> Diameters {
        if start == 0 {
            2.0 * self.text.hang
        } else {
            0.0
        }
    }

    /// The left end of a line that begins with a piece.
    fn left(&self, piece: usize) -> Edge {
        let sorts = self.text.case().sorts();
        let ids = self.text.sorts_from(piece);
        self.edge(ids.map(|id| &sorts[id as usize]), |sort| sort.left)
    }

    /// The right end of a line that ends before a piece.
    fn right(&self, piece: usize) -> Edge {
        let sorts = self.text.case().sorts();
        let ids = self.text.sorts_before(piece);
        self.edge(ids.map(|id| &sorts[id as usize]), |sort| sort.right)
    }

    /// Every glyph of an end must be inside the circle at its own height, and those further in are
    /// further from the rim.
    fn edge<'s>(
        &self,
        sorts: impl Iterator<Item = &'s Sort>,
        bearing: impl Fn(&Sort) -> Diameters,
    ) -> Edge {
        let fill = self.fill as f32;
        // A browser puts a line into the middle only where it is no wider than the disc, the white at
        // its ends with it.
        let mut edge = [WHOLE; 2];
        let mut inset = 0.0;
        for sort in sorts.take(GLYPHS) {
            let room = (2.0 * (inset + bearing(sort))) as f32;
            for (limits, manner) in edge.iter_mut().zip(Manner::BOTH) {
                narrow(limits, sort.chords(self.first, manner), fill, room);
            }
            inset += sort.advance;
        }
        let room = 2.0 * inset as f32;
        for (limits, inner) in edge.iter_mut().zip(&self.inner) {
            narrow(limits, inner, 1.0, room);
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
        self.rim.measures[slot]
    }

    fn widest(&self, slot: usize) -> f64 {
        self.widest[slot]
    }

    #[inline]
    fn limit_from(&self, slot: usize, start: usize) -> f64 {
        f64::from(self.lefts[start][0][slot])
    }

    #[inline]
    fn limit_to(&self, slot: usize, end: usize) -> f64 {
        // A mark that hangs out has its like in white before the right end.
        f64::from(self.rights[end - 1][0][slot]) + 2.0 * self.rim.text.hang
    }

    /// Its width in the substitute font in which it is widest, with a margin.
    fn second_width(&self, line: Range<usize>) -> f64 {
        let pieces = self.offset + line.start..self.offset + line.end;
        self.rim.text.substitute_width(&pieces) + SUBSTITUTE_MARGIN
    }

    /// Where the font does not arrive, the line must be inside too.
    #[inline]
    fn fits(&self, slot: usize, line: Range<usize>, natural: f64, substitute: f64) -> bool {
        if substitute <= self.sure[slot] {
            return true;
        }
        let limit = |manner| self.limit_in(slot, line.start, line.end, manner);
        substitute <= limit(Manner::Substitute)
            && (self.rim.text.hang == 0.0 || natural <= limit(Manner::Own) + 1e-9)
    }
}
