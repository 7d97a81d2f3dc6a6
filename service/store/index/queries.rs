//! The statements of the index, of groups and of what is new. Never runs them.
//!
//! In all of them `?1` is the reader. An entry is read where the reader has opened it, or where its feed was marked as
//! seen up to it or beyond.

/// Whether the reader has opened an entry, or its feed was marked as seen up to it.
macro_rules! read {
    () => {
        "(mark.opened IS NOT NULL OR entry.id <= coalesce(seen.upto, 0))"
    };
}

/// Whether none of the entries with the same number in a column does better than an entry, by the rule at the head
/// of `index.rs`. An article of fewer than 120 words is a teaser, as `distil` has it.
macro_rules! stands_for {
    ($column:literal) => {
        concat!(
            "(entry.",
            $column,
            " IS NULL OR NOT EXISTS (
              SELECT 1 FROM entry AS other
              JOIN feed AS its_feed ON its_feed.id = other.feed AND its_feed.hidden = 0
              JOIN article AS its_article ON its_article.entry = other.id
              LEFT JOIN mark AS its_mark ON its_mark.entry = other.id AND its_mark.reader = ?1
              LEFT JOIN seen AS its_seen ON its_seen.feed = other.feed AND its_seen.reader = ?1
              WHERE other.",
            $column,
            " = entry.",
            $column,
            " AND other.id <> entry.id
                AND (its_mark.opened IS NOT NULL, its_mark.entry IS NOT NULL,
                     other.id <= coalesce(its_seen.upto, 0), its_article.words >= 120,
                     max(other.published, coalesce(its_article.edited, other.published)), -other.id)
                  > (mark.opened IS NOT NULL, mark.entry IS NOT NULL,
                     entry.id <= coalesce(seen.upto, 0), article.words >= 120,
                     max(entry.published, coalesce(article.edited, entry.published)), -entry.id)))"
        )
    };
}

/// Whether an entry stands for its story and for its text.
macro_rules! stands_for_its_story {
    () => {
        concat!(stands_for!("story"), " AND ", stands_for!("alike"))
    };
}

/// Whether the group `?3` is wanted, or all feeds.
macro_rules! of_the_group {
    () => {
        "(?3 IS NULL OR feed.group_name = ?3)"
    };
}

/// Whether the publisher has changed it since the reader last opened it.
macro_rules! changed_since {
    () => {
        "(mark.last_opened IS NOT NULL AND article.edited > mark.last_opened)"
    };
}

/// Reader, entries at most, group, whether what was read is left out, entries looked at -> [`super::Candidate`]: the
/// newest entries of all feeds, as far as they are among the newest so many there are.
pub(in super::super) const NEWEST: &str = concat!(
    "SELECT entry.id, entry.feed, entry.published, ",
    read!(),
    " AS read
     FROM entry
     CROSS JOIN feed ON feed.id = entry.feed
     CROSS JOIN article ON article.entry = entry.id
     LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
     LEFT JOIN seen ON seen.feed = entry.feed AND seen.reader = ?1
     WHERE entry.published >= coalesce(
               (SELECT published FROM entry ORDER BY published DESC LIMIT 1 OFFSET ?5), -9e18)
       AND feed.hidden = 0 AND ",
    of_the_group!(),
    " AND (NOT ?4 OR NOT ",
    read!(),
    " OR mark.kept IS NOT NULL OR ",
    changed_since!(),
    ") AND ",
    stands_for_its_story!(),
    " ORDER BY entry.published DESC, entry.id DESC LIMIT ?2"
);

