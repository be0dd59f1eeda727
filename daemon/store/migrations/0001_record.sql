-- The record: what was said, second by second, and the services that it is divided into.
-- Types are those that mean the same to SQLite and to PostgreSQL. Times are
-- milliseconds: "_ms" alone counts from the first packet of the run, as entries do.

-- One row: the migrations that this file has had.
CREATE TABLE record (version BIGINT NOT NULL);
INSERT INTO record (version) VALUES (0);

-- The newest number given in each table that counts. A number is not given twice,
-- so that an address sent to somebody never shows another service.
CREATE TABLE counters (name TEXT PRIMARY KEY, newest BIGINT NOT NULL);
INSERT INTO counters (name, newest) VALUES ('run', 0), ('service', 0), ('note', 0);

-- A run is one judge at work: from a start of Pawl, or from a house file that was
-- read again, to the next. Entries count within it.
CREATE TABLE runs (
    id          BIGINT PRIMARY KEY,
    zero_unix_ms BIGINT NOT NULL, -- the time of day at which its clock stood at 0
    house       TEXT NOT NULL,
    house_print TEXT NOT NULL,
    map_print   TEXT NOT NULL,
    pawl        TEXT NOT NULL,
    strips      TEXT NOT NULL     -- JSON: whose levels are kept, in order
);

CREATE TABLE services (
    id     BIGINT PRIMARY KEY,
    name   TEXT NOT NULL,
    mixing TEXT NOT NULL
);

-- A service is one or more stretches of runs. Rows below belong to a service by their
-- run and time, so that to begin one late, to split and to join move no row.
CREATE TABLE parts (
    run      BIGINT NOT NULL REFERENCES runs (id),
    from_ms  BIGINT NOT NULL,
    until_ms BIGINT,          -- not itself in it; none while it goes on
    heard_ms BIGINT NOT NULL, -- when something last happened; may be of a run before
    service  BIGINT NOT NULL REFERENCES services (id),
    PRIMARY KEY (run, from_ms)
);
CREATE INDEX parts_by_service ON parts (service);

-- Everything that was said. The body is the entry as every reader has it; whatever
-- else is known of it stands in the body, and further below only for queries.
CREATE TABLE entries (
    run  BIGINT NOT NULL,
    t_ms BIGINT NOT NULL,
    n    BIGINT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (run, t_ms, n)
);
CREATE INDEX entries_by_kind ON entries (run, kind, t_ms);

-- Where every strip stood, a second a row; levels.go describes the body.
CREATE TABLE levels (
    run  BIGINT NOT NULL,
    t_ms BIGINT NOT NULL,
    body BYTEA NOT NULL,
    PRIMARY KEY (run, t_ms)
);

-- Index tables, written from the entries by index.go.
CREATE TABLE findings (
    run      BIGINT NOT NULL,
    number   BIGINT NOT NULL,
    t_ms     BIGINT NOT NULL, -- when it opened
    rule     TEXT NOT NULL,
    weight   BIGINT NOT NULL, -- the most that it had: 1 whisper, 2 nudge, 3 now
    grew     BIGINT NOT NULL, -- how often
    held     BIGINT NOT NULL, -- how often it left the screen though nobody pressed
    shown_ms BIGINT,          -- when it first came to the screen
    seen_ms  BIGINT,          -- when somebody took it from there
    eased_ms BIGINT,
    PRIMARY KEY (run, number)
);
CREATE INDEX findings_by_time ON findings (run, t_ms);

CREATE TABLE moves (
    run   BIGINT NOT NULL,
    t_ms  BIGINT NOT NULL,
    n     BIGINT NOT NULL,
    strip TEXT NOT NULL,
    place BIGINT NOT NULL, -- of the strip, from 0
    by_millidb BIGINT,     -- upwards positive; none between closed and not
    PRIMARY KEY (run, t_ms, n)
);

CREATE TABLE segments (
    run    BIGINT NOT NULL,
    t_ms   BIGINT NOT NULL,
    n      BIGINT NOT NULL,
    number BIGINT NOT NULL,
    kind   TEXT NOT NULL,
    PRIMARY KEY (run, t_ms, n)
);

-- Notes of afterwards. Those of the service itself are presses.
CREATE TABLE notes (
    id      BIGINT PRIMARY KEY,
    service BIGINT NOT NULL REFERENCES services (id),
    run     BIGINT NOT NULL,
    t_ms    BIGINT NOT NULL,
    written_unix_ms BIGINT NOT NULL,
    body    TEXT NOT NULL
);
CREATE INDEX notes_by_service ON notes (service);

-- What could not be kept, from when on.
CREATE TABLE gaps (
    run  BIGINT NOT NULL,
    t_ms BIGINT NOT NULL,
    lost BIGINT NOT NULL -- entries and seconds of levels
);
