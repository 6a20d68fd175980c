"""A flipped bit in the log's file: verify notices whatever changes an answer, and nothing is written onto it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.errors import LogCorrupt, LogError
from handsfree.job.events import NoteKept, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.log.verify import file_faults, verify
from tests.support.jobs import AT, opened


@pytest.fixture
def log(store: Store) -> Path:
    """The file of a log of two jobs that is large enough for its indexes to have inner pages."""
    for serial in ("1", "2"):
        with store.open_job(opened(serial=serial), steps=1) as job:
            for number in range(60):
                job.append(NoteKept(at=AT, id=f"n{number}", text=f"note {number} " * 20, seconds=1.0))
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        db.execute("PRAGMA journal_mode = DELETE")
    return store.file


def pages(file: Path) -> Iterator[tuple[int, int]]:
    """Offset and kind of each page of a database: 2 an inner page of an index, 10 a leaf of one."""
    content = file.read_bytes()
    size = int.from_bytes(content[16:18], "big")
    for offset in range(size, len(content), size):
        yield offset, content[offset]


def flip(file: Path, at: int, bit: int = 0) -> None:
    content = bytearray(file.read_bytes())
    content[at] ^= 1 << bit
    file.write_bytes(content)


def told(store: Store) -> list[list[str]]:
    """What the log answers: its jobs with their events."""
    return [[event.model_dump_json() for event in store.events(job.id)] for job in store.jobs()]


def test_the_count_of_cells_in_a_page_of_an_index_is_noticed(
    log: Path, store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    # Events that an index no longer names are not found: "holds: 68 events", it was said, of 196.
    page = next(offset for offset, kind in pages(log) if kind == 10)
    flip(log, page + 4)
    assert file_faults(store)
    assert main(["verify", "--logs", str(store.folder)]) == 1
    assert "The log is damaged" in capsys.readouterr().out
    with pytest.raises(LogCorrupt, match=r"nothing is written|lacks something"):
        store.prepare()
    (store.folder / "ledger.txt").unlink()
    with pytest.raises(LogCorrupt, match="nothing is written"):
        store.prepare()


@pytest.mark.parametrize("start", range(0, 8))
def test_no_flipped_bit_changes_an_answer_without_being_noticed(log: Path, store: Store, start: int) -> None:
    """A sample of all bits: each that changes what the log answers makes verify or SQLite's check say so."""
    whole, before = log.read_bytes(), told(store)
    silent = []
    for at in range(100 + start * 131, len(whole), 4999):
        log.write_bytes(whole)
        flip(log, at, bit=at % 8)
        for beside in store.folder.glob("catalogue*"):
            beside.unlink()
        try:
            after, noticed = told(store), bool(file_faults(store))
            noticed = noticed or any(verify(store, job.id).faults for job in store.jobs())
        except LogError:
            continue
        if after != before and not noticed:
            silent.append(at)
    assert silent == []


@pytest.mark.parametrize("name", ["handsfree.db", "personal.db"])
def test_damaged_letters_in_what_a_database_says_of_itself_are_one_sentence(
    store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    # SQLite quotes them in what it says is wrong, and they are no text.
    with store.open_job(opened(serial="1", owner="Mill Lane"), steps=1) as job:
        job.append(NoteKept(at=AT, id="n1", text="worn", seconds=1.0))
    file = store.folder / name
    with closing(sqlite3.connect(file)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        db.execute("PRAGMA journal_mode = DELETE")
    content = file.read_bytes()
    place = content.index(b"CREATE TABLE")
    file.write_bytes(content[: place + 3] + b"\x81\x96\xff" + content[place + 6 :])
    logs = ("--logs", str(store.folder))
    commands = (["verify"], ["jobs"], ["review"], ["search", "worn"], ["backup", str(tmp_path / "b.zip")])
    codes = [main([*command, *logs]) for command in commands]
    said = "".join(capsys.readouterr())
    assert codes[0] == 1
    assert codes[-1] != 0
    assert "Traceback" not in said
    assert "damaged" in said or "can't be read" in said


@pytest.mark.parametrize(
    ("was", "becomes"),
    [(b'"unit":"thou"', b'"unit":"thgu"'), (b'"value":"8"', b'"value":"x"'), (b'"out of limits"', b'"out of limitz"')],
)
def test_a_figure_with_a_damaged_letter_is_one_sentence_that_names_its_event(
    store: Store, capsys: pytest.CaptureFixture[str], was: bytes, becomes: bytes
) -> None:
    with store.open_job(opened(serial="1"), steps=1) as job:
        job.append(
            ReadingLogged(
                at=AT, step="strip", id="e1", characteristic="gib clearance", occasion="as found", value="8",
                unit="thou", as_said="8 thou", limits="1.5 to 3 thou", decision="out of limits", beyond="5 thou",
            )
        )  # fmt: skip
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    content = store.file.read_bytes()
    assert content.count(was) == 1
    store.file.write_bytes(content.replace(was, becomes))
    for command in ("review", "report"):
        assert main([command, job.job, "--logs", str(store.folder)]) != 0
        said = capsys.readouterr().err
        assert "event 2" in said
        assert said.count("\n") == 1, said


def test_an_index_of_the_owners_file_that_lost_its_end_is_noticed(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    # The owner was gone from every list, and verify said that all holds.
    with store.open_job(opened(serial="1", owner="Mill Lane"), steps=1):
        pass
    file = store.folder / "personal.db"
    file.write_bytes(file.read_bytes()[:-1])
    assert main(["verify", "--logs", str(store.folder)]) == 1
    assert "personal.db" in capsys.readouterr().out


@pytest.mark.parametrize(
    "damage", ["SET kind = CAST(kind AS BLOB)", "SET body = CAST(body AS BLOB)", "SET seq = 'two'"]
)
def test_an_event_of_other_types_than_it_was_written_with_is_noticed_in_one_sentence(
    log: Path, store: Store, capsys: pytest.CaptureFixture[str], damage: str
) -> None:
    with closing(sqlite3.connect(log)) as db, db:
        for (trigger,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f"DROP TRIGGER {trigger}")
        db.execute(f"UPDATE events {damage} WHERE rowid = (SELECT max(rowid) FROM events)")
    assert main(["verify", "--logs", str(store.folder)]) == 1
    for command in ("jobs", "review", "verify"):
        main([command, "--logs", str(store.folder)])
    assert "Traceback" not in "".join(capsys.readouterr())