/// Reader, entries a feed, group -> [`super::Candidate`]: the newest entries of each feed. The list of those is made
/// once a feed; as an `IN` SQLite would make it anew for each entry that there is.
pub(in super::super) const NEWEST_OF_EACH: &str = concat!(
    "SELECT entry.id, entry.feed, entry.published, ",
    read!(),
    " AS read
     FROM feed
     LEFT JOIN seen ON seen.feed = feed.id AND seen.reader = ?1
     CROSS JOIN json_each((
         SELECT json_group_array(id) FROM (
             SELECT entry.id FROM entry
             CROSS JOIN article ON article.entry = entry.id
             LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
             WHERE entry.feed = feed.id AND ",
    stands_for_its_story!(),
    "        ORDER BY entry.published DESC, entry.id DESC LIMIT ?2))) AS list
     CROSS JOIN entry ON entry.id = list.value
     LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
     WHERE feed.hidden = 0 AND ",
    of_the_group!(),
    " ORDER BY entry.published DESC, entry.id DESC"
);

/// Reader, entries a feed, group -> [`super::Candidate`]: the newest of each feed that are unread. Those that were marked
/// as seen are passed over in the index alone.
pub(in super::super) const UNREAD_OF_EACH: &str = concat!(
    "SELECT entry.id, entry.feed, entry.published, 0 AS read
     FROM feed
     LEFT JOIN seen ON seen.feed = feed.id AND seen.reader = ?1
     CROSS JOIN json_each((
         SELECT json_group_array(id) FROM (
             SELECT entry.id FROM entry INDEXED BY entry_by_feed_and_date
             CROSS JOIN article ON article.entry = entry.id
             LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
             WHERE entry.feed = feed.id AND entry.id > coalesce(seen.upto, 0) AND mark.opened IS NULL
               AND ",
    stands_for_its_story!(),
    "        ORDER BY entry.published DESC, entry.id DESC LIMIT ?2))) AS list
     CROSS JOIN entry ON entry.id = list.value
     WHERE feed.hidden = 0 AND ",
    of_the_group!()
);

/// Reader, nothing, group -> [`super::Candidate`]: those that were read and stay: what is kept, and what has changed
/// since. `?2` stands there so that numbers mean the same as in the others.
pub(in super::super) const READ_AND_STAYING: &str = concat!(
    "SELECT entry.id, entry.feed, entry.published, 1 AS read
     FROM mark
     CROSS JOIN entry ON entry.id = mark.entry
     CROSS JOIN feed ON feed.id = entry.feed AND feed.hidden = 0
     CROSS JOIN article ON article.entry = entry.id
     LEFT JOIN seen ON seen.feed = entry.feed AND seen.reader = ?1
     WHERE mark.reader = ?1 AND ?2 >= 0 AND ",
    read!(),
    " AND (mark.kept IS NOT NULL OR ",
    changed_since!(),
    ") AND ",
    of_the_group!(),
    " AND ",
    stands_for_its_story!()
);

/// Reader, entries at most, least and most words of some languages as JSON, the same two of all others ->
/// [`super::Candidate`]: the newest unread entries of that length. It goes through entries by their dates and ends with
/// the last one that is wanted; lengths are read from their index, since an article's row lies among its texts.
pub(in super::super) const FITTING: &str = concat!(
    "WITH length (language, least, most) AS MATERIALIZED (
         SELECT value ->> 0, value ->> 1, value ->> 2 FROM json_each(?3))
     SELECT entry.id, entry.feed, entry.published, 0 AS read
     FROM entry INDEXED BY entry_by_date
     CROSS JOIN feed ON feed.id = entry.feed
     CROSS JOIN article INDEXED BY article_by_length ON article.entry = entry.id
     LEFT JOIN length ON length.language =
         substr(article.language, 1, instr(article.language || '-', '-') - 1)
     LEFT JOIN seen ON seen.feed = entry.feed AND seen.reader = ?1
     LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
     WHERE feed.hidden = 0
       AND article.words >= coalesce(length.least, ?4) AND article.words <= coalesce(length.most, ?5)
       AND NOT ",
    read!(),
    " AND ",
    stands_for_its_story!(),
    " ORDER BY entry.published DESC, entry.id DESC LIMIT ?2"
);

/// Reader, count at most, group, after which entry, up to which entry -> how many unread entries are in between.
pub(in super::super) const COUNT_UNREAD: &str = concat!(
    "SELECT count(*) FROM (
         SELECT 1 FROM feed
         LEFT JOIN seen ON seen.feed = feed.id AND seen.reader = ?1
         CROSS JOIN entry INDEXED BY entry_by_feed
           ON entry.feed = feed.id AND entry.id > max(?4, coalesce(seen.upto, 0)) AND entry.id <= ?5
         CROSS JOIN article ON article.entry = entry.id
         LEFT JOIN mark ON mark.entry = entry.id AND mark.reader = ?1
         WHERE feed.hidden = 0 AND mark.opened IS NULL AND ",
    of_the_group!(),
    " AND ",
    stands_for_its_story!(),
    " LIMIT ?2)"
);

/// The names of groups that have something to read, in the config's order of their first feeds.
pub(in super::super) const GROUPS: &str = "SELECT group_name AS name
     FROM feed
     WHERE hidden = 0 AND group_name IS NOT NULL
       AND EXISTS (SELECT 1 FROM entry JOIN article ON article.entry = entry.id WHERE entry.feed = feed.id)
     GROUP BY group_name ORDER BY min(position), group_name";
