//! The sentences of an article, and whether each can be read out of its place. Never weighs one against another.

use std::collections::{HashMap, HashSet};

use unicode_segmentation::UnicodeSegmentation;

use super::Sentence;
use crate::distil::block::{Block, BlockKind};
use crate::distil::language::Language;

/// A sentence with what is looked at in it.
pub(super) struct Worded {
    pub sentence: Sentence,
    /// How many words it has (UAX #29).
    pub words: usize,
    /// Its words in lower case but for those of which every text in its language is full.
    pub telling: Vec<String>,
    /// Whether it can be read out of its place.
    pub alone: bool,
}

/// Words that lean on what was said before, by language (common practice, no source; that sentences with them hang
/// in the air in an excerpt: Paice 1990, "Constructing literature abstracts by computer", from memory). Words are
/// parted at apostrophes, as in “c’est”.
struct Leaning {
    language: &'static str,
    /// Pronouns of the third person and demonstratives; they lean near the beginning of a sentence, since further on
    /// it mostly names itself what they stand for.
    pronouns: &'static str,
    /// What connects, numbers or contrasts; they lean at the very beginning.
    connectives: &'static str,
}

const LEANING: [Leaning; 4] = [
    Leaning {
        language: "en",
        pronouns: "he him his himself she her hers herself it its itself they them their theirs themselves this that \
            these those",
        connectives: "and but or nor so yet then thus hence therefore consequently accordingly however nevertheless \
            nonetheless moreover furthermore besides also too instead otherwise meanwhile afterwards still again such \
            same another other others both neither either former latter one first second third fourth last",
    },
    Leaning {
        language: "de",
        pronouns: "er ihm ihn sein seine seinem seinen seiner seines sie es ihr ihre ihrem ihren ihrer ihres ihnen \
            dies diese diesem diesen dieser dieses jene jenem jenen jener jenes dabei dadurch dafür dagegen daran \
            darauf daraus darin darüber davon davor dazu damit",
        connectives: "und oder aber doch jedoch denn sondern also daher deshalb deswegen darum somit folglich demnach \
            dennoch trotzdem allerdings hingegen indessen dann danach daraufhin schließlich inzwischen außerdem zudem \
            ferner überdies ebenso auch so sonst stattdessen solch solche solchen solcher beide beiden andere anderen \
            erste ersten zweite zweiten dritte dritten letztere letzteren erstere ersteren",
    },
    Leaning {
        language: "fr",
        pronouns: "il ils elle elles lui leur leurs eux son sa ses ce cet cette ces c ceci cela ça celui celle ceux \
            celles",
        connectives: "et mais ou or donc car ni ainsi alors puis ensuite enfin cependant pourtant toutefois néanmoins \
            aussi ailleurs autre autres premier première second seconde deuxième troisième dernier dernière",
    },
    Leaning {
        language: "es",
        pronouns: "él ella ello ellos ellas le les su sus suyo este esta esto estos estas ese esa eso esos esas aquel \
            aquella aquello aquellos aquellas",
        connectives: "y e pero o u sino pues así entonces luego además también tampoco embargo obstante otro otra \
            otros otras primero primera segundo segunda tercero tercera último última",
    },
];

/// How many telling words of a sentence are its beginning, in which pronouns lean.
const BEGINNING: usize = 3;

/// The least share of its words by which a sentence tells something: half of the words of an English text are stop
/// words (common practice, no source).
const LEAST_TELLING: f64 = 0.4;

/// The marks around speech; a sentence that has an odd number of them is a piece of what is said. Single marks are not
/// counted, since they are apostrophes too.
const MARKS_OF_SPEECH: &str = "“”„‟«»\"「」『』";

/// What stands before speech and asides, which answer to what stands before them.
const BEGINS_ASIDE: &str = "([（“”„‟«»\"「『‘‚‹'–—";

/// The first sentences of all paragraphs by UAX #29, so many at the most.
pub(super) fn sentences(blocks: &[Block], most: usize) -> Vec<Worded> {
    let mut known: HashMap<&str, Words> = HashMap::new();
    let mut found = Vec::new();
    for (place, block) in blocks.iter().enumerate() {
        if block.kind == BlockKind::Paragraph && found.len() < most {
            let words = known
                .entry(block.language.primary())
                .or_insert_with(|| Words::of(&block.language));
            found.extend(sentences_of(place, &block.text(), words));
        }
    }
    found.truncate(most);
    found
}

