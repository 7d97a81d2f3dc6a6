//! The opening of an article: its title as large as it stands whole, over its particulars in the
//! reader's own size. Never sets running text.

use std::ops::RangeInclusive;

use super::case::{Case, MOST_PLACES};
use super::disc::{Disc, DiscKind, Line};
use super::paginate::Job;
use super::rows::{Composer, Manner, Row};
use super::screen::Step;
use super::stack::OVERHANG_EM;
use super::units::Diameters;
use super::words::SOFT_HYPHEN;

/// The white between a title and its particulars where there is some, in their line places: half a
/// line, common practice, no source.
pub const TITLE_GAP: f64 = 0.5;

/// On how many lines a title stands at the most: it would fill all of a disc in small text.
/// Common practice, no source.
pub const MOST_TITLE_LINES: usize = 9;

/// By how many steps a title may be smaller than the reader chose before its words are divided.
pub const LITTLE: usize = 2;

/// Sets an article's opening: the title, which is the first of its texts, in the largest size in which
/// both it and the particulars stand whole. Where it would be smaller than those, it has a disc of
/// its own, and they have the next; there its words are divided rather than much smaller than the
/// reader chose, and it is shortened only where it stands whole in no size.
///
/// The only row of each disc begins with the topmost place and has its lines in its middle.
pub fn set_opening(row: &Row, item: usize, case: &Case, job: &Job) -> Vec<Disc> {
    let part = |texts: &[_]| Row {
        texts: texts.to_vec(),
        height: row.height,
    };
    let (title, particulars) = row.texts.split_at(row.texts.len().min(1));
    let opening = |title: &[_], particulars: &[_]| Opening {
        title: part(title),
        particulars: part(particulars),
        case,
        job,
    };
    let together = opening(title, particulars).largest(Manner::Whole, 0);
    let sets = together.map_or_else(
        || {
            vec![
                opening(title, &[]).alone(),
                opening(&[], particulars).alone(),
            ]
        },
        |set| vec![set],
    );
    let disc = |Set { lines, lowered }| Disc {
        kind: DiscKind::Opening,
        screen: case.screen,
        rows: vec![case.screen.places() + lowered],
        lines,
    };
    let mut discs: Vec<Disc> = sets.into_iter().map(disc).collect();
    for line in discs.iter_mut().flat_map(|disc| &mut disc.lines) {
        line.item = item;
    }
    // Either may say nothing.
    discs.retain(|disc| !disc.lines.is_empty());
    discs
}

/// Texts of an opening on their way onto a disc.
struct Opening<'a> {
    title: Row<'a>,
    particulars: Row<'a>,
    /// The sorts of the reader's own size.
    case: &'a Case<'a>,
    job: &'a Job<'a>,
}

/// What stands on a disc, and how many half places it is lowered.
#[derive(Default)]
struct Set {
    lines: Vec<Line>,
    lowered: usize,
}

/// A way to set an opening.
#[derive(Clone, Copy)]
struct Plan {
    /// How much larger the title is.
    size: Step,
    /// How many lines the title has.
    title: usize,
    /// How many lines the particulars have.
    particulars: usize,
    /// How words are made to fit.
    manner: Manner,
    /// How both stand.
    arrangement: Arrangement,
}

/// How title and particulars stand below each other.
#[derive(Clone, Copy)]
struct Arrangement {
    /// Whether there is white between them.
    parted: bool,
    /// How many half places they stand below the disc's middle: so a title comes nearer to it.
    lowered: usize,
}

/// Titles that are larger than their particulars stand in the middle.
const LARGER: &[Arrangement] = &[Arrangement::new(true, 0)];
/// Others may be lowered, or lose their white, before the title stands alone.
const OTHERS: &[Arrangement] = &[
    Arrangement::new(true, 0),
    Arrangement::new(true, 1),
    Arrangement::new(false, 0),
    Arrangement::new(false, 1),
    Arrangement::new(false, 2),
];

