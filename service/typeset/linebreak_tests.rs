//! The breaker beside published breaks and beside trying every choice.

use std::cell::RefCell;
use std::collections::HashMap;
use std::env;

use proptest::prelude::*;

use super::*;

/// Lines that are all of one width but for the first.
struct Even {
    width: f64,
    first: f64,
}

impl Page for Even {
    fn measure(&self, slot: usize) -> f64 {
        if slot == 0 { self.first } else { self.width }
    }

    /// Lines whose spaces shrink are wider at first.
    fn widest(&self, _: usize) -> f64 {
        f64::INFINITY
    }
}

/// A page that no text of these tests fills, so that the places used are the lines.
const LONG_PAGE: usize = 40;

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
                lead: 0.0,
                turn: 0.0,
                characters: 1,
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

/// A paragraph of its own.
fn whole(fragments: &[Fragment]) -> Paragraph<'_> {
    Paragraph {
        fragments,
        spaced: false,
        begun: false,
        open: false,
    }
}

/// Breaks the frog king and compares items and ratios. `more` is the looseness: by how many lines
/// the paragraph is longer than the best one.
fn check_frog_king(width: f64, threshold: f64, more: isize, wanted: &[usize], ratios: &[f64]) {
    let fragments = frog_king();
    let page = Even {
        width,
        first: width - 18.0,
    };
    let mut breaker = Breaker::new(LONG_PAGE);
    assert!(breaker.add(&whole(&fragments), &page, &Justified { threshold }));
    let best = breaker.best().unwrap().len();
    let lines = breaker.trace(best.strict_add_signed(more));
    assert_eq!(break_items(&lines), wanted);
    for (line, wanted) in lines.iter().zip(ratios) {
        let inner = &fragments[line.start..line.end];
        let (closing, before) = inner.split_last().unwrap();
        let give = |part: fn(&Fragment) -> f64| before.iter().map(part).sum::<f64>();
        let natural = give(|piece| piece.width + piece.space.width) + closing.width;
        let last = line.end == fragments.len();
        let gap = page.measure(line.slot) - natural - if last { 0.0 } else { closing.hyphen };
        let ratio = match gap {
            _ if last && gap > 0.0 => 0.0,
            gap if gap < 0.0 => gap / give(|piece| piece.space.shrink),
            gap => gap / give(|piece| piece.space.stretch),
        };
        assert!((ratio - wanted).abs() < 0.000_6, "{ratio} is not {wanted}");
    }
}

#[test]
fn the_frog_king_breaks_as_published() {
    // Knuth and Plass 1981 (Digital Typography, 1999, pp. 81 and 113): widths 390 and 500, the
    // first line shorter by the indent of 18, threshold 1. The numbers of the items are those of
    // the tests of the Rust crate paragraph-breaker; the ratios follow from the widths.
    check_frog_king(
        390.0,
        1.0,
        0,
        &[17, 37, 63, 83, 105, 129, 154, 174, 198, 220, 240],
        &[
            0.857, 0.0, 0.280, 1.0, 0.067, -0.278, 0.536, -0.167, 0.700, -0.176, 0.357, 0.0,
        ],
    );
    check_frog_king(
        500.0,
        1.0,
        0,
        &[23, 51, 81, 107, 140, 168, 198, 224, 252],
        &[
            0.774, 0.179, 0.629, 0.545, 0.0, 0.079, 0.282, 0.294, 0.575, 0.0,
        ],
    );
}

#[test]
fn the_frog_king_is_longer_or_shorter_by_a_line_as_published() {
    // The same paper and the same tests: width 500 with looseness -1 and +1, the latter with
    // threshold 2.5.
    check_frog_king(
        500.0,
        1.0,
        -1,
        &[25, 53, 83, 111, 146, 172, 204, 232],
        &[
            -0.727, 0.821, -0.455, -0.870, -0.208, 0.0, -0.577, -0.231, 0.0,
        ],
    );
    check_frog_king(
        500.0,
        2.5,
        1,
        &[21, 47, 77, 101, 129, 158, 182, 208, 234, 258],
        &[
            1.393, 1.464, 1.412, 1.226, 1.412, 1.735, 1.774, 1.559, 1.378, 2.129, 0.0,
        ],
    );
}

