"""The catalogue is an index and never the truth: whatever happens to it or to the log, lists and search are right."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.catalogue import catalogue
from handsfree.job.catalogue.catalogue import CATALOGUE, SEAL, _seal
from handsfree.job.catalogue.search import search
from handsfree.job.errors import LogCorrupt, LogWriteError
from handsfree.job.events import StepDone
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from tests.support.jobs import AT, fill, note
from tests.support.places import DATA

Seen = tuple[list[tuple[str, int, str | None]], list[str]]


def seen(store: Store) -> Seen:
    """What is asked of the catalogue."""
    jobs = [(job.id, job.done, job.serial) for job in store.jobs()]
    return jobs, [found.text for found in search(store.folder, "pivot")]


def afresh(store: Store) -> Seen:
    """The same of a copy of the log that has no catalogue."""
    copy = store.folder.with_name("afresh")
    shutil.rmtree(copy, ignore_errors=True)
    copy.mkdir()
    copied(store.file, copy / store.file.name)
    return seen(Store(copy))


def copied(file: Path, to: Path) -> Path:
    with closing(sqlite3.connect(file)) as db, closing(sqlite3.connect(to)) as there:
        db.backup(there)
        there.execute("PRAGMA journal_mode = DELETE")
    return to


def file_of(store: Store) -> Path:
    return store.folder / CATALOGUE


def catalogue_of(store: Store) -> sqlite3.Connection:
    """The catalogue itself, as it stands when it has been asked for the jobs."""
    assert store.jobs()
    return sqlite3.connect(file_of(store), isolation_level=None)


def _lost(store: Store) -> None:
    for file in store.folder.glob("catalogue*"):
        file.unlink()


def _overwritten(store: Store) -> None:
    file_of(store).write_bytes(b"Shopping: two files, one broach. " * 500)


def _torn(store: Store) -> None:
    content = file_of(store).read_bytes()
    file_of(store).write_bytes(content[:8192] + b"x" * (len(content) - 8192))


def _empty(store: Store) -> None:
    file_of(store).write_bytes(b"")


def _table_dropped(store: Store) -> None:
    with closing(sqlite3.connect(file_of(store))) as db:
        db.execute("DROP TABLE texts")


def _of_another_version(store: Store) -> None:
    with closing(sqlite3.connect(file_of(store))) as db:
        db.execute("PRAGMA user_version = 99")


@pytest.mark.parametrize("harm", [_lost, _overwritten, _torn, _empty, _table_dropped, _of_another_version])
def test_a_catalogue_that_is_damaged_is_made_anew(store: Store, harm: Callable[[Store], None]) -> None:
    fill(store, "pivot dry")
    job = fill(store, "pivot worn", "gib scored")
    right = seen(store)
    harm(store)
    assert seen(store) == right
    with store.resume(job) as log:
        log.append(note("n9", "pivot oiled"))
    assert sorted(seen(store)[1]) == sorted(["pivot oiled", *right[1]])
    assert seen(store) == afresh(store)
    assert file_of(store).exists()


def test_a_job_that_is_being_written_is_seen_as_it_is(store: Store) -> None:
    job = fill(store, "pivot dry")
    assert seen(store) == ([(job, 1, "1")], ["pivot dry"])
    with store.resume(job) as log:
        log.append(note("n9", "pivot oiled"))
        log.append(StepDone(at=AT, step="set"))
        assert seen(store) == ([(job, 2, "1")], ["pivot oiled", "pivot dry"])


@pytest.mark.parametrize("start", range(5))
def test_no_flipped_bit_changes_what_is_found(store: Store, start: int) -> None:
    # One bit made a search answer wrongly.
    fill(store, "pivot dry", "gib scored")
    right = seen(store)
    whole = file_of(store).read_bytes()
    for at in range(start * 151, len(whole), 3001):
        hurt = bytearray(whole)
        hurt[at] ^= 1 << at % 8
        file_of(store).write_bytes(hurt)
        assert seen(store) == right


@pytest.mark.parametrize("column", ["last", "done", "procedures", "opened", "status", "job"])
def test_a_wrong_value_in_the_catalogue_blocks_no_command(
    store: Store, column: str, capsys: pytest.CaptureFixture[str]
) -> None:
    fill(store, "pivot dry")
    right = seen(store)
    with closing(sqlite3.connect(file_of(store))) as db, db:
        db.execute(f"UPDATE summaries SET {column} = x'ff00'")
    # Even where the checksum is of what is wrong.
    _seal(store.folder)
    logs = ["--logs", str(store.folder)]
    for command in (["jobs"], ["job", "new", "--item", "x"], ["verify"], ["history"]):
        assert main([*command, *logs]) == 0, command
    assert seen(store)[0][-1:] == right[0] or column in ("done", "status")


def test_without_its_checksum_the_catalogue_is_made_anew(store: Store) -> None:
    # As after a kill in the middle of writing it.
    fill(store, "pivot dry")
    right = seen(store)
    (store.folder / SEAL).unlink()
    with closing(sqlite3.connect(file_of(store))) as db, db:
        db.execute("UPDATE texts SET text = 'pivot gone'")
    assert seen(store) == right


def test_another_log_in_its_place_is_noticed(store: Store, tmp_path: Path) -> None:
    # A backup that is brought back has the same job up to some event, and may go on differently.
    job = fill(store, "pivot dry")
    old = copied(store.file, tmp_path / "old.db")
    with store.resume(job) as log:
        log.append(note("n8", "pivot bent"))
    assert "pivot bent" in seen(store)[1]
    shutil.copyfile(old, store.file)
    (store.folder / "ledger.txt").unlink()
    assert seen(store)[1] == ["pivot dry"]
    with store.resume(job) as log:
        log.append(note("n8", "pivot bent"))
    seen(store)
    shutil.copyfile(old, store.file)
    (store.folder / "ledger.txt").unlink()
    with store.resume(job) as log:
        log.append(note("n8", "pivot straight"))
        log.append(StepDone(at=AT, step="set"))
    assert seen(store) == ([(job, 2, "1")], ["pivot straight", "pivot dry"])


def test_catching_up_with_another_log_leaves_nothing_of_the_one_before(store: Store, tmp_path: Path) -> None:
    fill(store, "the pivot is worn", "and bent")
    other = Store(tmp_path / "other")
    fill(other, "a burr", days=3)
    with (
        closing(catalogue_of(store)) as made,
        closing(sqlite3.connect(other.file, isolation_level=None)) as log,
    ):
        assert not catalogue.fits(made, log)
        catalogue.catch_up(made, log)
        assert catalogue.fits(made, log)
        assert made.execute("SELECT job FROM summaries").fetchall() == [("2026-11-28-1",)]
        assert made.execute("SELECT count(*) FROM words WHERE words MATCH 'pivot'").fetchone() == (0,)
        assert made.execute("SELECT count(*) FROM words WHERE words MATCH 'burr'").fetchone() == (1,)


def test_what_is_written_while_it_catches_up_is_taken_wholly_or_not_yet(store: Store) -> None:
    job = fill(store, "worn")
    with closing(sqlite3.connect(store.file, isolation_level=None)) as log, closing(catalogue_of(store)) as made:
        with store.resume(job) as meanwhile:
            meanwhile.append(note("n7", "bent"))
            once = iter(["filed"])

            def another(statement: str) -> None:
                # As soon as it has begun to read, somebody writes.
                if statement.startswith("SELECT DISTINCT job"):
                    for text in once:
                        meanwhile.append(note("n8", text))

            log.set_trace_callback(another)
            catalogue.catch_up(made, log)
            log.set_trace_callback(None)
        words = "SELECT count(*) FROM words WHERE words MATCH ?"
        assert made.execute(words, ("bent",)).fetchone() == (1,)
        assert made.execute(words, ("filed",)).fetchone() == (0,)
        assert not catalogue.fits(made, log)
        catalogue.catch_up(made, log)
        assert made.execute(words, ("filed",)).fetchone() == (1,)


def test_a_job_that_is_in_the_catalogue_and_not_in_the_log_goes_when_it_catches_up(store: Store) -> None:
    first, second = fill(store, "worn"), fill(store, "bent", days=1)
    with (
        closing(sqlite3.connect(store.file, isolation_level=None)) as log,
        closing(catalogue_of(store)) as made,
    ):
        made.execute("UPDATE summaries SET job = 'of nobody' WHERE job = ?", (first,))
        with store.resume(second) as more:
            more.append(note("n7", "filed"))
        catalogue.catch_up(made, log)
        assert catalogue.fits(made, log)
        assert {job for (job,) in made.execute("SELECT job FROM summaries")} == {first, second}
        assert made.execute("SELECT count(*) FROM words WHERE words MATCH 'worn OR bent OR filed'").fetchone() == (3,)


def test_a_job_brought_in_or_taken_out_by_hand_is_noticed(store: Store, tmp_path: Path) -> None:
    fill(store, "pivot dry")
    middle = fill(store, "pivot worn")
    fill(store, "pivot oiled")
    seen(store)
    other = Store(tmp_path / "other")
    fill(other, "pivot bought", days=1)
    with closing(sqlite3.connect(store.file, isolation_level=None)) as db:
        db.execute("ATTACH ? AS other", (str(other.file),))
        db.execute("INSERT INTO jobs SELECT * FROM other.jobs")
        db.execute("INSERT INTO events SELECT * FROM other.events ORDER BY seq")
    assert seen(store) == afresh(store)
    assert "pivot bought" in seen(store)[1]
    with closing(sqlite3.connect(store.file, isolation_level=None)) as db:
        db.execute("DROP TRIGGER events_are_kept")
        db.execute("DROP TRIGGER jobs_are_kept")
        db.execute("DELETE FROM events WHERE job = ?", (middle,))
        db.execute("DELETE FROM jobs WHERE id = ?", (middle,))
    (store.folder / "ledger.txt").unlink()
    assert seen(store) == afresh(store)
    assert "pivot worn" not in seen(store)[1]


def test_a_job_whose_events_are_all_lost_is_still_listed(store: Store) -> None:
    # As after a repair of the file by hand: its row is there, and nothing else.
    kept = fill(store, "pivot dry")
    seen(store)
    with closing(sqlite3.connect(store.file)) as db:
        columns = "opened, title, procedure, item, serial, owner, steps"
        db.execute(f"INSERT INTO jobs SELECT '2020-01-01-1', {columns} FROM jobs")
        db.commit()
    assert sorted(job.id for job in store.jobs()) == sorted(["2020-01-01-1", kept])


def test_two_processes_that_write_at_once_keep_one_catalogue(store: Store) -> None:
    script = """
