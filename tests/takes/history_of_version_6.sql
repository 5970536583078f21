-- A history of version 6 as the program wrote it, with a row of every kind. It is never changed.
BEGIN TRANSACTION;
CREATE TABLE answer (
    id INTEGER PRIMARY KEY, player INTEGER NOT NULL, question TEXT NOT NULL, is_right INTEGER NOT NULL,
    at TEXT NOT NULL, taken_back INTEGER NOT NULL DEFAULT 0, take INTEGER);
INSERT INTO "answer" VALUES(1,2,'who-enters-17',1,'2026-11-29T18:00:00+00:00',0,NULL);
INSERT INTO "answer" VALUES(2,2,'bar 8',1,'2026-11-29T18:00:00+00:00',0,1);
INSERT INTO "answer" VALUES(3,2,'bar 9',0,'2026-11-29T18:00:00+00:00',0,1);
CREATE TABLE choice (name TEXT PRIMARY KEY, value TEXT NOT NULL);
INSERT INTO "choice" VALUES('port','Stage');
CREATE TABLE pass (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, first INTEGER NOT NULL,
    last INTEGER NOT NULL, readiness INTEGER NOT NULL, tempo REAL NOT NULL, at TEXT NOT NULL,
    taken_back INTEGER NOT NULL DEFAULT 0, in_sight INTEGER);
INSERT INTO "pass" VALUES(1,'d1',2,8,15,1,0.8,'2026-11-29T18:00:00+00:00',0,NULL);
INSERT INTO "pass" VALUES(2,'d1',2,8,15,3,1.0,'2026-11-29T18:00:00+00:00',0,0);
CREATE TABLE piece (
    digest TEXT PRIMARY KEY, title TEXT NOT NULL, path TEXT NOT NULL, opened TEXT NOT NULL,
    player INTEGER, bar INTEGER NOT NULL DEFAULT 0);
INSERT INTO "piece" VALUES('d1','Study','/home/p/study.musicxml','2026-11-29T18:00:00+00:00',2,17);
CREATE TABLE reading (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, at TEXT NOT NULL, strokes TEXT NOT NULL,
    forgotten INTEGER NOT NULL DEFAULT 0);
INSERT INTO "reading" VALUES(1,'d1',2,'2026-11-29T18:00:00+00:00','[["24", 0.0, 0], ["73/3", 0.25, 0], ["25", 0.51, 1]]',0);
CREATE TABLE take (
    id INTEGER PRIMARY KEY, digest TEXT NOT NULL, player INTEGER NOT NULL, first INTEGER NOT NULL,
    last INTEGER NOT NULL, at TEXT NOT NULL, tempo REAL NOT NULL, source TEXT NOT NULL, audio TEXT NOT NULL,
    judged INTEGER NOT NULL, why TEXT NOT NULL, delay REAL NOT NULL, delay_from TEXT NOT NULL, quality REAL NOT NULL,
    mean_ms REAL, mean_from_ms REAL, mean_to_ms REAL, spread_ms REAL, remarks TEXT NOT NULL, level REAL NOT NULL,
    taken_back INTEGER NOT NULL DEFAULT 0, visits TEXT NOT NULL DEFAULT '', in_sight INTEGER);
INSERT INTO "take" VALUES(1,'d1',2,8,9,'2026-11-29T18:00:00+00:00',0.7,'sound','a.flac',1,'',0.0375,'count-in',11.5,-12.5,-18.0,-7.0,21.0,'["the recording clips: turn the input down"]',0.31,0,'[[8, "0", "3"], [9, "0", "3"]]',0);
INSERT INTO "take" VALUES(2,'d1',2,8,9,'2026-11-29T18:00:00+00:00',0.9,'key','',1,'',0.0375,'count-in',11.5,-12.5,-18.0,-7.0,21.0,'["the recording clips: turn the input down"]',0.31,1,'[[8, "0", "3"], [9, "0", "3"]]',1);
INSERT INTO "take" VALUES(3,'d1',2,8,15,'2026-11-29T18:00:00+00:00',1.0,'midi','',0,'nothing was heard: turn the input up',0.0,'nothing',0.0,NULL,NULL,NULL,NULL,'[]',0.0,0,'',NULL);
CREATE TABLE take_stroke (
    take INTEGER NOT NULL REFERENCES take (id), number INTEGER NOT NULL, bar INTEGER NOT NULL, at TEXT NOT NULL,
    state TEXT NOT NULL, offset_ms REAL, seconds REAL, expected REAL, turn INTEGER NOT NULL, hand TEXT NOT NULL,
    level REAL NOT NULL, PRIMARY KEY (take, number)) WITHOUT ROWID;
INSERT INTO "take_stroke" VALUES(1,0,8,'1/3','early',-31.5,4.2,4.2315,1,'L',0.5);
INSERT INTO "take_stroke" VALUES(1,1,8,'2','missed',NULL,NULL,5.0,2,'',0.0);
INSERT INTO "take_stroke" VALUES(1,2,9,'1/24','extra',NULL,5.4,NULL,1,'',0.2);
INSERT INTO "take_stroke" VALUES(2,0,8,'1/3','early',-31.5,4.2,4.2315,1,'L',0.5);
INSERT INTO "take_stroke" VALUES(2,1,8,'2','missed',NULL,NULL,5.0,2,'',0.0);
INSERT INTO "take_stroke" VALUES(2,2,9,'1/24','extra',NULL,5.4,NULL,1,'',0.2);
CREATE INDEX answer_to ON answer (player, question);
CREATE INDEX pass_of ON pass (digest, player, first, last);
CREATE INDEX take_of ON take (digest, player, first, last);
CREATE INDEX reading_of ON reading (digest, player);
CREATE INDEX answer_by ON answer (take) WHERE take IS NOT NULL;
COMMIT;
PRAGMA user_version = 6;
