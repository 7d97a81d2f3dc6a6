//! Reads one source file into the module paths that it names. It knows no rule.
//!
//! The text is cut into tokens as the compiler cuts it, so comments, documentation and strings
//! name nothing, while the insides of macros do. Paths are then resolved by eye: `crate`, `self`
//! and `super` are made absolute, groups of a `use` are taken apart.

use proc_macro2::{Delimiter, TokenStream, TokenTree};

/// One path that a file names, such as `crate::store::Store` or `std::fs`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// The segments; the first is `crate`, `std` or the name of a crate or of something local.
    pub segments: Vec<String>,
    /// Whether all that lies below is brought into reach: `path::*`, or a `use` of the path itself,
    /// which may then go on from there under any name.
    pub open_ended: bool,
    /// Whether it stands in a module that is compiled for tests only.
    pub in_tests: bool,
}

/// What one file holds for the rules.
#[derive(Debug, Default)]
pub struct Source {
    /// All paths in the order of the text.
    pub named: Vec<Named>,
    /// Modules in files of their own that are compiled for tests only.
    pub test_modules: Vec<Vec<String>>,
    /// Whether `async` or `await` stands outside test modules.
    pub is_async: bool,
}

/// Where a run of tokens stands.
#[derive(Clone)]
struct Place {
    module: Vec<String>,
    in_tests: bool,
}

/// Reads the text of a file whose own module path is `module`, empty for the crate's root.
///
/// # Errors
/// Says why the text cannot be cut into tokens.
pub fn read(text: &str, module: &[String], in_tests: bool) -> Result<Source, String> {
    let tokens: TokenStream = text.parse().map_err(|error| format!("{error}"))?;
    let mut source = Source::default();
    let place = Place {
        module: module.to_vec(),
        in_tests,
    };
    read_tokens(&tokens.into_iter().collect::<Vec<_>>(), &place, &mut source);
    Ok(source)
}

fn read_tokens(tokens: &[TokenTree], place: &Place, source: &mut Source) {
    let mut at = 0;
    let mut marked_for_tests = false;
    while at < tokens.len() {
        let mut here = place.clone();
        here.in_tests |= marked_for_tests;
        if is_test_attribute(tokens, at) {
            marked_for_tests = true;
            at += 2;
        } else if let Some((name, body)) = inline_module(tokens, at) {
            here.module.push(name);
            read_tokens(&body, &here, source);
            marked_for_tests = false;
            at += 3;
        } else if is_word(tokens.get(at), "use") && !is_punct(tokens.get(at + 1), '<') {
            let end = statement_end(tokens, at);
            read_use(&tokens[at + 1..end], &[], &here, source);
            at = end;
        } else {
            if here.in_tests && is_word(tokens.get(at), "mod") {
                note_test_module(tokens.get(at + 1), &here, source);
            }
            // An item ends with a semicolon or with its body in braces.
            if is_punct(tokens.get(at), ';') || is_brace(tokens.get(at)) {
                marked_for_tests = false;
            }
            at = read_other(tokens, at, &here, source);
        }
    }
}

fn note_test_module(name: Option<&TokenTree>, place: &Place, source: &mut Source) {
    if let Some(TokenTree::Ident(name)) = name {
        let mut module = place.module.clone();
        module.push(name.to_string());
        source.test_modules.push(module);
    }
}

/// Reads a path in the open, a group or a lone token, and returns where the next begins.
fn read_other(tokens: &[TokenTree], at: usize, place: &Place, source: &mut Source) -> usize {
    let word = match &tokens[at] {
        TokenTree::Group(group) => {
            let inner: Vec<_> = group.stream().into_iter().collect();
            read_tokens(&inner, place, source);
            return at + 1;
        }
        TokenTree::Ident(word) => word,
        _ => return at + 1,
    };
    if !place.in_tests && (word == "async" || word == "await") {
        source.is_async = true;
    }
    let mut segments = vec![word.to_string()];
    let mut next = at + 1;
    while is_path_separator(tokens, next) {
        let Some(TokenTree::Ident(segment)) = tokens.get(next + 2) else {
            break;
        };
        segments.push(segment.to_string());
        next += 3;
    }
    // `extern crate name` is the one way to bring a crate in that is no path.
    let is_extern = at > 0 && is_word(tokens.get(at - 1), "crate");
    if segments.len() > 1 || is_extern {
        name(segments, is_extern, place, source);
    }
    next
}

