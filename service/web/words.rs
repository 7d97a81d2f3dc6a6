//! The words of the pages, in a reader's language: times, lengths, names of controls. Never holds a text: those stand in
//! `templates/messages/`.

mod find;
mod links;
mod screen;

use axum::http::{HeaderMap, header};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

use crate::distil::block::{Block, BlockKind, Run};
use crate::distil::language::{Direction, Language};
use crate::distil::plain::shortened;
use crate::distil::reading_minutes;
use crate::store::{MOST_COUNTED, Tally};
use crate::typeset::{Lines, Screen, Spacing};
pub use crate::words::Words;
use crate::words::{Value, say};

/// The words for whoever sent these headers.
pub fn wanted(headers: &HeaderMap) -> Words {
    let values = headers.get_all(header::ACCEPT_LANGUAGE).iter();
    Words::accepted(values.filter_map(|value| value.to_str().ok()))
}

/// Whether the lines of a screen are too short for a time in full: those of the large sizes and of the
/// wide spacing.
pub fn is_terse(screen: Screen) -> bool {
    matches!(screen.lines, Lines::Eight | Lines::Six) || screen.spacing == Spacing::Wide
}

/// Whether its lines are the shortest of all.
pub fn is_tersest(screen: Screen) -> bool {
    (screen.lines, screen.spacing) == (Lines::Six, Spacing::Wide)
}

say! {
    /// The index, and what leads to it.
    index = "index";
    /// What leads to the choice of groups.
    groups = "groups";
    /// All groups, as one to choose.
    all_groups = "all";
    /// What leads to older entries.
    older = "older";
    /// What leads back to the newest entries.
    newest = "newest";
    /// What the index offers first: the article that was left last.
    go_on = "go-on";
    /// That an entry came since the last look, before its source.
    newly_come = "new";
    /// That an entry which was read has changed since, as the index shows it before the time.
    changed = "changed";
    /// What marks all that is unread in a group, or in all, as seen.
    mark_as_seen = "mark-as-seen";
    /// What takes the last marking back.
    undo = "undo";
    /// That a marking was asked to be taken back which another has followed, or none.
    undo_is_past = "undo-is-past";
    /// That no entry has come yet.
    nothing_yet = "nothing-yet";
    /// When one will.
    nothing_yet_told = "nothing-yet-told";
    /// That all was read, where what was read goes from the index.
    all_read = "all-read";
    /// What will stand there.
    all_read_told = "all-read-told";
}

say! {
    /// What stands above the sentences that are shown of a long article before its text.
    excerpt = "excerpt";
    /// The control that leads to where an article was published.
    original = "original";
    /// The control that leads to an article's links.
    links = "links";
    /// The control that leads to the next article.
    next = "next";
    /// The control that leads back to an article's text.
    back_to_text = "back-to-text";
    /// The control that hands an article over.
    hand = "hand";
}

say! {
    /// The title of a page that says what went wrong.
    not_shown = "not-shown";
    /// That there is no such page.
    no_page = "no-page";
    /// That the service is at fault.
    went_wrong = "went-wrong";
    /// That an article has no disc of that number.
    no_such_disc = "no-such-disc";
    /// That a form names no screen.
    choose_on_index = "choose-on-index";
    /// That the service does not go by the name that it was asked by.
    unknown_host = "unknown-host";
    /// That a form was sent from another site's page.
    from_elsewhere = "from-elsewhere";
}

/// The most characters of a feed's name where how many others there are must stand beside it in the index, and of
/// one among others at an opening: two lines hold two of them.
const MOST_SOURCE: usize = 14;
const MOST_OTHER_SOURCE: usize = 24;

/// Times and lengths.
impl Words {
    fn time(self, id: &'static str, time: &ZonedDateTime) -> String {
        self.time_and_age(id, time, "")
    }

    /// A time, with an age for messages that tell one.
    fn time_and_age(self, id: &'static str, time: &ZonedDateTime, age: &str) -> String {
        let two_digits = |number: i8| Value::from(format!("{number:02}"));
        let variables = [
            ("year", i32::from(time.year()).into()),
            ("month", i32::from(time.month()).into()),
            ("day", i32::from(time.day()).into()),
            (
                "weekday",
                i32::from(time.weekday().to_monday_one_offset()).into(),
            ),
            ("hour", two_digits(time.hour())),
            ("minute", two_digits(time.minute())),
            ("age", age.into()),
        ];
        self.tell(id, variables)
    }

