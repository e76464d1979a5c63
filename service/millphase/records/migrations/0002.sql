-- A workshop: a place with machines, and what a token can be bound to. body is the record as it was sent.
CREATE TABLE workshops (
    sequence INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    body TEXT NOT NULL CHECK (body <> ''),
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    changed_at TEXT NOT NULL CHECK (changed_at GLOB '????-??-??T??:??:??*Z'),
    row_version INTEGER NOT NULL DEFAULT 1 CHECK (row_version >= 1)
) STRICT;

-- A machine. insulation_version counts the insulation readings that came or were withdrawn, so that a status that
-- depends on them can be told apart from an older one without looking at them.
CREATE TABLE machines (
    sequence INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    workshop INTEGER NOT NULL REFERENCES workshops (sequence),
    body TEXT NOT NULL CHECK (body <> ''),
    retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    changed_at TEXT NOT NULL CHECK (changed_at GLOB '????-??-??T??:??:??*Z'),
    row_version INTEGER NOT NULL DEFAULT 1 CHECK (row_version >= 1),
    insulation_version INTEGER NOT NULL DEFAULT 0 CHECK (insulation_version >= 0)
) STRICT;

CREATE INDEX machines_of_a_workshop ON machines (workshop, sequence);

-- A reading: one visit to a machine. at is of fixed width, so that its order as text is its order in time.
-- entry is shared by the readings that came in one request; insulation says whether the winding was tested.
CREATE TABLE readings (
    sequence INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    machine INTEGER NOT NULL REFERENCES machines (sequence),
    entry TEXT NOT NULL CHECK (length(entry) = 36),
    at TEXT NOT NULL CHECK (at GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]Z'),
    body TEXT NOT NULL CHECK (body <> ''),
    insulation INTEGER NOT NULL CHECK (insulation IN (0, 1)),
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    withdrawn_at TEXT CHECK (withdrawn_at GLOB '????-??-??T??:??:??*Z'),
    withdrawn_reason TEXT CHECK (withdrawn_reason <> ''),
    row_version INTEGER NOT NULL DEFAULT 1 CHECK (row_version >= 1),
    CHECK ((withdrawn_at IS NULL) = (withdrawn_reason IS NULL))
) STRICT;

CREATE INDEX readings_of_a_machine ON readings (machine, at, sequence);

CREATE INDEX readings_of_an_entry ON readings (entry);

CREATE INDEX insulation_readings_in_force ON readings (machine, at, sequence)
    WHERE insulation = 1 AND withdrawn_at IS NULL;

CREATE TRIGGER readings_stay_as_they_are
BEFORE UPDATE OF sequence, id, machine, entry, at, body, insulation, created_at ON readings
BEGIN
    SELECT RAISE(ABORT, 'a stored reading is never changed');
END;

CREATE TRIGGER readings_stay_withdrawn BEFORE UPDATE ON readings WHEN OLD.withdrawn_at IS NOT NULL
BEGIN
    SELECT RAISE(ABORT, 'a withdrawn reading stays withdrawn');
END;

CREATE TRIGGER readings_stay BEFORE DELETE ON readings
BEGIN
    SELECT RAISE(ABORT, 'a stored reading is never deleted');
END;

-- What workshops and machines said before they were changed or deleted.
CREATE TABLE former_states (
    sequence INTEGER PRIMARY KEY AUTOINCREMENT,
    record TEXT NOT NULL CHECK (length(record) = 36),
    row_version INTEGER NOT NULL,
    body TEXT NOT NULL,
    since TEXT NOT NULL,
    UNIQUE (record, row_version)
) STRICT;

CREATE TRIGGER former_workshops AFTER UPDATE OF body ON workshops
BEGIN
    INSERT INTO former_states (record, row_version, body, since)
    VALUES (OLD.id, OLD.row_version, OLD.body, OLD.changed_at);
END;

CREATE TRIGGER deleted_workshops AFTER DELETE ON workshops
BEGIN
    INSERT INTO former_states (record, row_version, body, since)
    VALUES (OLD.id, OLD.row_version, OLD.body, OLD.changed_at);
END;

CREATE TRIGGER former_machines AFTER UPDATE OF body ON machines
BEGIN
    INSERT INTO former_states (record, row_version, body, since)
    VALUES (OLD.id, OLD.row_version, OLD.body, OLD.changed_at);
END;

CREATE TRIGGER deleted_machines AFTER DELETE ON machines
BEGIN
    INSERT INTO former_states (record, row_version, body, since)
    VALUES (OLD.id, OLD.row_version, OLD.body, OLD.changed_at);
END;

-- An assessment may belong to a machine, and to a workshop; those stored before belong to none.
ALTER TABLE assessments ADD COLUMN workshop INTEGER REFERENCES workshops (sequence);

ALTER TABLE assessments ADD COLUMN machine INTEGER REFERENCES machines (sequence);

CREATE INDEX assessments_of_a_workshop ON assessments (workshop, sequence);

CREATE INDEX assessments_of_a_machine ON assessments (machine, sequence);

-- Keys of requests that create anything, apart for each scope ('' for tokens without a workshop).
CREATE TABLE request_keys (
    scope TEXT NOT NULL,
    key TEXT NOT NULL,
    fingerprint TEXT NOT NULL CHECK (length(fingerprint) = 64),
    made TEXT NOT NULL CHECK (length(made) = 36),
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    PRIMARY KEY (scope, key)
) STRICT, WITHOUT ROWID;

CREATE INDEX request_keys_by_age ON request_keys (created_at);

INSERT INTO request_keys (scope, key, fingerprint, made, created_at)
SELECT '', key, fingerprint, assessment_id, created_at FROM idempotency_keys;

DROP TABLE idempotency_keys;
