"""What every command prints on a terminal of eighty columns: nothing wider, and nothing that is cut off."""

from __future__ import annotations

import argparse
import contextlib
import io
import re
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.cli import command_line_parser, main
from handsfree.commands.output import clean_streams
from handsfree.job.log import backup
from handsfree.job.log.store import Store
from tests.support.moving_in import moved_in
from tests.support.places import FIXTURES

COLUMNS = 80
ITEM = "Bench comparator with the long column, pattern C, second of the pair"
OWNER = "Mill Lane Repairs and Restorations, the upper workshop"
COMPLAINT = (
    "The slide sticks half way up when it is cold, and comes down by itself after an hour in a warm room; it was oiled "
    "twice by the last owner, who did not say with what"
)
PICTURE = b"\x89PNG\r\n\x1a\n" + bytes(64)


class Screen(io.StringIO):
    """A terminal, as far as a program that prints lines can tell."""

    def isatty(self) -> bool:
        return True


def _actions(parser: argparse.ArgumentParser, *name: str) -> list[tuple[str, ...]]:
    """Every command, and every action of those that have actions."""
    below = [action for action in parser._actions if isinstance(action, argparse._SubParsersAction)]
    if not below:
        return [name]
    return [each for action in below for word, sub in action.choices.items() for each in _actions(sub, *name, word)]


COMMANDS: dict[str, list[list[str]]] = {
    "run": [["focusing-slide", "--new", "--plain", "--listen", "typed", "--speak", "print"]],
    "rehearse": [["focusing-slide", "--plain", "--speak", "print"]],
    "strip": [[ITEM, "--plain", "--listen", "typed", "--speak", "print"]],
    "demo": [["--to", "no/such/folder/of/this/name/can/be/found/anywhere/on/the/disk/room.mp3"]],
    "hear": [[str(FIXTURES / "demo" / "script.txt")]],
    "devices": [[]],
    "bench-check": [["--recogniser", "vosk", "--vosk-model", "no-such-folder"]],
    "fetch-model": [["--from", "job.yaml"]],
    "jobs": [[], ["--all"], ["--rehearsals"]],
    "job new": [["--item", ITEM, "--owner", OWNER, "--complaint", COMPLAINT, "--serial", "BC 2207/1951-C"]],
    "job type": [["JOB"]],
    "job add": [["JOB", "--note", COMPLAINT]],
    "job correct": [["JOB", "e7", "two thou"], ["JOB", "nothing", "two thou"], ["DONE", "e7", "two thou"]],
    "job take-back": [["JOB", "no-such-entry"]],
    "job sign": [["JOB", "--by", OWNER]],
    "job reopen": [["DONE", "--reason", COMPLAINT]],
    "job hand-over": [["DONE"]],
    "job order": [["JOB", COMPLAINT]],
    "job ordered": [["JOB", "no-such-order"]],
    "job arrived": [["JOB", "no-such-order"]],
    "job attach": [["JOB", "picture.png", "--text", COMPLAINT]],
    "orders": [[], ["--all"]],
    "sheet": [["JOB", "--to", "sheet.html"]],
    "bill": [["JOB"]],
    "review": [["JOB"], ["JOB", "--history"], ["JOB", "--entries"], ["JOB", "--spoken"], ["APART"]],
    "report": [["JOB", "--to", "report.html"], ["JOB", "--to", "-", "--format", "text"]],
    "history": [[], ["gib clearance"], ["gib clearance", "--to", "history.html"]],
    "search": [["slide"]],
    "check": [["focusing-slide"], ["job.yaml"], ["broken.yaml"]],
    "phrases": [["focusing-slide"], []],
    "card": [["focusing-slide", "--to", "card.html"]],
    "draft": [["APART", "--to", "draft.yaml"]],
    "propose": [["focusing-slide"]],
    "schema": [],
    "figure": [["four", "and", "a", "half", "thou"], ["convert", "4", "thou", "to", "mm"], ["nonsense"]],
    "tools": [[]],
    "check-tool": [["micrometer", "three", "--listen", "typed", "--speak", "print"]],
    "learn-voice": [["--by", OWNER, "--listen", "no-such-recording.wav", "--speak", "print"]],
    "voices": [[], ["--forget", OWNER]],
    "where": [[]],
    "verify": [[], ["JOB"]],
    "backup": [["a-file-with-quite-a-long-name-for-the-whole-log-of-this-workshop.zip"]],
    "restore": [["saved.zip"]],
    "rescue": [["--to", "rescued"]],
    "delete-sounds": [["JOB"]],
    "delete-files": [["JOB", "--reason", "the owner asked"]],
    "forget-owner": [["JOB"]],
}
"""For each command, what it is run with. Data for programs (a schema, CSV, JSON, a patch) keeps its lines whole."""

NO_LOGS = {
    "demo", "hear", "devices", "bench-check", "fetch-model", "check", "phrases", "card", "schema", "figure", "tools",
    "learn-voice", "voices",
}  # fmt: skip

