-- An archive of schema version 1 as sgputt made it, with one round; invented.
CREATE TABLE files (
    file_id INTEGER PRIMARY KEY,
    sha256 TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    content BLOB NOT NULL,
    imported_at TEXT NOT NULL
);
CREATE TABLE rounds (
    round_id INTEGER PRIMARY KEY AUTOINCREMENT,
    player TEXT NOT NULL,
    player_key TEXT NOT NULL,
    date TEXT NOT NULL,
    round INTEGER NOT NULL,
    course TEXT NOT NULL,
    event TEXT,
    fingerprint TEXT NOT NULL,
    file_id INTEGER NOT NULL REFERENCES files,
    UNIQUE (player_key, date, round)
);
CREATE TABLE holes (
    round_id INTEGER NOT NULL REFERENCES rounds ON DELETE CASCADE,
    hole INTEGER NOT NULL,
    par INTEGER,
    ending TEXT NOT NULL,
    PRIMARY KEY (round_id, hole)
) WITHOUT ROWID;
CREATE TABLE putts (
    round_id INTEGER NOT NULL,
    hole INTEGER NOT NULL,
    putt INTEGER NOT NULL,
    distance_ft REAL,
    leave_ft REAL,
    result TEXT NOT NULL,
    slope TEXT NOT NULL,
    "break" TEXT NOT NULL,
    miss_pace TEXT,
    miss_side TEXT,
    cause TEXT,
    surface TEXT NOT NULL,
    stimp_ft REAL,
    grade REAL,
    source TEXT,
    source_row INTEGER,
    PRIMARY KEY (round_id, hole, putt),
    FOREIGN KEY (round_id, hole) REFERENCES holes ON DELETE CASCADE
) WITHOUT ROWID;
PRAGMA application_id = 1399279732;
PRAGMA user_version = 1;
INSERT INTO files VALUES
    (1, '39ee4551970726c324df4ea3bf0760fe4ff35252340bfba7b1d4564454f9ccce', 'round.csv', x'686f6c65', '2026-05-03T18:00:00+00:00');
INSERT INTO rounds VALUES
    (1, 'Mara Lindqvist', 'mara lindqvist', '2026-05-03', 1, 'Saltmarsh Links', NULL, 'print', 1);
INSERT INTO holes VALUES (1, 1, 4, 'holed');
INSERT INTO putts VALUES
    (1, 1, 1, 20.0, 2.0, 'missed', 'uphill', 'straight', 'short', 'none', NULL, 'green', 10.0, NULL, 'round.csv', 2),
    (1, 1, 2, 2.0, 0.0, 'holed', 'level', 'straight', NULL, NULL, NULL, 'green', 10.0, NULL, 'round.csv', 3);
