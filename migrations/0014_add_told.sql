-- Where no script tells how far an article was read, it is told by what is asked for next. 1 where something was told
-- since the article was opened last, 0 where it was left without a word.
ALTER TABLE mark ADD COLUMN told INTEGER NOT NULL DEFAULT 1 CHECK (told IN (0, 1));
