"""Long work says how far it is on a terminal, and is silent where nobody looks."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.commands import progress
from handsfree.job.catalogue import catalogue
from handsfree.job.log.store import Store
from tests.support.jobs import fill


class Screen(io.StringIO):
    """A terminal, as far as a program can tell."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def log(tmp_path: Path, procedure: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(sys, "stdin", io.StringIO("next\n"))
    typed = ["--listen", "typed", "--speak", "print", "--logs", str(tmp_path / "logs")]
    assert main(["run", str(procedure), *typed]) == 0
    return tmp_path / "logs"


@pytest.mark.parametrize("looked_at", [True, False])
def test_saving_and_bringing_back_tell_how_far_they_are_where_somebody_looks(
    log: Path, monkeypatch: pytest.MonkeyPatch, looked_at: bool
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    saved = str(log.parent / "saved.zip")
    for words, told in (
        (["backup", saved, "--logs", str(log)], ("saving", "reading again")),
        (["restore", saved, "--logs", str(log.parent / "back")], ("reading again", "bringing back")),
    ):
        out, err = io.StringIO(), Screen() if looked_at else io.StringIO()
        monkeypatch.setattr(sys, "stdout", out)
        monkeypatch.setattr(sys, "stderr", err)
        assert main(words) == 0
        shown = err.getvalue()
        if looked_at:
            assert all(words in shown for words in told)
            assert "1 of 1 files" in shown or "2 of 2 files" in shown
        else:
            assert shown == ""
        assert len(out.getvalue().splitlines()) == 1


def _printed(words: list[str], monkeypatch: pytest.MonkeyPatch, *, looked_at: bool) -> tuple[str, str]:
    out, err = io.StringIO(), Screen() if looked_at else io.StringIO()
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", err)
    assert main(words) == 0
    return out.getvalue(), err.getvalue()


def test_a_list_that_is_made_anew_tells_how_far_it_is_where_somebody_looks_and_jobs_are_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    store = Store(tmp_path / "logs")
    for day in range(3):
        fill(store, f"pivot {day}", days=day)
    for words in (["jobs"], ["search", "pivot"]):
        asked = [*words, "--logs", str(store.folder)]
        seen = []
        for many, looked_at in ((3, True), (3, False), (4, True)):
            for made in store.folder.glob("catalogue.*"):
                made.unlink()
            monkeypatch.setattr(catalogue, "MANY_JOBS", many)
            seen.append(_printed(asked, monkeypatch, looked_at=looked_at))
        answers, told = zip(*seen, strict=True)
        assert answers[0] == answers[1] == answers[2]
        assert "pivot" in answers[0] or "micrometer" in answers[0]
        assert told[1] == told[2] == ""
        assert "3 of 3 jobs" in told[0] and "indexing words" in told[0] and "listing" in told[0]
        # Nothing is left to be done, so nothing is told.
        assert _printed(asked, monkeypatch, looked_at=True) == (answers[0], "")


@pytest.mark.parametrize("command", [["history"], ["propose", "gate-latch.yaml"]])
def test_going_through_many_jobs_tells_how_far_it_is_where_somebody_looks(
    log: Path, monkeypatch: pytest.MonkeyPatch, command: list[str]
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.chdir(log.parent)
    asked = [*command, "--logs", str(log)]
    few, silent = _printed(asked, monkeypatch, looked_at=True)
    monkeypatch.setattr(progress, "MANY_THINGS", 1)
    piped, nothing = _printed(asked, monkeypatch, looked_at=False)
    watched, told = _printed(asked, monkeypatch, looked_at=True)
    assert few == piped == watched != ""
    assert silent == nothing == ""
    assert "reading" in told and "1 of 1 jobs" in told


@pytest.mark.parametrize("looked_at", [True, False])
def test_rescuing_tells_how_far_it_is_where_somebody_looks(
    log: Path, monkeypatch: pytest.MonkeyPatch, looked_at: bool
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    asked = ["rescue", "--to", str(log.parent / "saved"), "--logs", str(log)]
    answer, told = _printed(asked, monkeypatch, looked_at=looked_at)
    assert "events saved" in answer and "of 1 jobs" not in answer
    assert ("saving" in told and "1 of 1 jobs" in told) if looked_at else told == ""
