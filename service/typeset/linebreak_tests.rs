//! The line breaker beside published breaks and beside trying every choice.

use proptest::prelude::*;

use super::*;

/// Lines that are all of one width; as many places as asked for, so that lines can be counted.
struct Even {
    width: f64,
    first: f64,
    slots: usize,
}

impl Page for Even {
    fn slots(&self) -> usize {
        self.slots
    }

    fn measure(&self, slot: usize, _: Ink) -> f64 {
        if slot == 0 { self.first } else { self.width }
    }
}

/// The demerits of Knuth and Plass, "Breaking Paragraphs into Lines", Software: Practice and
/// Experience 11:1119, 1981, for justified text: (1 + 100 |r|^3 + penalty)^2, without the terms
/// that look at two lines at once, which this model has no state for.
struct Justified {
    threshold: f64,
}

impl Cost for Justified {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let gap = line.measure - line.natural;
        let ratio = match gap {
            _ if line.last && gap >= 0.0 => 0.0,
            gap if gap < 0.0 => gap / line.shrink,
            gap if gap > 0.0 => gap / line.stretch,
            _ => 0.0,
        };
        let feasible = (-1.0..=self.threshold).contains(&ratio);
        feasible.then(|| (1.0 + 100.0 * ratio.abs().powi(3) + line.penalty).powi(2))
    }

    fn empty(&self, _: usize, _: f64, _: bool) -> Option<f64> {
        None
    }
}

/// The first paragraph of "The Frog King" as the paper sets it, with its soft hyphens.
const FROG_KING: &str = "In olden times when wish-ing still helped one, there lived a king whose \
daugh-ters were all beau-ti-ful; and the young-est was so beau-ti-ful that the sun it-self, which \
has seen so much, was aston-ished when-ever it shone in her face. Close by the king’s castle lay a \
great dark for-est, and un-der an old lime=tree in the for-est was a well, and when the day was \
very warm, the king’s child went out into the for-est and sat down by the side of the cool \
foun-tain; and when she was bored she took a golden ball, and threw it up on high and caught it; \
and this ball was her favor-ite play-thing.";

/// The paper's widths, in eighteenths of an em.
fn width(character: char) -> f64 {
    f64::from(match character {
        'i' | 'l' | ',' | ';' | '.' | '’' => 5,
        'I' | 'f' | 'j' | '-' => 6,
        'r' | 's' | 't' => 7,
        'c' | 'e' | 'z' => 8,
        'a' | 'g' | 'o' | 'v' => 9,
        'C' | 'w' => 13,
        'm' => 15,
        _ => 10,
    })
}

/// A soft hyphen is written `-`, the hyphen of a compound `=`.
fn frog_king() -> Vec<Fragment> {
    let mut fragments = Vec::new();
    for word in FROG_KING.split(' ') {
        for part in word.split_inclusive(['-', '=']) {
            let letters = part.trim_end_matches('-').replace('=', "-");
            let hyphen = if part.ends_with('-') { width('-') } else { 0.0 };
            let divides = part.ends_with(['-', '=']);
            let (stretch, shrink, space) = match part.chars().next_back() {
                _ if divides => (0.0, 0.0, 0.0),
                Some(',') => (4.0, 2.0, 6.0),
                Some(';') => (4.0, 1.0, 6.0),
                Some('.') => (6.0, 1.0, 8.0),
                _ => (3.0, 2.0, 6.0),
            };
            fragments.push(Fragment {
                width: letters.chars().map(width).sum(),
                space: Space {
                    width: space,
                    stretch,
                    shrink,
                },
                hyphen,
                end: End::May(if divides { 50.0 } else { 0.0 }),
                ink: Ink::default(),
            });
        }
    }
    fragments
}

/// The paper's number of the item at which each line but the last ends: a fragment is a box and the
/// glue or penalty after it, and the hyphen of the compound is a box of its own.
fn break_items(lines: &[Line]) -> Vec<usize> {
    let compound = FROG_KING
        .split(' ')
        .flat_map(|word| word.split_inclusive(['-', '=']))
        .position(|part| part.ends_with('='));
    let ends = lines[..lines.len() - 1].iter().map(|line| line.end);
    ends.map(|end| 2 * end - 1 + usize::from(compound.is_some_and(|compound| compound < end)))
        .collect()
}

