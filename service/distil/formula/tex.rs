//! TeX's mathematics into a formula, as far as articles use it: a command that is not known keeps its
//! name. Finds it between its delimiters in running text.

use std::collections::HashMap;
use std::iter::Peekable;
use std::sync::LazyLock;
use std::vec::IntoIter;

use super::{DEEPEST, Node, Stretch, set};

/// The most characters of a formula between delimiters; what is longer is text.
const LONGEST: usize = 2_000;

/// Reads the TeX of one formula, without delimiters.
pub fn read_tex(tex: &str) -> Vec<Stretch> {
    let mut reader = Reader {
        tokens: tokens(tex).into_iter().peekable(),
    };
    let mut nodes = Vec::new();
    while reader.tokens.peek().is_some() {
        nodes.push(reader.row(0));
        // What closes nothing is left out.
        reader.tokens.next();
    }
    set(&Node::Row(nodes))
}

/// A text cut into what is no formula and what is the TeX of one. Delimiters are `\(…\)`, `\[…\]`,
/// `$$…$$`, and `$…$` where what is between looks like no sums of money.
pub fn split_tex(text: &str) -> Vec<(&str, bool)> {
    let mut pieces = Vec::new();
    let mut closes = Closes::default();
    let (mut plain, mut at) = (0, 0);
    while let Some(found) = text[at..].find(['$', '\\']) {
        let start = at + found;
        let Some((inside, end)) = formula_at(text, start, &mut closes) else {
            at = start + 1;
            continue;
        };
        if plain < start {
            pieces.push((&text[plain..start], false));
        }
        pieces.push((inside, true));
        (plain, at) = (end, end);
    }
    if plain < text.len() {
        pieces.push((&text[plain..], false));
    }
    pieces
}

/// The delimiters before and after a formula.
const DELIMITERS: [(&str, &str); 4] = [("\\(", "\\)"), ("\\[", "\\]"), ("$$", "$$"), ("$", "$")];

/// Where each closing delimiter stands next, which is not looked for anew at each that opens: a text may be
/// nothing but those.
#[derive(Default)]
struct Closes([usize; 4]);

impl Closes {
    /// Where the closing delimiter of a kind stands at `from` or after; places are asked for in their order.
    fn next(&mut self, text: &str, kind: usize, from: usize) -> Option<usize> {
        let close = DELIMITERS[kind].1;
        let known = &mut self.0[kind];
        if *known < from {
            *known = text[from..].find(close).map_or(usize::MAX, |at| from + at);
        }
        (*known < usize::MAX).then_some(*known)
    }
}

/// The TeX of the formula that begins at a place, and where it ends.
fn formula_at<'a>(text: &'a str, start: usize, closes: &mut Closes) -> Option<(&'a str, usize)> {
    let rest = &text[start..];
    let kind = DELIMITERS
        .iter()
        .position(|(open, _)| rest.starts_with(open))?;
    let (open, close) = DELIMITERS[kind];
    let from = start + open.len();
    let until = closes.next(text, kind, from)?;
    let inside = &text[from..until];
    // No character has more than four bytes.
    if inside.len() > 4 * LONGEST || inside.chars().count() > LONGEST {
        return None;
    }
    let end = until + close.len();
    let formula = match open {
        "$" => is_formula(text, start, inside, end),
        _ => !inside.trim().is_empty(),
    };
    formula.then_some((inside, end))
}

/// Whether what stands between two signs of dollars is a formula: it touches both, no figure or letter
/// follows or goes before, and it is a letter or has signs that sums of money have not.
fn is_formula(text: &str, start: usize, inside: &str, end: usize) -> bool {
    let outside = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric() && c != '$');
    let touches = !inside.is_empty() && inside.trim() == inside;
    let letter = inside.chars().count() <= 2 && inside.chars().all(char::is_alphabetic);
    let signs = inside.contains(['\\', '^', '_', '=']) && !inside.contains("://");
    let apart = outside(text[..start].chars().next_back()) && outside(text[end..].chars().next());
    touches && apart && (letter || signs)
}

