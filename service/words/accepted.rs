//! Which of several languages a browser wants most. Never knows a message.

/// The place of the language wanted most by the values of `Accept-Language` (RFC 9110, 12.5.4), found by lookup
/// (RFC 4647, 3.4): each range, the heaviest first, is shortened from its end until it is one of `tags`, which are in
/// lower case. None where no range is one; a range for any language names none.
pub(super) fn lookup<'a>(values: impl Iterator<Item = &'a str>, tags: &[&str]) -> Option<usize> {
    let mut ranges: Vec<(&str, f64)> = values
        .flat_map(|value| value.split(','))
        .filter_map(range)
        .collect();
    // Those of the same weight stay in their order.
    ranges.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    let refused = |tag: &str| {
        ranges
            .iter()
            .any(|(range, weight)| *weight == 0.0 && range.eq_ignore_ascii_case(tag))
    };
    let wanted = ranges.iter().filter(|(_, weight)| *weight > 0.0);
    wanted.into_iter().find_map(|(range, _)| {
        let known = |range: &str| {
            tags.iter()
                .position(|tag| tag.eq_ignore_ascii_case(range) && !refused(tag))
        };
        std::iter::successors(Some(*range), |range| shortened(range)).find_map(known)
    })
}

/// A range without its last part; a part of one character, such as the `x` of private use, goes with what follows it.
fn shortened(range: &str) -> Option<&str> {
    let (shorter, _) = range.rsplit_once('-')?;
    match shorter.rsplit_once('-') {
        Some((shortest, last)) if last.len() == 1 => Some(shortest),
        _ => Some(shorter),
    }
}

/// A range with its weight (RFC 9110, 12.4.2), which is 1 where none is told; none where it is no range.
fn range(value: &str) -> Option<(&str, f64)> {
    let mut parts = value.split(';').map(str::trim);
    let range = parts.next().filter(|range| !range.is_empty())?;
    let weight = match parts.next() {
        None => 1.0,
        Some(told) => {
            let (name, weight) = told.split_once('=')?;
            let weight: f64 = weight.trim().parse().ok()?;
            let sound = name.trim().eq_ignore_ascii_case("q") && (0.0..=1.0).contains(&weight);
            sound.then_some(weight)?
        }
    };
    Some((range, weight))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TAGS: [&str; 4] = ["en", "de", "zh-hant", "da"];

    #[track_caller]
    fn check(values: &[&str], wanted: Option<&str>) {
        let found = lookup(values.iter().copied(), &TAGS).map(|place| TAGS[place]);
        assert_eq!(found, wanted, "{values:?}");
    }

    #[test]
    fn the_language_of_the_greatest_weight_is_taken() {
        // "I prefer Danish, but will accept British English and other types of English": RFC 9110, 12.5.4.
        check(&["da, en-gb;q=0.8, en;q=0.7"], Some("da"));
        check(&["en-gb;q=0.8, en;q=0.7, de;q=0.9"], Some("de"));
        check(&["de;q=0.2", "en;q=0.5"], Some("en"));
        check(&["DE-at , en;q=0.999"], Some("de"));
        check(&["de;Q=0.1, en ; q = 0.3"], Some("en"));
        check(&["de, en"], Some("de"));
        check(&["en, de"], Some("en"));
    }

    #[test]
    fn a_range_is_shortened_from_its_end_until_there_is_such_a_language() {
        // The range that RFC 4647, 3.4 shortens as its example, to `zh-Hant` here.
        check(&["zh-Hant-CN-x-private1-private2"], Some("zh-hant"));
        let steps = std::iter::successors(Some("zh-Hant-CN-x-private1-private2"), |range| {
            shortened(range)
        });
        let steps: Vec<&str> = steps.collect();
        assert_eq!(
            steps,
            [
                "zh-Hant-CN-x-private1-private2",
                "zh-Hant-CN-x-private1",
                "zh-Hant-CN",
                "zh-Hant",
                "zh"
            ]
        );
        check(&["zh-CN"], None);
        // A range is answered before the next one is looked at: its example in 3.4.1 of fr-FR before zh-Hant.
        check(&["fr-FR, de-CH-1996;q=0.9, zh-Hant;q=0.8"], Some("de"));
    }

    #[test]
    fn what_is_refused_or_is_no_range_is_not_taken() {
        // A weight of nought is "not acceptable": RFC 9110, 12.4.2.
        check(&["de;q=0, en;q=0.1"], Some("en"));
        check(&["de-at, de;q=0"], None);
        check(&["*"], None);
        check(&["*, de;q=0.5"], Some("de"));
        check(&["fr"], None);
        check(&[""], None);
        check(&[",;q=1,de;q=x,de;level=1,de;q=7,de;q=-1"], None);
        check(&[], None);
    }
}
