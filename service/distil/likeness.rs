//! Which texts are near-identical: min-wise hashing of their shingles (Broder 1997, "On the resemblance and
//! containment of documents"), in bands so that a look-up finds them (Leskovec, Rajaraman and Ullman, "Mining of
//! Massive Datasets", section 3.4). Never looks at more than words.

use std::collections::BTreeSet;

use unicode_segmentation::UnicodeSegmentation;

/// Words of a shingle, which is what two texts have in common or not.
const SHINGLE_WORDS: usize = 4;

/// Texts of fewer words are not compared: greetings and notices of a line or two are alike by chance.
const LEAST_WORDS: usize = 50;

/// Nor are texts of fewer different shingles, which say little again and again.
const LEAST_SHINGLES: usize = 40;

/// Bands of a signature, and values of a band. Texts with a resemblance of 0.8 have a band in common with a
/// chance of 95 %, those of 0.9 with one of 99.9 %, and those of 0.5 with one of 15 %: 1 − (1 − s⁶)¹⁰.
const BANDS: usize = 10;
const BAND_VALUES: usize = 6;

/// Values of a signature. As an estimate of a resemblance of 0.8 it has a standard error of 0.05.
const VALUES: usize = BANDS * BAND_VALUES;

/// Texts are near-identical from this resemblance on: one word in some twenty changed here and there, or a
/// paragraph of ten added (common practice, no source).
const NEAR_IDENTICAL: f64 = 0.8;

/// What a text is compared by: for each of 60 hash functions the least value of all its shingles.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Likeness([u32; VALUES]);

impl Likeness {
    /// The bytes of its stored form.
    pub const BYTES: usize = 4 * VALUES;

    /// Of a text; `None` where it is too short to be compared.
    pub fn of(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.unicode_words().collect();
        if words.len() < LEAST_WORDS {
            return None;
        }
        let shingles: BTreeSet<u64> = shingles(&words).map(hash_of).collect();
        if shingles.len() < LEAST_SHINGLES {
            return None;
        }
        let hash = |which: usize, shingle: u64| {
            // The upper half is the better mixed one.
            (mixed(shingle ^ mixed(which as u64 + 1)) >> 32) as u32
        };
        Some(Self(least_values(shingles.into_iter(), hash)))
    }

    /// An estimate of how much two texts resemble each other: the shingles that both have, as a share of those
    /// that either has.
    pub fn resemblance(&self, other: &Self) -> f64 {
        let pairs = self.0.iter().zip(&other.0);
        let alike = pairs.filter(|(one, other)| one == other).count();
        alike as f64 / VALUES as f64
    }

    /// Whether the two are one text but for small changes.
    pub fn is_near_identical(&self, other: &Self) -> bool {
        self.resemblance(other) >= NEAR_IDENTICAL
    }

    /// A number for each band. Near-identical texts have one in common as a rule, others hardly ever.
    pub fn bands(&self) -> [i64; BANDS] {
        std::array::from_fn(|band| {
            let values = &self.0[band * BAND_VALUES..][..BAND_VALUES];
            let mix = |sum: u64, value: &u32| mixed(sum ^ u64::from(*value));
            // The number of the band goes in, so that bands are not mistaken for each other.
            values.iter().fold(mixed(band as u64), mix).cast_signed()
        })
    }

    /// The stored form.
    pub fn to_bytes(&self) -> Vec<u8> {
        self.0
            .iter()
            .flat_map(|value| value.to_le_bytes())
            .collect()
    }

    /// Reads the stored form; `None` where it has another length.
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (values, rest) = bytes.as_chunks::<4>();
        let values: Vec<u32> = values.iter().copied().map(u32::from_le_bytes).collect();
        rest.is_empty().then_some(())?;
        Some(Self(values.try_into().ok()?))
    }
}