#[derive(Clone, Debug, PartialEq)]
enum Token {
    Command(String),
    Sign(char),
    Number(String),
}

fn tokens(tex: &str) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut characters = tex.chars().peekable();
    while let Some(character) = characters.next() {
        if character == '\\' {
            let mut name = String::new();
            while let Some(letter) = characters.next_if(char::is_ascii_alphabetic) {
                name.push(letter);
            }
            if name.is_empty() {
                name.extend(characters.next());
            }
            tokens.push(Token::Command(name));
        } else if character.is_ascii_digit() {
            let mut number = character.to_string();
            while let Some(figure) = characters.next_if(|c| c.is_ascii_digit() || *c == '.') {
                number.push(figure);
            }
            tokens.push(Token::Number(number));
        } else if !character.is_whitespace() {
            tokens.push(Token::Sign(character));
        }
    }
    tokens
}

struct Reader {
    tokens: Peekable<IntoIter<Token>>,
}

impl Reader {
    /// Reads to a closing brace, a cell's or a row's end, or the end of an environment; that stays.
    fn row(&mut self, depth: usize) -> Node {
        let mut nodes: Vec<Node> = Vec::new();
        while let Some(token) = self.tokens.peek() {
            let ends = match token {
                Token::Sign(sign) => matches!(sign, '}' | '&'),
                Token::Command(name) => matches!(name.as_str(), "\\" | "end" | "cr"),
                Token::Number(_) => false,
            };
            if ends {
                break;
            }
            match token {
                Token::Sign(sign @ ('^' | '_')) => {
                    let raised = *sign == '^';
                    self.tokens.next();
                    let beside = Box::new(self.argument(depth));
                    attach(&mut nodes, beside, raised);
                }
                _ => nodes.push(self.argument(depth)),
            }
        }
        match nodes.len() {
            1 => nodes.remove(0),
            _ => Node::Row(nodes),
        }
    }

    /// One thing: a group in braces, a command with what it takes, or a sign.
    fn argument(&mut self, depth: usize) -> Node {
        match self.tokens.next() {
            None => Node::Row(Vec::new()),
            Some(Token::Number(number)) => Node::Atom(number),
            Some(Token::Sign('{')) => self.group(depth),
            Some(Token::Sign('~')) => Node::Operator(" ".to_owned()),
            Some(Token::Sign(sign)) if sign.is_alphabetic() => Node::Atom(sign.to_string()),
            Some(Token::Sign(sign)) => Node::Operator(sign.to_string()),
            Some(Token::Command(name)) => self.command(&name, depth),
        }
    }

    /// What stands in braces, whose first has been read.
    fn group(&mut self, depth: usize) -> Node {
        if depth >= DEEPEST {
            return Node::Row(Vec::new());
        }
        let mut parts = vec![self.row(depth + 1)];
        while let Some(token) = self.tokens.next() {
            if token == Token::Sign('}') {
                break;
            }
            parts.push(Node::Operator(" ".to_owned()));
            parts.push(self.row(depth + 1));
        }
        match parts.len() {
            1 => parts.remove(0),
            _ => Node::Row(parts),
        }
    }

