"""The log deleted, moved, cut short or replaced in the middle of a job: seen before the next sentence, and told."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from handsfree.bench.bench import LOG_GONE
from handsfree.cli import main
from handsfree.job.events import NoteKept
from handsfree.job.log.store import Store
from tests.support.jobs import fill


class _Typed:
    """Typed lines, in the middle of which something happens to the log."""

    def __init__(self, before: list[str], hurt: Callable[[], object], after: list[str]) -> None:
        self._lines = (before, hurt, after)

    def __iter__(self) -> Iterator[str]:
        before, hurt, after = self._lines
        yield from before
        hurt()
        yield from after

    def isatty(self) -> bool:
        return False


def _deleted(logs: Path) -> None:
    shutil.rmtree(logs)


def _moved(logs: Path) -> None:
    logs.rename(logs.with_name("elsewhere"))


def _file_deleted(logs: Path) -> None:
    (logs / "handsfree.db").unlink()


def _wal_deleted(logs: Path) -> None:
    (logs / "handsfree.db-wal").unlink()


def _replaced(logs: Path) -> None:
    other = Store(logs.with_name("other"))
    fill(other, "another")
    shutil.rmtree(logs)
    other.folder.rename(logs)


def _cut_short(logs: Path) -> None:
    (logs / "handsfree.db").write_bytes(b"")


HURT = (_deleted, _moved, _file_deleted, _wal_deleted, _replaced, _cut_short)


@pytest.mark.parametrize("hurt", HURT)
@pytest.mark.parametrize(
    "after", [["note", "worn at the lower end", "end of note"], ["where am i"], []], ids=["note", "question", "nothing"]
)
def test_a_log_that_is_gone_is_told_before_the_next_sentence_and_the_job_is_saved(
    tmp_path: Path,
    procedure: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    hurt: Callable[[Path], None],
    after: list[str],
) -> None:
    # "Note kept", "Job is safe", it said with exit code 0, and there was no job.
    logs = tmp_path / "logs"
    typed = _Typed(["yes", "next", "note", "a burr at the pivot", "end of note"], lambda: hurt(logs), after)
    monkeypatch.setattr(sys, "stdin", typed)
    command = ["run", str(procedure), "--new", "--listen", "typed", "--speak", "print", "--logs", str(logs)]
    assert main(command) == 1
    said = capsys.readouterr()
    assert LOG_GONE in said.out
    assert said.out.count("Note kept") == 1
    assert "was deleted, moved or replaced" in said.err
    (saved,) = tmp_path.glob("handsfree-saved-*")
    assert f"--logs {saved}" in said.out
    store = Store(saved)
    (job,) = store.jobs()
    notes = [event for event in store.events(job.id) if isinstance(event, NoteKept)]
    assert [note.text for note in notes] == ["a burr at the pivot"]
    assert main(["verify", "--logs", str(saved)]) == 0
    monkeypatch.setattr(sys, "stdin", _Typed(["yes", "where am i"], lambda: None, []))
    again = [*command[:2], "--job", job.id, *command[3:-1], str(saved)]
    assert main(again) == 0
