"""Whether the files of an open log are still those that are written to, and what of another job is cleared away."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from filelock import FileLock

from handsfree.job.catalogue import catalogue
from handsfree.job.catalogue.earlier import jobs_with
from handsfree.job.catalogue.search import search
from handsfree.job.errors import (
    JobBusy,
    JobFinishedAlready,
    LogCorrupt,
    LogError,
    LogFolderError,
    LogWriteError,
    told_by_system,
)
from handsfree.job.events import (
    EntryWithdrawn,
    Event,
    FactNoted,
    JobFinished,
    NoteKept,
    NoteStretch,
    PartsRemoved,
    TextTyped,
    WorkerChanged,
)
from handsfree.job.log import clips, database, migration
from handsfree.job.log.beside import ledger
from handsfree.job.log.beside.attached import FileRefused, content_of, delete_file, keep_file, read_attached
from handsfree.job.log.beside.ledger import read_ledger
from handsfree.job.log.beside.pending import clear_left_sounds, expect
from handsfree.job.log.beside.place import FilesInPlace, new_folders
from handsfree.job.log.beside.scratch import scratch_folder
from handsfree.job.log.clips import clip_path, keep_clip
from handsfree.job.log.database import database_faults, open_to_read
from handsfree.job.log.forget import drop_held, forget_owner
from handsfree.job.log.hash_chain import first_link
from handsfree.job.log.migration import migrate
from handsfree.job.log.numbers import number_of, typed_number
from handsfree.job.log.store import Store
from handsfree.job.log.verify import file_faults, verify, verify_all
from handsfree.job.state import fold
from handsfree.job.tally import unreconciled
from tests.support.jobs import AT, fill, opened
from tests.support.places import DATA


@pytest.fixture
def log(tmp_path: Path) -> Path:
    (tmp_path / "handsfree.db").write_bytes(b"x" * 100)
    (tmp_path / "handsfree.db-wal").write_bytes(b"x" * 10)
    return tmp_path


def _another(file: Path) -> None:
    """Another file of the same name and length."""
    copy = file.with_name("copy")
    shutil.copyfile(file, copy)
    copy.replace(file)


@pytest.mark.parametrize(
    ("change", "in_place"),
    [
        (lambda folder: None, True),
        (lambda folder: (folder / "handsfree.db").open("ab").write(b"more"), True),
        (lambda folder: (folder / "handsfree.db-wal").open("ab").write(b"more"), True),
        (lambda folder: os.truncate(folder / "handsfree.db-wal", 0), True),
        (lambda folder: os.truncate(folder / "handsfree.db", 99), False),
        (lambda folder: (folder / "handsfree.db").unlink(), False),
        (lambda folder: _another(folder / "handsfree.db"), False),
        (lambda folder: (folder / "handsfree.db-wal").unlink(), False),
        (lambda folder: _another(folder / "handsfree.db-wal"), False),
    ],
)
def test_a_log_may_grow_and_nothing_else(log: Path, change: Callable[[Path], object], in_place: bool) -> None:
    files = FilesInPlace(log)
    change(log)
    assert files.are_in_place() is in_place


def test_a_log_is_no_shorter_than_it_ever_was(log: Path) -> None:
    files = FilesInPlace(log)
    os.truncate(log / "handsfree.db", 200)
    assert files.are_in_place()
    os.truncate(log / "handsfree.db", 150)
    assert not files.are_in_place()


def test_where_nothing_was_at_the_beginning_nothing_is_in_place(tmp_path: Path) -> None:
    files = FilesInPlace(tmp_path)
    (tmp_path / "handsfree.db").touch()
    assert not files.are_in_place()


def test_a_job_is_saved_beside_its_log_at_home_or_where_temporary_files_are_under_a_new_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home, temporary = tmp_path / "home", tmp_path / "temporary"
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(temporary))
    name = "handsfree-saved-2026-11-25-090000"
    (tmp_path / name).mkdir()
    for again in ("", "-2", "-3"):
        (home / f"{name}{again}").mkdir(parents=True)
    assert list(new_folders(tmp_path / "logs", AT)) == [tmp_path / f"{name}-2", temporary / name]


def test_a_write_ahead_log_that_is_made_by_the_first_write_has_to_stay_from_then_on(log: Path) -> None:
    (log / "handsfree.db-wal").unlink()
    files = FilesInPlace(log)
    assert files.are_in_place()
    (log / "handsfree.db-wal").touch()
    assert files.are_in_place()
    _another(log / "handsfree.db-wal")
    assert not files.are_in_place()


def _kept_for(folder: Path, job: str, level: float) -> Path:
    sha = keep_clip(folder, np.full(160, level))
    (folder / "locks").mkdir(exist_ok=True)
    expect(folder, job, sha)
    return clip_path(folder, sha)


def test_of_other_jobs_the_sounds_without_an_event_go_where_nobody_has_the_job_open(store: Store) -> None:
    job = fill(store, "worn")
    mine, free, busy = (_kept_for(store.folder, name, level) for name, level in (
        (job, 0.1), ("2026-11-25-8", 0.2), ("2026-11-25-9", 0.3)))  # fmt: skip
    strange = store.folder / "locks" / "no number.clip"
    shutil.copyfile(store.folder / "locks" / f"{job}.clip", strange)
    damaged = store.folder / "locks" / "2026-11-25-7.clip"
    damaged.write_text("../evil")
    with open_to_read(store.folder) as db, FileLock(store.folder / "locks" / "2026-11-25-9.lock"):
        assert db is not None
        clear_left_sounds(store.folder, db, job)
    assert [path.exists() for path in (mine, free, busy, strange, damaged)] == [False, False, True, True, False]
    assert [path.name for path in (store.folder / "locks").glob("*-9.clip")] == ["2026-11-25-9.clip"]


def test_a_sound_that_an_event_names_stays_although_its_arrival_was_not_noted(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        sha = log.keep_clip(np.full(160, 0.1))
        log.append(NoteKept(at=AT, id="n1", text="worn", seconds=0.01, clip=sha))
    expect(store.folder, log.job, sha)
    with store.resume(log.job):
        assert store.clip_path(sha).exists()
    assert list((store.folder / "locks").glob("*.clip")) == []


def test_a_log_on_a_disk_that_is_read_only_is_read_unless_something_waits_to_be_written_to_it(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = fill(store, "worn")
    version, tries = database._version, []

    def first_refused(db: sqlite3.Connection) -> int:
        tries.append(db)
        if len(tries) == 1:
            raise sqlite3.OperationalError("unable to open database file")
        return version(db)

    monkeypatch.setattr(database, "_version", first_refused)
    with open_to_read(store.folder) as db:
        assert db is not None
        assert db.execute("SELECT id FROM jobs").fetchall() == [(job,)]
    tries.clear()
    (store.folder / "handsfree.db-wal").write_bytes(b"x")
    with pytest.raises(LogFolderError, match="unable to open database file"), open_to_read(store.folder):
        pass


def test_a_log_that_another_has_brought_up_to_date_meanwhile_is_left_as_it_is(store: Store) -> None:
    fill(store, "worn")
    with closing(sqlite3.connect(store.file, isolation_level=None)) as db:
        before = db.execute("SELECT * FROM versions").fetchall()
        migrate(db, store.file)
        assert db.execute("SELECT * FROM versions").fetchall() == before
        assert not db.in_transaction


def test_an_owner_who_is_forgotten_already_is_not_forgotten_again(store: Store) -> None:
    with store.open_job(opened(owner="Mill Lane"), steps=1) as log:
        log.append(FactNoted(at=AT, id="f2", about="owner", text="Mrs Finch", corrects=None))
    assert forget_owner(store, " mill lane ", AT, files_too=False).jobs == (log.job,)
    count = len(store.events(log.job))
    again = forget_owner(store, "Mill Lane", AT, files_too=False)
    assert (again.jobs, again.entries, again.busy, again.in_chain) == ((), 0, (), ())
    assert len(store.events(log.job)) == count


def test_an_owner_in_a_log_of_an_earlier_version_is_forgotten_once(tmp_path: Path) -> None:
    store = Store(tmp_path)
    with closing(sqlite3.connect(store.file)) as db:
        db.executescript((DATA / "log-version-5.sql").read_text(encoding="utf-8"))
    first = forget_owner(store, "QUILL and co", AT, files_too=False)
    assert (first.jobs, first.in_chain) == (("2026-03-02-1",), ("2026-03-02-1",))
    count = len(store.events("2026-03-02-1"))
    again = forget_owner(store, "Quill and Co", AT, files_too=False)
    assert (again.jobs, again.in_chain, again.entries, again.clips, again.files, again.attached) == (
        (),
        (),
        0,
        0,
        0,
        (),
    )
    assert len(store.events("2026-03-02-1")) == count


def test_a_damaged_file_of_owners_is_among_the_faults_of_the_log(store: Store) -> None:
    with store.open_job(opened(owner="Mill Lane"), steps=1):
        pass
    assert file_faults(store) == []
    (store.folder / "personal.db").write_bytes(b"no database" * 500)
    (fault,) = file_faults(store)
    assert "personal.db" in fault and "file is not a database" in fault


def test_sounds_that_hold_others_are_proved_with_them(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        stretch, whole, plain = (log.keep_clip(np.full(160, level)) for level in (0.1, 0.2, 0.3))
        log.append(NoteKept(at=AT, id="e2", text="worn", seconds=0.02, clip=whole, holds=(stretch,)))
        log.append(NoteKept(at=AT, id="e3", text="bent", seconds=0.02, clip=plain))
        log.append(NoteKept(at=AT, id="e4", text="bent", seconds=0.02, clip=plain))
    store.clip_path(stretch).unlink()
    found = verify(store, log.job)
    assert (found.clips, found.deleted_clips, found.faults) == (2, 0, ())
    store.clip_path(plain).unlink()
    found = verify(store, log.job)
    assert found.clips == 1
    assert [fault.split(" is not at")[0] for fault in found.faults] == [f"clip {plain[:8]}"]


def test_a_lock_that_cannot_be_taken_at_all_is_told_as_a_fault_of_the_folder(store: Store) -> None:
    job = fill(store, "worn")
    (store.folder / "locks" / f"{job}.lock").unlink(missing_ok=True)
    (store.folder / "locks" / f"{job}.lock").mkdir()
    with pytest.raises(LogFolderError, match="Is a directory"):
        store.resume(job)


@pytest.mark.parametrize("samples", [np.zeros((2, 2)), np.zeros(0), np.zeros(4, np.int32), np.zeros((0, 1))])
def test_what_is_no_row_of_samples_is_no_sound(tmp_path: Path, samples: np.ndarray) -> None:
    with pytest.raises(ValueError, match=r"a clip is one row of samples|a clip's samples are float or int16"):
        keep_clip(tmp_path, samples)


def test_samples_are_kept_as_sixteen_bits_and_no_louder_than_those_hold(tmp_path: Path) -> None:
    given = np.array([0.0, 0.5, -0.5, 1.0, -1.0, 3.0, -3.0, np.nan, 1 / 32768])
    kept = clips.read_clip(tmp_path, keep_clip(tmp_path, given)) * 32768
    assert kept.tolist() == [0, 16384, -16384, 32767, -32768, 32767, -32768, 0, 1]
    whole = np.array([0, 1, -32768, 32767], np.int16)
    assert (clips.read_clip(tmp_path, keep_clip(tmp_path, whole)) * 32768).tolist() == [0, 1, -32768, 32767]


@pytest.mark.parametrize("name", ["", "ab" * 31, "AB" * 32, "../" + "ab" * 32, "ab" * 32 + "\n"])
def test_what_is_no_name_of_a_sound_never_becomes_that_of_a_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(LogCorrupt, match="is no name of a sound"):
        clip_path(tmp_path, name)


def test_a_job_is_called_by_its_number_however_that_was_typed() -> None:
    assert number_of("2026-11-25-12") == 12
    assert [typed_number(text) for text in (" 2026/11/25/3 ", "2026-11-25-3", "2026 11 25 3", "2026-11-25", "x")] == [
        "2026-11-25-3", "2026-11-25-3", "2026-11-25-3", "2026-11-25", "x",
    ]  # fmt: skip


def test_a_job_that_only_takes_apart_owes_no_part_its_way_back() -> None:
    off = PartsRemoved(at=AT, id="p2", sort="part", what="cover")
    assert unreconciled(fold([opened(purpose="stripping", procedure_name="strip"), off])) == []
    assert [each.part for each in unreconciled(fold([opened(), off]))] == ["cover"]


def test_a_finished_job_says_how_it_is_opened_again() -> None:
    assert str(JobFinishedAlready("2026-11-25-1")) == (
        "job 2026-11-25-1 is finished: open it again first, handsfree job reopen 2026-11-25-1 --reason WHY"
    )


def test_whoever_was_at_the_bench_is_told_the_last_one_first_and_once(store: Store) -> None:
    for day, names in enumerate((("Jo Tern", "Al Gable"), ("Mo Dun", "Jo Tern", None))):
        with store.open_job(opened(AT + timedelta(days=day)), steps=1) as log:
            for name in names:
                log.append(WorkerChanged(at=AT + timedelta(days=day), name=name))
    assert store.workers() == ["Jo Tern", "Mo Dun", "Al Gable"]


def test_nothing_of_a_log_stays_open_where_it_can_not_be_used(store: Store) -> None:
    job = fill(store, "worn")
    descriptors = Path("/proc/self/fd")
    if not descriptors.is_dir():
        pytest.skip("open files are not listed here")

    def open_files() -> list[str]:
        targets = [str(each.readlink()) for each in descriptors.iterdir() if each.is_symlink()]
        return [target for target in targets if target.startswith(str(store.folder))]

    def refused(act: Callable[[], object]) -> None:
        with pytest.raises(LogError):
            act()
        assert open_files() == []

    (store.folder / "locks" / "2026-11-25-2.lock").mkdir()
    refused(lambda: store.open_job(opened(), steps=1))
    refused(lambda: store.resume("2026-11-25-7"))
    with store.resume(job), pytest.raises(JobBusy):
        store.resume(job)
    assert open_files() == []
    with closing(sqlite3.connect(store.file)) as db:
        db.execute(f"PRAGMA user_version = {database.SCHEMA_VERSION + 1}")
    for act in (store.prepare, store.jobs, lambda: store.events(job), lambda: store.resume(job)):
        refused(act)


def test_what_is_in_memory_is_what_was_read_or_written_last(store: Store) -> None:
    job = fill(store, "worn")
    with store.resume(job) as log:
        events = log.events()
        folder = log.save_elsewhere(AT)
    assert folder is not None
    assert Store(folder).events(job) == events


@pytest.mark.parametrize(("size", "told"), [(26_499_990, "26 MB"), (26_500_010, "27 MB"), (25_000_001, "25 MB")])
def test_a_file_that_is_too_large_is_told_with_its_size(tmp_path: Path, size: int, told: str) -> None:
    with (tmp_path / "large").open("wb") as file:
        file.truncate(size)
    with pytest.raises(FileRefused, match=f"has {told}, and at most 25 MB can be attached"):
        content_of(tmp_path / "large")


def test_a_file_of_twenty_five_megabytes_is_just_taken(tmp_path: Path) -> None:
    with (tmp_path / "large").open("wb") as file:
        file.truncate(25_000_000)
    assert len(content_of(tmp_path / "large")) == 25_000_000


def test_a_file_is_kept_again_after_it_was_deleted(tmp_path: Path) -> None:
    sha = keep_file(tmp_path, b"photo")
    delete_file(tmp_path, sha)
    delete_file(tmp_path, sha)
    assert read_attached(tmp_path, keep_file(tmp_path, b"photo")) == b"photo"


def test_whoever_is_the_owner_is_not_how_they_are_reached(store: Store) -> None:
    with store.open_job(opened(owner="Mill Lane"), steps=1) as log:
        (job,) = store.jobs()
        assert (job.owner, job.contact) == ("Mill Lane", None)
        log.append(FactNoted(at=AT, id="f2", about="contact", text="0191 498 0143"))
        (job,) = store.jobs()
        assert (job.owner, job.contact) == ("Mill Lane", "0191 498 0143")


def test_a_job_of_another_owner_that_is_open_elsewhere_is_no_business_of_forgetting(store: Store) -> None:
    with store.open_job(opened(owner="Mill Lane"), steps=1):
        pass
    with store.open_job(opened(owner="Mrs Finch"), steps=1) as other:
        gone = forget_owner(store, "Mill Lane", AT, files_too=False)
    assert (gone.jobs, gone.busy) == (("2026-11-25-1",), ())
    with store.resume("2026-11-25-1"):
        assert forget_owner(store, "Mrs Finch", AT, files_too=False).jobs == (other.job,)


def test_a_job_without_any_event_has_the_hash_that_stands_before_its_first(store: Store) -> None:
    job = fill(store, "worn")
    with closing(sqlite3.connect(store.file)) as db, db:
        db.execute("DROP TRIGGER events_are_kept")
        db.execute("DELETE FROM events")
    (store.folder / "ledger.txt").unlink()
    assert store.last_hash(job) == first_link(job)
    assert verify(store, job).last_hash == first_link(job)


def test_a_file_in_place_of_the_folder_or_a_name_that_is_none_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(LogFolderError, match="it is not a folder"):
        Store(tmp_path / "file").numbers()
    with pytest.raises(LogFolderError, match="File name too long"):
        Store(tmp_path / ("x" * 5000)).numbers()


def test_events_of_other_types_than_they_were_written_with_are_counted(store: Store) -> None:
    job = fill(store, "worn", "bent")
    with closing(sqlite3.connect(store.file)) as db, db:
        db.execute("DROP TRIGGER events_stay")
        db.execute("UPDATE events SET seq = 'two' WHERE seq = 2")
        db.execute("UPDATE events SET body = x'00' WHERE seq = 3")
    faults = verify(store, job).faults
    assert faults[0] == "2 events are not kept as a number and words"
    assert verify(store, job).events == 2


def test_what_is_personal_and_was_spoken_is_missed_like_what_was_typed(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        sha = log.keep_clip(np.full(160, 0.1))
        log.append(FactNoted(at=AT, id="f2", about="owner", text="Mill Lane", clip=sha))
    assert verify(store, log.job).faults == ()
    (store.folder / "personal.db").unlink()
    assert verify(store, log.job).faults == ("what is personal of event 2 is not in personal.db",)


@pytest.mark.parametrize(
    "error", [OSError(28, "No space left on device"), OSError("a text alone"), ValueError("a text")]
)
def test_what_the_system_says_is_told_in_its_words(error: Exception) -> None:
    assert told_by_system(error) == (getattr(error, "strerror", None) or error.args[0])


def test_a_sound_that_was_never_written_is_expected_no_more(store: Store) -> None:
    job = fill(store, "worn")
    expect(store.folder, job, "ab" * 32)
    with store.resume(job):
        assert list((store.folder / "locks").glob("*.clip")) == []


def test_whoever_takes_a_scratch_folder_away_has_done_no_harm(tmp_path: Path) -> None:
    with scratch_folder(tmp_path, ".work-") as folder:
        shutil.rmtree(folder)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("error", "told"), [(sqlite3.OperationalError("disk I/O error"), LogWriteError), (KeyError("fault"), KeyError)]
)
def test_a_log_that_could_not_be_brought_up_to_date_is_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: Exception, told: type[Exception]
) -> None:
    file = tmp_path / "handsfree.db"

    def fails(db: sqlite3.Connection) -> None:
        db.execute("DROP TABLE events")
        raise error

    monkeypatch.setattr(migration, "_leave_the_log_alone", fails)
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        db.executescript((DATA / "log-version-3.sql").read_text(encoding="utf-8"))
        before = db.execute("SELECT * FROM events").fetchall()
        with pytest.raises(told):
            migrate(db, file)
        assert not db.in_transaction
        assert db.execute("SELECT * FROM events").fetchall() == before


def test_of_many_faults_of_a_file_the_first_are_told(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "damaged.db")) as db:
        db.execute("CREATE TABLE kept (a, b)")
        db.execute("CREATE INDEX kept_by ON kept (a)")
        db.executemany("INSERT INTO kept VALUES (?, ?)", [(number, number + 1000) for number in range(30)])
        db.commit()
        # From now on the index is said to be of something else than it is.
        db.execute("PRAGMA writable_schema = ON")
        db.execute("UPDATE sqlite_schema SET sql = 'CREATE INDEX kept_by ON kept (b)' WHERE name = 'kept_by'")
        db.commit()
    with closing(sqlite3.connect(tmp_path / "damaged.db")) as db:
        assert len(database_faults(db)) == 20
        assert len(database_faults(db, most=1)) == 1
        assert all("kept_by" in fault for fault in database_faults(db))
        assert database_faults(db, thorough=False) == []


def _ended(store: Store, *events: Event) -> list[tuple[str, str | None]]:
    with store.open_job(opened(), steps=1) as log:
        for event in events:
            log.append(event)
    return sorted((found.text, found.ended) for found in search(store.folder, "sticks"))


STICKS = FactNoted(at=AT, id="f2", about="complaint", text="it sticks")
TYPED = TextTyped(at=AT, id="f2", text="sticks, typed")
TAKEN_BACK = EntryWithdrawn(at=AT, id="f2", why="taken back")
CORRECTED = FactNoted(at=AT, id="f5", about="complaint", text="sticks no more", corrects="f2")


@pytest.mark.parametrize(
    ("after", "ended"),
    [
        ((), None), ((TYPED,), "typed later"), ((CORRECTED,), "corrected"), ((TAKEN_BACK,), "taken back"),
        ((TYPED, CORRECTED), "corrected"), ((CORRECTED, TYPED), "corrected"), ((TYPED, TAKEN_BACK), "taken back"),
        ((TAKEN_BACK, TYPED), "taken back"), ((CORRECTED, TAKEN_BACK), "taken back"),
        ((TAKEN_BACK, CORRECTED), "taken back"), ((TYPED, CORRECTED, TAKEN_BACK), "taken back"),
    ],
)  # fmt: skip
def test_what_became_of_a_text_is_told_by_the_strongest_word(
    store: Store, after: tuple[Event, ...], ended: str | None
) -> None:
    assert dict(_ended(store, STICKS, *after))["it sticks"] == ended


def test_a_line_of_the_ledger_is_as_long_as_it_ever_was(store: Store) -> None:
    # Those of earlier versions are read by their length.
    fill(store, "worn")
    fill(store, "bent", days=1)
    lines = (store.folder / "ledger.txt").read_bytes().splitlines(keepends=True)
    assert [len(line) for line in lines] == [128, 128]


def test_so_many_texts_are_found_at_most(store: Store) -> None:
    fill(store, *(f"pivot {number}" for number in range(51)))
    assert len(search(store.folder, "pivot")) == 50
    assert len(search(store.folder, "pivot", most=51)) == 51


def test_finished_jobs_are_among_the_earlier_ones_unless_they_are_not_wanted(store: Store) -> None:
    job = fill(store, "worn")
    with store.resume(job) as log:
        log.append(JobFinished(at=AT))
    assert [each.id for each in jobs_with(store, item="micrometer")] == [job]
    assert jobs_with(store, item="micrometer", finished=False) == []


def test_a_sound_of_the_greatest_length_is_just_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clips, "_BLOCK", 16_000)
    monkeypatch.setattr(clips, "_LONGEST_SECONDS", 1)
    assert len(clips.read_clip(tmp_path, keep_clip(tmp_path, np.full(16_000, 0.1)))) == 16_000
    with pytest.raises(LogCorrupt, match="it is longer than a clip can be"):
        clips.read_clip(tmp_path, keep_clip(tmp_path, np.full(16_001, 0.1)))


def test_whoever_holds_what_lies_beside_the_log_keeps_no_job_from_being_worked(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = fill(store, "worn")
    assert len(store.jobs()) == 1
    monkeypatch.setattr(ledger, "_LOCK_SECONDS", 0.01)
    monkeypatch.setattr(catalogue, "_BUSY_SECONDS", 0.01)
    locks = store.folder / "locks"
    with FileLock(locks / "ledger.lock"), FileLock(locks / "catalogue.lock"):
        second = fill(store, "bent", days=1)
        assert [job.id for job in store.jobs()] == [second, first]
    assert set(read_ledger(store.folder).jobs) == {first}
    store.prepare()
    assert set(read_ledger(store.folder).jobs) == {first, second}


def test_the_stretches_of_a_note_that_is_kept_whole_are_deleted_though_they_were_written(store: Store) -> None:
    with store.open_job(opened(), steps=1) as log:
        stretch, whole, alone = (log.keep_clip(np.full(160, level)) for level in (0.1, 0.2, 0.3))
        for sha in (stretch, alone):
            log.append(NoteStretch(at=AT, text="worn", seconds=0.01, clip=sha))
        log.append(NoteKept(at=AT, id="e4", text="worn", seconds=0.02, clip=whole, holds=(stretch,)))
    drop_held(store, log.job)
    assert [store.clip_path(sha).exists() for sha in (stretch, whole, alone)] == [False, True, True]


def test_a_log_that_was_brought_up_to_date_is_made_like_a_new_one(tmp_path: Path) -> None:
    def parts(folder: Path) -> set[tuple[str, str]]:
        Store(folder).prepare()
        with closing(sqlite3.connect(folder / "handsfree.db")) as db:
            rows = db.execute("SELECT type, name FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'")
            return {(str(kind), str(name)) for kind, name in rows}

    (tmp_path / "old").mkdir()
    with closing(sqlite3.connect(tmp_path / "old" / "handsfree.db")) as db:
        db.executescript((DATA / "log-version-3.sql").read_text(encoding="utf-8"))
    new, old = parts(tmp_path / "new"), parts(tmp_path / "old")
    assert {each for each in old if each[0] != "trigger"} == {each for each in new if each[0] != "trigger"}


def test_a_job_whose_number_is_none_is_among_the_faults(store: Store) -> None:
    fill(store, "worn")
    with closing(sqlite3.connect(store.file)) as db, db:
        db.execute("INSERT INTO jobs VALUES ('../evil', '2026-11-25T09:00:00+00:00', 't', 'p', NULL, NULL, NULL, 1)")
    faults = {found.job: found.faults for found in verify_all(store)}
    assert faults["2026-11-25-1"] == ()
    assert faults["../evil"] == ("this is no number of a job", "the job has no beginning")
