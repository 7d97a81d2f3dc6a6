//! Counts what a reader would find wrong with lines and with the turns of the disc, for `pages`. It
//! looks at what was set and at the blocks, never at how the typesetter judges them.

use std::collections::HashSet;

use tondo::distil::block::{Block, BlockKind};
use tondo::typeset::hyphenate::Divider;
use tondo::typeset::{Disc, Line, LineEnd, LineKind};
use unicode_segmentation::UnicodeSegmentation;

/// How often each fault was found. Turns are from one disc of an article to its next.
#[derive(Debug, Default)]
pub struct Faults {
    /// All turns.
    pub turns: usize,
    /// Those within a sentence, as UAX #29 bounds sentences.
    pub within_sentence: usize,
    /// Those at a hyphen that is drawn.
    pub within_word: usize,
    /// Those at its author's own hyphen between two letters.
    pub within_compound: usize,
    /// Those that leave the first line of a paragraph, item or quotation alone at the foot; not right
    /// after a heading.
    pub alone_at_foot: usize,
    /// Those that leave the last line of such alone at the head.
    pub alone_at_head: usize,
    /// Those after a heading, or after one line of what follows it and goes on.
    pub heading_at_foot: usize,
    /// Discs before a turn that have an empty place at the foot or the head.
    pub set_short: usize,
    /// Lines that end in a hyphen that is drawn.
    pub hyphens: usize,
    /// Those of them in a word that has a hyphen of its own.
    pub hyphens_in_compounds: usize,
    /// Lines that end after a hyphen, dash or slash of the author's.
    pub at_signs: usize,
    /// Lines that end within a word where it has no point.
    pub emergencies: usize,
    /// Last lines of paragraphs, items and quotations narrower than a fifth of their place.
    pub stubs: usize,
    /// Last lines of them that begin within a word.
    pub divided_lasts: usize,
    /// Lines of running text of fewer than nine characters, but those that the author ended.
    pub short_lines: usize,
}

impl Faults {
    /// Adds those of an article.
    pub fn count(&mut self, blocks: &[Block], discs: &[Disc]) {
        let texts: Vec<Text> = blocks.iter().map(Text::of).collect();
        for pair in discs.windows(2) {
            self.turn(blocks, &texts, &pair[0], &pair[1]);
        }
        let lines: Vec<&Line> = discs.iter().flat_map(|disc| &disc.lines).collect();
        for line in &lines {
            self.line(&texts, line);
        }
        for pair in lines.windows(2) {
            let last = is_running(pair[1]) && texts[pair[1].item].ends(pair[1]);
            self.divided_lasts += usize::from(last && pair[0].end == LineEnd::Hyphen);
        }
    }

    fn turn(&mut self, blocks: &[Block], texts: &[Text], before: &Disc, after: &Disc) {
        let (Some(foot), Some(head)) = (before.lines.last(), after.lines.first()) else {
            return;
        };
        let text = &texts[foot.item];
        let goes_on = foot.item == head.item;
        self.turns += 1;
        self.within_sentence += usize::from(goes_on && !text.ends_sentence(foot.characters.end));
        self.within_word += usize::from(foot.end == LineEnd::Hyphen);
        self.within_compound += usize::from(text.within_compound(foot));
        let begins = goes_on && foot.characters.start == 0 && is_running(foot);
        let headed = |item: usize| {
            item.checked_sub(1)
                .is_some_and(|item| matches!(blocks[item].kind, BlockKind::Heading { .. }))
        };
        let heading = matches!(foot.kind, LineKind::Heading { .. });
        if heading || begins && headed(foot.item) {
            self.heading_at_foot += 1;
        } else {
            self.alone_at_foot += usize::from(begins);
        }
        let ends = texts[head.item].ends(head) && goes_on && is_running(head);
        self.alone_at_head += usize::from(ends);
        let taken = foot.place - before.lines[0].place + 1.0;
        self.set_short += usize::from(taken < before.screen.places() as f64 - 0.25);
    }