/// The sentences of a paragraph, which is the block of this number.
pub(super) fn sentences_of(block: usize, text: &str, known: &Words) -> Vec<Worded> {
    let mut start = 0;
    let mut after_piece = false;
    let mut in_speech = false;
    let mut found = Vec::new();
    for piece in text.split_sentence_bounds() {
        let told = piece.trim();
        let before = piece.len() - piece.trim_start().len();
        let first = start + piece[..before].chars().count();
        start += piece.chars().count();
        let ends = ends_within(told);
        let speaks = count(told, MARKS_OF_SPEECH) % 2 == 1;
        let whole = !after_piece && !ends && !in_speech && !speaks && is_whole(told);
        after_piece = ends;
        in_speech ^= speaks;
        let Looked {
            words,
            telling,
            leans,
        } = known.look_at(told);
        if words == 0 {
            continue;
        }
        let tells = telling.len() as f64 >= LEAST_TELLING * words as f64;
        found.push(Worded {
            sentence: Sentence {
                block,
                characters: first..first + told.chars().count(),
            },
            words,
            telling,
            alone: whole && tells && !leans,
        });
    }
    found
}

/// Whether a text looks like a sentence from its beginning to its end, and is nobody's answer to another.
fn is_whole(told: &str) -> bool {
    told.ends_with(is_end)
        && !told.starts_with(|first| BEGINS_ASIDE.contains(first))
        && !told.contains('\n')
        && count(told, "([（") == count(told, ")]）")
}

fn count(text: &str, characters: &str) -> usize {
    text.chars()
        .filter(|&character| characters.contains(character))
        .count()
}

/// The ends of sentences, and what closes after them.
fn is_end(character: char) -> bool {
    ".!?…。！？।؟։።”’»\")）」』".contains(character)
}

/// Whether what looks like a sentence ends at an abbreviation or an ordinal, as in “Mr. Smith” or “3. Mai”, which the
/// rules of UAX #29 cannot know: at a word of up to three letters with a capital, or of up to two digits.
fn ends_within(sentence: &str) -> bool {
    let Some(last) = sentence.strip_suffix('.') else {
        return false;
    };
    let mut words = last.rsplit(|character: char| !character.is_alphanumeric());
    let last = words.next().unwrap_or_default();
    let letters = last.chars().count();
    let first = last.chars().next();
    letters <= 3 && first.is_some_and(char::is_uppercase)
        || letters <= 2 && first.is_some_and(char::is_numeric)
}

/// What is known of the words of a language.
pub(super) struct Words {
    stop: HashSet<&'static str>,
    pronouns: HashSet<&'static str>,
    connectives: HashSet<&'static str>,
}

impl Words {
    /// Nothing where there are no lists for the language.
    pub(super) fn of(language: &Language) -> Self {
        // The lists know Norwegian as one language.
        let tag = match language.primary() {
            "nb" | "nn" => "no",
            tag => tag,
        };
        let stop = stop_words::lookup(tag).unwrap_or_default();
        let leaning = LEANING.iter().find(|leaning| leaning.language == tag);
        let words = |told: fn(&Leaning) -> &'static str| {
            leaning
                .map(told)
                .unwrap_or_default()
                .split_whitespace()
                .collect()
        };
        Self {
            stop: stop.iter().copied().collect(),
            pronouns: words(|leaning| leaning.pronouns),
            connectives: words(|leaning| leaning.connectives),
        }
    }

    fn look_at(&self, sentence: &str) -> Looked {
        let mut looked = Looked::default();
        let mut begun = 0;
        for word in sentence.unicode_words() {
            looked.words += 1;
            // “C’est” and “l’eau” are two words each here.
            for part in word.split(['\'', '’']).filter(|part| !part.is_empty()) {
                let part = part.to_lowercase();
                let is_in = |list: &HashSet<&str>| list.contains(part.as_str());
                begun += 1;
                looked.leans |= begun <= 2 && is_in(&self.connectives)
                    || looked.telling.len() < BEGINNING && is_in(&self.pronouns);
                if !is_in(&self.stop) {
                    looked.telling.push(part);
                }
            }
        }
        looked
    }
}

/// What the words of a sentence show.
#[derive(Default)]
struct Looked {
    /// How many they are (UAX #29).
    words: usize,
    /// Those in lower case that tell something.
    telling: Vec<String>,
    /// Whether the sentence leans on what was said before.
    leans: bool,
}
