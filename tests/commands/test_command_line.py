"""The command line as a newcomer meets it: help, wrong input, interruption, the second run."""

from __future__ import annotations

import argparse
import io
import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.cli import command_line_parser, main
from handsfree.commands.bench.which_job import by_keyboard
from handsfree.job.log.store import Store
from tests.support.places import REPOSITORY
from tests.support.played import SMALL


def _parsers(parser: argparse.ArgumentParser, *name: str) -> dict[tuple[str, ...], argparse.ArgumentParser]:
    """Of every command and of every action of a command, by its words."""
    found = {name: parser}
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for word, below in action.choices.items():
                found.update(_parsers(below, *name, word))
    return found


PARSERS = _parsers(command_line_parser())
COMMANDS = sorted({name[0] for name in PARSERS if name})
QUOTED = r"(?m)^handsfree ([a-z][a-z-]+)(?![a-z-])(?! (?:new|add|type|correct|take-back|reopen|sign)\b)([^#\n]*)"
"""A command on a line of its own, but for those of ``job``, which has actions."""


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    return tmp_path / "logs"


def _type(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def _run(procedure: Path, logs: Path, *more: str) -> int:
    return main(["run", str(procedure), "--listen", "typed", "--speak", "print", "--logs", str(logs), *more])


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_a_help_text(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"])
    assert ended.value.code == 0
    assert len(capsys.readouterr().out) > 120


def test_the_list_of_commands_is_in_groups_and_has_each_of_them_once() -> None:
    help_text = command_line_parser().format_help()
    listed = re.findall(r"^  ([a-z][a-z-]+)  +[a-z]", help_text, re.MULTILINE)
    assert sorted(listed) == COMMANDS
    assert "work at the bench:\n  run " in help_text


@pytest.mark.parametrize("columns", [60, 80])
def test_no_line_of_any_help_is_wider_than_the_terminal(columns: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    wide = {
        (name, line)
        for name, parser in PARSERS.items()
        for line in parser.format_help().splitlines()
        # Examples and lists are written for 80 columns.
        if len(line) > (80 if line.startswith("  ") else columns)
    }
    assert wide == set()


@pytest.mark.parametrize("words", [["--help"], ["run", "--help"], ["job", "correct", "--help"]])
def test_help_loads_no_speech_engine_and_nothing_else_that_takes_long(words: list[str]) -> None:
    look = "import sys\nfrom handsfree.cli import main\ntry: main()\nexcept SystemExit: print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", look, *words], check=True, capture_output=True, text=True)
    loaded = done.stdout.splitlines()[-1].split()
    assert "handsfree.cli" in loaded
    assert {"numpy", "onnxruntime", "vosk", "pydantic", "sounddevice", "rich"} & set(loaded) == set()


def test_every_command_is_in_the_readme() -> None:
    assert len(COMMANDS) > 25
    readme = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    assert [command for command in COMMANDS if f"handsfree {command}" not in readme] == []


PAGES = ("README.md", "procedures/README.md", *(f"handsfree/{room}/README.md" for room in
         ("display", "hearing", "job/log", "phrases")))  # fmt: skip


def test_the_commands_that_the_pages_quote_take_the_options_that_they_give_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    pages = "\n".join((REPOSITORY / page).read_text(encoding="utf-8") for page in PAGES)
    quoted = [(command, re.findall(r"--[a-z-]+", rest)) for command, rest in re.findall(QUOTED, pages)]
    assert len(quoted) > 10
    unknown = []
    for command, options in quoted:
        with pytest.raises(SystemExit):
            main([command, "--help"])
        text = capsys.readouterr().out
        unknown += [f"{command} {option}" for option in options if f"{option} " not in f"{text} ".replace("]", " ")]
    assert unknown == []


@pytest.mark.parametrize("page", [*PAGES, "DEVELOPERS.md", "audio_fixtures/README.md"])
def test_what_the_pages_lead_to_is_there(page: str) -> None:
    place = REPOSITORY / page
    links = re.findall(r"\]\(([^)#:]+)\)", place.read_text(encoding="utf-8"))
    assert [link for link in links if not (place.parent / link).exists()] == []


def test_no_command_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([])
    assert ended.value.code == 2
    assert "COMMAND" in capsys.readouterr().err


def test_a_typed_job_from_start_to_review(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _type(monkeypatch, "next", "log clearance four thou", "finish the job", "yes")
    assert _run(procedure, logs, "--item", "Gauge <7>", "--serial", "A 12", "--owner", "Mrs Marsh") == 0
    out = capsys.readouterr().out
    assert "Latch clearance, four thou. In limits." in out
    assert "is finished. Its review: handsfree review" in out
    assert main(["jobs", "--logs", str(logs)]) == 0
    assert "Gauge <7>" in capsys.readouterr().out
    assert main(["review", "--logs", str(logs)]) == 0
    review = capsys.readouterr().out
    assert all(text in review for text in ("Mrs Marsh", "A 12", "latch clearance", "4 thou", "3 to 5 thou"))


def test_an_unfinished_job_is_taken_up_where_it_was(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _type(monkeypatch, "next", "log clearance four thou")
    assert _run(procedure, logs) == 0
    job = Store(logs).jobs()[0].id
    line = f"Job {job} is safe at step two. Take it up again: handsfree run {procedure} --job {job}"
    assert line in capsys.readouterr().out
    _type(monkeypatch, "yes")
    assert _run(procedure, logs) == 0
    lines = capsys.readouterr().out.splitlines()
    out = " ".join(part for line in lines for part in line[19:].split())
    assert "Danger stands since step one. Spring under load." in out
    assert "Last done: step one, Press the spring down and hook it." in out
    assert "Half done: step two, latch clearance logged. Go on from step two? Yes or no." in out


def test_the_item_its_serial_number_and_its_owner_are_named_when_a_job_is_taken_up(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _type(monkeypatch, "next")
    assert _run(procedure, logs, "--item", "Bench gauge", "--serial", "B 12", "--owner", "Mill Lane") == 0
    capsys.readouterr()
    _type(monkeypatch)
    assert _run(procedure, logs) == 0
    out = " ".join(line[19:].strip() for line in capsys.readouterr().out.splitlines())
    assert "Job taken up again: Bench gauge. Serial number bravo one two. Owner Mill Lane." in out


def test_with_unfinished_jobs_of_several_items_run_asks_which(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for serial in ("12", "13"):
        _type(monkeypatch, "next")
        assert _run(procedure, logs, "--serial", serial, "--owner", "Mill Lane", "--new") == 0
    newer, older = (job.id for job in Store(logs).jobs())
    capsys.readouterr()
    _type(monkeypatch, "yes")
    assert _run(procedure, logs) == 2
    refused = capsys.readouterr().err
    assert f"{newer} (Bench gauge, pattern C, serial number 13, Mill Lane); {older} (" in refused
    _type(monkeypatch, "7", "2")
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    unfinished = Store(logs).unfinished("gate-latch")
    assert by_keyboard(unfinished) == older
    out = capsys.readouterr().out
    assert f"  2  Bench gauge, pattern C, serial number 12, Mill Lane; job {older}, 1 of 5 steps" in out
    assert "There are 1 to 2." in out
    _type(monkeypatch)
    assert _run(procedure, logs, "--job", older) == 0
    assert "Serial number one two." in " ".join(line[19:].strip() for line in capsys.readouterr().out.splitlines())


def test_a_changed_procedure_does_not_change_a_job_under_way(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _type(monkeypatch, "next")
    _run(procedure, logs)
    procedure.write_text(SMALL.replace("Set the latch clearance", "Set it as you like"), encoding="utf-8")
    _type(monkeypatch, "yes")
    _run(procedure, logs)
    out, err = capsys.readouterr()
    assert "Set it as you like" not in out
    assert "has changed since" in err


def test_without_jobs_the_list_says_how_to_begin(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "--logs", str(logs)]) == 0
    assert "No jobs yet" in capsys.readouterr().out
    assert not logs.exists()


BAD_PROCEDURES = {
    "an unknown key": (SMALL.replace("why:", "wy:"), "wy"),
    "a wrong unit": (SMALL.replace("unit: thou", "unit: furlongs", 1), "furlongs"),
    "limits the wrong way round": (SMALL.replace("[3, 5]", "[5, 3]", 1), "wrong way round"),
    "a duplicate identifier": (SMALL.replace("id: cure", "id: set"), "set"),
    "an empty file": ("", "empty"),
    "not YAML": ("title: [unclosed\n", "bracket"),
}


@pytest.mark.parametrize("case", BAD_PROCEDURES)
@pytest.mark.parametrize("command", ["run", "check"])
def test_a_bad_procedure_is_told_with_file_and_line_and_exit_code_2(
    case: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text, word = BAD_PROCEDURES[case]
    path = tmp_path / "bad.yaml"
    path.write_text(text, encoding="utf-8")
    more = ["--listen", "typed", "--logs", str(tmp_path / "logs")] if command == "run" else []
    assert main([command, str(path), *more]) == 2
    out, err = capsys.readouterr()
    told = out + err
    assert "bad.yaml:" in told
    assert word in told
    assert "Traceback" not in told
    assert not (tmp_path / "logs").exists()


def _expect(code: int, word: str, arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(arguments) == code
    err = capsys.readouterr().err
    assert word in err
    assert len(err.strip().splitlines()) <= 2


def test_a_procedure_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    _expect(2, "focusing-slide", ["phrases", "focusing-slid"], capsys)


def test_a_recording_that_is_no_sound(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "words.wav"
    path.write_text("not a sound")
    _expect(2, "words.wav", ["hear", str(path)], capsys)


def test_a_recording_that_is_empty(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "empty.wav"
    soundfile.write(path, np.zeros(0, np.float32), 16000)
    _expect(2, "empty.wav", ["hear", str(path)], capsys)


def test_no_recogniser_is_opened_where_there_is_nothing_to_hear(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    nowhere = ["--recogniser", "vosk", "--vosk-model", str(tmp_path / "no model")]
    _expect(2, "none.wav", ["hear", *nowhere, str(tmp_path / "none.wav")], capsys)


def test_one_bad_recording_does_not_spoil_the_others(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    quiet = tmp_path / "quiet.wav"
    soundfile.write(quiet, np.zeros((44100, 2), np.float32), 44100)
    assert main(["hear", "--json", str(tmp_path / "none.wav"), str(quiet)]) == 2
    out, err = capsys.readouterr()
    record = json.loads(out)
    assert (record["file"], record["hearing"], record["intent"]) == (str(quiet), "none", None)
    assert "none.wav" in err


def test_a_log_folder_that_cannot_be_written(
    procedure: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("")
    _type(monkeypatch, "next")
    assert _run(procedure, in_the_way / "logs") == 2
    assert "file" in capsys.readouterr().err


def test_a_job_that_is_open_elsewhere(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    other = _start(procedure, logs)
    try:
        _type(monkeypatch, "next")
        assert _run(procedure, logs) == 1
        assert "open in another Handsfree" in capsys.readouterr().err
    finally:
        other.kill()
        other.wait()


def _start(procedure: Path, logs: Path) -> subprocess.Popen[str]:
    """A job in a process of its own that has begun and waits for a line."""
    command = [sys.executable, "-u", "-m", "handsfree.cli", "run", str(procedure), "--listen", "typed"]
    process = subprocess.Popen(
        [*command, "--speak", "print", "--logs", str(logs)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    while "Step one" not in process.stdout.readline():
        assert process.poll() is None
    return process


def test_ctrl_c_leaves_a_job_that_can_be_taken_up(procedure: Path, logs: Path) -> None:
    process = _start(procedure, logs)
    assert process.stdin is not None
    process.stdin.write("next\n")
    process.stdin.flush()
    assert process.stdout is not None
    while "Step two" not in process.stdout.readline():
        assert process.poll() is None
    process.send_signal(signal.SIGINT)
    out, _ = process.communicate(timeout=20)
    assert process.returncode == 1
    assert "is safe at step two" in out
    assert "Traceback" not in out


@pytest.mark.parametrize("columns", ["40", "80", "100", "200"])
def test_the_phrases_name_what_a_procedure_measures_however_wide_the_terminal_is(
    columns: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert main(["phrases", "focusing-slide"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "stop clearance or stop gap" in out
    assert "what comes after" in out


def test_the_shipped_procedures_are_good(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "focusing-slide"]) == 0
    assert capsys.readouterr().out == "focusing-slide: good\n"


def test_time_can_be_let_pass_in_typed_lines_and_nonsense_is_told(
    procedure: Path, logs: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _type(monkeypatch, "~ a fortnight")
    assert _run(procedure, logs) == 0
    assert "names no time" in capsys.readouterr().out
