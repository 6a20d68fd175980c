"""Names in a log become those of files: what is no name of a sound and no number of a job is never taken for one."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from handsfree.cli import main
from handsfree.job.errors import LogCorrupt
from handsfree.job.events import NoteKept, to_json
from handsfree.job.log import clips
from handsfree.job.log.hash_chain import link
from handsfree.job.log.store import Store
from tests.support.jobs import AT, fill, opened


def _forged(store: Store, job: str, clip: str) -> None:
    """An event that names a clip so, with the right hash, as somebody else's log may have it."""
    whole = NoteKept(at=AT, id="e9", text="worn", seconds=1.0)
    body = json.dumps({**json.loads(to_json(whole)), "clip": clip})
    seq = len(store.links(job)) + 1
    with closing(sqlite3.connect(store.file)) as db, db:
        hash_ = link(store.last_hash(job), body)
        db.execute("INSERT INTO events VALUES (?, ?, ?, 'note kept', ?, ?)", (job, seq, AT.isoformat(), body, hash_))


@pytest.mark.parametrize("name", ["../victim/music", "../../victim", "", "ab", "AB" * 32, "ab" * 32 + "\n", "/etc/x"])
def test_a_clip_by_another_name_is_neither_deleted_nor_shown(
    store: Store, tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    # forget deleted it, and the report had it in it.
    job = fill(store, "worn")
    (tmp_path / "victim").mkdir()
    (store.folder / "clips").mkdir()
    victim = tmp_path / "victim" / "music.flac"
    victim.write_bytes(b"somebody's music")
    _forged(store, job, name)
    logs = ["--logs", str(store.folder)]
    of_all = ["delete-sounds", "--older-than", "0"]
    for command in (["delete-sounds", job], of_all, ["report", job, "--to", "-"], ["review", job]):
        assert main([*command, *logs]) in (1, 2), command
    assert main(["verify", job, *logs]) == 1
    assert "event 4 can't be read" in capsys.readouterr().out
    assert main(["rescue", "--to", str(tmp_path / "saved"), *logs]) == 1
    assert victim.read_bytes() == b"somebody's music"
    with pytest.raises(LogCorrupt, match="no name of a sound"):
        clips.clip_path(store.folder, name)


def test_a_job_by_another_name_opens_no_file_of_that_name(store: Store, tmp_path: Path) -> None:
    fill(store, "worn")
    with closing(sqlite3.connect(store.file)) as db, db:
        db.execute(
            "INSERT INTO jobs SELECT '../../evil', opened, title, procedure, item, serial, owner, steps FROM jobs"
        )
    with pytest.raises(LogCorrupt, match="no number of a job"):
        store.resume("../../evil")
    assert main(["verify", "--logs", str(store.folder)]) == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["logs"]
    assert all(path.parent.name in ("logs", "locks") for path in store.folder.rglob("*.lock"))


def _total_of_samples(content: bytearray) -> None:
    # The 36 bits of the count of samples in STREAMINFO (RFC 9639, 8.2).
    content[21] ^= 0x0F


def _rate(content: bytearray) -> None:
    content[18] ^= 0x10


def _cut(content: bytearray) -> None:
    del content[len(content) // 2 :]


@pytest.mark.parametrize("hurt", [_total_of_samples, _rate, _cut])
def test_one_bad_sound_is_one_finding(
    store: Store, tmp_path: Path, hurt: Callable[[bytearray], None], capsys: pytest.CaptureFixture[str]
) -> None:
    # A bit in its head made verify ask for 32 GiB and stop.
    with store.open_job(opened(), steps=1) as log:
        for number in range(3):
            clip = log.keep_clip(np.sin(np.arange(8000) / (5 + number)) / 2)
            log.append(NoteKept(at=AT, id=f"n{number}", text="worn", seconds=0.5, clip=clip))
    path = store.clip_path(clip)
    content = bytearray(path.read_bytes())
    hurt(content)
    path.write_bytes(content)
    try:
        clips.read_clip(store.folder, clip)
    except LogCorrupt:
        assert main(["verify", log.job, "--logs", str(store.folder)]) == 1
        told = capsys.readouterr().out.splitlines()
        assert [clip in line for line in told] == [False, True]
    else:  # the count in the head is not needed, where the frames say all
        assert hurt is _total_of_samples
        assert main(["verify", log.job, "--logs", str(store.folder)]) == 0
