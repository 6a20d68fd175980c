"""A damaged log: what can be read is saved into a new one, and the damaged one stays as it is."""

from __future__ import annotations

import io
import random
import re
import shutil
import sqlite3
import sys
from contextlib import closing
from datetime import datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

from handsfree.bench.setting_up import load_named
from handsfree.cli import main
from handsfree.job.errors import LogError
from handsfree.job.events import (
    Event,
    EventsLost,
    JobOpened,
    NoteKept,
    PersonalForgotten,
    ReadingLogged,
    ReadingSettled,
    StepDone,
)
from handsfree.job.log.beside.ledger import read_ledger
from handsfree.job.log.rescue import rescue
from handsfree.job.log.salvage import rows_in, salvage
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.opening import opened_with
from handsfree.job.state import fold
from tests.support.jobs import note, opened

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
OPENED = JobOpened(
    at=AT, title="Bench micrometer", revision="3", procedure_sha256="0" * 64, procedure_text="title: x\n" * 900,
    procedure_name="micrometer", serial="0417",
)  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three jobs, some with many events and texts longer than a page."""
    store = Store(tmp_path_factory.mktemp("made"))
    for events in (3, 400, 40):
        with store.open_job(OPENED, steps=500) as job:
            clip = job.keep_clip(np.linspace(0, 1 / (events + 1), 800))
            job.append(NoteKept(at=AT, id="e2", text="worn " * 2000, seconds=0.05, clip=clip))
            for number in range(events):
                job.append(StepDone(at=AT + timedelta(seconds=number), step=f"step {number}"))
    return store.folder


@pytest.fixture
def log(made: Path, store: Store) -> Store:
    """A copy of it, to be damaged."""
    shutil.copytree(made, store.folder)
    return store


def _files(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_of_a_sound_log_everything_is_saved_with_the_same_hashes(log: Store, tmp_path: Path) -> None:
    found = rescue(log.folder, tmp_path / "saved", AT).jobs
    saved = Store(tmp_path / "saved")
    assert [each.job for each in found] == sorted(job.id for job in log.jobs())
    for job in log.jobs():
        assert saved.events(job.id) == log.events(job.id)
        assert saved.last_hash(job.id) == log.last_hash(job.id)
        assert verify(saved, job.id).faults == ()
    assert all(each.proved == each.events and each.clips == 1 and not each.gaps for each in found)


@pytest.mark.parametrize("seed", range(12))
def test_damage_costs_its_own_pages_only_and_the_original_is_not_touched(log: Store, tmp_path: Path, seed: int) -> None:
    chance = random.Random(seed)
    content = bytearray(log.file.read_bytes())
    events = {job.id: log.events(job.id) for job in log.jobs()}
    hurt = chance.sample(range(len(content) // 4096), 3)
    for page in hurt:
        content[page * 4096 : (page + 1) * 4096] = chance.randbytes(4096)
    log.file.write_bytes(content)
    before = _files(log.folder)
    found = {each.job: each for each in rescue(log.folder, tmp_path / "saved", AT).jobs}
    assert _files(log.folder) == before
    saved = Store(tmp_path / "saved")
    total = sum(each.events for each in found.values())
    # A page holds at most some forty of these events, an index page none.
    assert total >= sum(map(len, events.values())) - 3 * 45
    for job, each in found.items():
        kept = saved.events(job)
        assert verify(saved, job).faults == ()
        assert fold(kept).opened is not None
        real = [event for event in kept if not isinstance(event, EventsLost)][each.beginning_lost :]
        assert len(real) == each.events
        # Nothing is invented, and the order stays.
        place = iter(events[job])
        assert all(any(event == there for there in place) for event in real)
        lost = sum(event.last - event.first + 1 for event in kept if isinstance(event, EventsLost))
        assert lost == sum(last - first + 1 for first, last in each.gaps)


@pytest.mark.parametrize("part", [0.3, 0.5, 0.7, 0.95])
def test_a_file_cut_short_gives_what_it_still_holds(log: Store, tmp_path: Path, part: float) -> None:
    content = log.file.read_bytes()
    log.file.write_bytes(content[: int(len(content) * part)])
    found = rescue(log.folder, tmp_path / "saved", AT).jobs
    assert sum(each.events for each in found) > 0
    assert all(verify(Store(tmp_path / "saved"), each.job).faults == () for each in found)
    assert log.file.read_bytes() == content[: int(len(content) * part)]


def test_events_that_were_still_in_the_write_ahead_log_are_saved(log: Store, tmp_path: Path) -> None:
    job = log.jobs()[0].id
    with log.resume(job) as open_:
        open_.append(StepDone(at=AT, step="newest"))
        copy = tmp_path / "copy"
        shutil.copytree(log.folder, copy)
        assert (copy / "handsfree.db-wal").stat().st_size
        expected = log.events(job)
    rescue(copy, tmp_path / "saved", AT)
    assert Store(tmp_path / "saved").events(job) == expected


def test_the_salvage_reads_what_sqlite_itself_reads(log: Store) -> None:
    # The reference is SQLite's own reading of the same file.
    rows = sqlite3.connect(log.file).execute("SELECT job, seq, body FROM events ORDER BY job, seq").fetchall()
    found = [(each.job, saved.seq) for each in salvage(log.file) for saved in each.events]
    assert sorted(found) == sorted((job, seq) for job, seq, _ in rows)


def test_texts_of_every_length_around_a_page_are_read_as_sqlite_reads_them(store: Store) -> None:
    # How much of a long row stays in its page is decided to the byte (sqlite.org/fileformat.html, 1.6).
    lengths = [*range(3600, 3900, 7), *range(3700, 3800), *range(7600, 8300, 11), *range(11700, 12400, 13)]
    with store.open_job(OPENED, steps=1) as log:
        for number, length in enumerate(lengths):
            log.append(NoteKept(at=AT, id=f"n{number}", text="x" * length, seconds=1.0))
    (job,) = salvage(store.file)
    found = [len(saved.event.text) for saved in job.events if isinstance(saved.event, NoteKept)]
    assert found == lengths
    assert all(saved.proved for saved in job.events)


def test_the_command_says_what_was_saved_and_what_was_lost(
    log: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = ["rescue", "--logs", str(log.folder), "--to", str(tmp_path / "saved")]
    content = bytearray(log.file.read_bytes())
    place = content.index(b'"step":"step 200"')
    content[place - place % 4096 : place - place % 4096 + 4096] = bytes(4096)
    log.file.write_bytes(content)
    assert main(command) == 1
    said = capsys.readouterr().out
    assert "lost: events" in said
    assert "is as it was" in said
    assert main(command) == 2
    assert "it is not empty" in capsys.readouterr().err


def test_a_file_with_nothing_in_it_is_said_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "logs").mkdir()
    command = ["rescue", "--logs", str(tmp_path / "logs"), "--to", str(tmp_path / "saved")]
    assert main(command) == 2
    (tmp_path / "logs" / "handsfree.db").write_bytes(b"Shopping: two files, one broach.\n" * 500)
    assert main(command) == 1
    assert "nothing of a job can be read" in capsys.readouterr().err
    assert not (tmp_path / "saved").exists()


def test_jobs_of_which_nothing_is_left_are_named_by_the_ledger_or_what_else_lies_beside(
    log: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # A file cut short was rescued without a word about the jobs whose pages were gone.
    first, *gone = sorted(job.id for job in log.jobs())
    content = log.file.read_bytes()
    log.file.write_bytes(content[: len(content) * 2 // 5])
    counts = {job: kept.events for job, kept in read_ledger(log.folder).jobs.items()}
    found = rescue(log.folder, tmp_path / "saved", AT)
    missing = {each.job: sum(last - first + 1 for first, last in each.gaps) + each.events for each in found.jobs}
    missing |= {each.job: each.events for each in found.lost}
    assert missing == counts
    assert not found.whole
    assert main(["rescue", "--logs", str(log.folder), "--to", str(tmp_path / "again")]) == 1
    said = capsys.readouterr().out
    assert all(job in said for job in (first, *gone))
    (log.folder / "ledger.txt").unlink()
    for ending in ("", "-wal"):
        log.file.with_name(f"handsfree.db{ending}").unlink(missing_ok=True)
    with pytest.raises(LogError, match="it held 3 jobs"):
        rescue(log.folder, tmp_path / "nothing", AT)


def test_a_sound_that_is_something_else_now_is_not_saved(log: Store, tmp_path: Path) -> None:
    for clip in (log.folder / "clips").rglob("*.flac"):
        clip.write_bytes(b"no sound")
    found = rescue(log.folder, tmp_path / "saved", AT)
    assert [(each.clips, each.clips_lost) for each in found.jobs] == [(0, 1)] * 3
    assert not found.whole
    assert list((tmp_path / "saved").rglob("*.flac")) == []


def test_the_write_ahead_log_alone_is_rescued(store: Store, tmp_path: Path) -> None:
    with store.open_job(OPENED, steps=1) as job:
        job.append(StepDone(at=AT, step="newest"))
        copy = tmp_path / "copy"
        shutil.copytree(store.folder, copy)
    (copy / "handsfree.db").unlink()
    assert main(["rescue", "--logs", str(copy), "--to", str(tmp_path / "saved")]) == 0
    assert Store(tmp_path / "saved").events(job.job) == store.events(job.job)


def _blot_out(file: Path, found_by: bytes) -> None:
    """Blank the page of the database on which this stands."""
    with closing(sqlite3.connect(file)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    content = bytearray(file.read_bytes())
    page = content.index(found_by) // 4096 * 4096
    content[page : page + 4096] = bytes(4096)
    file.write_bytes(content)


def _worked(store: Store) -> str:
    """A job of a real procedure, with a figure out of limits early and late."""
    begun = opened_with(load_named("focusing-slide"), AT, item="Bench gauge", serial="7")
    with store.open_job(begun, steps=18) as log:
        for number, value in enumerate(["9", *["4"] * 120, "8"]):
            log.append(
                ReadingLogged(
                    at=AT + timedelta(minutes=number), step="as-found", id=f"e{number}", characteristic="gib clearance",
                    occasion="as found", value=value, unit="thou", as_said=f"{value} thou", limits="1.5 to 3 thou",
                    decision="out of limits", beyond="1 thou",
                )
            )  # fmt: skip
            log.append(ReadingSettled(at=AT + timedelta(minutes=number), step="as-found", id=f"e{number}"))
    return log.job


def test_a_rescued_log_is_proved_and_reported_as_any_other_and_says_in_its_review_what_is_lost(
    store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # It was told to be from before there were hashes, and the review said that nothing wanted attention.
    job = _worked(store)
    _blot_out(store.file, b'"id":"e60"')
    saved = Store(tmp_path / "saved")
    ((first, last),) = rescue(store.folder, saved.folder, AT).jobs[0].gaps
    logs = ("--logs", str(saved.folder))
    assert main(["verify", *logs]) == 0
    said = capsys.readouterr().out
    assert f"{job}  holds: {len(saved.events(job))} events" in said
    assert not re.search(r"before|version|without", said), said
    lost = f"entries {first} to {last} could not be read from a damaged log; what they said is not known"
    assert main(["review", job, *logs]) == 0
    assert lost in " ".join(capsys.readouterr().out.split("FIGURES")[0].split())
    assert main(["review", job, "--spoken", *logs]) == 0
    assert "One stretch of the log lost" in capsys.readouterr().out
    assert main(["report", job, "--to", str(tmp_path / "report.html"), *logs]) == 0
    assert lost in (tmp_path / "report.html").read_text(encoding="utf-8")


def test_of_a_job_whose_beginning_is_lost_the_figures_that_were_saved_are_reviewed_and_it_goes_on(
    store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # It was told to be taken in and not yet worked.
    job = _worked(store)
    _blot_out(store.file, b'"kind":"job opened"')
    saved = Store(tmp_path / "saved")
    assert rescue(store.folder, saved.folder, AT).jobs[0].beginning_lost
    logs = ("--logs", str(saved.folder))
    assert main(["review", job, *logs]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Rebuild of the focusing slide (its text can't be read)" in said
    assert "8 thou" in said
    assert "could not be read from a damaged log" in said
    assert main(["report", job, "--to", str(tmp_path / "report.html"), *logs]) == 0
    # With the procedure's file the job goes on, and its words are there again.
    monkeypatch.setattr(sys, "stdin", io.StringIO("where am i\n"))
    assert main(["run", "focusing-slide", "--job", job, "--listen", "typed", "--speak", "print", *logs]) == 0
    assert "is lost; it goes on with focusing-slide.yaml as it is now" in " ".join("".join(capsys.readouterr()).split())
    assert main(["review", job, *logs]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "its text can't be read" not in said
    assert "8 thou" in said


def test_what_was_forgotten_on_purpose_is_named_by_the_numbers_that_its_events_have_from_then_on(
    store: Store, tmp_path: Path
) -> None:
    with store.open_job(OPENED, steps=1) as log:
        for number in range(4):
            log.append(NoteKept(at=AT, id=f"n{number}", text="to be lost", seconds=1.0))
        log.append(NoteKept(at=AT, id="last", text="of Mill Lane", seconds=1.0))
        forgotten = log.append(PersonalForgotten(at=AT, events=(6,), why="asked for"))
        assert forgotten == 7
        job = log.job
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("DROP TRIGGER events_are_kept")
        db.execute("DELETE FROM events WHERE seq IN (3, 4)")
        db.commit()
    saved = Store(tmp_path / "saved")
    assert rescue(store.folder, saved.folder, AT).jobs[0].gaps
    events = saved.events(job)
    (lost,) = (event for event in events if isinstance(event, EventsLost))
    (kept,) = (event for event in events if isinstance(event, PersonalForgotten))
    assert (lost.first, lost.last) == (3, 4)
    # Two events have gone and one, which says so, has come.
    assert kept.events == (5,)
    assert isinstance(events[4], NoteKept) and events[4].id == "last"


def test_figures_of_an_unreadable_procedure_that_fit_no_procedure_are_reviewed_all_the_same(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    begun = opened_with(load_named("focusing-slide"), AT, serial="7").model_copy(update={"procedure_text": "title: x"})
    figure = ReadingLogged(
        at=AT, step="as-found", id="e1", characteristic="gib clearance", occasion="of old", value="8", unit="thou",
        as_said="8 thou", limits="1.5 to 3 thou", decision="out of limits", beyond="5 thou",
    )  # fmt: skip
    with store.open_job(begun, steps=18) as log:
        log.append(figure)
        log.append(figure.model_copy(update={"id": "e2", "unit": "mm"}))
    assert main(["review", log.job, "--logs", str(store.folder)]) == 0
    assert "8 thou" in capsys.readouterr().out


VALUES = (
    None, 0, 1, -1, 2, 127, 128, -128, 129, 32767, 32768, -32768, 8388607, 8388608, -8388608, 2**31 - 1, 2**31,
    -(2**31), 2**47 - 1, 2**47, -(2**47), 2**63 - 1, -(2**63), 1.5, -0.25, "", "worn", "µ" * 70, b"", b"\x00\xff" * 40,
)  # fmt: skip
"""One of each kind of value, and what is just in and just out of each length of a whole number."""


def _read_by_sqlite(file: Path) -> list[list[object]]:
    with closing(sqlite3.connect(file)) as db:
        return [list(row) for row in db.execute("SELECT * FROM kept ORDER BY rowid")]


def _rows_of(file: Path, count: int) -> list[list[object]]:
    """The rows of that many columns: the list of tables is read as well."""
    with rows_in(file) as rows:
        return [row for row in rows if len(row) == count]


@pytest.mark.parametrize("page", [512, 4096, 65536])
def test_values_of_every_kind_are_read_as_sqlite_reads_them(tmp_path: Path, page: int) -> None:
    file = tmp_path / "values.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute(f"PRAGMA page_size = {page}")
        db.execute("CREATE TABLE kept (a, b, c)")
        db.executemany("INSERT INTO kept VALUES (?, ?, ?)", [(value, "between", value) for value in VALUES])
        # Numbers of rows in one byte to nine.
        for number in (2**7, 2**14, 2**21, 2**28, 2**35, 2**42, 2**49, 2**56, 2**63 - 1, -1, -(2**63)):
            db.execute("INSERT INTO kept (rowid, a, b, c) VALUES (?, ?, 'numbered', 0)", (number, str(number)))
    read, right = _rows_of(file, 3), _read_by_sqlite(file)
    assert sorted(map(repr, read)) == sorted(map(repr, right))


def test_rows_of_every_length_are_read_also_where_they_fill_their_pages_to_the_last_byte(tmp_path: Path) -> None:
    # Of pages of 512 bytes, a row may fill the room of its own, and that of each it goes on in (508), exactly
    # (sqlite.org/fileformat.html, 1.6).
    file = tmp_path / "lengths.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("PRAGMA page_size = 512")
        db.execute("CREATE TABLE kept (a, b, c)")
        db.executemany("INSERT INTO kept VALUES (?, '', '')", [("x" * length,) for length in range(440, 2100)])
    assert _rows_of(file, 3) == _read_by_sqlite(file)


def test_a_head_of_the_file_that_tells_of_no_page_costs_no_row(tmp_path: Path) -> None:
    # Bytes 16 to 20 say how long a page is and how much of it is left free (sqlite.org/fileformat.html, 1.3).
    file = tmp_path / "values.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("CREATE TABLE kept (a, b, c)")
        db.executemany("INSERT INTO kept VALUES (?, ?, ?)", [(number, "long " * 900, 0) for number in range(20)])
    right, content = _read_by_sqlite(file), file.read_bytes()
    for place, byte in ((0, 0), (16, 0), (17, 3), (20, 64), (20, 255)):
        file.write_bytes(content[:place] + bytes((byte,)) + content[place + 1 :])
        assert sorted(_rows_of(file, 3)) == right, (place, byte)


def test_a_row_that_goes_on_in_itself_or_nowhere_is_left_out(tmp_path: Path) -> None:
    file = tmp_path / "values.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("CREATE TABLE kept (a, b, c)")
        db.executemany("INSERT INTO kept VALUES (?, ?, ?)", [(1, "short", 0), (2, "x" * 9000, 0), (3, "last", 0)])
    content = bytearray(file.read_bytes())
    (page,) = {at for at in range(0, len(content), 4096) if b"short" in content[at : at + 4096]}
    for at in range(0, len(content), 4096):
        if at != page and content[at + 4 : at + 100] == b"x" * 96:
            content[at : at + 4] = (at // 4096 + 1).to_bytes(4, "big")
    file.write_bytes(content)
    assert [row[0] for row in _rows_of(file, 3)] == [1, 3]
    file.write_bytes(content[: page + 4096])
    assert [row[0] for row in _rows_of(file, 3)] == [1, 3]


def test_a_row_that_is_cut_short_is_left_out_and_not_shortened(tmp_path: Path) -> None:
    file = tmp_path / "values.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("CREATE TABLE kept (a, b, c)")
        db.executemany("INSERT INTO kept VALUES (?, ?, ?)", [(1, "short", 0), (2, 0, "x" * 9000)])
    content = file.read_bytes()
    file.write_bytes(content[: content.rindex(b"x" * 20) - 100])
    assert _rows_of(file, 3) == [[1, "short", 0]]


@pytest.mark.parametrize("wal", [b"", b"\x37" * 31, b"\xff" * 5000, b"\x37\x7f\x06\x82" + b"\0" * 6000])
def test_a_write_ahead_log_that_is_none_costs_no_row(tmp_path: Path, wal: bytes) -> None:
    file = tmp_path / "values.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("CREATE TABLE kept (a, b, c)")
        db.execute("INSERT INTO kept VALUES (1, 'short', 0)")
    (tmp_path / "values.db-wal").write_bytes(wal)
    assert _rows_of(file, 3) == [[1, "short", 0]]


def test_a_row_with_a_kind_of_value_that_there_is_not_is_left_out(tmp_path: Path) -> None:
    # Kinds 10 and 11 are kept for later (sqlite.org/fileformat.html, 2.1).
    file = tmp_path / "values.db"
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("CREATE TABLE kept (a, b, c)")
        db.executemany("INSERT INTO kept VALUES (?, ?, ?)", [(1, "short", 0), (1, "other", 0)])
    content = file.read_bytes()
    head = bytes((4, 9, 13 + 2 * 5, 8)) + b"short"
    for kind in (10, 11):
        file.write_bytes(content.replace(head, bytes((4, 9, 13 + 2 * 5, kind)) + b"short"))
        assert _rows_of(file, 3) == [[1, "other", 0]]
    assert head in content


@pytest.mark.parametrize(
    ("events", "row", "name", "title"),
    [
        ((note("n1", "worn"), StepDone(at=AT, step="strip")), True, "micrometer", "Bench micrometer, overhaul"),
        ((note("n1", "worn"), note("n2", "bent")), True, "", "Bench micrometer, overhaul"),
        ((note("n1", "worn"), StepDone(at=AT, step="strip")), False, "lost-procedure", ""),
        ((note("n1", "worn"), note("n2", "bent")), False, "", ""),
    ],
)
def test_a_job_without_its_beginning_has_one_from_the_list_and_its_procedure_where_steps_are_left(
    store: Store, tmp_path: Path, events: tuple[Event, ...], row: bool, name: str, title: str
) -> None:
    with store.open_job(opened(serial="7"), steps=1) as log:
        for event in events:
            log.append(event)
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("DROP TRIGGER events_are_kept")
        db.execute("DROP TRIGGER jobs_are_kept")
        db.execute("DELETE FROM events WHERE seq = 1")
        db.execute("DELETE FROM jobs") if not row else None
        db.commit()
        db.execute("VACUUM")
    rescued = rescue(store.folder, tmp_path / "saved", AT + timedelta(days=1))
    assert [each.beginning_lost for each in rescued.jobs] == [True]
    begun = Store(tmp_path / "saved").events(log.job)[0]
    assert isinstance(begun, JobOpened)
    assert (begun.procedure_name, begun.title, begun.at, begun.serial) == (name, title, AT, "7" if row else None)