#[test]
fn a_measure_that_is_too_narrow_has_no_breaks() {
    // The same paper's case of width 100.
    let page = Even {
        width: 100.0,
        first: 82.0,
    };
    let mut breaker = Breaker::new(LONG_PAGE);
    let set = breaker.add(&whole(&frog_king()), &page, &Justified { threshold: 1.0 });
    assert!(!set);
    assert_eq!(breaker.best(), None);
}

/// Lines of a small page, each of a width of its own, and wider or narrower by its ends.
#[derive(Clone, Debug)]
struct Uneven {
    widths: Vec<f64>,
    /// By how much lines that begin or end with a fragment must be narrower.
    ends: Vec<f64>,
}

impl Uneven {
    fn new(widths: &[f64], ends: &[f64]) -> Self {
        Self {
            widths: widths.to_vec(),
            ends: ends.to_vec(),
        }
    }
}

impl Page for Uneven {
    fn measure(&self, slot: usize) -> f64 {
        self.widths[slot]
    }

    fn limit_from(&self, slot: usize, start: usize) -> f64 {
        self.widths[slot] - self.ends[start]
    }

    fn limit_to(&self, slot: usize, end: usize) -> f64 {
        self.widths[slot] - self.ends[end - 1]
    }

    fn second_width(&self, line: Range<usize>) -> f64 {
        (line.start + 2 * line.end) as f64
    }

    /// A rule that no limit says.
    fn fits(&self, slot: usize, _: Range<usize>, _: f64, second: f64) -> bool {
        !(slot + second as usize).is_multiple_of(7)
    }
}

/// Squared rag, penalties, and all that a page can cost.
struct Ragged {
    foot: f64,
    head: f64,
    short: u32,
}

impl Cost for Ragged {
    fn line(&self, line: &Candidate) -> Option<f64> {
        let rag = (line.measure - line.natural).max(0.0);
        let short = if line.characters < self.short {
            9.0
        } else {
            0.0
        };
        Some(if line.last {
            if line.divided { 6.0 } else { 1.0 }
        } else {
            rag * rag + line.penalty + short
        })
    }

    fn least(&self, rag: f64) -> f64 {
        rag * rag
    }

    fn empty(&self, measure: f64) -> Option<f64> {
        Some(measure * measure)
    }

    fn stranded_at_foot(&self) -> f64 {
        self.foot
    }

    fn stranded_at_head(&self) -> f64 {
        self.head
    }
}

/// Paragraphs on pages, for trying every choice, slowly and plainly.
struct Plain<'a> {
    paragraphs: &'a [Paragraph<'a>],
    pages: &'a [Uneven],
    cost: &'a Ragged,
    /// The answers so far, by paragraph, fragment and places used.
    known: RefCell<HashMap<(usize, usize, usize), f64>>,
}

