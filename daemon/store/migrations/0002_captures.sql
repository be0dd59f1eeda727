-- What it takes to judge a service again: its capture, and the house file and map of then.

-- House files and maps as they were, each once, by their fingerprints.
CREATE TABLE texts (print TEXT PRIMARY KEY, body TEXT NOT NULL);

-- The file with every packet of the run; '' for none. A house file that is read again
-- makes a new run in the same file.
ALTER TABLE runs ADD COLUMN capture TEXT NOT NULL DEFAULT '';

-- Every capture that was begun, until it is deleted. One that no run names any more, its
-- services being deleted, is to go too; a file that never stood here is nobody's to delete.
CREATE TABLE captures (file TEXT PRIMARY KEY);