fn check_frog_king(page: &Even, threshold: f64, wanted: &[usize], ratios: &[f64]) {
    let fragments = frog_king();
    let lines = break_lines(&fragments, 0, page, &Justified { threshold }).unwrap();
    assert_eq!(break_items(&lines), wanted);
    for (line, wanted) in lines.iter().zip(ratios) {
        let inner = &fragments[line.start..line.end - 1];
        let gap = line.measure - line.width;
        let give = |part: fn(&Fragment) -> f64| inner.iter().map(part).sum::<f64>();
        let ratio = if gap < 0.0 {
            gap / give(|f| f.space.shrink)
        } else {
            gap / give(|f| f.space.stretch)
        };
        assert!(
            line.end == fragments.len() || (ratio - wanted).abs() < 0.000_6,
            "{ratio} is not {wanted}"
        );
    }
}

#[test]
fn the_frog_king_breaks_as_published() {
    // Knuth and Plass 1981 (Digital Typography, 1999, pp. 81 and 113): widths 390 and 500, the
    // first line shorter by the indent of 18, threshold 1. The numbers of the items are those of
    // the tests of the Rust crate paragraph-breaker; the ratios follow from the widths.
    check_frog_king(
        &Even {
            width: 390.0,
            first: 372.0,
            slots: 40,
        },
        1.0,
        &[17, 37, 63, 83, 105, 129, 154, 174, 198, 220, 240],
        &[
            0.857, 0.0, 0.280, 1.0, 0.067, -0.278, 0.536, -0.167, 0.700, -0.176, 0.357,
        ],
    );
    check_frog_king(
        &Even {
            width: 500.0,
            first: 482.0,
            slots: 40,
        },
        1.0,
        &[23, 51, 81, 107, 140, 168, 198, 224, 252],
        &[0.774, 0.179, 0.629, 0.545, 0.0, 0.079, 0.282, 0.294, 0.575],
    );
}

#[test]
fn a_measure_that_is_too_narrow_has_no_breaks() {
    // The same paper's case of width 100.
    let page = Even {
        width: 100.0,
        first: 82.0,
        slots: 40,
    };
    assert_eq!(
        break_lines(&frog_king(), 0, &page, &Justified { threshold: 1.0 }),
        None
    );
}

/// Lines of a small page, each of a width of its own.
#[derive(Debug)]
struct Uneven(Vec<f64>);

impl Page for Uneven {
    fn slots(&self) -> usize {
        self.0.len()
    }

    fn measure(&self, slot: usize, ink: Ink) -> f64 {
        self.0[slot] - ink.rise
    }
}

/// Squared rag, penalties, and no hyphen at the foot of a page.
struct Ragged {
    last_slot: usize,
}

impl Cost for Ragged {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let rag = line.measure - line.natural;
        let fits = rag >= 0.0 && !(line.hyphenated && line.slot == self.last_slot);
        let price = if line.last {
            0.0
        } else {
            rag * rag + line.penalty
        };
        fits.then_some(price)
    }

    fn empty(&self, slot: usize, measure: f64, divided: bool) -> Option<f64> {
        let divided = if divided { 50.0 } else { 0.0 };
        (slot == self.last_slot).then_some(measure * measure + divided)
    }
}

