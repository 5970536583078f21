-- A history as the program wrote it before the file carried a version; rows as a player might have left them.
PRAGMA journal_mode=WAL;
CREATE TABLE IF NOT EXISTS piece (
    digest TEXT PRIMARY KEY, title TEXT NOT NULL, path TEXT NOT NULL, opened TEXT NOT NULL,
    player INTEGER, bar INTEGER NOT NULL DEFAULT 0);
CREATE TABLE IF NOT EXISTS pass (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, first INTEGER NOT NULL,
    last INTEGER NOT NULL, readiness INTEGER NOT NULL, tempo REAL NOT NULL, at TEXT NOT NULL,
    taken_back INTEGER NOT NULL DEFAULT 0);
CREATE TABLE IF NOT EXISTS answer (
    id INTEGER PRIMARY KEY, player INTEGER NOT NULL, question TEXT NOT NULL, is_right INTEGER NOT NULL,
    at TEXT NOT NULL, taken_back INTEGER NOT NULL DEFAULT 0);
CREATE INDEX IF NOT EXISTS answer_to ON answer (player, question);
CREATE TABLE IF NOT EXISTS choice (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE INDEX IF NOT EXISTS pass_of ON pass (digest, player, first, last);
INSERT INTO piece VALUES ('d1', 'Study', '/home/p/study.musicxml', '2026-11-20T18:00:00+00:00', 2, 17);
INSERT INTO pass VALUES (1, 'd1', 2, 8, 15, 0, 0.6, '2026-11-20T18:10:00+00:00', 0);
INSERT INTO pass VALUES (2, 'd1', 2, 8, 15, 1, 0.8, '2026-11-21T18:10:00+00:00', 0);
INSERT INTO pass VALUES (3, 'd1', 2, 8, 15, 3, 1.0, '2026-11-21T18:20:00+00:00', 1);
INSERT INTO answer VALUES (1, 2, 'who-enters-17', 1, '2026-11-21T18:30:00+00:00', 0);
INSERT INTO choice VALUES ('port', 'Stage');
