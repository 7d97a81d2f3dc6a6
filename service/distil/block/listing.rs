//! In which language of computers a listing is, by the classes around it. Never reads its text.

use dom_query::NodeRef;

/// The most characters of such a name.
const LONGEST: usize = 20;
/// The most bytes of classes that are looked through: those around many listings are, for each of them.
const MOST_CLASSES: usize = 500;

/// The language that a `pre` names: in the form that the HTML Living Standard gives for `code`
/// (4.5.15, `language-…`), or in one of those that highlighters write (common practice, no source).
pub(super) fn language(pre: NodeRef<'_>) -> Option<String> {
    let inside = pre.children_it(false).find(|child| child.has_name("code"));
    let around = pre.ancestors_it(Some(2));
    let mut elements = inside.into_iter().chain([pre]).chain(around);
    elements.find_map(|element| {
        let classes = element.attr("class")?;
        (classes.len() <= MOST_CLASSES).then(|| named(&classes))?
    })
}

fn named(classes: &str) -> Option<String> {
    let classes = classes.to_ascii_lowercase().replace("brush: ", "brush:");
    let mut names = classes.split_ascii_whitespace().filter_map(|class| {
        let starts = [
            "language-",
            "lang-",
            "highlight-source-",
            "brush:",
            "sourcecode-",
        ];
        starts.iter().find_map(|start| class.strip_prefix(start))
    });
    let name = names.next()?.trim_end_matches(';').to_owned();
    let known = name.len() <= LONGEST
        && name
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || b"+#.-_".contains(&byte));
    let none = [
        "",
        "text",
        "txt",
        "plain",
        "plaintext",
        "none",
        "default",
        "nohighlight",
        "auto",
    ];
    (known && !none.contains(&name.as_str())).then_some(name)
}
