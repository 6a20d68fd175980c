"""Whose an item is and how to reach them: kept beside the chain, and so removed without breaking it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.cli import main
from handsfree.job.catalogue.search import search
from handsfree.job.events import Event, FactNoted, JobFinished, JobOpened, NoteKept, from_json
from handsfree.job.log import backup
from handsfree.job.log.beside import personal
from handsfree.job.log.forget import forget_owner
from handsfree.job.log.rescue import rescue
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.state import fold

DATA = Path(__file__).parents[1] / "data"
AT = datetime(2026, 3, 2, 9, tzinfo=UTC)
OWNER, NUMBER = "Wilhelmina Quarrystone", "0191 498 0143"


def _opened(owner: str | None = OWNER) -> JobOpened:
    return JobOpened(
        at=AT, title="", revision="", procedure_sha256="", procedure_text="", procedure_name="", item="Clock",
        owner=owner,
    )  # fmt: skip


def _fact(number: int, about: str, text: str, **more: str) -> FactNoted:
    return FactNoted(at=AT + timedelta(minutes=number), id=f"e{number}", about=about, text=text, **more)


def _taken_in(store: Store, *events: Event, owner: str | None = OWNER) -> str:
    with store.open_job(_opened(owner), 0) as log:
        for event in (_fact(2, "contact", NUMBER, heard="telephone number oh one nine"), *events):
            log.append(event)
        return log.job


def _everything(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())


def _files_with(folder: Path, text: str) -> set[str]:
    return {path.name for path in folder.rglob("*") if path.is_file() and text.encode() in path.read_bytes()}


def test_the_owner_is_known_from_the_log_but_stands_beside_it(store: Store) -> None:
    job = _taken_in(store)
    state = fold(store.events(job))
    assert (state.fact("owner"), state.fact("contact")) == (OWNER, NUMBER)
    assert [each.owner for each in store.jobs()] == [OWNER]
    assert [(each.job, each.text) for each in search(store.folder, "quarrystone")] == [(job, OWNER)]
    assert [each.text for each in search(store.folder, "0143")] == [NUMBER]
    for said in (OWNER, NUMBER, "oh one nine"):
        assert _files_with(store.folder, said) == {personal.PERSONAL_FILE}
    assert verify(store, job).faults == ()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(owner=st.text(min_size=1), contact=st.text(min_size=1))
def test_whatever_an_owner_is_called_comes_back_as_it_was_given(
    tmp_path_factory: pytest.TempPathFactory, owner: str, contact: str
) -> None:
    store = Store(tmp_path_factory.mktemp("logs"))
    with store.open_job(_opened(owner), 0) as log:
        log.append(_fact(2, "contact", contact))
        job = log.job
    assert (fold(store.events(job)).fact("owner"), fold(store.events(job)).fact("contact")) == (owner, contact)
    assert verify(store, job).faults == ()


def test_after_forgetting_nothing_of_it_is_shown_found_or_left_in_any_file(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    job, other = _taken_in(store, JobFinished(at=AT)), _taken_in(store, owner="Mill Lane")
    before = store.last_hash(job)
    assert main(["forget-owner", OWNER.upper(), "--logs", str(store.folder)]) == 0
    said = capsys.readouterr().out
    assert f"Two entries taken out of one job: {job}." in said
    assert "Backups, reports and job sheets made before still have it" in said
    assert [each.owner for each in store.jobs()] == ["Mill Lane", personal.FORGOTTEN]
    assert search(store.folder, "quarrystone") == []
    assert fold(store.events(job)).fact("contact") == personal.FORGOTTEN
    assert _files_with(store.folder, OWNER) == set()
    assert fold(store.events(other)).fact("contact") == NUMBER
    found = verify(store, job)
    assert (found.faults, found.added_since(before)) == ((), 1)
    for command in (["report", job, "--format", "json", "--to", "-"], ["review", job], ["jobs"]):
        main([*command, "--logs", str(store.folder)])
        assert OWNER not in capsys.readouterr().out


def test_no_name_is_found_by_trying_names_on_the_hashes_that_stay(store: Store) -> None:
    first, second = _taken_in(store), _taken_in(store)
    chained = [from_json(link.body) for job in (first, second) for link in store.links(job)]
    hashes = {event.personal for event in chained if event.personal}
    assert len(hashes) == 4  # the same name and number, never the same hash


def test_a_name_that_was_corrected_goes_without_the_one_that_stands(store: Store) -> None:
    job = _taken_in(store, _fact(3, "owner", "Mill Lane"))
    assert forget_owner(store, OWNER, AT, files_too=False).entries == 1
    state = fold(store.events(job))
    assert (state.fact("owner"), state.fact("contact")) == ("Mill Lane", NUMBER)
    assert forget_owner(store, "mill lane", AT, files_too=False).entries == 2
    assert fold(store.events(job)).fact("contact") == personal.FORGOTTEN


def test_the_sound_of_what_is_forgotten_goes_with_it_and_no_other(store: Store) -> None:
    with store.open_job(_opened(), 0) as log:
        mine, other = (log.keep_clip(np.full(160, level)) for level in (0.1, 0.2))
        log.append(_fact(2, "contact", NUMBER, clip=mine))
        log.append(NoteKept(at=AT, id="e3", text="pivot dry", seconds=0.01, clip=other))
        job = log.job
    assert forget_owner(store, OWNER, AT, files_too=False).clips == 1
    assert [store.clip_path(sha).exists() for sha in (mine, other)] == [False, True]
    assert verify(store, job).faults == ()


def test_a_job_that_is_open_elsewhere_is_named_and_the_others_are_forgotten(
    store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    one, other = _taken_in(store), _taken_in(store)
    with store.resume(one):
        assert main(["forget-owner", OWNER, "--logs", str(store.folder)]) == 1
    assert f"nothing of it was forgotten: {one}" in capsys.readouterr().out
    assert [each.owner for each in store.jobs()] == [personal.FORGOTTEN, OWNER]
    assert other in {each.id for each in store.jobs()}


def test_an_owner_whom_nobody_knows_is_said_to_be_unknown(store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    _taken_in(store)
    assert main(["forget-owner", "Nobody", "--logs", str(store.folder)]) == 0
    assert "No job" in capsys.readouterr().out


def test_a_backup_has_the_owners_and_one_made_after_forgetting_has_not(store: Store, tmp_path: Path) -> None:
    job = _taken_in(store)
    backup.save(store.folder, tmp_path / "before.zip")
    forget_owner(store, OWNER, AT, files_too=False)
    backup.save(store.folder, tmp_path / "after.zip")
    names = {}
    for when in ("before", "after"):
        backup.restore(tmp_path / f"{when}.zip", tmp_path / when)
        names[when] = fold(Store(tmp_path / when).events(job)).fact("owner")
        assert verify(Store(tmp_path / when), job).faults == ()
    assert names == {"before": OWNER, "after": personal.FORGOTTEN}
    assert OWNER.encode() not in _everything(tmp_path / "after")


def test_a_rescue_saves_the_owners_and_brings_nothing_back_that_was_forgotten(store: Store, tmp_path: Path) -> None:
    job, gone = _taken_in(store, owner="Mill Lane"), _taken_in(store)
    before = store.last_hash(job)
    forget_owner(store, OWNER, AT, files_too=False)
    assert rescue(store.folder, tmp_path / "saved", AT).whole
    saved = Store(tmp_path / "saved")
    assert saved.last_hash(job) == before
    assert fold(saved.events(job)).fact("owner") == "Mill Lane"
    assert fold(saved.events(gone)).fact("owner") == personal.FORGOTTEN
    assert verify(saved, job).faults == verify(saved, gone).faults == ()


def test_verify_notices_an_owner_that_was_changed_or_is_missing(store: Store) -> None:
    job = _taken_in(store)
    with closing(sqlite3.connect(store.folder / personal.PERSONAL_FILE)) as db, db:
        db.execute("UPDATE kept SET text = replace(text, 'Quarrystone', 'Sandstone')")
    assert verify(store, job).faults == ("what is personal of event 1 is not what was kept",)
    (store.folder / personal.PERSONAL_FILE).unlink()
    assert verify(store, job).faults == tuple(f"what is personal of event {n} is not in personal.db" for n in (1, 2))


def test_a_damaged_file_of_owners_keeps_no_job_from_being_worked(store: Store) -> None:
    job = _taken_in(store)
    (store.folder / personal.PERSONAL_FILE).write_bytes(b"x" * 4096)
    with store.resume(job) as log:
        assert fold(log.events()).fact("item") == "Clock"
        log.append(NoteKept(at=AT, id="e3", text="pivot dry", seconds=0.0))
    assert [each.owner for each in store.jobs()] == [None]
    (fault,) = verify(store, job).faults
    assert "personal.db can't be read" in fault


def test_an_owner_in_a_log_of_an_earlier_version_is_shown_no_more_and_said_to_stay(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = Store(tmp_path)
    with closing(sqlite3.connect(store.file)) as db:
        db.executescript((DATA / "log-version-5.sql").read_text(encoding="utf-8"))
    assert [job.owner for job in store.jobs()] == ["Mill Lane", "Quill and Co"]
    hashes = {job.id: store.last_hash(job.id) for job in store.jobs()}
    assert main(["forget-owner", "Quill and Co", "--logs", str(tmp_path)]) == 0
    assert "it is shown, exported and\nfound no more, but stands in the log's file" in capsys.readouterr().out.lower()
    assert [job.owner for job in store.jobs()] == ["Mill Lane", personal.FORGOTTEN]
    assert main(["report", "2026-03-02-1", "--format", "json", "--to", "-", "--logs", str(tmp_path)]) == 2
    assert all("Quill" not in event.model_dump_json() for event in store.events("2026-03-02-1"))
    assert search(tmp_path, "QX") == search(tmp_path, "Quill") == []
    assert [each.text for each in search(tmp_path, "sticks")] == ["the slide sticks"]
    found = verify(store, "2026-03-02-1")
    assert (found.faults, found.added_since(hashes["2026-03-02-1"])) == ((), 1)
    # An earlier Handsfree would not know what it must not show.
    with closing(sqlite3.connect(store.file)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (6,)
