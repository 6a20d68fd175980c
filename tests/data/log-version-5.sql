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
INSERT INTO "events" VALUES('2026-03-02-1',1,'2026-03-02T09:00:00+00:00','job opened','{"at":"2026-03-02T09:00:00Z","kind":"job opened","title":"","revision":"","procedure_sha256":"","procedure_text":"","procedure_name":"","item":"Bench gauge","serial":"114","owner":"Mill Lane","purpose":"repair","parts":[]}','bf9ec006fcf94cc6755a65b2fa869261ec8c5aaecd1be0482c1809a23d5296ea');
INSERT INTO "events" VALUES('2026-03-02-1',2,'2026-03-02T09:01:00+00:00','fact noted','{"at":"2026-03-02T09:01:00Z","kind":"fact noted","id":"e2","about":"complaint","text":"the slide sticks","to_type":false,"seconds":0.0}','d1ac8428fa6b6e360ac9f1fda8e63cb48ddc0e2140e118dac5ecf12c99585277');
INSERT INTO "events" VALUES('2026-03-02-1',3,'2026-03-02T09:02:00+00:00','fact noted','{"at":"2026-03-02T09:02:00Z","heard":"owner quebec x ray","recogniser":"builtin","kind":"fact noted","id":"e3","about":"owner","text":"QX","to_type":false,"seconds":0.0}','15b3f20179e1ce05d8fa5a81ab1d3429f2cf6bb75868c96464d53dfcde8947d8');
INSERT INTO "events" VALUES('2026-03-02-1',4,'2026-03-02T09:03:00+00:00','text typed','{"at":"2026-03-02T09:03:00Z","kind":"text typed","id":"e3","text":"Quill and Co"}','3e0fdde769880aa930a4ec3f94a1f04c77f5c2558a37d721106fff621c8bef31');
INSERT INTO "events" VALUES('2026-03-02-1',5,'2026-03-02T09:04:00+00:00','entry confirmed','{"at":"2026-03-02T09:04:00Z","kind":"entry confirmed","id":"e3","point":"Owner, Quill and Co."}','9d670920349aa0c9ab858899e706825292e8f9ea4c608159c5e964838d166ee1');
INSERT INTO "events" VALUES('2026-03-02-1',6,'2026-03-02T09:05:00+00:00','job finished','{"at":"2026-03-02T09:05:00Z","kind":"job finished","open_points":[]}','3c26eb34e66dd4b0aa47163c58fc1519967f041e03a8883e847cebbefc6bfa77');
INSERT INTO "events" VALUES('2026-03-02-2',1,'2026-03-02T09:06:00+00:00','job opened','{"at":"2026-03-02T09:06:00Z","kind":"job opened","title":"","revision":"","procedure_sha256":"","procedure_text":"","procedure_name":"","item":"Clock","owner":"Mill Lane","purpose":"repair","parts":[]}','b14645f8a179a6733b58260306fb9f5bddededd2a37b228807e3cab18bbfef9e');
INSERT INTO "events" VALUES('2026-03-02-2',2,'2026-03-02T09:07:00+00:00','worker changed','{"at":"2026-03-02T09:07:00Z","kind":"worker changed","name":"Jo Tern"}','a07495af205a28d9453b5da9bc36090f8879ce7ae407af57229345515e8118a6');
INSERT INTO "events" VALUES('2026-03-02-2',3,'2026-03-02T09:08:00+00:00','note stretch','{"at":"2026-03-02T09:08:00Z","kind":"note stretch","text":"pivot dry","seconds":1.0}','f83fa6d9dd38c6b6d42a7a9636b4be26e298671d441d7b7dbb6d97d6acd03fdc');
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
INSERT INTO "jobs" VALUES('2026-03-02-1','2026-03-02T09:00:00+00:00','','','Bench gauge','114','Mill Lane',0);
INSERT INTO "jobs" VALUES('2026-03-02-2','2026-03-02T09:06:00+00:00','','','Clock',NULL,'Mill Lane',0);
CREATE TABLE versions (version INTEGER PRIMARY KEY NOT NULL, since TEXT NOT NULL);
INSERT INTO "versions" VALUES(5,'2026-11-26T11:02:41Z');
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
PRAGMA application_id = 1212566599;
PRAGMA user_version = 5;
COMMIT;
