"""Files that others made: copied by their hash, shown only where they are pictures, proved, backed up, rescued."""

from __future__ import annotations

import errno
import hashlib
import os
import zlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.cli import main
from handsfree.job.catalogue.search import search
from handsfree.job.errors import LogWriteError
from handsfree.job.events import FileAttached
from handsfree.job.log import backup
from handsfree.job.log.beside import attached
from handsfree.job.log.beside.attached import LARGEST_ATTACHED, attached_path, picture_type
from handsfree.job.log.rescue import rescue
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from tests.support.played import MORNING, Play


def _png() -> bytes:
    """One red point, as ISO/IEC 15948 has it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return len(data).to_bytes(4, "big") + kind + data + zlib.crc32(kind + data).to_bytes(4, "big")

    size, depth_and_colour = (1).to_bytes(4, "big"), bytes((8, 2, 0, 0, 0))
    drawn = chunk(b"IHDR", size + size + depth_and_colour) + chunk(b"IDAT", zlib.compress(b"\0\xff\0\0"))
    return b"\x89PNG\r\n\x1a\n" + drawn + chunk(b"IEND", b"")


HOSTILE = {
    "drawing.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
    "page.png": b"<html><script>alert(1)</script></html>",
    "letter.pdf": b"%PDF-1.7 /JavaScript",
    "note.jpg": b"GIF89a<script>alert(1)</script>",
}


@pytest.fixture
def job(play: Play, store: Store) -> str:
    play("next", "log clearance four thou")
    return store.jobs()[0].id


def _attach(store: Store, job: str, path: Path, *options: str) -> int:
    return main(["job", "attach", job, str(path), *options, "--logs", str(store.folder)])


def _report(store: Store, job: str, tmp_path: Path) -> str:
    assert main(["report", job, "--to", str(tmp_path / "r.html"), "--logs", str(store.folder)]) == 0
    return (tmp_path / "r.html").read_text(encoding="utf-8")


def test_a_picture_is_copied_by_its_hash_and_shown_in_the_report_with_what_it_belongs_to(
    store: Store, job: str, tmp_path: Path
) -> None:
    photo = tmp_path / "photo.png"
    photo.write_bytes(_png())
    entry = next(event.id for event in store.events(job) if event.kind == "reading logged")
    assert _attach(store, job, photo, "--to", entry, "--text", "the chipped <gear>") == 0
    photo.unlink()
    (event,) = (event for event in store.events(job) if isinstance(event, FileAttached))
    assert event.sha256 == hashlib.sha256(_png()).hexdigest()
    assert attached_path(store.folder, event.sha256).read_bytes() == _png()
    page = _report(store, job, tmp_path)
    assert '<img src="data:image/png;base64,' in page
    assert "the chipped &lt;gear&gt;, with latch clearance" in page and event.sha256 in page
    assert [each.text for each in search(store.folder, "chipped")] == ["photo.png: the chipped <gear>"]
    assert verify(store, job).faults == ()


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_picture_is_named_and_never_shown_whatever_it_is_called(
    store: Store, job: str, tmp_path: Path, name: str
) -> None:
    (tmp_path / name).write_bytes(HOSTILE[name])
    assert _attach(store, job, tmp_path / name) == 0
    page = _report(store, job, tmp_path)
    assert name in page and "not shown here" in page
    assert "<img" not in page and "alert(1)" not in page


def test_a_name_can_steer_neither_the_terminal_nor_the_page(
    store: Store, job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "<script>\x1b[2J.png"
    path.write_bytes(b"no picture")
    assert _attach(store, job, path) == 0
    assert "\x1b" not in capsys.readouterr().out
    assert "<script>" not in _report(store, job, tmp_path)


def test_a_file_that_was_attached_is_on_disk_with_its_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # Else it may be gone after a power cut, whatever was flushed of itself (fsync(2)).
    flushed: list[Path] = []
    monkeypatch.setattr(attached, "sync_folder", flushed.append)
    path = attached_path(tmp_path, attached.keep_file(tmp_path, _png()))
    assert path.read_bytes() == attached.read_attached(tmp_path, hashlib.sha256(_png()).hexdigest()) == _png()
    assert flushed == [path.parent]


def test_a_file_for_which_there_is_no_room_is_told_and_nothing_stays_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(LogWriteError, match="No space left on device"):
        attached.keep_file(tmp_path, _png())
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_why_a_file_could_not_be_kept_is_told_even_where_its_half_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(path: Path, target: Path) -> None:
        path.unlink()
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(Path, "replace", gone)
    with pytest.raises(LogWriteError, match="Input/output error"):
        attached.keep_file(tmp_path, _png())


def test_what_cannot_be_attached_is_refused_and_nothing_is_written(
    store: Store, job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = len(store.events(job))
    (tmp_path / "empty").write_bytes(b"")
    with (tmp_path / "large").open("wb") as file:
        file.truncate(LARGEST_ATTACHED + 1)
    os.mkfifo(tmp_path / "pipe")
    refused = {"empty": "is empty", "large": "at most 25 MB", "pipe": "is no file", "gone": "can't be read"}
    for name, why in refused.items():
        assert _attach(store, job, tmp_path / name) != 0
        assert why in capsys.readouterr().err
    (tmp_path / "photo.png").write_bytes(_png())
    assert _attach(store, job, tmp_path / "photo.png", "--to", "e99") == 2
    assert len(store.events(job)) == before
    assert not (store.folder / "attachments").exists()


def test_a_file_that_was_changed_or_is_gone_is_named_by_verify(store: Store, job: str, tmp_path: Path) -> None:
    (tmp_path / "photo.png").write_bytes(_png())
    _attach(store, job, tmp_path / "photo.png")
    kept = attached_path(store.folder, hashlib.sha256(_png()).hexdigest())
    kept.write_bytes(b"another")
    assert "is not what was attached" in verify(store, job).faults[0]
    kept.unlink()
    assert "is not at" in verify(store, job).faults[0]
    assert "<img" not in _report(store, job, tmp_path)


def _delete(store: Store, job: str, *words: str) -> int:
    return main(["delete-files", job, *words, "--reason", "shows a face", "--logs", str(store.folder)])


def test_a_file_is_deleted_with_the_reason_and_the_log_holds(
    store: Store, job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "photo.png").write_bytes(_png())
    (tmp_path / "letter.pdf").write_bytes(HOSTILE["letter.pdf"])
    _attach(store, job, tmp_path / "photo.png")
    _attach(store, job, tmp_path / "letter.pdf")
    photo, letter = (event for event in store.events(job) if isinstance(event, FileAttached))
    assert _delete(store, job, photo.id) == 0
    assert "one attached file deleted" in capsys.readouterr().out
    assert not attached_path(store.folder, photo.sha256).exists()
    assert attached_path(store.folder, letter.sha256).exists()
    assert verify(store, job).faults == ()
    page = _report(store, job, tmp_path)
    assert "<img" not in page and "deleted: shows a face" in page and photo.sha256 in page
    backup.save(store.folder, tmp_path / "log.zip")
    backup.restore(tmp_path / "log.zip", tmp_path / "restored")
    rescue(store.folder, tmp_path / "saved", MORNING)
    for folder in ("restored", "saved"):
        assert verify(Store(tmp_path / folder), job).faults == ()
    # Attached again, it is there again, and has to be.
    _attach(store, job, tmp_path / "photo.png")
    assert "<img" in _report(store, job, tmp_path)


def test_a_file_that_another_entry_has_too_stays_and_what_is_no_file_is_refused(
    store: Store, job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "photo.png").write_bytes(_png())
    _attach(store, job, tmp_path / "photo.png")
    _attach(store, job, tmp_path / "photo.png")
    first, _ = (event.id for event in store.events(job) if isinstance(event, FileAttached))
    capsys.readouterr()
    assert _delete(store, job, first) == 0
    assert "no attached files deleted; 1 belong to another entry" in capsys.readouterr().out
    before = len(store.events(job))
    assert _delete(store, job, "e1") == 1
    assert f"entry e1 of job {job} is no attached file: the attached files are {first}, " in capsys.readouterr().err
    assert len(store.events(job)) == before
    assert _delete(store, job) == 0
    assert not attached_path(store.folder, hashlib.sha256(_png()).hexdigest()).exists()


@pytest.mark.parametrize("too", [True, False])
def test_forgetting_an_owner_names_the_files_of_the_jobs_or_deletes_them(
    store: Store, job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], too: bool
) -> None:
    assert main(["job", "add", job, "--owner", "Mrs Finch", "--logs", str(store.folder)]) == 0
    (tmp_path / "photo.png").write_bytes(_png())
    _attach(store, job, tmp_path / "photo.png")
    capsys.readouterr()
    assert main(["forget-owner", "mrs finch", *(["--attached"] if too else []), "--logs", str(store.folder)]) == 0
    out = capsys.readouterr().out
    assert ("and one attached file taken out of one job" in out) == too
    assert ("Attached files are kept: photo.png." in out) != too
    assert attached_path(store.folder, hashlib.sha256(_png()).hexdigest()).exists() != too
    assert verify(store, job).faults == ()


def test_backup_and_rescue_bring_attached_files_along(store: Store, job: str, tmp_path: Path) -> None:
    (tmp_path / "photo.png").write_bytes(_png())
    _attach(store, job, tmp_path / "photo.png")
    backup.save(store.folder, tmp_path / "log.zip")
    backup.restore(tmp_path / "log.zip", tmp_path / "restored")
    rescue(store.folder, tmp_path / "saved", MORNING)
    for folder in ("restored", "saved"):
        assert verify(Store(tmp_path / folder), job).faults == ()


@given(st.binary(max_size=64))
def test_only_what_begins_as_a_picture_is_one(content: bytes) -> None:
    # PNG: ISO/IEC 15948, 5.2; JPEG: a start of image and the first marker, ISO/IEC 10918-1, annex B.
    kind = picture_type(content)
    assert (kind == "image/png") is (content[:8] == b"\x89PNG\r\n\x1a\n")
    assert (kind == "image/jpeg") is (content[:3] == b"\xff\xd8\xff")
