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
INSERT INTO "events" VALUES('2026-03-02-1',1,'2026-03-02T09:00:00+00:00','job opened','{"at":"2026-03-02T09:00:00Z","kind":"job opened","title":"Gauge","revision":"1","procedure_sha256":"291f5f7d2be30068db545ebce14a2fe68c8ce1de94a579117c3609ff70236137","procedure_text":"title: Gauge\nsteps:\n  - id: set\n    text: Set the play.\n","procedure_name":"gauge","item":"Bench gauge","serial":"114"}','71d4d164ba8120925824565fbe647dfde6c755bedbe4c1375393dda06b44f474');
INSERT INTO "events" VALUES('2026-03-02-1',2,'2026-03-02T09:01:00+00:00','step entered','{"at":"2026-03-02T09:01:00Z","step":"set","kind":"step entered"}','51e8bb1de7c209f196f4edc6c66cf786562a7b7937ff4f36c4656f4a2b294a6b');
INSERT INTO "events" VALUES('2026-03-02-1',3,'2026-03-02T09:02:00+00:00','reading logged','{"at":"2026-03-02T09:02:00Z","step":"set","heard":"log play two thou","recogniser":"builtin","kind":"reading logged","id":"e1","characteristic":"play","occasion":"set","value":"2","unit":"thou","as_said":"2 thou","decision":"in limits","limits":"1.5 to 3 thou"}','b7037cc4b2c187f48db820870de6092eabf32e111d7f741d1c1b233b379a7229');
INSERT INTO "events" VALUES('2026-03-02-1',4,'2026-03-02T09:03:00+00:00','reading settled','{"at":"2026-03-02T09:03:00Z","step":"set","kind":"reading settled","id":"e1"}','121f0febcdd9ec1a10723d19f70184ec984e5f2992a078a4e28787bc1e6a38e5');
INSERT INTO "events" VALUES('2026-03-02-1',5,'2026-03-02T09:04:00+00:00','note kept','{"at":"2026-03-02T09:04:00Z","step":"set","kind":"note kept","id":"e2","text":"pivot worn oval","seconds":2.0}','6ec5e891bfdcb05a99c986a3eaafeddbe235816c52234b566eaebd5076fa9a7e');
INSERT INTO "events" VALUES('2026-03-02-1',6,'2026-03-02T09:05:00+00:00','entry withdrawn','{"at":"2026-03-02T09:05:00Z","kind":"entry withdrawn","id":"e2","why":"taken back"}','d8aae96ec351c380ffd9a578df0918009e2c899043726087b72d337293510084');
INSERT INTO "events" VALUES('2026-03-02-1',7,'2026-03-02T09:06:00+00:00','step done','{"at":"2026-03-02T09:06:00Z","step":"set","kind":"step done","missing":[]}','0efdaa598320cd06c0ce84ee3e0fc0bc0db403af8acdebfb480535fa4fb0fd85');
INSERT INTO "events" VALUES('2026-03-02-1',8,'2026-03-02T09:07:00+00:00','job finished','{"at":"2026-03-02T09:07:00Z","kind":"job finished","open_points":[]}','3f09943458eb29fa052efbc4fa14901f0c780c1f79a898fcba4f29ab801e250c');
INSERT INTO "events" VALUES('2026-03-02-2',1,'2026-03-02T10:00:00+00:00','job opened','{"at":"2026-03-02T10:00:00Z","kind":"job opened","title":"Gauge","revision":"1","procedure_sha256":"291f5f7d2be30068db545ebce14a2fe68c8ce1de94a579117c3609ff70236137","procedure_text":"title: Gauge\nsteps:\n  - id: set\n    text: Set the play.\n","procedure_name":"gauge","item":"Bench gauge","serial":"115"}','70e092eb3085ed0577eb5b266ccf735bc1a71d0879c2c362d3579d4d79414870');
INSERT INTO "events" VALUES('2026-03-02-2',2,'2026-03-02T10:01:00+00:00','step entered','{"at":"2026-03-02T10:01:00Z","step":"set","kind":"step entered"}','6bf1209874909b808e6f40c50bbf6d42d1ed4aa581d7c30d607b3807d9a6ca73');
INSERT INTO "events" VALUES('2026-03-02-2',3,'2026-03-02T10:02:00+00:00','note kept','{"at":"2026-03-02T10:02:00Z","step":"set","kind":"note kept","id":"e1","text":"pivot dry","seconds":2.0}','fb5afa4b4f20dde5e28525a00c79c97755529eb054855b6f508a34eef8231b4d');
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
CREATE TABLE versions (version INTEGER PRIMARY KEY NOT NULL, since TEXT NOT NULL);
INSERT INTO "versions" VALUES(2,'2026-11-25T21:25:28Z');
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
COMMIT;
PRAGMA application_id = 1212566599;
PRAGMA user_version = 2;
