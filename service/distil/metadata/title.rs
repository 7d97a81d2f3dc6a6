//! Titles without the name of their site. Knows no page.

use crate::distil::plain::one_line;

/// What stands between a title and the name of its site (common practice, no source).
const SEPARATORS: &[char] = &[
    '|', '-', '–', '—', '·', '•', '»', '«', '/', ':', '›', '_', '\\',
];

/// A title without the name of the site, and without sections: where one of the page's headings
/// begins or ends it and a separator follows or precedes, the heading is the title, if it is longer than
/// what else there is, or begins it and is not in the name of the host, as that of a site may be. Else
/// the name of the site goes from either end.
pub(in crate::distil) fn cleaned(
    title: &str,
    site: Option<&str>,
    host: &str,
    headings: &[String],
) -> String {
    let title = one_line(title);
    let is_title = |heading: &&String| {
        rest_of(&title, heading).is_some_and(|rest| {
            let begins = title.starts_with(heading.as_str()) && !rest.starts_with(':');
            let name: String = heading
                .split_whitespace()
                .collect::<String>()
                .to_lowercase();
            rest.chars().count() < heading.chars().count() || begins && !host.contains(&name)
        })
    };
    if let Some(heading) = headings.iter().find(is_title) {
        return heading.clone();
    }
    let site = site.map(one_line).filter(|site| !site.is_empty());
    let Some(site) = site else { return title };
    let lower = (title.to_lowercase(), site.to_lowercase());
    // Only where both spellings are as long can one be cut by the other.
    if lower.0.len() != title.len() || lower.1.len() != site.len() {
        return title;
    }
    let cut = if lower.0.ends_with(&lower.1) {
        title[..title.len() - site.len()].trim_end()
    } else if lower.0.starts_with(&lower.1) {
        title[site.len()..].trim_start()
    } else {
        return title;
    };
    let kept = if lower.0.ends_with(&lower.1) {
        cut.trim_end_matches(SEPARATORS)
    } else {
        cut.trim_start_matches(SEPARATORS)
    };
    match kept.len() < cut.len() && !kept.trim().is_empty() {
        true => kept.trim().to_owned(),
        false => title,
    }
}

/// What a title has besides the heading that it begins or ends with, if a separator parts them.
fn rest_of<'a>(title: &'a str, heading: &str) -> Option<&'a str> {
    if heading.is_empty() || heading.len() == title.len() {
        return None;
    }
    let after = title.strip_prefix(heading).map(str::trim);
    let before = || title.strip_suffix(heading).map(str::trim);
    after
        .filter(|rest| rest.starts_with(SEPARATORS))
        .or_else(|| before().filter(|rest| rest.ends_with(SEPARATORS)))
}