impl Plain<'_> {
    fn slots(&self) -> usize {
        self.pages[0].widths.len()
    }

    /// The least cost of all from a fragment of a paragraph on, with so many places used; endless
    /// where there is no way.
    fn least(&self, number: usize, start: usize, used: usize) -> f64 {
        let known = self.known.borrow().get(&(number, start, used)).copied();
        known.unwrap_or_else(|| {
            let least = self.tried(number, start, used);
            self.known.borrow_mut().insert((number, start, used), least);
            least
        })
    }

    fn tried(&self, number: usize, start: usize, used: usize) -> f64 {
        let Some(paragraph) = self.paragraphs.get(number) else {
            return if used > 0 { 0.0 } else { f64::INFINITY };
        };
        let mut best = f64::INFINITY;
        // A space before a paragraph, but at the head of a page.
        let used = used + usize::from(start == 0 && paragraph.spaced && used > 0);
        let mut starts = vec![(used, 0.0)];
        if used == 0 && self.slots() > 1 {
            starts.push((1, self.empty(number, 0)));
        }
        for (slot, spent) in starts.into_iter().filter(|&(slot, _)| slot < self.slots()) {
            for end in start + 1..=paragraph.fragments.len() {
                if let Some(price) = self.line(number, start..end, slot) {
                    best = best.min(spent + price + self.rest(number, start..end, slot + 1));
                }
                if paragraph.fragments[end - 1].end == End::Must {
                    break;
                }
            }
        }
        best
    }

    /// What the least costs after a line: going on, or turning the page first.
    fn rest(&self, number: usize, line: Range<usize>, used: usize) -> f64 {
        let paragraph = &self.paragraphs[number];
        let closes = line.end == paragraph.fragments.len();
        let next = |used| match closes {
            true => self.least(number + 1, 0, used),
            false => self.least(number, line.end, used),
        };
        let stranded = line.start == 0 && !paragraph.begun && (!closes || paragraph.open);
        let turning = (used..self.slots())
            .map(|slot| self.empty(number, slot))
            .sum::<f64>()
            + paragraph.fragments[line.end - 1].turn
            + if stranded { self.cost.foot } else { 0.0 };
        next(used).min(turning + next(0))
    }

    fn empty(&self, number: usize, slot: usize) -> f64 {
        self.cost
            .empty(self.pages[number].measure(slot))
            .expect("any place may be empty")
    }

    fn line(&self, number: usize, line: Range<usize>, slot: usize) -> Option<f64> {
        let (paragraph, page) = (&self.paragraphs[number], &self.pages[number]);
        let (closing, before) = paragraph.fragments[line.clone()].split_last()?;
        let ends = line.end == paragraph.fragments.len();
        let closes = ends && !paragraph.open;
        let last = closes || closing.end == End::Must;
        let (hyphen, penalty) = match closing.end {
            End::Never if !ends => return None,
            End::May(penalty) if !last => (closing.hyphen, penalty),
            _ => (0.0, 0.0),
        };
        let spaces: f64 = before
            .iter()
            .map(|piece| piece.width + piece.space.width)
            .sum();
        let natural = paragraph.fragments[line.start].lead + spaces + closing.width + hyphen;
        let limit = (page.widths[slot] - page.ends[line.start])
            .min(page.widths[slot] - page.ends[line.end - 1]);
        if natural > limit + 1e-9
            || !page.fits(slot, line.clone(), natural, page.second_width(line.clone()))
        {
            return None;
        }
        let inner = &paragraph.fragments[line.clone()];
        let spaced = before
            .iter()
            .filter(|piece| piece.space.width > 0.0)
            .count() as u32;
        let stranded = closes && slot == 0 && (line.start > 0 || paragraph.begun);
        let price = self.cost.line(&Candidate {
            natural,
            measure: page.widths[slot],
            stretch: 0.0,
            shrink: 0.0,
            penalty,
            last,
            divided: paragraph.divides_before(line.start),
            characters: inner.iter().map(|piece| piece.characters).sum::<u32>() + spaced,
        })?;
        Some(price + if stranded { self.cost.head } else { 0.0 })
    }

    /// What a choice of lines costs, by the same rules.
    fn cost_of(&self, lines: &[Line]) -> f64 {
        let mut total = 0.0;
        for (number, line) in lines.iter().enumerate() {
            total += self
                .line(line.paragraph, line.start..line.end, line.slot)
                .expect("it fits");
            let before = number.checked_sub(1).map(|before| &lines[before]);
            if line.slot > 0 && before.is_none_or(|before| before.page < line.page) {
                assert_eq!(line.slot, 1);
                total += self.empty(line.paragraph, 0);
            }
            let Some(next) = lines.get(number + 1).filter(|next| next.page > line.page) else {
                continue;
            };
            assert_eq!(next.page, line.page + 1);
            let paragraph = &self.paragraphs[line.paragraph];
            let closes = line.end == paragraph.fragments.len() && !paragraph.open;
            if line.start == 0 && !closes && !paragraph.begun {
                total += self.cost.foot;
            }
            total += (line.slot + 1..self.slots())
                .map(|slot| self.empty(line.paragraph, slot))
                .sum::<f64>()
                + paragraph.fragments[line.end - 1].turn;
        }
        total
    }
}