    fn command(&mut self, name: &str, depth: usize) -> Node {
        if depth >= DEEPEST {
            return Node::Atom(name.to_owned());
        }
        let depth = depth + 1;
        match name {
            "frac" | "dfrac" | "tfrac" | "cfrac" => {
                let upper = Box::new(self.argument(depth));
                Node::Fraction(upper, Box::new(self.argument(depth)))
            }
            "binom" | "dbinom" | "tbinom" => {
                let pair = vec![vec![self.argument(depth), self.argument(depth)]];
                Node::Table(pair)
            }
            "sqrt" => {
                let degree = self.option(depth).map(Box::new);
                Node::Root(Box::new(self.argument(depth)), degree)
            }
            "text" | "textrm" | "textit" | "textbf" | "mbox" | "hbox" | "mathrm" | "mathbf"
            | "mathit" | "mathsf" | "mathtt" | "operatorname" | "boldsymbol" => self.word(depth),
            "begin" => self.environment(depth),
            "label" | "tag" | "color" | "hspace" | "vspace" | "phantom" | "end" => {
                self.word(depth);
                Node::Row(Vec::new())
            }
            "left" | "right" | "big" | "Big" | "bigl" | "bigr" | "Bigl" | "Bigr" => {
                let bracket = self.argument(depth);
                match bracket == Node::Operator(".".to_owned()) {
                    true => Node::Row(Vec::new()),
                    false => bracket,
                }
            }
            _ => sign(name),
        }
    }

    /// What stands in square brackets, if that is next.
    fn option(&mut self, depth: usize) -> Option<Node> {
        self.tokens.next_if_eq(&Token::Sign('['))?;
        let mut nodes = Vec::new();
        while let Some(token) = self.tokens.peek() {
            match token {
                Token::Sign(']') => {
                    self.tokens.next();
                    break;
                }
                Token::Sign('}') => break,
                _ => nodes.push(self.argument(depth)),
            }
        }
        Some(Node::Row(nodes))
    }

    /// What a command takes, as a word of its letters.
    fn word(&mut self, depth: usize) -> Node {
        let inside = self.argument(depth);
        let letters = |nodes: &[Node]| {
            let letter = |node: &Node| match node {
                Node::Atom(text) => Some(text.clone()),
                Node::Operator(text) if !text.contains(['\\', '&']) => Some(text.clone()),
                _ => None,
            };
            nodes.iter().map(letter).collect::<Option<String>>()
        };
        match &inside {
            Node::Row(nodes) => letters(nodes).map_or(inside, Node::Atom),
            _ => inside,
        }
    }

    /// A matrix, cases, lines under one another.
    fn environment(&mut self, depth: usize) -> Node {
        let name = self.word(depth);
        if name == Node::Atom("array".to_owned()) {
            self.argument(depth);
        }
        let mut rows: Vec<Vec<Node>> = vec![Vec::new()];
        loop {
            let cell = self.row(depth);
            if let Some(row) = rows.last_mut() {
                row.push(cell);
            }
            match self.tokens.next() {
                Some(Token::Command(end)) if end == "end" => {
                    self.argument(depth);
                    break;
                }
                Some(Token::Command(_)) => rows.push(Vec::new()),
                // An ampersand parts cells, and nothing else ends one.
                Some(_) => {}
                None => break,
            }
        }
        let aligned =
            matches!(&name, Node::Atom(name) if !name.contains("matrix") && name != "array");
        if aligned {
            // Cells of lines that stand under one another are parts of one line.
            rows = rows.into_iter().map(|row| vec![Node::Row(row)]).collect();
        }
        rows.retain(|row| row.iter().any(|cell| *cell != Node::Row(Vec::new())));
        Node::Table(rows)
    }
}

/// Sets what is raised or lowered beside the last node. Where that has such a thing already, the next one
/// follows it with no base of its own: one within the other, they would nest as deep as a stranger likes.
fn attach(nodes: &mut Vec<Node>, beside: Box<Node>, raised: bool) {
    let base = nodes.pop().unwrap_or(Node::Row(Vec::new()));
    let (base, mut lower, mut upper) = match base {
        Node::Scripts(base, lower, upper)
            if (raised && upper.is_none()) || (!raised && lower.is_none()) =>
        {
            (base, lower, upper)
        }
        Node::Scripts(..) => {
            nodes.push(base);
            (Box::new(Node::Row(Vec::new())), None, None)
        }
        other => (Box::new(other), None, None),
    };
    if raised {
        upper = Some(beside);
    } else {
        lower = Some(beside);
    }
    nodes.push(Node::Scripts(base, lower, upper));
}

