"""Names that would steer a terminal, hide, or turn the direction of writing: no command prints them as they are."""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from handsfree.cli import command_line_parser, main
from handsfree.job.log import backup
from handsfree.job.log.store import Store
from handsfree.review.exports import to_csv
from tests.support.moving_in import moved_in
from tests.support.places import FIXTURES, REPOSITORY
from tests.support.played import SMALL

HOSTILE = "gauge \x1b[2J\x1b]0;owned\x07 \x9b31m \u202eevil\u2066 \x00\x85 \u200b"
LINES = "pattern C\n2026-01-01-1  finished  9 of 9"
STEERING = {*map(chr, (*range(0x20), *range(0x7F, 0xA0))), *"\u202a\u202b\u202d\u202e\u2066\u2067\u200b"} - {"\n"}


NAME = HOSTILE.replace("\x00", "")
"""As an argument can be."""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a procedure of hostile words, a log of hostile names and a backup of it."""
    folder = tmp_path_factory.mktemp("made")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        patch.setenv("XDG_CONFIG_HOME", str(folder / "home"))
        Path("job.yaml").write_text(SMALL, encoding="utf-8")
        escaped = HOSTILE.encode("unicode_escape").decode().replace("\\x85", "\\N").replace("\\x00", "\\0")
        evil = SMALL.replace("title: ", f'title: "{escaped}" # ', 1) + f'\n"{escaped}": 1\n'
        Path("evil.yaml").write_text(evil, encoding="utf-8")
        names = [NAME, "--serial", NAME, "--owner", LINES, "--complaint", NAME]
        assert main(["job", "new", "--logs", "logs", "--item", *names]) == 0
        (job,) = Store(Path("logs")).jobs()
        typed = ["--logs", "logs", "--listen", "typed", "--speak", "print"]
        lines = ["yes", "next", "log clearance nine thou", "leave open", "note", NAME, "end of note"]
        patch.setattr(sys, "stdin", io.StringIO("\n".join(lines) + "\n"))
        assert main(["run", "job.yaml", "--job", job.id, "--by", NAME, *typed]) == 0
        patch.setattr(sys, "stdin", io.StringIO("finished removing\n"))
        assert main(["strip", "Bench gauge", *typed]) == 0
        backup.save(Path("logs"), Path("saved.zip"))
    return folder


@pytest.fixture
def place(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The same, to be worked in."""
    monkeypatch.setenv("PYTHONPATH", str(REPOSITORY))
    return moved_in(made, tmp_path, monkeypatch)


