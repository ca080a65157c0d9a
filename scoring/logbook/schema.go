//go:build !js

package logbook

// migrations take the layout from version i to i+1. They are never changed
// once a release has written them; a new one is added at the end.
var migrations = []string{
	// 1: operators, runs, sheets.
	`CREATE TABLE operators (
		id   INTEGER PRIMARY KEY,
		name TEXT NOT NULL UNIQUE
	) STRICT;
	CREATE TABLE runs (
		id         INTEGER PRIMARY KEY,
		operator   INTEGER NOT NULL REFERENCES operators(id),
		hash       BLOB    NOT NULL UNIQUE, -- SHA-256 of setup, commands and end
		flown      INTEGER NOT NULL,        -- ms since 1970, UTC
		start      INTEGER NOT NULL,        -- ms since 1970, UTC: tick 0 of the simulated pass
		drill      TEXT    NOT NULL,
		title      TEXT    NOT NULL,
		bird       TEXT    NOT NULL,
		top_deg    REAL    NOT NULL,
		pass       TEXT    NOT NULL,        -- the same text for the same pass and seed
		hand       TEXT    NOT NULL,        -- simulated hand; '' for a person
		formula    INTEGER NOT NULL,
		hold_index REAL    NOT NULL,
		found_s    REAL,
		goal_met   INTEGER,
		stopped    INTEGER NOT NULL,
		counts     INTEGER NOT NULL,
		why_not    TEXT    NOT NULL,
		rating     TEXT,                    -- JSON
		marks      TEXT    NOT NULL         -- JSON
	) STRICT;
	CREATE INDEX runs_by_time ON runs(operator, flown);
	CREATE INDEX runs_by_pass ON runs(operator, pass);
	CREATE TABLE sheets (
		run  INTEGER PRIMARY KEY REFERENCES runs(id) ON DELETE CASCADE,
		size INTEGER NOT NULL, -- bytes before compression
		body BLOB    NOT NULL  -- the whole sheet, gzip
	) STRICT;`,

	// 2: what the trend reads, packed so that a hundred thousand runs are read
	// in a blink.
	`ALTER TABLE runs ADD COLUMN axes BLOB;
	CREATE INDEX runs_counted ON runs(operator, flown, axes) WHERE counts = 1;
	CREATE INDEX runs_all_by_time ON runs(flown);`,

	// 3: contacts on the air, beside the runs and apart from them.
	`CREATE TABLE on_air (
		id         INTEGER PRIMARY KEY,
		operator   INTEGER NOT NULL REFERENCES operators(id),
		heard      INTEGER NOT NULL, -- ms since 1970, UTC: first sample of the recording
		file       TEXT    NOT NULL, -- name without its folder
		bird       TEXT    NOT NULL, -- '' where the pass was not given
		length_s   REAL    NOT NULL,
		keyed_s    REAL    NOT NULL,
		formula    INTEGER NOT NULL,
		hold_index REAL    NOT NULL,
		within_50  REAL    NOT NULL, -- share of the keyed time
		rms_hz     REAL    NOT NULL,
		UNIQUE (operator, heard, file, length_s)
	) STRICT;`,

	// 4: a checksum of each sheet, so that damage is seen without unpacking.
	`ALTER TABLE sheets ADD COLUMN sum BLOB; -- SHA-256 of body; NULL where it was damaged before there were sums`,
}
