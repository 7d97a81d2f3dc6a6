//! MathML's presentation elements (MathML Core, W3C) into a formula. Never reads HTML's tokens: the
//! elements are handed over.

use super::{DEEPEST, Node, Stretch, read_tex, set};

/// An element of MathML.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Element {
    /// Its name in small letters.
    pub name: String,
    /// Its attributes, decoded.
    pub attributes: Vec<(String, String)>,
    /// What is in it.
    pub pieces: Vec<Piece>,
}

/// What an element holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// Text, decoded.
    Text(String),
    /// An element.
    Element(Element),
}

impl Element {
    fn attribute(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.trim())
    }

    fn children(&self) -> impl Iterator<Item = &Self> {
        self.pieces.iter().filter_map(|piece| match piece {
            Piece::Element(element) => Some(element),
            Piece::Text(_) => None,
        })
    }

    fn text(&self, depth: usize) -> String {
        let text = |piece: &Piece| match piece {
            Piece::Text(text) => text.clone(),
            Piece::Element(element) if depth < DEEPEST => element.text(depth + 1),
            Piece::Element(_) => String::new(),
        };
        let text: String = self.pieces.iter().map(text).collect();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn annotation(&self, depth: usize) -> Option<String> {
        let tex = |element: &&Self| {
            element.name == "annotation"
                && element
                    .attribute("encoding")
                    .is_some_and(|encoding| encoding.to_ascii_lowercase().contains("tex"))
        };
        let own = self.children().find(tex).map(|found| found.text(depth));
        own.or_else(|| {
            let deeper = (depth < DEEPEST).then(|| self.children());
            deeper?.find_map(|child| child.annotation(depth + 1))
        })
    }
}

/// Reads a `math` element: its alternative text where that is in words, else what its presentation
/// elements say, which is what a browser would show; else the TeX that it was made from.
pub fn read_mathml(math: &Element) -> Vec<Stretch> {
    let alternative = math.attribute("alttext").filter(|text| !text.is_empty());
    if let Some(words) = alternative.filter(|text| !text.contains(['\\', '{', '^', '_'])) {
        return set(&Node::Atom(words.to_owned()));
    }
    let shown = set(&row(math, 0));
    if shown.iter().any(|part| !part.text.trim().is_empty()) {
        return shown;
    }
    let tex = math.annotation(0).or(alternative.map(str::to_owned));
    tex.map(|tex| read_tex(&tex)).unwrap_or_default()
}

fn row(element: &Element, depth: usize) -> Node {
    let node = |piece: &Piece| match piece {
        Piece::Text(text) => Node::Atom(text.clone()),
        Piece::Element(element) => read(element, depth),
    };
    Node::Row(element.pieces.iter().map(node).collect())
}

fn read(element: &Element, depth: usize) -> Node {
    if depth >= DEEPEST {
        return Node::Atom(element.text(depth));
    }
    let depth = depth + 1;
    let mut parts = element.children().map(|child| read(child, depth));
    let mut part = || Box::new(parts.next().unwrap_or(Node::Row(Vec::new())));
    match element.name.as_str() {
        "mo" => Node::Operator(element.text(depth)),
        "mspace" => Node::Operator(" ".to_owned()),
        "mtext" | "mi" | "mn" | "ms" => Node::Atom(element.text(depth)),
        "mphantom" | "annotation" | "annotation-xml" | "none" | "mprescripts" => {
            Node::Row(Vec::new())
        }
        "semantics" | "maction" => *part(),
        "mfrac" => {
            let (upper, lower) = (part(), part());
            let line = element.attribute("linethickness").unwrap_or_default();
            match line.starts_with('0') {
                true => Node::Row(vec![*upper, Node::Operator(",".to_owned()), *lower]),
                false => Node::Fraction(upper, lower),
            }
        }
        "msqrt" => Node::Root(Box::new(row(element, depth)), None),
        "mroot" => {
            let (inside, degree) = (part(), part());
            Node::Root(inside, Some(degree))
        }
        "msup" | "mover" => {
            let (base, upper) = (part(), part());
            match element.attribute("accent") {
                Some("true") => *base,
                _ => Node::Scripts(base, None, Some(upper)),
            }
        }
        "msub" | "munder" => Node::Scripts(part(), Some(part()), None),
        "msubsup" | "munderover" | "mmultiscripts" => {
            Node::Scripts(part(), Some(part()), Some(part()))
        }
        "mtable" => Node::Table(element.children().map(|line| cells(line, depth)).collect()),
        "mfenced" => fenced(element, depth),
        _ => row(element, depth),
    }
}

fn cells(line: &Element, depth: usize) -> Vec<Node> {
    match line.name.as_str() {
        "mtr" | "mlabeledtr" => line.children().map(|cell| row(cell, depth)).collect(),
        _ => vec![row(line, depth)],
    }
}

fn fenced(element: &Element, depth: usize) -> Node {
    let sign = |name: &str, usual: &str| {
        Node::Operator(element.attribute(name).unwrap_or(usual).to_owned())
    };
    let separator = element.attribute("separators").unwrap_or(",");
    let mut nodes = vec![sign("open", "(")];
    for (number, child) in element.children().enumerate() {
        if number > 0 {
            nodes.push(Node::Operator(separator.chars().take(1).collect()));
        }
        nodes.push(read(child, depth));
    }
    nodes.push(sign("close", ")"));
    Node::Row(nodes)
}
