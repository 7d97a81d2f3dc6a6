//! Formulas by example: what MathML and TeX read as on one line.

use super::*;

fn told(stretches: &[Stretch]) -> String {
    let tell = |part: &Stretch| match part.script {
        Script::Baseline => part.text.clone(),
        Script::Superscript => format!("^{}^", part.text),
        Script::Subscript => format!("_{}_", part.text),
    };
    stretches.iter().map(tell).collect()
}

fn check(tex: &str, expected: &str) {
    assert_eq!(told(&read_tex(tex)), expected, "of {tex}");
}

#[test]
fn tex_reads_on_one_line() {
    check("E = mc^2", "E = mc^2^");
    check(r"x^{2}+y^{2}=z^{2}", "x^2^ + y^2^ = z^2^");
    check(r"\frac{a}{b}", "a/b");
    check(r"\frac{a+b}{2c}", "(a + b)/2c");
    check(r"{\displaystyle \sqrt{x}}", "√x");
    check(r"\sqrt[3]{x+1}", "^3^√(x + 1)");
    check(r"\alpha \leq \beta_{i}", "α ≤ β_i_");
    check(r"\sin x + \log_{10} y", "sin x + log_10_ y");
    check(r"x = -1", "x = −1");
    check(r"\sum_{i=1}^{n} i^2", "∑_i = 1_^n^i^2^");
    check(r"e^{x^2}", "e^(x^2^)");
    check(r"\text{flow} = \mathrm{d}h / \mathrm{d}t", "flow = dh/dt");
    check(r"\left( a \right)", "(a)");
    check(
        r"\begin{pmatrix} a & b \\ c & d \end{pmatrix}",
        "[a, b; c, d]",
    );
    check(
        r"\begin{aligned} a &= b \\ c &= d \end{aligned}",
        "[a = b; c = d]",
    );
    check(r"\unheardof{x}", "unheardof x");
    check("}}{{", "");
    check("", "");
}

#[test]
fn no_tex_is_too_deep_or_too_odd() {
    for unit in [
        "{",
        "}",
        "^",
        "_",
        "\\frac",
        "\\sqrt[",
        "\\begin{a}",
        "\\left",
        "&",
        "\\\\",
        "\\end",
    ] {
        read_tex(&unit.repeat(10_000));
    }
}

#[test]
fn formulas_are_told_from_sums_of_money() {
    let check = |text: &str, expected: &[(&str, bool)]| assert_eq!(split_tex(text), expected);
    check(r"a \(x\) b", &[("a ", false), ("x", true), (" b", false)]);
    check("$$x$$", &[("x", true)]);
    check("so $x^2$.", &[("so ", false), ("x^2", true), (".", false)]);
    check(
        "the $x$ axis",
        &[("the ", false), ("x", true), (" axis", false)],
    );
    for text in [
        "from $5 to $6",
        "US$5=A$7",
        "$5 and $x",
        "$HOME=$PATH",
        r"C:\(x",
        "$ x = 1 $",
        "costs $3, or $4_",
    ] {
        check(text, &[(text, false)]);
    }
}

fn element(name: &str, pieces: Vec<MathPiece>) -> MathPiece {
    MathPiece::Element(Element {
        name: name.to_owned(),
        attributes: Vec::new(),
        pieces,
    })
}

fn text(name: &str, text: &str) -> MathPiece {
    element(name, vec![MathPiece::Text(text.to_owned())])
}

fn math(attributes: &[(&str, &str)], pieces: Vec<MathPiece>) -> String {
    let own = |(name, value): &(&str, &str)| ((*name).to_owned(), (*value).to_owned());
    told(&read_mathml(&Element {
        name: "math".to_owned(),
        attributes: attributes.iter().map(own).collect(),
        pieces,
    }))
}

#[test]
fn presentation_elements_read_on_one_line() {
    let square = || element("msup", vec![text("mi", "x"), text("mn", "2")]);
    let minus = || text("mo", "-");
    assert_eq!(
        math(&[], vec![square(), minus(), text("mn", "1")]),
        "x^2^ − 1"
    );
    let fraction = element(
        "mfrac",
        vec![
            text("mi", "a"),
            element("mrow", vec![text("mi", "b"), text("mo", "+"), square()]),
        ],
    );
    assert_eq!(math(&[], vec![fraction]), "a/(b + x^2^)");
    let root = element("msqrt", vec![text("mi", "b"), minus(), text("mi", "c")]);
    assert_eq!(math(&[], vec![root]), "√(b − c)");
    let function = vec![text("mi", "sin"), text("mo", "\u{2061}"), text("mi", "x")];
    assert_eq!(math(&[], function), "sin x");
    let cell = |name| element("mtd", vec![text("mi", name)]);
    let row = |one, other| element("mtr", vec![cell(one), cell(other)]);
    assert_eq!(
        math(
            &[],
            vec![element("mtable", vec![row("a", "b"), row("c", "d")])]
        ),
        "[a, b; c, d]"
    );
    assert_eq!(
        math(
            &[],
            vec![element("mfenced", vec![text("mi", "a"), text("mi", "b")])]
        ),
        "(a, b)"
    );
}

#[test]
fn words_of_the_author_come_before_signs_and_tex_after_them() {
    let signs = || vec![text("mi", "x")];
    assert_eq!(math(&[("alttext", "the height")], signs()), "the height");
    assert_eq!(math(&[("alttext", "{\\displaystyle x}")], signs()), "x");
    assert_eq!(math(&[("alttext", "\\sqrt{x}")], Vec::new()), "√x");
    let annotation = MathPiece::Element(Element {
        name: "annotation".to_owned(),
        attributes: vec![("encoding".to_owned(), "application/x-tex".to_owned())],
        pieces: vec![MathPiece::Text("\\pi".to_owned())],
    });
    let semantics = element("semantics", vec![element("mrow", Vec::new()), annotation]);
    assert_eq!(math(&[], vec![semantics]), "π");
}

#[test]
fn scripts_without_end_and_signs_without_a_close_are_read_in_one_go() {
    check("a^b^c_d", "a^b^_d_^c^");
    // As deep as it is long, if each stood in the one before.
    let told = told(&read_tex(&format!("a{}", "^b".repeat(500_000))));
    assert_eq!(told.len(), 500_003);
    for open in ["\\(", "\\[", "$", "$$", "$a ", "\\(x"] {
        let text = open.repeat(200_000);
        let pieces = split_tex(&text);
        assert!(pieces.iter().all(|(_, formula)| !formula), "{open}");
        let whole: String = pieces.into_iter().map(|(piece, _)| piece).collect();
        assert_eq!(whole, text);
    }
    let known = read_tex(&r"\gets".repeat(100_000));
    assert!(known.iter().all(|part| part.script == Script::Baseline));
}