    fn line(&mut self, texts: &[Text], line: &Line) {
        let text = &texts[line.item];
        if line.end == LineEnd::Hyphen {
            self.hyphens += 1;
            self.hyphens_in_compounds += usize::from(text.in_compound(line.characters.end));
        }
        if line.end == LineEnd::Bare {
            let sign = text.characters[line.characters.end - 1];
            self.at_signs += usize::from(matches!(sign, '-' | '‐' | '–' | '—' | '/'));
        }
        self.emergencies += usize::from(text.is_emergency(line));
        self.stubs +=
            usize::from(is_running(line) && text.ends(line) && line.width < line.chord / 5.0);
        self.short_lines +=
            usize::from(is_running(line) && line.end != LineEnd::Set && line.characters.len() < 9);
    }
}

fn is_running(line: &Line) -> bool {
    matches!(
        line.kind,
        LineKind::Paragraph | LineKind::ListItem | LineKind::Quotation
    )
}

/// A block's text for looking things up by the number of a character.
struct Text {
    characters: Vec<char>,
    /// Where sentences end, the white space after them with them.
    sentences: HashSet<usize>,
    divider: Divider,
}

impl Text {
    fn of(block: &Block) -> Self {
        let text = block.text();
        let mut sentences = HashSet::new();
        let mut at = 0;
        for sentence in text.split_sentence_bounds() {
            at += sentence.chars().count();
            sentences.insert(at);
        }
        Self {
            characters: text.chars().collect(),
            sentences,
            divider: Divider::of(&block.language),
        }
    }

    /// Where the next line begins after white space.
    fn skip_white(&self, end: usize) -> usize {
        let white = self.characters[end..]
            .iter()
            .take_while(|next| next.is_whitespace());
        end + white.count()
    }

    fn ends_sentence(&self, end: usize) -> bool {
        self.sentences.contains(&self.skip_white(end))
    }

    /// Whether a line is the last of the text.
    fn ends(&self, line: &Line) -> bool {
        self.skip_white(line.characters.end) == self.characters.len()
    }

    /// Whether a line ends at its author's hyphen between two letters.
    fn within_compound(&self, line: &Line) -> bool {
        let end = line.characters.end;
        let letter = |at: usize| {
            self.characters
                .get(at)
                .copied()
                .is_some_and(char::is_alphabetic)
        };
        line.end == LineEnd::Bare
            && end >= 2
            && matches!(self.characters[end - 1], '-' | '‐')
            && letter(end - 2)
            && letter(end)
    }

    /// The characters between white space around a place.
    fn token(&self, at: usize) -> std::ops::Range<usize> {
        let black = |character: &&char| !character.is_whitespace();
        let before = self.characters[..at].iter().rev().take_while(black).count();
        let after = self.characters[at..].iter().take_while(black).count();
        at - before..at + after
    }

    fn in_compound(&self, at: usize) -> bool {
        let token = &self.characters[self.token(at)];
        token.windows(3).any(|three| {
            matches!(three[1], '-' | '‐' | '–' | '—')
                && three[0].is_alphabetic()
                && three[2].is_alphabetic()
        })
    }

    /// Whether a line ends between two letters or digits where neither its author nor the patterns
    /// allow it.
    fn is_emergency(&self, line: &Line) -> bool {
        let end = line.characters.end;
        let inner = |at: usize| {
            self.characters
                .get(at)
                .copied()
                .is_some_and(char::is_alphanumeric)
        };
        if !matches!(line.end, LineEnd::Hyphen | LineEnd::Bare)
            || end == 0
            || !inner(end - 1)
            || !inner(end)
        {
            return false;
        }
        let token = self.token(end);
        let before: String = self.characters[token.start..end].iter().collect();
        let word: String = self.characters[token].iter().collect();
        !self.divider.points_within(&word).contains(&before.len())
    }
}