    /// A time as lines of the index show it: the day and the hour, or the day with its year where that is not `now`'s.
    pub fn short_time(
        self,
        time: Timestamp,
        now: Timestamp,
        zone: &TimeZone,
        screen: Screen,
    ) -> String {
        let (time, now) = (
            time.to_zoned_datetime(zone.clone()),
            now.to_zoned_datetime(zone.clone()),
        );
        let of_this_year = time.year() == now.year();
        let id = match (of_this_year, is_tersest(screen)) {
            (true, false) => "time-of-this-year",
            (true, true) => "time-on-short-lines",
            (false, false) => "day-in-short",
            (false, true) => "day-on-short-lines",
        };
        self.time(id, &time)
    }

    /// A time in full; with the names of day and month in short where lines are short, and the day alone where they
    /// are shortest.
    pub fn full_time(self, time: Timestamp, zone: &TimeZone, screen: Screen) -> String {
        let id = match screen {
            _ if is_tersest(screen) => "day-on-short-lines",
            _ if is_terse(screen) => "full-time-in-short",
            _ => "full-time",
        };
        self.time(id, &time.to_zoned_datetime(zone.clone()))
    }

    /// How many minutes reading takes, as the index shows it.
    pub fn short_length(self, minutes: u32) -> String {
        self.tell("length-in-short", [("minutes", minutes.into())])
    }

    /// How long reading takes, in full.
    pub fn full_length(self, words: u32, language: &Language) -> String {
        let minutes = reading_minutes(words, language).into();
        self.tell("length", [("minutes", minutes)])
    }
}

say! {
    /// That no unread article is short enough for a time.
    nothing_fits = "nothing-fits";
    /// What to do then.
    nothing_fits_told = "nothing-fits-told";
    /// What forgets how fast its reader reads.
    forget_pace = "forget-pace";
}

/// Articles by their time.
impl Words {
    /// A block of the service's own words.
    pub fn block(self, kind: BlockKind, text: impl Into<String>) -> Block {
        Block {
            kind,
            runs: vec![Run {
                text: text.into(),
                ..Run::default()
            }],
            language: self.language().clone(),
            direction: Direction::Ltr,
        }
    }

    /// A heading of them, of the first level.
    pub fn heading(self, text: impl Into<String>) -> Block {
        self.block(BlockKind::Heading { level: 1 }, text)
    }

    /// A paragraph of them.
    pub fn paragraph(self, text: impl Into<String>) -> Block {
        self.block(BlockKind::Paragraph, text)
    }

    /// The title of a page of a list, the first being 0: a further one differs by its number.
    pub fn title_of_page(self, title: &str, page: u32) -> String {
        match page {
            0 => title.to_owned(),
            page => self.tell(
                "title-of-page",
                [("title", title.into()), ("page", (page + 1).into())],
            ),
        }
    }

    /// What leads to what can be read in so many minutes.
    pub fn time_to_read(self, minutes: u32) -> String {
        self.tell("time-to-read", [("minutes", minutes.into())])
    }

    /// How fast its reader reads.
    pub fn pace(self, words_a_minute: u32, terse: bool) -> String {
        let id = if terse { "pace-in-short" } else { "pace" };
        self.tell(id, [("words", words_a_minute.into())])
    }
}

/// The index.
impl Words {
    /// How many unread entries of the index are new, as its first line says.
    pub fn new_entries(self, new: u32) -> String {
        self.tell("new-entries", [("new", counted(new))])
    }

    /// How much of a group there is to read.
    pub fn tally(self, tally: Tally, screen: Screen) -> String {
        let unread = counted(tally.unread);
        let new = counted(tally.new);
        match (tally.unread, tally.new) {
            (0, _) => self.say("nothing-unread").to_owned(),
            (_, 0) => self.tell("unread", [("unread", unread)]),
            _ if is_tersest(screen) => self.new_entries(tally.new),
            _ if is_terse(screen) => {
                self.tell("new-of-unread-in-short", [("new", new), ("unread", unread)])
            }
            _ => self.tell("new-of-unread", [("new", new), ("unread", unread)]),
        }
    }

