-- Finding articles by their words.

-- The words of every article, by SQLite's FTS5: https://www.sqlite.org/fts5.html. It holds the index alone, not the
-- texts, which are in article; its rowid is the entry. The columns are the article's title, its authors, the title of
-- its feed as it is shown, and the text of its blocks, each in the form that service/store/find/words.rs owns. Marks
-- that stand on letters and below them belong to a word (M*), since whole vowels of many scripts are such.
CREATE VIRTUAL TABLE find USING fts5 (
    title, authors, feed, text,
    content = '', contentless_delete = 1,
    tokenize = "unicode61 remove_diacritics 2 categories 'L* N* Co M*'"
);

-- Which articles are in find. Every article has a row.
CREATE TABLE findable (
    -- The entry whose article it is.
    entry INTEGER PRIMARY KEY REFERENCES article (entry) ON DELETE CASCADE,
    -- In which form its words were written to find; 0 where they are to be written anew.
    form INTEGER NOT NULL CHECK (form >= 0)
) STRICT;

-- Serves the search for articles that are to be written anew.
CREATE INDEX findable_by_form ON findable (form, entry);

-- Articles from before are written to find in small steps while the service runs.
INSERT INTO findable (entry, form) SELECT entry, 0 FROM article;

-- However an article goes, its words go with it.
CREATE TRIGGER find_no_longer AFTER DELETE ON article BEGIN
    DELETE FROM find WHERE rowid = old.entry;
END;

-- Where a feed is called otherwise, its articles are to be found by its new name.
CREATE TRIGGER find_by_new_name AFTER UPDATE OF config_title, feed_title ON feed
WHEN old.config_title IS NOT new.config_title OR old.feed_title IS NOT new.feed_title BEGIN
    UPDATE findable SET form = 0 WHERE entry IN (SELECT id FROM entry WHERE feed = new.id);
END;

-- The last searches of a reader, to be made again in one tap.
CREATE TABLE search (
    -- The reader; 1 while the household is one reader.
    reader INTEGER NOT NULL CHECK (reader > 0),
    -- What was looked for, in the form that service/store/find/words.rs owns, so that the same words are one search.
    sought TEXT NOT NULL,
    -- The words as they were typed.
    words TEXT NOT NULL,
    -- When it was last made, in milliseconds since the Unix epoch.
    made INTEGER NOT NULL,
    PRIMARY KEY (reader, sought)
) STRICT, WITHOUT ROWID;
