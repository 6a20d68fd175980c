BEGIN TRANSACTION;
CREATE TABLE events (
    job TEXT NOT NULL REFERENCES jobs (id),
    seq INTEGER NOT NULL,
    at TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    hash TEXT NOT NULL,
    PRIMARY KEY (job, seq)
);
INSERT INTO "events" VALUES('2026-03-02-1',1,'2026-03-02T09:00:00+00:00','job opened','{"at":"2026-03-02T09:00:00Z","kind":"job opened","title":"Gauge","revision":"1","procedure_sha256":"291f5f7d2be30068db545ebce14a2fe68c8ce1de94a579117c3609ff70236137","procedure_text":"title: Gauge\nsteps:\n  - id: set\n    text: Set the play.\n","procedure_name":"gauge","item":"Bench gauge","serial":"114","purpose":"repair","parts":[]}','92b4eb7d46a978cb47387158bf681730562420fe539a06bfa0404d0b3a0b7eb0');
INSERT INTO "events" VALUES('2026-03-02-1',2,'2026-03-02T09:01:00+00:00','step entered','{"at":"2026-03-02T09:01:00Z","step":"set","kind":"step entered"}','e00d51751bd7641c9712d7c9642c957f3f5aa4fdfa302905a33d81f913255159');
INSERT INTO "events" VALUES('2026-03-02-1',3,'2026-03-02T09:02:00+00:00','reading logged','{"at":"2026-03-02T09:02:00Z","step":"set","heard":"log play two thou","recogniser":"builtin","kind":"reading logged","id":"e1","characteristic":"play","occasion":"set","value":"2","unit":"thou","as_said":"2 thou","decision":"in limits","limits":"1.5 to 3 thou"}','bc441d339a03c2289fd24a826c21fa4128a8e31adbd7cef5a76d242a3b508b7e');
INSERT INTO "events" VALUES('2026-03-02-1',4,'2026-03-02T09:03:00+00:00','reading settled','{"at":"2026-03-02T09:03:00Z","step":"set","kind":"reading settled","id":"e1"}','9c409a1e80f3ba56cf8f8c952dcdbd44bd5f790baa127f67bc3f4fd8c30eea48');
INSERT INTO "events" VALUES('2026-03-02-1',5,'2026-03-02T09:04:00+00:00','note kept','{"at":"2026-03-02T09:04:00Z","step":"set","kind":"note kept","id":"e2","text":"pivot worn oval","seconds":2.0}','485d202b8a0b97924b9ffc1f146bac0a3c6191478524755ae78d2f95f54b8d1f');
INSERT INTO "events" VALUES('2026-03-02-1',6,'2026-03-02T09:05:00+00:00','entry withdrawn','{"at":"2026-03-02T09:05:00Z","kind":"entry withdrawn","id":"e2","why":"taken back"}','5bd48760ebe1d43708c9e6531affd219e30e870f4c18ffa756574d4e73a629c5');
INSERT INTO "events" VALUES('2026-03-02-1',7,'2026-03-02T09:06:00+00:00','step done','{"at":"2026-03-02T09:06:00Z","step":"set","kind":"step done","missing":[]}','c70ece1fd6f6977930cfcd3de7e18e762a25eb1d2e39774ceafbde8131e13741');
INSERT INTO "events" VALUES('2026-03-02-1',8,'2026-03-02T09:07:00+00:00','job finished','{"at":"2026-03-02T09:07:00Z","kind":"job finished","open_points":[]}','4e42e18ddcce5b227a9b2e64b53ac613b1a73046f1c55e7f2700abd1b3854888');
INSERT INTO "events" VALUES('2026-03-02-2',1,'2026-03-02T10:00:00+00:00','job opened','{"at":"2026-03-02T10:00:00Z","kind":"job opened","title":"Gauge","revision":"1","procedure_sha256":"291f5f7d2be30068db545ebce14a2fe68c8ce1de94a579117c3609ff70236137","procedure_text":"title: Gauge\nsteps:\n  - id: set\n    text: Set the play.\n","procedure_name":"gauge","item":"Bench gauge","serial":"115","purpose":"repair","parts":[]}','5fb605ba1f52ffd9f4c7f9061aab8d58714b9fecfea57df8a9ecd238858b4b60');
INSERT INTO "events" VALUES('2026-03-02-2',2,'2026-03-02T10:01:00+00:00','step entered','{"at":"2026-03-02T10:01:00Z","step":"set","kind":"step entered"}','91fdf376df6b6a7f9f31fc7f3dc98bc0eb68c3876771c6acdd2a11cc9cb6eb0b');
INSERT INTO "events" VALUES('2026-03-02-2',3,'2026-03-02T10:02:00+00:00','note kept','{"at":"2026-03-02T10:02:00Z","step":"set","kind":"note kept","id":"e1","text":"pivot dry","seconds":2.0}','7cd1f50caf654d3a8d818276937ff63594d80efb6ff291ae0ce6294c06ba7554');
CREATE TABLE jobs (
    id TEXT PRIMARY KEY NOT NULL,
    opened TEXT NOT NULL,
    title TEXT NOT NULL,
    procedure TEXT NOT NULL,
    item TEXT,
    serial TEXT,
    owner TEXT,
    steps INTEGER NOT NULL
);
INSERT INTO "jobs" VALUES('2026-03-02-1','2026-03-02T09:00:00+00:00','Gauge','gauge','Bench gauge','114',NULL,2);
INSERT INTO "jobs" VALUES('2026-03-02-2','2026-03-02T10:00:00+00:00','Gauge','gauge','Bench gauge','115',NULL,2);
CREATE TABLE summaries (
        job TEXT PRIMARY KEY NOT NULL,
        seq INTEGER NOT NULL,
        title TEXT NOT NULL,
        procedure TEXT NOT NULL,
        item TEXT,
        serial TEXT,
        owner TEXT,
        last TEXT NOT NULL,
        done INTEGER NOT NULL,
        steps INTEGER NOT NULL,
        status TEXT NOT NULL
    ) WITHOUT ROWID
    ;