/// The least cost by trying every choice, slowly and plainly.
fn least_cost(
    fragments: &[Fragment],
    start: usize,
    slot: usize,
    page: &Uneven,
    cost: &Ragged,
) -> Option<f64> {
    if start == fragments.len() {
        return Some(0.0);
    }
    let next = (slot + 1) % page.slots();
    let mut best: Option<f64> = None;
    let mut keep = |candidate: Option<f64>| {
        if let Some(found) = candidate {
            best = Some(best.map_or(found, |known: f64| known.min(found)));
        }
    };
    for end in start + 1..=fragments.len() {
        let inner = &fragments[start..end];
        let last = end == fragments.len() || inner[inner.len() - 1].end == End::Must;
        let penalty = match inner[inner.len() - 1].end {
            End::May(penalty) => penalty,
            End::Never if !last => continue,
            _ => 0.0,
        };
        let hyphen = if last {
            0.0
        } else {
            inner[inner.len() - 1].hyphen
        };
        let spaces: f64 = inner[..inner.len() - 1]
            .iter()
            .map(|fragment| fragment.space.width)
            .sum();
        let ink = inner
            .iter()
            .fold(Ink::default(), |ink, fragment| ink.union(fragment.ink));
        let line = Candidate {
            natural: inner.iter().map(|fragment| fragment.width).sum::<f64>() + spaces + hyphen,
            measure: page.measure(slot, ink),
            limit: page.measure(slot, ink),
            stretch: 0.0,
            shrink: 0.0,
            penalty: if last { 0.0 } else { penalty },
            hyphenated: hyphen > 0.0,
            last,
            slot,
        };
        if let Some(price) = cost.line(&line) {
            keep(least_cost(fragments, end, next, page, cost).map(|rest| rest + price));
        }
        if last {
            break;
        }
    }
    let divided = start > 0 && fragments[start - 1].is_within_a_word();
    if let Some(price) = cost.empty(slot, page.measure(slot, Ink::default()), divided) {
        keep(least_cost(fragments, start, next, page, cost).map(|rest| rest + price));
    }
    best
}

/// What a choice of breaks costs.
fn cost_of(
    lines: &[Line],
    fragments: &[Fragment],
    start: usize,
    page: &Uneven,
    cost: &Ragged,
) -> f64 {
    let mut total = 0.0;
    let mut offset = 0;
    for line in lines {
        for empty in offset..line.offset {
            let slot = (start + empty) % page.slots();
            total += cost
                .empty(
                    slot,
                    page.measure(slot, Ink::default()),
                    line.start > 0 && fragments[line.start - 1].is_within_a_word(),
                )
                .expect("this place may be empty");
        }
        offset = line.offset + 1;
        let end = &fragments[line.end - 1];
        let last = line.end == fragments.len() || end.end == End::Must;
        let penalty = if let End::May(penalty) = end.end {
            penalty
        } else {
            0.0
        };
        let candidate = Candidate {
            natural: line.width,
            measure: line.measure,
            limit: line.measure,
            stretch: 0.0,
            shrink: 0.0,
            penalty: if last { 0.0 } else { penalty },
            hyphenated: !last && end.hyphen > 0.0,
            last,
            slot: (start + line.offset) % page.slots(),
        };
        total += cost.line(&candidate).expect("the line fits");
    }
    total
}

fn fragment() -> impl Strategy<Value = Fragment> {
    let end = prop_oneof![
        6 => Just((0.0, End::May(0.0))),
        3 => Just((1.0, End::May(6.0))),
        1 => Just((0.0, End::Never)),
        1 => Just((0.0, End::Must)),
    ];
    (1_u8..8, 0_u8..3, end, 0_u8..4).prop_map(|(width, space, (hyphen, end), rise)| Fragment {
        width: f64::from(width),
        space: Space {
            width: f64::from(space),
            ..Space::default()
        },
        hyphen,
        end,
        ink: Ink {
            rise: f64::from(rise / 3),
            fall: 0.0,
        },
    })
}

proptest! {
    #[test]
    fn the_breaks_cost_no_more_than_any_other_choice(
        fragments in prop::collection::vec(fragment(), 1..13),
        widths in prop::collection::vec(6_u8..22, 1..5),
        start in 0_usize..4,
    ) {
        let page = Uneven(widths.into_iter().map(f64::from).collect());
        let start = start % page.slots();
        let cost = Ragged { last_slot: page.slots() - 1 };
        // A page of one place that may be left empty has endlessly many choices.
        prop_assume!(page.slots() > 1);
        let wanted = least_cost(&fragments, 0, start, &page, &cost);
        let found = break_lines(&fragments, start, &page, &cost);
        match (found, wanted) {
            (Some(lines), Some(wanted)) => {
                let found = cost_of(&lines, &fragments, start, &page, &cost);
                prop_assert!((found - wanted).abs() < 1e-6, "{} is not {}", found, wanted);
            }
            (found, wanted) => prop_assert_eq!(found.is_some(), wanted.is_some()),
        }
    }
}