/// Takes the tree of a `use` apart: `prefix` is what stands before a group.
fn read_use(tokens: &[TokenTree], prefix: &[String], place: &Place, source: &mut Source) {
    for branch in tokens.split(|token| is_punct(Some(token), ',')) {
        let mut segments = prefix.to_vec();
        let mut is_leaf = !branch.is_empty();
        for token in branch {
            match token {
                // What follows `as` is a new name for the same path.
                TokenTree::Ident(word) if word == "as" => break,
                TokenTree::Ident(word) if word == "self" && !segments.is_empty() => {}
                TokenTree::Ident(word) => segments.push(word.to_string()),
                TokenTree::Group(group) => {
                    let inner: Vec<_> = group.stream().into_iter().collect();
                    read_use(&inner, &segments, place, source);
                    is_leaf = false;
                }
                _ => {}
            }
        }
        if is_leaf && !segments.is_empty() {
            name(segments, true, place, source);
        }
    }
}

/// Makes a path absolute and notes it.
fn name(segments: Vec<String>, open_ended: bool, place: &Place, source: &mut Source) {
    source.named.push(Named {
        segments: absolute(segments, &place.module),
        open_ended,
        in_tests: place.in_tests,
    });
}

fn absolute(mut segments: Vec<String>, module: &[String]) -> Vec<String> {
    let first = segments[0].as_str();
    if first == "tondo" {
        // The binary names the library by the package's name.
        segments[0] = "crate".to_owned();
        return segments;
    }
    if first == "core" || first == "alloc" {
        segments[0] = "std".to_owned();
        return segments;
    }
    if first != "self" && first != "super" {
        return segments;
    }
    let mut base = module.to_vec();
    let mut rest = segments.into_iter().peekable();
    while let Some(segment) = rest.next_if(|segment| segment == "self" || segment == "super") {
        if segment == "super" {
            base.pop();
        }
    }
    std::iter::once("crate".to_owned())
        .chain(base)
        .chain(rest)
        .collect()
}

/// `#[cfg(test)]`, or a `cfg` with `test` among all that it demands.
fn is_test_attribute(tokens: &[TokenTree], at: usize) -> bool {
    let Some(TokenTree::Group(group)) = tokens.get(at + 1) else {
        return false;
    };
    let text: String = group
        .stream()
        .to_string()
        .chars()
        .filter(|character| !character.is_whitespace())
        .collect();
    is_punct(tokens.get(at), '#')
        && group.delimiter() == Delimiter::Bracket
        && (text == "cfg(test)" || text.starts_with("cfg(all(test,"))
}

/// `mod name { ... }`: its name and its tokens.
fn inline_module(tokens: &[TokenTree], at: usize) -> Option<(String, Vec<TokenTree>)> {
    if !is_word(tokens.get(at), "mod") {
        return None;
    }
    match (tokens.get(at + 1), tokens.get(at + 2)) {
        (Some(TokenTree::Ident(name)), Some(TokenTree::Group(body)))
            if body.delimiter() == Delimiter::Brace =>
        {
            Some((name.to_string(), body.stream().into_iter().collect()))
        }
        _ => None,
    }
}

fn statement_end(tokens: &[TokenTree], from: usize) -> usize {
    (from..tokens.len())
        .find(|&at| is_punct(tokens.get(at), ';'))
        .unwrap_or(tokens.len())
}

fn is_path_separator(tokens: &[TokenTree], at: usize) -> bool {
    is_punct(tokens.get(at), ':') && is_punct(tokens.get(at + 1), ':')
}

fn is_word(token: Option<&TokenTree>, word: &str) -> bool {
    matches!(token, Some(TokenTree::Ident(ident)) if ident == word)
}

fn is_punct(token: Option<&TokenTree>, mark: char) -> bool {
    matches!(token, Some(TokenTree::Punct(punct)) if punct.as_char() == mark)
}

fn is_brace(token: Option<&TokenTree>) -> bool {
    matches!(token, Some(TokenTree::Group(group)) if group.delimiter() == Delimiter::Brace)
}
