"""What a program that was ended in the middle has left behind is cleared away by the next, and nothing else is."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
from filelock import FileLock

from handsfree.job.errors import LogGone
from handsfree.job.events import NoteKept
from handsfree.job.log import backup
from handsfree.job.log.beside.scratch import scratch_folder
from handsfree.job.log.store import Store
from tests.support.jobs import AT, fill, opened


def _left(parent: Path, prefix: str) -> Path:
    folder = parent / f"{prefix}left"
    folder.mkdir(parents=True)
    (folder / ".in-use").touch()
    (folder / "big").write_bytes(b"x" * 1000)
    return folder


def test_what_a_backup_and_a_restore_left_goes_with_the_next(store: Store, tmp_path: Path) -> None:
    fill(store, "worn")
    left = [_left(tmp_path, ".handsfree-work-"), _left(tmp_path / "again", ".restoring-")]
    mine = tmp_path / ".handsfree-work-notes"
    mine.mkdir()
    backup.save(store.folder, tmp_path / "log.zip")
    backup.restore(tmp_path / "log.zip", tmp_path / "again")
    assert not any(folder.exists() for folder in left)
    assert mine.exists()
    assert not list(tmp_path.glob("*.part"))


def test_what_another_is_working_in_stays(tmp_path: Path) -> None:
    busy = _left(tmp_path, ".work-")
    with FileLock(busy / ".in-use"), scratch_folder(tmp_path, ".work-") as mine:
        assert mine.is_dir()
    assert (busy / "big").exists()
    with scratch_folder(tmp_path, ".work-"):
        assert not busy.exists()


def _without_its_event(store: Store, number: int) -> Path:
    """The program is ended after a sound was kept and before its event was."""
    log = store.open_job(opened(), steps=1)
    clip = log.keep_clip(np.sin(np.arange(4000) / (5 + number)) / 2)
    log.close()
    path = store.clip_path(clip)
    (path.parent / ".half.tmp").write_bytes(b"x")
    return path


def test_a_sound_without_its_event_is_deleted_by_the_next_start_and_no_other(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        clip = log.keep_clip(np.linspace(0, 0.5, 4000))
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.2, clip=clip))
    left = _without_its_event(store, 1)
    with store.resume(log.job):
        pass
    assert store.clip_path(clip).exists()
    assert not left.exists()
    assert not list(store.folder.rglob("*.tmp"))


def test_a_sound_whose_event_is_about_to_come_is_left_alone(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        clip = log.keep_clip(np.linspace(0, 0.5, 4000))
        fill(store, "another job is begun meanwhile")
        assert store.clip_path(clip).exists()
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.2, clip=clip))
    assert not list((store.folder / "locks").glob("*.clip"))


def test_a_log_that_is_gone_is_no_reason_to_delete(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        store.file.rename(store.file.with_name("moved.db"))
        with pytest.raises(LogGone):
            log.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.2))


def test_many_who_begin_at_once_take_no_folder_away_from_each_other(tmp_path: Path) -> None:
    def work(number: int) -> str:
        with scratch_folder(tmp_path, ".work-") as mine:
            (mine / "kept").write_text(str(number), encoding="utf-8")
            return (mine / "kept").read_text(encoding="utf-8")

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(work, range(400))) == [str(number) for number in range(400)]
    assert list(tmp_path.iterdir()) == []