INSERT INTO "summaries" VALUES('2026-03-02-1',8,'Gauge','gauge','Bench gauge','114',NULL,'2026-03-02T09:07:00+00:00',1,2,'finished');
INSERT INTO "summaries" VALUES('2026-03-02-2',3,'Gauge','gauge','Bench gauge','115',NULL,'2026-03-02T10:02:00+00:00',0,2,'open');
CREATE TABLE versions (version INTEGER PRIMARY KEY NOT NULL, since TEXT NOT NULL);
INSERT INTO "versions" VALUES(3,'2026-11-25T21:25:28Z');
CREATE INDEX events_by_kind ON events (kind, job, seq);
CREATE TRIGGER events_stay BEFORE UPDATE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
CREATE TRIGGER events_are_kept BEFORE DELETE ON events
    BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
CREATE TRIGGER events_follow BEFORE INSERT ON events
    WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM events WHERE job = NEW.job)
    BEGIN SELECT RAISE(ABORT, 'events are added at the end only'); END;
CREATE TRIGGER jobs_stay BEFORE UPDATE ON jobs
    BEGIN SELECT RAISE(ABORT, 'jobs are never changed'); END;
CREATE TRIGGER jobs_are_kept BEFORE DELETE ON jobs
    BEGIN SELECT RAISE(ABORT, 'jobs are never deleted'); END;
CREATE TRIGGER jobs_are_new BEFORE INSERT ON jobs
    WHEN EXISTS (SELECT 1 FROM jobs WHERE id = NEW.id)
    BEGIN SELECT RAISE(ABORT, 'jobs are never replaced'); END;
CREATE INDEX readings_by_name ON events (json_extract(body, '$.characteristic'), job)
        WHERE kind = 'reading logged'
    ;
CREATE VIRTUAL TABLE words USING fts5 (text, job UNINDEXED, seq UNINDEXED, tokenize = 'porter');
CREATE TABLE words_upto (job TEXT PRIMARY KEY NOT NULL, seq INTEGER NOT NULL) WITHOUT ROWID;
INSERT INTO words (rowid, text, job, seq) VALUES (1, 'pivot worn oval', '2026-03-02-1', 5);
INSERT INTO words (rowid, text, job, seq) VALUES (2, 'pivot dry', '2026-03-02-2', 3);
INSERT INTO words_upto VALUES ('2026-03-02-1', 8);
INSERT INTO words_upto VALUES ('2026-03-02-2', 3);
COMMIT;
PRAGMA application_id = 1212566599;
PRAGMA user_version = 3;