/// A command that stands for a sign or a word.
fn sign(name: &str) -> Node {
    if let Some(sign) = BY_COMMAND.get(name) {
        let letter = sign.chars().all(char::is_alphanumeric) || "∞∅ℏ∂∇…".contains(sign);
        return match letter {
            true => Node::Atom((*sign).to_owned()),
            false => Node::Operator((*sign).to_owned()),
        };
    }
    match name {
        "," | ";" | ":" | " " | "quad" | "qquad" | ">" => Node::Operator(" ".to_owned()),
        "{" | "}" | "%" | "$" | "#" | "_" | "&" | "|" => Node::Operator(name.to_owned()),
        "!" | "displaystyle" | "textstyle" | "scriptstyle" | "limits" | "nolimits" | "nonumber"
        | "hline" | "mathcal" | "mathbb" | "mathfrak" | "hat" | "bar" | "vec" | "tilde" | "dot"
        | "ddot" | "overline" | "underline" | "widehat" | "widetilde" | "overrightarrow" | "rm"
        | "bf" | "it" | "" => Node::Row(Vec::new()),
        _ => Node::Atom(name.to_owned()),
    }
}

/// The signs by their commands.
static BY_COMMAND: LazyLock<HashMap<&str, &str>> = LazyLock::new(|| {
    let pairs = COMMANDS.split_ascii_whitespace();
    pairs.filter_map(|pair| pair.split_once(':')).collect()
});

/// Commands and their signs, from memory of plain TeX and LaTeX.
const COMMANDS: &str = "alpha:α beta:β gamma:γ delta:δ epsilon:ε varepsilon:ε zeta:ζ eta:η theta:θ \
    vartheta:ϑ iota:ι kappa:κ lambda:λ mu:μ nu:ν xi:ξ pi:π varpi:ϖ rho:ρ varrho:ρ sigma:σ varsigma:ς tau:τ \
    upsilon:υ phi:φ varphi:φ chi:χ psi:ψ omega:ω Gamma:Γ Delta:Δ Theta:Θ Lambda:Λ Xi:Ξ Pi:Π Sigma:Σ \
    Upsilon:Υ Phi:Φ Psi:Ψ Omega:Ω times:× cdot:⋅ div:÷ pm:± mp:∓ ast:∗ star:∗ circ:∘ le:≤ leq:≤ leqslant:≤ \
    ge:≥ geq:≥ geqslant:≥ ne:≠ neq:≠ approx:≈ equiv:≡ sim:∼ simeq:≃ cong:≅ propto:∝ ll:≪ gg:≫ in:∈ notin:∉ \
    ni:∋ subset:⊂ subseteq:⊆ supset:⊃ supseteq:⊇ cup:∪ cap:∩ land:∧ wedge:∧ lor:∨ vee:∨ lnot:¬ neg:¬ \
    forall:∀ exists:∃ setminus:∖ oplus:⊕ otimes:⊗ to:→ rightarrow:→ longrightarrow:→ leftarrow:← \
    leftrightarrow:↔ Rightarrow:⇒ implies:⇒ Leftarrow:⇐ Leftrightarrow:⇔ iff:⇔ mapsto:↦ sum:∑ prod:∏ \
    int:∫ iint:∬ oint:∮ infty:∞ partial:∂ nabla:∇ hbar:ℏ ell:ℓ emptyset:∅ varnothing:∅ ldots:… dots:… \
    cdots:… vdots:… prime:′ degree:° angle:∠ perp:⊥ parallel:∥ mid:∣ langle:⟨ rangle:⟩ lfloor:⌊ rfloor:⌋ \
    lceil:⌈ rceil:⌉ lbrace:{ rbrace:} vert:| Vert:‖ colon:: gets:←";