/// All runs of so many words.
fn shingles<'a>(words: &'a [&'a str]) -> impl Iterator<Item = &'a [&'a str]> {
    words.windows(SHINGLE_WORDS)
}

/// The least value of all elements by each hash function.
fn least_values<const COUNT: usize>(
    elements: impl Iterator<Item = u64>,
    hash: impl Fn(usize, u64) -> u32,
) -> [u32; COUNT] {
    let mut least = [u32::MAX; COUNT];
    for element in elements {
        for (which, value) in least.iter_mut().enumerate() {
            *value = hash(which, element).min(*value);
        }
    }
    least
}

/// A hash that is the same on every machine and at every start: FNV-1a (from memory), whose bits are mixed later.
fn hash_of(shingle: &[&str]) -> u64 {
    let bytes = shingle.iter().flat_map(|word| word.bytes().chain([0]));
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// Mixes bits: the last step of SplitMix64 (Steele, Lea and Flood 2014; from memory).
fn mixed(bits: u64) -> u64 {
    let bits = bits.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Broder 1997, section 2: the shingles of four words of “a rose is a rose is a rose”.
    #[test]
    fn shingles_are_those_of_the_paper() {
        let words: Vec<&str> = "a rose is a rose is a rose".split(' ').collect();
        let found: BTreeSet<&[&str]> = shingles(&words).collect();
        let wanted = [
            ["a", "rose", "is", "a"],
            ["is", "a", "rose", "is"],
            ["rose", "is", "a", "rose"],
        ];
        assert!(
            found
                .into_iter()
                .eq(wanted.iter().map(|shingle| &shingle[..]))
        );
    }

    // “Mining of Massive Datasets”, example 3.8: four sets of rows 0 to 4, and the hash functions x + 1 and
    // 3x + 1, both modulo 5 (from memory).
    #[test]
    fn signatures_are_those_of_the_worked_example() {
        let check = |rows: &[u64], expected: [u32; 2]| {
            let hash = |which: usize, row: u64| ([row + 1, 3 * row + 1][which] % 5) as u32;
            assert_eq!(
                least_values(rows.iter().copied(), hash),
                expected,
                "{rows:?}"
            );
        };
        check(&[0, 3], [1, 0]);
        check(&[2], [3, 2]);
        check(&[1, 3, 4], [0, 0]);
        check(&[0, 2, 3], [1, 0]);
    }

    /// Words that no other call with another name has.
    fn words(name: &str, count: usize) -> Vec<String> {
        (0..count).map(|number| format!("{name}{number}")).collect()
    }

    fn likeness(parts: &[&[String]]) -> Likeness {
        Likeness::of(&parts.concat().join(" ")).expect("enough words")
    }

    /// Of two texts that have a beginning in common and go on differently.
    #[test]
    fn the_estimate_is_near_the_share_of_shingles_in_common() {
        for (case, (shared, own)) in [(900, 50), (500, 250), (100, 450), (0, 500)]
            .into_iter()
            .enumerate()
        {
            for number in 0..20 {
                let name = |part: &str| format!("{part}{case}x{number}x");
                let shared = words(&name("common"), shared);
                let (one, other) = (words(&name("one"), own), words(&name("other"), own));
                let estimate =
                    likeness(&[&shared, &one]).resemblance(&likeness(&[&shared, &other]));
                let common = shared.len().saturating_sub(3) as f64;
                let true_share = common / (2.0 * (shared.len() + own - 3) as f64 - common);
                // Four standard errors of a share of 60: one try in 16,000 is beyond by chance.
                let error = 4.0 * (true_share * (1.0 - true_share) / VALUES as f64).sqrt();
                assert!(
                    (estimate - true_share).abs() <= error + 1e-9,
                    "{estimate} for {true_share}"
                );
            }
        }
    }

    #[test]
    fn near_identical_texts_have_a_band_in_common_and_others_have_none() {
        let in_common = |one: &Likeness, other: &Likeness| {
            let others = other.bands();
            one.bands().iter().any(|band| others.contains(band))
        };
        let mut met = 0;
        for number in 0..100 {
            let text = words(&format!("t{number}x"), 400);
            let mut edited = text.clone();
            for place in [50, 150, 250, 350] {
                edited[place] = "edited".to_owned();
            }
            let (one, other) = (likeness(&[&text]), likeness(&[&edited]));
            met += usize::from(in_common(&one, &other) && one.is_near_identical(&other));
            let else_where = likeness(&[&words(&format!("e{number}x"), 400)]);
            assert!(!in_common(&one, &else_where) && !one.is_near_identical(&else_where));
        }
        // 381 of 413 shingles: a resemblance of 0.92.
        assert!(met >= 95, "{met}");
    }

    #[test]
    fn short_texts_are_not_compared_and_case_and_signs_count_for_nothing() {
        assert_eq!(Likeness::of(&words("w", 49).join(" ")), None);
        let text = words("w", 50).join(" ");
        let likeness = Likeness::of(&text).expect("enough words");
        assert_eq!(
            Likeness::of(&text.replace(' ', ", ").to_uppercase()),
            Some(likeness)
        );
        assert_eq!(Likeness::of(&"潮".repeat(500)), None);
        let chinese: String = ('\u{4e00}'..'\u{4e40}').collect();
        assert!(Likeness::of(&chinese).is_some());
    }

    #[test]
    fn the_stored_form_comes_back() {
        let likeness = likeness(&[&words("w", 60)]);
        let bytes = likeness.to_bytes();
        assert_eq!(bytes.len(), Likeness::BYTES);
        assert_eq!(Likeness::from_bytes(&bytes), Some(likeness));
        assert_eq!(Likeness::from_bytes(&bytes[1..]), None);
    }
}
