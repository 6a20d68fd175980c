"""Deleting sounds: they go, their hashes stay, and the log holds."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import numpy as np
import pytest

from handsfree.cli import main
from handsfree.job.events import JobOpened, NoteKept
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify

NOW = datetime.now(timezone.utc)


def _job(store: Store, days_ago: float, *sounds: float) -> str:
    at = NOW - timedelta(days=days_ago)
    opened = JobOpened(at=at, title="t", revision="1", procedure_sha256="0", procedure_text="x", procedure_name="n")
    with store.open_job(opened, steps=1) as log:
        for number, level in enumerate(sounds, 2):
            clip = log.keep_clip(np.full(160, level))
            log.append(NoteKept(at=at, id=f"e{number}", text="worn", seconds=0.01, clip=clip))
        return log.job


def test_the_sounds_of_a_job_are_deleted_and_the_chain_holds(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    job, other = _job(store, 2, 0.1, 0.2), _job(store, 1, 0.2, 0.3)
    before = store.last_hash(job)
    assert main(["delete-sounds", job, "--logs", str(store.folder)]) == 0
    assert "one sound deleted; 1 belong to another job as well and stay" in capsys.readouterr().out
    assert len(list(store.folder.rglob("*.flac"))) == 2
    found = verify(store, job)
    assert (found.faults, found.clips, found.deleted_clips) == ((), 1, 1)
    assert found.added_since(before) == 1
    assert verify(store, other).faults == ()


def test_old_sounds_are_deleted_by_age(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    old, new = _job(store, 400, 0.1, 0.2), _job(store, 3, 0.3)
    assert main(["delete-sounds", "--older-than", "365", "--logs", str(store.folder)]) == 0
    assert "Two sounds deleted in one job." in capsys.readouterr().out
    assert (verify(store, old).deleted_clips, verify(store, new).clips) == (2, 1)


def test_it_must_be_said_which(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["delete-sounds", "--logs", str(store.folder)]) == 2
    assert "say which sounds" in capsys.readouterr().err


def test_a_job_that_is_being_worked_keeps_its_sounds(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    job = _job(store, 2, 0.1)
    with store.resume(job):
        assert main(["delete-sounds", job, "--logs", str(store.folder)]) == 1
    assert "is open in another Handsfree" in capsys.readouterr().err
    assert len(list(store.folder.rglob("*.flac"))) == 1


def test_where_everything_is_kept_is_printed(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["where", "--logs", str(store.folder)]) == 0
    assert "nothing there yet" in capsys.readouterr().out
    _job(store, 1, 0.1)
    assert main(["where", "--logs", str(store.folder)]) == 0
    said = capsys.readouterr().out
    assert str(store.file) in said
    assert "(1, 0.0 MB)" in said
