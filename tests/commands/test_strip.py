"""Taking apart from the command line: as part of a job that was taken in, in the words of a file."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.log.store import Store
from handsfree.phrases.disassembly.words import BUILT_IN

Say = Callable[..., str]


@pytest.fixture
def say(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Say:
    """Runs a command with typed lines; what it printed."""
    monkeypatch.chdir(tmp_path)

    def run(*arguments: str, lines: tuple[str, ...] = (), code: int = 0) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("\n".join((*lines, ""))))
        assert main([*arguments, "--logs", str(tmp_path / "log")]) == code
        return capsys.readouterr().out

    return run


TYPED = ("--listen", "typed", "--speak", "print")


def test_a_job_that_was_taken_in_is_taken_apart_then_worked_and_reported_as_one(say: Say, tmp_path: Path) -> None:
    say("job", "new", "--item", "Bench lathe", "--serial", "114", "--owner", "Mill Lane")
    (job,) = (each.id for each in Store(tmp_path / "log").jobs())
    (tmp_path / "words.yaml").write_text("parts: [chip guard]\n", encoding="utf-8")
    lines = ("end play nine thou", "removed the chip guard", "tray one", "pause the job")
    apart = say("strip", "--job", job, "--words", "words.yaml", "--by", "Jo", *TYPED, lines=lines)
    assert "Taking apart: Bench lathe." in apart
    assert "Tray one: one chip guard." in apart
    assert f"handsfree strip 'Bench lathe' --job {job}" in apart
    worked = say("run", "lathe-spindle", "--job", job, *TYPED, lines=("pause the job",))
    assert "Step one" in worked
    assert [each.id for each in Store(tmp_path / "log").jobs()] == [job]
    review = say("review", job)
    for words in ("The chip guard. Tray 1.", "end play: 9 thou", "Preload and run-out of the spindle"):
        assert words in review
    assert "Fit the chip guard." in say("draft", job)
    assert "The chip guard" in say("report", job, "--format", "text", "--to", "-")


def test_taking_apart_wants_an_item_or_a_job(say: Say) -> None:
    say("strip", *TYPED, code=2)


def test_what_can_be_said_while_taking_apart_is_printed_with_the_words_that_are_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "words.yaml").write_text("parts: [chip guard]\nsizes: [hook thread]\n", encoding="utf-8")
    assert main(["phrases", "strip", "--words", "words.yaml"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for words in ("everything removed since the last tray", "chip guard", "hook thread", ", ".join(BUILT_IN.heads),
                  "end of taking apart"):  # fmt: skip
        assert words in said
