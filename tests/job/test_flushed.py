"""What is acknowledged is on the disk with all of its content, and only its owner can read it (fsync(2), open(2))."""

from __future__ import annotations

import os
import stat
import zipfile
from pathlib import Path

import numpy as np
import pytest

from handsfree.job.events import NoteKept
from handsfree.job.log import backup
from handsfree.job.log.beside.attached import attached_path, keep_file
from handsfree.job.log.clips import clip_path, keep_clip
from handsfree.job.log.store import Store
from tests.support.jobs import AT, fill, opened

Flushed = dict[int, int]


@pytest.fixture
def flushed(monkeypatch: pytest.MonkeyPatch) -> Flushed:
    """How long each file and folder was when it was flushed last, by its number on the disk."""
    lengths: Flushed = {}
    fsync = os.fsync

    def noting(descriptor: int) -> None:
        found = os.fstat(descriptor)
        lengths[found.st_ino] = found.st_size
        fsync(descriptor)

    monkeypatch.setattr(os, "fsync", noting)
    return lengths


def _is_flushed(path: Path, lengths: Flushed) -> bool:
    found = path.stat()
    return found.st_ino in lengths and (path.is_dir() or lengths[found.st_ino] == found.st_size)


@pytest.fixture
def log(store: Store) -> Store:
    with store.open_job(opened(owner="Mill Lane"), steps=1) as job:
        job.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.2, clip=job.keep_clip(np.linspace(-0.5, 0.5, 3200))))
    keep_file(store.folder, b"photo")
    return store


def test_a_sound_and_an_attached_file_are_flushed_whole(tmp_path: Path, flushed: Flushed) -> None:
    clip = clip_path(tmp_path, keep_clip(tmp_path, np.linspace(-0.5, 0.5, 3200)))
    file = attached_path(tmp_path, keep_file(tmp_path, b"photo" * 1000))
    for path in (clip, clip.parent, file, file.parent):
        assert _is_flushed(path, flushed), path


def test_a_backup_is_flushed_whole_and_so_is_what_it_brings_back(log: Store, tmp_path: Path, flushed: Flushed) -> None:
    backup.save(log.folder, tmp_path / "log.zip")
    assert _is_flushed(tmp_path / "log.zip", flushed)
    assert _is_flushed(tmp_path, flushed)
    backup.restore(tmp_path / "log.zip", tmp_path / "again")
    folder = tmp_path / "again"
    brought = [path for path in folder.rglob("*") if path.is_file() and "locks" not in path.parts]
    assert {path.relative_to(folder).parts[0] for path in brought} == {
        "handsfree.db", "personal.db", "clips", "attachments", "ledger.txt",
    }  # fmt: skip
    for path in (*brought, *(path.parent for path in brought if path.parent != folder), folder):
        assert _is_flushed(path, flushed), path
    kept = [path for path in brought if path.name != "ledger.txt"]
    assert {stat.S_IMODE(path.stat().st_mode) for path in kept} == {0o600}


def test_a_ledger_that_is_made_anew_or_gets_a_line_is_flushed_whole(store: Store, flushed: Flushed) -> None:
    fill(store, "worn")
    ledger = store.folder / "ledger.txt"
    assert _is_flushed(ledger, flushed)
    fill(store, "bent", days=1)
    assert _is_flushed(ledger, flushed)
    ledger.unlink()
    store.prepare()
    assert _is_flushed(ledger, flushed)
    assert ledger.stat().st_size == 256


def test_what_can_be_made_smaller_is_and_a_file_of_any_age_is_saved(log: Store, tmp_path: Path) -> None:
    (clip,) = log.folder.rglob("*.flac")
    # Before the first day that an archive knows, which is in 1980 (APPNOTE.TXT, 4.4.6).
    os.utime(clip, (0, 0))
    backup.save(log.folder, tmp_path / "log.zip")
    with zipfile.ZipFile(tmp_path / "log.zip") as archive:
        how = {name.rpartition(".")[2]: archive.getinfo(name).compress_type for name in archive.namelist()}
    assert (how["flac"], how["db"]) == (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
    assert backup.restore(tmp_path / "log.zip", tmp_path / "again").clips == 1
