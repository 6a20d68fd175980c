"""The chain of hashes: what a later change of the file looks like, and what the hashes are made of."""

from __future__ import annotations

import hashlib
import sqlite3
from datetime import datetime, timedelta, timezone

import numpy as np
import pytest

from handsfree.cli import main
from handsfree.job.events import JobOpened, NoteKept, StepDone, StepEntered
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
OPENED = JobOpened(
    at=AT, title="Bench micrometer", revision="3", procedure_sha256="0" * 64, procedure_text="title: x",
    procedure_name="micrometer", item="micrometer", serial="0417",
)  # fmt: skip


def _job(store: Store) -> str:
    with store.open_job(OPENED, steps=3) as log:
        for minute, step in enumerate(("strip", "clean", "set"), 1):
            log.append(StepDone(at=AT + timedelta(minutes=minute), step=step))
        clip = log.keep_clip(np.linspace(-0.5, 0.5, 1600))
        log.append(NoteKept(at=AT + timedelta(minutes=5), id="e5", text="worn “oval”", seconds=0.1, clip=clip))
        return log.job


@pytest.fixture
def job(store: Store) -> str:
    return _job(store)


def _tamper(store: Store, statement: str) -> None:
    """As somebody would who knows how to get the database's own guards out of the way."""
    db = sqlite3.connect(store.file)
    for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        db.execute(f"DROP TRIGGER {name}")
    db.executescript(statement)
    db.commit()
    db.close()


def test_the_hash_is_what_the_documents_say(store: Store, job: str) -> None:
    # Python's own SHA-256 (FIPS 180-4) over the bytes as the documents describe them.
    before = hashlib.sha256(f"handsfree job {job}".encode()).hexdigest()
    rows = sqlite3.connect(store.file).execute("SELECT body, hash FROM events ORDER BY seq").fetchall()
    assert len(rows) == 5
    for body, kept in rows:
        before = hashlib.sha256(before.encode() + b"\n" + body.encode("utf-8")).hexdigest()
        assert kept == before
    assert store.last_hash(job) == before


def test_an_untouched_job_holds(store: Store, job: str) -> None:
    found = verify(store, job)
    assert (found.faults, found.events, found.clips) == ((), 5, 1)
    assert found.last_hash == store.last_hash(job)


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE events SET body = replace(body, 'clean', 'cleam') WHERE seq = 3", "breaks at event 3"),
        ("UPDATE events SET body = body || ' ' WHERE seq = 1", "breaks at event 1"),
        ("DELETE FROM events WHERE seq = 3", "event 3 is not there"),
        ("DELETE FROM events WHERE seq = 3; UPDATE events SET seq = seq - 1 WHERE seq > 3", "breaks at event 3"),
        (
            "UPDATE events SET seq = 99 WHERE seq = 2; UPDATE events SET seq = 2 WHERE seq = 3;"
            "UPDATE events SET seq = 3 WHERE seq = 99",
            "breaks at event 2",
        ),
        ("UPDATE events SET kind = 'step skipped' WHERE seq = 4", "listed as something else"),
        ("UPDATE events SET at = '2026-11-26T09:00:00+00:00' WHERE seq = 4", "listed as something else"),
        ("UPDATE jobs SET serial = '0418'", "another item, serial number"),
        ("DELETE FROM events", "no beginning"),
    ],
)
def test_a_change_behind_the_programs_back_shows(store: Store, job: str, statement: str, words: str) -> None:
    _tamper(store, statement)
    assert any(words in fault for fault in verify(store, job).faults)


def test_an_event_can_not_be_moved_into_another_job(store: Store, job: str) -> None:
    other = _job(store)
    _tamper(
        store,
        f"DELETE FROM events WHERE job = '{other}'; UPDATE events SET job = '{other}' WHERE job = '{job}'",
    )
    assert any("breaks at event 1" in fault for fault in verify(store, other).faults)


def test_a_cut_tail_shows_against_the_ledger_or_a_hash_that_was_noted_elsewhere(
    store: Store, job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    noted = store.last_hash(job)
    command = ["verify", job, "--logs", str(store.folder)]
    with store.resume(job) as log:
        log.append(StepEntered(at=AT, step="set"))
    assert main([*command, "--hash", noted]) == 0
    assert "unchanged; 1 event added since" in capsys.readouterr().out
    _tamper(store, "DELETE FROM events WHERE seq > 4")
    assert main(command) == 1
    assert f"of job {job}, events 5 to 6 are gone" in capsys.readouterr().out
    # Whoever can write the log can write the ledger too.
    (store.folder / "ledger.txt").unlink()
    assert main(command) == 0
    assert main([*command, "--hash", noted]) == 1
    assert "cut short or written anew" in capsys.readouterr().out


def test_verify_says_which_job_does_not_hold(store: Store, job: str, capsys: pytest.CaptureFixture[str]) -> None:
    good = _job(store)
    assert main(["verify", "--logs", str(store.folder)]) == 0
    _tamper(store, f"UPDATE events SET body = '{{}}' WHERE seq = 2 AND job = '{job}'")
    capsys.readouterr()
    assert main(["verify", "--logs", str(store.folder)]) == 1
    said = capsys.readouterr().out
    assert f"{good}  holds: 5 events, 1 sounds" in said
    assert f"{job}  NOT as it was written" in said
    assert "event 2" in said


def test_a_sound_that_was_swapped_or_lost_shows(store: Store, job: str) -> None:
    (clip,) = (path for path in store.folder.rglob("*.flac"))
    with store.open_job(OPENED, steps=1) as log:
        other = store.clip_path(log.keep_clip(np.linspace(0.5, -0.5, 1600)))
    clip.write_bytes(other.read_bytes())
    assert any("not the sound that was kept" in fault for fault in verify(store, job).faults)
    clip.unlink()
    assert any("is not at" in fault for fault in verify(store, job).faults)