TYPED = """next
log clearance seven thou
note
the pivot is worn on the side of the pawl, it was bent before, and somebody has filed the end of it quite flat
end of note
help
where am i
review the job
leave
timer bath ten minutes
finish the job
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a log of long names, as a workshop has them."""
    folder = tmp_path_factory.mktemp("made")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("XDG_CONFIG_HOME", str(folder / "home"))
        Path("broken.yaml").write_text(f"title: 3\nitem: [{ITEM}]\nsteps:\n - do: {COMPLAINT}\n   unknown: 1\n")
        Path("job.yaml").write_text(
            f"title: {ITEM}\nitem: {ITEM}\nrevision: 1\nsteps:\n"
            f"  - do: {COMPLAINT.replace(';', ',')}\n    measure: {{name: play of the upper slide, unit: thou}}\n"
        )
        Path("picture.png").write_bytes(PICTURE)
        taken = ["--item", ITEM, "--owner", OWNER, "--complaint", COMPLAINT, "--serial", "BC 2207/1951-C"]
        assert main(["job", "new", "--logs", "logs", *taken]) == 0
        (job,) = Store(Path("logs")).jobs()
        typed = ["--logs", "logs", "--plain", "--listen", "typed", "--speak", "print"]
        patch.setattr(sys, "stdin", io.StringIO(f"log clearance four and a half thou\nleave open\n{TYPED}no\n"))
        assert main(["run", "focusing-slide", "--job", job.id, "--by", OWNER, *typed]) == 0
        patch.setattr(sys, "stdin", io.StringIO("finish the job\nyes\n"))
        assert main(["run", "lathe-spindle", "--new", "--item", ITEM, "--owner", OWNER, *typed]) == 0
        patch.setattr(sys, "stdin", io.StringIO("removed four screws, from the lower bracket\nfinished removing\n"))
        assert main(["strip", ITEM, *typed]) == 0
        backup.save(Path("logs"), Path("saved.zip"))
    return folder


@pytest.fixture
def place(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The same, to be worked in, on a terminal of eighty columns."""
    monkeypatch.setenv("COLUMNS", str(COLUMNS))
    monkeypatch.delenv("NO_COLOR", raising=False)
    return moved_in(made, tmp_path, monkeypatch)


def test_every_command_and_every_action_is_tried() -> None:
    assert {" ".join(each) for each in _actions(command_line_parser())} == set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_no_line_of_any_command_is_wider_than_the_terminal(
    place: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    jobs = {job.purpose: job.id for job in Store(Path("logs")).jobs() if job.status != "finished"}
    (done,) = (job.id for job in Store(Path("logs")).jobs() if job.status == "finished")
    names = {"JOB": jobs["repair"], "APART": jobs["stripping"], "DONE": done}
    for words in COMMANDS[command]:
        out, err = Screen(), Screen()
        monkeypatch.setattr(sys, "stdout", out)
        monkeypatch.setattr(sys, "stderr", err)
        monkeypatch.setattr(sys, "stdin", io.StringIO(TYPED))
        where = [] if command in NO_LOGS else ["--logs", "restored" if command == "restore" else "logs"]
        with contextlib.suppress(SystemExit):
            main([*command.split(), *(names.get(word, word) for word in words), *where])
        shown = re.sub(r"\x1b\[[0-9;]*[A-Za-z]", "", out.getvalue() + err.getvalue())
        assert shown.strip(), words
        # A place in the file system is one word, whose end is wanted as well.
        wide = [line for line in re.split("[\r\n]", shown) if len(line) > COLUMNS and " " in line.strip()]
        assert wide == [], words


def _printed(monkeypatch: pytest.MonkeyPatch, stream: io.StringIO, *texts: str) -> str:
    monkeypatch.setattr(sys, "stdout", stream)
    with clean_streams():
        for text in texts:
            sys.stdout.write(text)
    return stream.getvalue()


def test_what_is_read_by_a_program_keeps_its_lines(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "20")
    line = "one line that is longer than that\n"
    assert _printed(monkeypatch, io.StringIO(), line) == line
    assert _printed(monkeypatch, Screen(), line) == "one line that is\n    longer than that\n"


def test_a_command_to_be_copied_stays_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    command = "handsfree run focusing-slide --job 2026-11-26-1"
    shown = _printed(monkeypatch, Screen(), f"Job 2026-11-26-1 is safe. Take it up again: {command}\n")
    assert shown == f"Job 2026-11-26-1 is safe. Take it up again:\n    {command}\n"


@given(st.lists(st.from_regex(r"[ab ]{0,60}[ \n]", fullmatch=True), max_size=8), st.integers(10, 40))
def test_wrapping_loses_no_word_and_writes_no_line_that_is_too_wide(texts: list[str], width: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("COLUMNS", str(width))
        shown = _printed(patch, Screen(), *texts)
    assert shown.split() == "".join(texts).split()
    assert [line for line in shown.split("\n") if len(line.rstrip()) > width and len(line.split()) > 1] == []