import sys
from pathlib import Path
from handsfree.job.log.store import Store
from tests.support.jobs import fill
for _ in range(6):
    fill(Store(Path(sys.argv[1])), *["pivot dry"] * 5)
"""
    running = [subprocess.Popen([sys.executable, "-c", script, str(store.folder)]) for _ in range(2)]
    assert [process.wait(timeout=60) for process in running] == [0, 0]
    assert len(seen(store)[0]) == 12
    assert seen(store) == afresh(store)
    assert file_of(store).exists()


def test_where_the_catalogue_can_not_be_written_the_answer_is_made_in_memory(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = fill(store, "pivot dry")
    right = seen(store)
    before = file_of(store).read_bytes()

    def refuse(folder: Path, log: sqlite3.Connection) -> sqlite3.Connection:
        raise sqlite3.OperationalError("attempt to write a readonly database")

    for name in ("_on_disk", "_made_anew"):
        monkeypatch.setattr(catalogue, name, refuse)
    assert seen(store) == right
    with store.resume(job) as log:
        log.append(note("n9", "pivot oiled"))
    assert sorted(seen(store)[1]) == ["pivot dry", "pivot oiled"]
    assert file_of(store).read_bytes() == before


@pytest.fixture
def earlier(tmp_path: Path) -> Store:
    """A log of the version before: written by the program of that version and dumped by sqlite3."""
    store = Store(tmp_path)
    with closing(sqlite3.connect(store.file)) as db:
        db.executescript((DATA / "log-version-3.sql").read_text(encoding="utf-8"))
    return store


def test_a_log_of_the_version_before_is_read_as_it_is_and_brought_up_to_date(earlier: Store) -> None:
    before = earlier.file.read_bytes()
    jobs = [(job.id, job.status, job.serial, job.done) for job in earlier.jobs()]
    assert jobs == [("2026-03-02-2", "open", "115", 0), ("2026-03-02-1", "finished", "114", 1)]
    found = [(each.text, each.ended) for each in search(earlier.folder, "pivot")]
    assert found == [("pivot dry", None), ("pivot worn oval", "taken back")]
    assert earlier.file.read_bytes() == before
    hashes = {job: earlier.last_hash(job) for job, *_ in jobs}
    with earlier.resume("2026-03-02-2") as log:
        log.append(StepDone(at=AT, step="set"))
    assert earlier.last_hash("2026-03-02-1") == hashes["2026-03-02-1"]
    assert hashes["2026-03-02-2"] in verify(earlier, "2026-03-02-2").hashes
    assert all(verify(earlier, job).faults == () for job, *_ in jobs)
    assert [job.done for job in earlier.jobs()] == [1, 1]
    with closing(sqlite3.connect(earlier.file)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (6,)
        tables = {name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        assert tables == {"jobs", "events", "versions"}
        for statement in ("UPDATE events SET body = ''", "DELETE FROM events"):
            with pytest.raises(sqlite3.IntegrityError):
                db.execute(statement)


def test_bringing_a_log_up_to_date_happens_wholly_or_not_at_all(earlier: Store) -> None:
    with closing(sqlite3.connect(earlier.file)) as db:
        db.execute("DROP TABLE versions")  # what is written last, after all else has been taken out
        before = list(db.iterdump())
    with pytest.raises(LogWriteError, match="up to date"):
        earlier.prepare()
    with closing(sqlite3.connect(earlier.file)) as db:
        assert list(db.iterdump()) == before
        assert db.execute("PRAGMA user_version").fetchone() == (3,)


def test_a_log_of_an_early_version_is_refused_in_one_sentence_and_left_alone(earlier: Store) -> None:
    with closing(sqlite3.connect(earlier.file)) as db:
        db.execute("PRAGMA user_version = 2")
    before = earlier.file.read_bytes()
    for act in (earlier.prepare, earlier.jobs):
        with pytest.raises(LogCorrupt, match=r"early Handsfree .version 2 of the log, this one reads from version 3"):
            act()
    assert earlier.file.read_bytes() == before
