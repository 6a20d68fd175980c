"""Long work says how far it is on a terminal, and is silent where nobody looks."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from handsfree.cli import main
from tests.support.played import SMALL


class Screen(io.StringIO):
    """A terminal, as far as a program can tell."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "gate-latch.yaml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setattr(sys, "stdin", io.StringIO("next\n"))
    typed = ["--listen", "typed", "--speak", "print", "--logs", str(tmp_path / "logs")]
    assert main(["run", str(tmp_path / "gate-latch.yaml"), *typed]) == 0
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