fn fragment() -> impl Strategy<Value = Fragment> {
    let end = prop_oneof![
        6 => Just((0.0, End::May(0.0))),
        3 => Just((1.0, End::May(6.0))),
        1 => Just((0.0, End::Never)),
        1 => Just((0.0, End::Must)),
    ];
    (1_u8..8, 0_u8..3, end, 0_u8..6, 0_u8..4, 1_u32..5).prop_map(
        |(width, space, (hyphen, end), lead, turn, characters)| Fragment {
            width: f64::from(width),
            space: Space {
                width: f64::from(space),
                ..Space::default()
            },
            lead: f64::from(lead / 4),
            hyphen,
            end,
            turn: 7.0 * f64::from(turn),
            characters,
        },
    )
}

prop_compose! {
    fn paragraphs()(
        fragments in prop::collection::vec(
            (prop::collection::vec(fragment(), 1..8), any::<bool>()), 1..4),
    ) -> Vec<(Vec<Fragment>, bool)> {
        fragments
    }
}

/// Compares the breaker with trying every choice.
fn compare(
    texts: &[(Vec<Fragment>, bool)],
    widths: &[f64],
    ends: &[f64],
    cost: &Ragged,
    parts: (bool, bool),
) -> Result<(), TestCaseError> {
    let paragraphs: Vec<Paragraph> = texts
        .iter()
        .enumerate()
        .map(|(number, (fragments, spaced))| Paragraph {
            fragments,
            spaced: *spaced,
            begun: parts.0 && number == 0,
            open: parts.1 && number + 1 == texts.len(),
        })
        .collect();
    let pages: Vec<Uneven> = texts
        .iter()
        .map(|(fragments, _)| Uneven::new(widths, &ends[..fragments.len()]))
        .collect();
    let plain = Plain {
        paragraphs: &paragraphs,
        pages: &pages,
        cost,
        known: RefCell::default(),
    };
    let wanted = plain.least(0, 0, 0);
    let mut breaker = Breaker::new(widths.len());
    let mut set = true;
    for (paragraph, page) in paragraphs.iter().zip(&pages) {
        set &= breaker.add(paragraph, page, cost);
    }
    if !set || breaker.best().is_none() {
        prop_assert!(wanted.is_infinite(), "a way of cost {} was missed", wanted);
        return Ok(());
    }
    let lines = breaker.best().unwrap_or_default();
    let least = breaker.costs()[1..]
        .iter()
        .copied()
        .fold(f64::INFINITY, f64::min);
    prop_assert!((least - wanted).abs() < 1e-6, "{} is not {}", least, wanted);
    let found = plain.cost_of(&lines);
    prop_assert!(
        (found - wanted).abs() < 1e-6,
        "the lines cost {}, not {}",
        found,
        wanted
    );
    Ok(())
}

/// How many random texts are tried: as many as take some 30 seconds of a build for tests. For
/// longer, set BREAKS_TRIED.
fn tries() -> u32 {
    env::var("BREAKS_TRIED")
        .ok()
        .and_then(|tries| tries.parse().ok())
        .unwrap_or(300_000)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(tries()))]
    #[test]
    fn no_choice_of_breaks_costs_less(
        texts in paragraphs(),
        widths in prop::collection::vec(6_u8..22, 1..5),
        ends in prop::collection::vec(0_u8..3, 8),
        (foot, head, short) in (0_u8..40, 0_u8..40, 0_u32..9),
        parts in any::<(bool, bool)>(),
    ) {
        let floats = |values: Vec<u8>| values.into_iter().map(f64::from).collect::<Vec<f64>>();
        let cost = Ragged { foot: foot.into(), head: head.into(), short };
        compare(&texts, &floats(widths), &floats(ends), &cost, parts)?;
    }
}