    /// How many entries of a group, or of all, are unread, and on a line of its own which group.
    pub fn unread_of(self, unread: u32, group: Option<&str>) -> String {
        let unread = self.tell("unread", [("unread", counted(unread))]);
        match group {
            Some(group) => format!("{unread}\n{group}"),
            None => unread,
        }
    }

    /// What was marked as seen, in a line.
    pub fn marked_as_seen(self, entries: u32, terse: bool) -> String {
        let marked = [("entries", entries.into())];
        match entries {
            0 => self.say("nothing-unread").to_owned(),
            _ if terse => self.tell("marked-as-seen-in-short", marked),
            _ => self.tell("marked-as-seen", marked),
        }
    }

    /// The source as the index shows it, with how many other feeds tell the same.
    pub fn source(self, title: &str, others: u32) -> String {
        let source = || shortened(title, MOST_SOURCE).into();
        match others {
            0 => title.to_owned(),
            _ => self.tell(
                "source-and-more",
                [("source", source()), ("others", others.into())],
            ),
        }
    }

    /// That a feed has not answered since a time.
    pub fn no_answer(self, feed: &str, since: String) -> String {
        self.tell(
            "no-answer",
            [("feed", feed.into()), ("since", since.into())],
        )
    }

    /// That so many feeds more have not.
    pub fn more_no_answer(self, feeds: usize) -> String {
        self.tell("more-no-answer", [("feeds", feeds.into())])
    }
}

/// A number of entries that are counted up to [`MOST_COUNTED`].
fn counted(entries: u32) -> Value<'static> {
    if entries < MOST_COUNTED {
        entries.into()
    } else {
        format!("{}+", MOST_COUNTED - 1).into()
    }
}

/// Articles, and handing them over.
impl Words {
    /// What a tap on the control of keeping does, by whether the article is kept.
    pub fn keeping(self, kept: bool) -> &'static str {
        self.say(if kept { "let-go" } else { "keep" })
    }

    /// That an article has changed since it was read, at its opening.
    pub fn changed_since_read(self, screen: Screen) -> &'static str {
        self.say(if is_terse(screen) {
            "changed-since-read-in-short"
        } else {
            "changed-since-read"
        })
    }

    /// Which other feeds tell the same, as far as there is room at an opening.
    pub fn also_in(self, titles: &[String]) -> Option<String> {
        let name = |title: &String| Value::from(shortened(title, MOST_OTHER_SOURCE));
        match titles {
            [] => None,
            [only] => Some(self.tell("also-in-one", [("one", name(only))])),
            [one, other] => {
                Some(self.tell("also-in-two", [("one", name(one)), ("other", name(other))]))
            }
            [one, rest @ ..] => Some(self.tell(
                "also-in-more",
                [("one", name(one)), ("others", rest.len().into())],
            )),
        }
    }

    /// How many links an article has.
    pub fn links_in_text(self, links: usize) -> String {
        self.tell("links-in-text", [("links", links.into())])
    }

    /// The title of the page with an article's links.
    pub fn links_of(self, title: &str) -> String {
        self.tell("links-of", [("title", title.into())])
    }

    /// The title of the page that hands an article over.
    pub fn hand_title(self, title: &str) -> String {
        self.tell("hand-title", [("title", title.into())])
    }

    /// What a code is called where it cannot be seen.
    pub fn code_of(self, address: &str) -> String {
        self.tell("code-of", [("address", address.into())])
    }

    /// Where in the page a code opens.
    pub fn opens_at(self, where_stopped: bool) -> &'static str {
        self.say(if where_stopped {
            "opens-where-stopped"
        } else {
            "opens-at-beginning"
        })
    }

    /// That a code leads by way of this service, to which a phone elsewhere does not come; or that it does on discs of
    /// some sizes, where the page does not know which it stands on.
    pub fn only_at_home(self, on_some_discs_alone: bool) -> &'static str {
        self.say(if on_some_discs_alone {
            "perhaps-at-home-alone"
        } else {
            "at-home-alone"
        })
    }

    /// That there is no code for an address.
    pub fn too_long_for_code(self, address: &str) -> String {
        self.tell("too-long-for-code", [("address", address.into())])
    }
}

#[cfg(test)]
#[path = "words/tests.rs"]
mod tests;
