"""A figure that was changed in the log's file behind the program's back: whoever is shown it is told."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.errors import LogCorrupt
from handsfree.job.log.store import Store
from tests.support.played import Play


@pytest.fixture
def job(play: Play, store: Store) -> str:
    play("next", "log clearance four thou")
    return store.jobs()[0].id


@pytest.fixture
def changed(job: str, store: Store) -> str:
    """The job, its reading of 4 thou made one of 2; the entry's number stands in the words that are to be told."""
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("DROP TRIGGER events_stay")
        [(seq,)] = db.execute("SELECT seq FROM events WHERE kind = 'reading logged'").fetchall()
        db.execute('UPDATE events SET body = replace(body, \'"value":"4"\', \'"value":"2"\') WHERE seq = ?', (seq,))
        db.commit()
    return f"event {seq}, or one before it, is not what was written"


@pytest.mark.parametrize(
    "command", ["review", "bill", "report --to page.html", "report --format csv --to -", "sheet --to sheet.html"]
)
def test_whoever_looks_at_the_job_is_told(
    changed: str,
    job: str,
    store: Store,
    command: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main([*command.split(), "--logs", str(store.folder)]) == 1
    assert f"The log of job {job} does not hold: {changed}. Rely on nothing" in capsys.readouterr().err


def test_nothing_is_written_after_it_and_nobody_holds_the_job(changed: str, job: str, store: Store) -> None:
    for _ in range(2):
        with pytest.raises(LogCorrupt, match=f"job {job} is damaged .{changed}., so nothing is written to it"):
            store.resume(job)


def test_an_entry_that_is_gone_from_the_middle_is_told(
    changed: str, job: str, store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(store.file)) as db:
        db.execute("DROP TRIGGER events_are_kept")
        db.execute("DELETE FROM events WHERE seq = 2")
        db.commit()
    assert main(["review", "--logs", str(store.folder)]) == 1
    assert "event 2 is not there" in capsys.readouterr().err


def test_what_holds_is_shown_without_a_word(job: str, store: Store, capsys: pytest.CaptureFixture[str]) -> None:
    assert store.broken(job) is None
    assert main(["review", "--logs", str(store.folder)]) == 0
    assert capsys.readouterr().err == ""
