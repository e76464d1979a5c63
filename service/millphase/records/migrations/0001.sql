-- An assessment: what was asked, what was answered, and by which rules. It is never changed afterwards.
CREATE TABLE assessments (
    sequence INTEGER PRIMARY KEY AUTOINCREMENT,
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    question TEXT NOT NULL CHECK (question <> ''),
    request TEXT NOT NULL CHECK (request <> ''),
    answer TEXT NOT NULL CHECK (answer <> ''),
    outcome TEXT NOT NULL CHECK (outcome IN ('accept', 'caution', 'inconclusive', 'reject')),
    summary TEXT NOT NULL,
    rule_set_name TEXT NOT NULL,
    rule_set_version TEXT NOT NULL,
    rule_set_digest TEXT NOT NULL CHECK (rule_set_digest GLOB 'sha256:*'),
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??*Z'),
    row_version INTEGER NOT NULL DEFAULT 1 CHECK (row_version >= 1)
) STRICT;

CREATE INDEX assessments_of_a_question ON assessments (question, sequence);

CREATE TRIGGER assessments_stay_as_they_are BEFORE UPDATE ON assessments
BEGIN
    SELECT RAISE(ABORT, 'a stored assessment is never changed');
END;

-- A key that a caller gave with a request, so that a repeated request stores nothing twice.
CREATE TABLE idempotency_keys (
    key TEXT PRIMARY KEY NOT NULL,
    fingerprint TEXT NOT NULL CHECK (length(fingerprint) = 64),
    assessment_id TEXT NOT NULL REFERENCES assessments (id) ON DELETE CASCADE,
    created_at TEXT NOT NULL CHECK (created_at GLOB '????-??-??T??:??:??*Z')
) STRICT, WITHOUT ROWID;

CREATE INDEX idempotency_keys_by_age ON idempotency_keys (created_at);
