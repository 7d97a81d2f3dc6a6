//! Formulas as text that reads on one line: a/b, √x, raised and lowered figures. Reads no tokens
//! of HTML, and is no full reader of either notation.

mod mathml;
mod tex;

use super::block::Script;

pub use mathml::{Element, Piece as MathPiece, read_mathml};
pub use tex::{read_tex, split_tex};

/// A stretch of a formula, on the line or beside it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Its characters.
    pub text: String,
    /// Whether it is raised or lowered.
    pub script: Script,
}

/// What a formula is made of, whichever notation it was written in.
#[derive(Clone, Debug, PartialEq)]
enum Node {
    /// A number, a letter, a word.
    Atom(String),
    /// A sign between or before others.
    Operator(String),
    /// One after the other.
    Row(Vec<Node>),
    /// One over the other.
    Fraction(Box<Node>, Box<Node>),
    /// A root, with its degree where that is not two.
    Root(Box<Node>, Option<Box<Node>>),
    /// A base with what is lowered and raised beside it.
    Scripts(Box<Node>, Option<Box<Node>>, Option<Box<Node>>),
    /// Rows of cells.
    Table(Vec<Vec<Node>>),
}

/// The deepest nesting that is read; no formula that reads on one line is deeper.
const DEEPEST: usize = 24;

/// Signs with a space on either side. They are those that MathML Core's operator dictionary sets off
/// and that formulas of articles have; from memory.
const SET_OFF: &str = "=≠<>≤≥≈≡∼≃≅∝+−±∓×⋅·÷∗∈∉∋⊂⊆⊃⊇∪∩∧∨→←↔⇒⇐⇔↦≪≫≔∖∘⊕⊗∣";

/// Those of them that may stand before a value as its sign.
const SIGNS: &str = "+−±∓";

/// Gathers a formula from left to right.
#[derive(Default)]
struct Line {
    stretches: Vec<Stretch>,
    /// A space is owed before what comes next.
    space: bool,
    /// A value stands before, so that a plus or minus is between two.
    after_value: bool,
    /// A word of several letters stands before, as the name of a function.
    after_word: bool,
}

/// Sets a formula as one line.
fn set(node: &Node) -> Vec<Stretch> {
    let mut line = Line::default();
    line.node(node);
    line.stretches
}

impl Line {
    fn node(&mut self, node: &Node) {
        match node {
            Node::Atom(text) => self.atom(text),
            Node::Operator(text) => self.operator(text),
            Node::Row(nodes) => nodes.iter().for_each(|node| self.node(node)),
            Node::Fraction(upper, lower) => {
                self.bracketed(upper);
                self.push("/", Script::Baseline);
                self.bracketed(lower);
            }
            Node::Root(inside, degree) => {
                self.settle_space();
                if let Some(degree) = degree {
                    self.beside(degree, Script::Superscript);
                }
                self.push("√", Script::Baseline);
                self.bracketed(inside);
            }
            Node::Scripts(base, lower, upper) => {
                self.node(base);
                let word = self.after_word;
                for (node, script) in [(lower, Script::Subscript), (upper, Script::Superscript)] {
                    if let Some(node) = node {
                        self.beside(node, script);
                    }
                }
                self.after_value = true;
                self.after_word = word;
            }
            Node::Table(rows) => self.table(rows),
        }
    }

    fn atom(&mut self, text: &str) {
        let text = text.trim();
        let Some(first) = text.chars().next() else {
            return;
        };
        // The name of a function is a word, so it does not run into the letters beside it.
        let word = text.chars().filter(|c| c.is_alphabetic()).count() > 1;
        let last = self.stretches.last();
        let last = last.and_then(|last| last.text.chars().next_back());
        let lettered = |c: char| c.is_alphanumeric();
        if lettered(first) && last.is_some_and(lettered) && (word || self.after_word) {
            self.space = true;
        }
        self.settle_space();
        self.push(text, Script::Baseline);
        self.after_value = true;
        self.after_word = word;
    }

    fn operator(&mut self, text: &str) {
        for sign in text.chars() {
            let sign = if sign == '-' { '−' } else { sign };
            match sign {
                // Signs that are not seen: application, times, comma, plus.
                '\u{2061}'..='\u{2064}' => {}
                ' ' | '\u{a0}' => self.space = true,
                ',' | ';' => {
                    self.push(&sign.to_string(), Script::Baseline);
                    self.space = true;
                    self.after_value = false;
                }
                _ if SET_OFF.contains(sign) => {
                    let between = self.after_value || !SIGNS.contains(sign);
                    self.space |= between;
                    self.settle_space();
                    self.push(&sign.to_string(), Script::Baseline);
                    self.space = between;
                    self.after_value = false;
                }
                _ => {
                    self.settle_space();
                    self.push(&sign.to_string(), Script::Baseline);
                    self.after_value = !"([{⟨⌊⌈|∑∫∏".contains(sign);
                }
            }
        }
    }

    /// A part of a fraction or what stands under a root: in brackets where it is more than one thing.
    fn bracketed(&mut self, node: &Node) {
        let stretches = set(node);
        let text: String = stretches.iter().map(|part| part.text.as_str()).collect();
        let whole = stretches
            .iter()
            .all(|part| part.script != Script::Baseline || is_one(&part.text));
        self.settle_space();
        if whole || text.starts_with('(') && text.find(')') == Some(text.len() - 1) {
            self.extend(stretches);
        } else {
            self.push("(", Script::Baseline);
            self.extend(stretches);
            self.push(")", Script::Baseline);
        }
        self.after_value = true;
    }

    /// What is raised or lowered; where it has such parts itself, it is told by a sign and brackets.
    fn beside(&mut self, node: &Node, script: Script) {
        let stretches = set(node);
        let text: String = stretches.iter().map(|part| part.text.as_str()).collect();
        if text.is_empty() {
            return;
        }
        let plain = stretches.iter().all(|part| part.script == Script::Baseline);
        if plain {
            return self.push(&text, script);
        }
        let sign = match script {
            Script::Subscript => "_(",
            _ => "^(",
        };
        self.push(sign, Script::Baseline);
        self.extend(stretches);
        self.push(")", Script::Baseline);
    }

    fn table(&mut self, rows: &[Vec<Node>]) {
        let several = rows.len() > 1 || rows.iter().any(|row| row.len() > 1);
        if several {
            self.settle_space();
            self.push("[", Script::Baseline);
        }
        for (number, row) in rows.iter().enumerate() {
            if number > 0 {
                self.operator(";");
            }
            for (column, cell) in row.iter().enumerate() {
                if column > 0 {
                    self.operator(",");
                }
                self.after_value = false;
                self.node(cell);
            }
        }
        if several {
            self.space = false;
            self.push("]", Script::Baseline);
            self.after_value = true;
        }
    }

    fn settle_space(&mut self) {
        if std::mem::take(&mut self.space) && !self.stretches.is_empty() {
            self.push(" ", Script::Baseline);
        }
    }

    fn extend(&mut self, stretches: Vec<Stretch>) {
        for part in stretches {
            self.push(&part.text, part.script);
        }
    }

    fn push(&mut self, text: &str, script: Script) {
        match self.stretches.last_mut() {
            Some(last) if last.script == script => last.text.push_str(text),
            _ => self.stretches.push(Stretch {
                text: text.to_owned(),
                script,
            }),
        }
    }
}

/// Whether a text is one thing beside a slash or under a root.
fn is_one(text: &str) -> bool {
    text.chars()
        .all(|c| c.is_alphanumeric() || ".′'°%".contains(c))
}

#[cfg(test)]
mod tests;
