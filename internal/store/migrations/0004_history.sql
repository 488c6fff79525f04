-- Who changed what, and who may. Whatever else holds in the first migration holds here.

-- One entry for each thing that a write changed, in the same transaction. Entries are only ever added: the triggers see to that. at
-- is the time of the write; key_id, who and role are those of the key it was made with, as they were then. act and kind say what
-- was done to what; subject is its id. before and after are JSON, null where there is nothing. seq is the order of writing.
CREATE TABLE history (
    seq     INTEGER PRIMARY KEY NOT NULL CHECK (seq > 0),
    at      BIGINT NOT NULL,
    key_id  TEXT NOT NULL,
    who     TEXT NOT NULL,
    role    TEXT NOT NULL,
    act     TEXT NOT NULL,
    kind    TEXT NOT NULL,
    subject TEXT NOT NULL,
    before  TEXT,
    after   TEXT
);
CREATE INDEX history_by_person ON history (who, seq);

-- The sleds that an entry is about: none, one, or those of a bulk import.
CREATE TABLE history_sleds (
    seq     BIGINT NOT NULL REFERENCES history (seq),
    sled_id TEXT NOT NULL,
    PRIMARY KEY (sled_id, seq)
);
CREATE INDEX history_sleds_by_entry ON history_sleds (seq, sled_id);

-- INSERT OR REPLACE removes a row without a DELETE, so it is refused by itself. A seq that is still to be given is -1 there.
CREATE TRIGGER history_is_not_replaced BEFORE INSERT ON history WHEN EXISTS (SELECT 1 FROM history WHERE seq = NEW.seq)
    BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_is_not_changed BEFORE UPDATE ON history BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_is_not_removed BEFORE DELETE ON history BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_sleds_are_not_changed BEFORE UPDATE ON history_sleds BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;
CREATE TRIGGER history_sleds_are_not_removed BEFORE DELETE ON history_sleds BEGIN SELECT RAISE(ABORT, 'history is only added to'); END;

-- A key that has ended stays, so that its id is never given again.
ALTER TABLE keys ADD COLUMN ended_at BIGINT;

-- A browser that is signed in. The token is kept as a hash only. A session of the key that is set from outside has no
-- key_id; it holds as long as that key has the fingerprint it was made with.
CREATE TABLE sessions (
    hash        BLOB PRIMARY KEY NOT NULL,
    key_id      TEXT REFERENCES keys (id),
    fingerprint BLOB,
    created_at  BIGINT NOT NULL,
    expires_at  BIGINT NOT NULL,
    CHECK ((key_id IS NULL) <> (fingerprint IS NULL))
);
CREATE INDEX sessions_by_key ON sessions (key_id);
CREATE INDEX sessions_by_expiry ON sessions (expires_at);