COMMANDS: dict[str, list[list[str]]] = {
    "run": [["evil.yaml"], [NAME], ["job.yaml", "--new", "--item", NAME, "--listen", "typed", "--speak", "print"]],
    "rehearse": [["job.yaml", "--item", NAME, "--speak", "print"], [NAME]],
    "strip": [[NAME, "--listen", "typed", "--speak", "print"]],
    "demo": [["--to", f"nowhere/{NAME}"]],
    "hear": [[NAME], ["--procedure", NAME, "x.wav"], ["--procedure", "job.yaml", str(FIXTURES)]],
    "devices": [[]],
    "bench-check": [["--microphone", NAME, "--loudspeaker", NAME, "--recogniser", "vosk", "--vosk-model", NAME]],
    "fetch-model": [["--from", NAME], ["--from", "job.yaml", "--to", NAME]],
    "jobs": [[], ["--rehearsals"]],
    "job": [
        ["type", "JOB"], ["sign", "JOB", "--by", NAME], ["add", "JOB", "--note", NAME], ["take-back", "JOB", NAME],
        ["correct", "JOB", NAME, NAME], ["reopen", "JOB", "--reason", NAME], ["new", "--item", NAME], ["type", NAME],
        ["new", "--procedure", NAME], ["add", "JOB", "--fasteners", NAME], ["type", "JOB", "e9", NAME],
    ],
    "sheet": [["JOB", "--to", "-"], [NAME]],
    "orders": [[], ["--all"], [NAME]],
    "review": [["JOB"], ["JOB", "--history"], ["JOB", "--entries"], ["JOB", "--spoken"], ["STRIPPED"], [NAME]],
    "report": [*(["JOB", "--to", "-", "--format", form] for form in ("html", "csv", "json", "text")), [NAME]],
    "history": [[], [NAME], ["--item", NAME]],
    "search": [["gauge"], [NAME]],
    "phrases": [["evil.yaml"], [NAME], ["job.yaml"]],
    "check": [["evil.yaml"], [NAME], ["job.yaml"]],
    "schema": [[]],
    "draft": [["STRIPPED"], [NAME]],
    "propose": [["job.yaml"], [NAME]],
    "card": [["evil.yaml"], [NAME], ["job.yaml", "--to", "-"]],
    "figure": [[NAME], ["--workshop", NAME, "four"]],
    "verify": [[], [NAME], ["JOB", "--hash", NAME]],
    "backup": [[f"nowhere/{NAME}"]],
    "restore": [[NAME], ["saved.zip", "--logs", "job.yaml"]],
    "rescue": [["--to", NAME], ["--to", "job.yaml"]],
    "delete-sounds": [[NAME], ["JOB"]],
    "delete-files": [[NAME, "--reason", NAME], ["JOB", "--reason", NAME], ["JOB", NAME, "--reason", "x"]],
    "forget-owner": [[NAME], ["JOB"]],
    "where": [[], ["--logs", NAME]],
    "bill": [["JOB"], ["JOB", "--csv"], [NAME]],
    "tools": [[], [NAME], ["--workshop", NAME]],
    "check-tool": [[NAME, "--listen", "typed", "--speak", "print"]],
    "learn-voice": [["--by", NAME, "--listen", NAME, "--speak", "print"]],
    "voices": [[], ["--forget", NAME]],
}  # fmt: skip
"""For each command, what it is run with. A new command must have its line here: it may print names as well."""

NO_LOGS = (
    "demo",
    "hear",
    "devices",
    "bench-check",
    "fetch-model",
    "phrases",
    "check",
    "schema",
    "card",
    "figure",
    "learn-voice",
    "voices",
)


def _subcommands() -> dict[str, argparse.ArgumentParser]:
    (actions,) = (a for a in command_line_parser()._actions if isinstance(a, argparse._SubParsersAction))
    found: dict[str, argparse.ArgumentParser] = actions.choices
    return found


def test_every_command_is_tried() -> None:
    assert set(_subcommands()) == set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_no_command_prints_what_steers_a_terminal(
    place: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    jobs = {job.purpose: job.id for job in Store(Path("logs")).jobs()}
    names = {"JOB": jobs["repair"], "STRIPPED": jobs["stripping"]}
    for words in COMMANDS[command]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(f"{NAME}\nnote\n{NAME}\n"))
        where = [] if command in NO_LOGS or "--logs" in words else ["--logs", "logs"]
        capsys.readouterr()
        with contextlib.suppress(SystemExit):
            main([command, *(names.get(word, word) for word in words), *where])
        said = capsys.readouterr()
        shown = said.out.replace("\r\n", "\n") + said.err
        assert not STEERING & set(shown), (words, sorted(map(ascii, STEERING & set(shown))))