impl Arrangement {
    const fn new(parted: bool, lowered: usize) -> Self {
        Self { parted, lowered }
    }
}

impl Opening<'_> {
    /// All that is said, the title in the largest size in which that can be, at the most so many steps
    /// smaller than the particulars, and in as few lines as it goes.
    fn largest(&self, manner: Manner, smaller: usize) -> Option<Set> {
        if manner != Manner::Cramped && !self.may_stand() {
            return None;
        }
        let sizes = Step::of_titles(self.case.screen.lines);
        let enough = |size: &Step| size.number() + smaller >= Step::OWN.number();
        // Particulars have one size.
        let of_title = |size: &Step| *size == Step::OWN || !self.title.texts.is_empty();
        sizes
            .take_while(enough)
            .filter(of_title)
            .find_map(|size| self.in_size(size, manner))
    }

    /// Whether the lines that the particulars may have can hold them at all.
    fn may_stand(&self) -> bool {
        let mut texts = self.particulars.said();
        let line = 1.0 + self.white();
        texts.all(|(_, text)| self.case.width(text.text.trim()) <= text.most_lines as f64 * line)
    }

    /// As large as all of it stands, or shortened.
    fn alone(&self) -> Set {
        let much = Step::OWN.number();
        let ways = [
            (Manner::Whole, LITTLE),
            (Manner::Divided, LITTLE),
            (Manner::Whole, much),
            (Manner::Divided, much),
        ];
        ways.into_iter()
            .find_map(|(manner, smaller)| self.largest(manner, smaller))
            .or_else(|| self.in_size(Step::OWN, Manner::Cramped))
            .unwrap_or_default()
    }

    /// With the title in a size: where all is said in as few lines as it goes, else in as many.
    fn in_size(&self, size: Step, manner: Manner) -> Option<Set> {
        let arrangements = if size > Step::OWN { LARGER } else { OTHERS };
        let plan = |(particulars, title), &arrangement: &Arrangement| Plan {
            size,
            title,
            particulars,
            manner,
            arrangement,
        };
        let counts = self.counts(&self.particulars).flat_map(|particulars| {
            let titles = self.counts(&self.title);
            titles.map(move |title| (particulars, title))
        });
        let set = |counts| {
            let mut plans = arrangements
                .iter()
                .map(|arrangement| plan(counts, arrangement));
            plans.find_map(|plan| self.set(plan))
        };
        let mut counts: Vec<(usize, usize)> = counts.collect();
        if manner == Manner::Cramped {
            counts.reverse();
        }
        counts.into_iter().find_map(set)
    }

    /// How many lines a row's texts can have.
    fn counts(&self, row: &Row) -> RangeInclusive<usize> {
        let most: usize = row.said().map(|(_, text)| text.most_lines).sum();
        row.said().count()..=most.min(MOST_PLACES)
    }

    /// Sets an opening by a plan; `None` where it cannot be.
    fn set(&self, plan: Plan) -> Option<Set> {
        let pitch = self.case.screen.pitch();
        let title_pitch = pitch * plan.size.factor();
        let title_height = plan.title as f64 * title_pitch;
        let parted = plan.arrangement.parted && plan.title > 0 && plan.particulars > 0;
        let gap = if parted { TITLE_GAP * pitch } else { 0.0 };
        let height = title_height + gap + plan.particulars as f64 * pitch;
        // What is shortened would go on into the narrowest corners.
        let tallest = self.case.screen.places() as f64 * pitch + 1e-9;
        if plan.manner == Manner::Cramped && height > tallest {
            return None;
        }
        let lowered = plan.arrangement.lowered;
        // Beside a strip, where the disc is still wide, no chord would keep a line from going below the bar.
        if self.case.screen.strip.is_some() && height + lowered as f64 * pitch > tallest {
            return None;
        }
        let top = self.case.screen.centre() + (lowered as f64 * pitch - height) / 2.0;
        let (title_first, first) = (
            top + title_pitch / 2.0,
            top + title_height + gap + pitch / 2.0,
        );
        let title = (plan.title, plan.manner, plan.size);
        let particulars = (plan.particulars, plan.manner, Step::OWN);
        let has_room = self.has_room(&self.title, title, title_first)
            && self.has_room(&self.particulars, particulars, first);
        if plan.manner != Manner::Cramped && !has_room {
            return None;
        }
        let mut lines = self.texts(&self.title, title, title_first)?;
        let below = self.texts(&self.particulars, particulars, first)?;
        let part = |line: &Line| line.part + 1;
        lines.extend(below.into_iter().map(|line| Line {
            part: part(&line),
            ..line
        }));
        Some(Set { lines, lowered })
    }

    /// Whether texts may have room, by their width and the chords where they are widest: most plans
    /// are told from those that do without setting anything.
    fn has_room(
        &self,
        row: &Row,
        (lines, _, size): (usize, Manner, Step),
        first: Diameters,
    ) -> bool {
        let factor = size.factor();
        let case = self.case;
        let pitch = case.screen.pitch() * factor;
        let widest = (0..lines).map(|line| {
            let middle = first + line as f64 * pitch;
            let chord = case.screen.widest(middle, case.plain.scaled(factor));
            chord.min(1.0) + self.white() * factor
        });
        let texts = row.said();
        let width: Diameters = texts.map(|(_, text)| case.width(text.text.trim())).sum();
        widest.sum::<f64>() >= width * factor
    }

    /// What a line's text may be wider by than its chord: what hangs over at its ends, and the space
    /// at which it was broken.
    fn white(&self) -> Diameters {
        2.0 * OVERHANG_EM * self.case.em + self.case.width(" ")
    }

    /// Sets texts in exactly so many lines of a size, the first of which has its middle so far below
    /// the disc's centre.
    fn texts(
        &self,
        row: &Row,
        (lines, manner, size): (usize, Manner, Step),
        first: Diameters,
    ) -> Option<Vec<Line>> {
        let screen = self.case.screen;
        let case = Case::lowered(&screen, self.case.typeface, size, first);
        let composer = Composer {
            weights: self.job.weights.at(case.em),
            case: &case,
            rows: &[row],
            first_item: 0,
            foot: 0,
        };
        let set = composer.row_of(0, 0, lines, lines, manner)?;
        let scrap =
            size > Step::OWN && set.len() > 1 && set.iter().any(|line| is_scrap(line, case.em));
        if scrap || !says_all(&set, row, manner) {
            return None;
        }
        // Places are counted in lines of the reader's own size.
        let place = |line: &Line| screen.place(first + line.place * screen.pitch() * size.factor());
        let placed = set.into_iter().map(|line| Line {
            size,
            place: place(&line),
            ..line
        });
        Some(placed.collect())
    }
}

/// Whether a line is a mere article or the like, which no large title should have: one or two narrow
/// characters. Common practice, no source.
pub fn is_scrap(line: &Line, em: Diameters) -> bool {
    line.characters.len() < 3 && line.width < 1.5 * em
}

/// Whether a row's lines say all that they are to say in a manner: every word in one piece, or in all
/// its pieces, or what there is room for.
fn says_all(lines: &[Line], row: &Row, manner: Manner) -> bool {
    let spans = lines.iter().flat_map(|line| &line.spans);
    let set = spans.flat_map(|span| span.text.split_whitespace());
    let texts = row.texts.iter();
    let said = texts.flat_map(|text| text.text.split_whitespace());
    let said = said.map(|word| word.replace(SOFT_HYPHEN, ""));
    match manner {
        Manner::Whole => set.eq(said),
        Manner::Divided => {
            let said: String = said.collect();
            set.flat_map(str::chars).eq(said.chars())
        }
        Manner::Cramped => true,
    }
}