def test_a_name_of_two_lines_keeps_its_row(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    assert main(["jobs", "--logs", "logs"]) == 0
    # What does not fit its column goes on below it, indented; no name makes a row of its own.
    begun = [line.split()[0] for line in capsys.readouterr().out.splitlines() if not line.startswith(" ")]
    assert begun == ["job", *(job.id for job in Store(Path("logs")).jobs())]


def test_data_says_the_same_in_letters_that_can_be_shown(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import json

    job = min(job.id for job in Store(Path("logs")).jobs())
    capsys.readouterr()
    assert main(["report", job, "--to", "-", "--format", "json", "--logs", "logs"]) == 0
    assert json.loads(capsys.readouterr().out)["head"]["item"] == NAME


def _run(*words: bytes | str, lines: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "handsfree.cli", *words]
    given = {**os.environ, **environment}
    return subprocess.run(command, input=lines, capture_output=True, check=False, env=given, timeout=120)


def test_typed_bytes_that_are_no_text_end_nothing(place: Path) -> None:
    # The job ended, and with it the note so far.
    lines = b"yes\nnext\nnote\nworn \xff\xfe here\n~ two screws\nend of note\n\x9b\xff\nwhere am i\n"
    run = ("run", "job.yaml", "--new", "--serial", "9", "--logs", "logs", "--listen", "typed", "--speak", "print")
    done = _run(*run, lines=lines)
    assert done.returncode == 0, done.stderr
    assert done.stdout.count(b"Note kept") == 1
    newest = Store(Path("logs")).jobs()[0].id
    (note,) = [event.text for event in Store(Path("logs")).events(newest) if event.kind == "note kept"]
    assert note.startswith("worn ") and note.endswith("~ two screws")


@pytest.mark.parametrize(
    "words",
    [
        ("job", "new", "--item", b"\xff"), ("job", "add", "1", "--note", b"a\xff"), ("history", b"\xff"),
        ("review", b"\xff"), ("search", b"\xff"), ("figure", b"\xff"),
    ],
)  # fmt: skip
def test_an_argument_that_is_no_text_is_one_sentence(
    place: Path, capsys: pytest.CaptureFixture[str], words: tuple[str | bytes, ...]
) -> None:
    capsys.readouterr()
    # As the interpreter hands on what was given.
    assert main([*map(os.fsdecode, words), *(() if words[0] == "figure" else ("--logs", "logs"))]) == 2
    said = capsys.readouterr().err
    assert len(said.splitlines()) == 1
    assert "no text in UTF-8" in said


def test_a_program_that_is_given_bytes_that_are_no_text_says_so(place: Path) -> None:
    done = _run("search", b"\xff", "--logs", "logs")
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert b"no text in UTF-8" in done.stderr


def test_letters_that_the_output_can_not_show_end_no_command(place: Path) -> None:
    job = max(job.id for job in Store(Path("logs")).jobs() if job.purpose == "repair")
    assert main(["job", "add", job, "--note", "µm — “worn”", "--logs", "logs"]) == 0
    ascii_only = {"PYTHONIOENCODING": "ascii", "LC_ALL": "C"}
    for command in (["review", job], ["report", job, "--to", "-"]):
        done = _run(*command, "--logs", "logs", **ascii_only)
        assert done.returncode == 0, done.stderr
        assert b"Traceback" not in done.stderr


@pytest.mark.slow
def test_output_that_is_full_or_closed_is_one_sentence_at_most(place: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("the system has no /dev/full, a disk that is always full")
    base = [sys.executable, "-m", "handsfree.cli"]
    for command in (["jobs", "--logs", "logs"], ["schema"]):
        with Path("/dev/full").open("w") as full:
            done = subprocess.run([*base, *command], stdout=full, stderr=subprocess.PIPE, check=False, timeout=60)
        assert b"Traceback" not in done.stderr and len(done.stderr.splitlines()) <= 1, done.stderr
        closed = subprocess.run(
            ["sh", "-c", 'exec "$@" >&-', "sh", *base, *command], stderr=subprocess.PIPE, check=False, timeout=60
        )
        assert b"Traceback" not in closed.stderr, closed.stderr


@pytest.mark.parametrize("text", ["=1+1", "x;=1+1", "\n=1+1", "x; +1", "\t-1", "x\n@A1", "a;\r\n=1", "\t", "x|=1"])
def test_no_word_becomes_a_formula_whatever_separates_the_fields(text: str) -> None:
    import csv
    import re

    from handsfree.review.exports import safe_cell

    assert to_csv([]).count("\n") == 1
    for separator in ",;\t|":
        for row in csv.reader(io.StringIO(safe_cell(text)), delimiter=separator):
            assert not any(re.match(r"\s*[=+\-@]", field) for field in row), (separator, row)
