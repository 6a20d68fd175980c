"""``handsfree report`` as it is typed."""

from __future__ import annotations

import io
import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.commands.files import safe_name
from handsfree.job.events import FactNoted
from handsfree.job.log.store import Store
from handsfree.procedure.workshop import Workshop
from tests.support.browser import CHROMIUM, print_with_browser
from tests.support.played import Play


@pytest.fixture
def job(play: Play, store: Store) -> str:
    play("next", "log clearance four thou", "note", "the pivot is dry", "end of note")
    return store.jobs()[0].id


def test_the_report_goes_where_it_is_told_in_the_form_of_its_ending(
    job: str, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    logs = ["--logs", str(store.folder)]
    for name, begins in (("a.html", "<!DOCTYPE html>"), ("a.csv", "job,item,"), ("a.json", "{"), ("a.txt", "REVIEW")):
        assert main(["report", job, "--to", str(tmp_path / name), *logs]) == 0
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(begins)
        assert str(tmp_path / name) in capsys.readouterr().out
    assert main(["report", "--to", "-", "--format", "json", *logs]) == 0
    assert json.loads(capsys.readouterr().out)["head"]["job"] == job


def test_without_a_place_it_lies_in_this_folder_under_the_jobs_number(
    job: str, store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["report", "--logs", str(store.folder)]) == 0
    assert (tmp_path / f"job-{job}.html").is_file()


def test_the_report_carries_the_last_hash_and_says_that_the_log_holds(job: str, store: Store, tmp_path: Path) -> None:
    out = tmp_path / "a.html"
    assert main(["report", job, "--to", str(out), "--logs", str(store.folder)]) == 0
    text = out.read_text(encoding="utf-8")
    assert store.last_hash(job) in text
    assert "made anew for this report and holds" in re.sub(r"\s+", " ", text)


def test_a_place_that_can_not_be_written_is_named(
    job: str, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "nowhere" / "a.html"
    assert main(["report", job, "--to", str(out), "--logs", str(store.folder)]) == 2
    assert re.search(rf"{re.escape(str(out))} can't be written \(.+\)", capsys.readouterr().err)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("job 2026-11-25-1", "job-2026-11-25-1"),
        ("../../etc/passwd", "etc-passwd"),
        (".hidden", "hidden"),
        ("con: a\\b\0c|d", "con-a-b-c-d"),
        ("größe", "gr-e"),
        ("…", "job"),
        ("x" * 300, "x" * 80),
    ],
)
def test_a_file_name_is_safe_whatever_was_typed_or_said(text: str, name: str) -> None:
    assert safe_name(text) == name


@pytest.mark.skipif(not (CHROMIUM and shutil.which("pdftotext")), reason="Chromium and pdftotext are needed to print")
def test_what_the_owner_wants_to_know_of_two_procedures_is_printed_on_one_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    logs, page, printed = str(tmp_path / "logs"), tmp_path / "report.html", tmp_path / "report.pdf"
    lines = (
        "yes", "next", "next", "log end play one point four thou", "leave open", "next", "yes", "next", "next",
        "log twelve newton metres", "next", "next", "next", "log drag twenty two newton centimetres", "next",
        "log end play point four thou", "next", "log point five thou", "accept it", "new bearings are ordered", "next",
        "change to focusing slide", "log clearance four thou", "leave open", "next", "next", "pause the job",
    )  # fmt: skip
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
    bench = ("--listen", "typed", "--speak", "print", "--item", "Coldharbour bench lathe", "--serial", "B115")
    assert main(["run", "lathe-spindle", *bench, "--logs", logs]) == 0
    job = Store(Path(logs)).jobs()[0].id
    told = ("--complaint", "Chatters", "--condition", "Rusty nose", "--condition", "Belt cracked", "--material", "oil")
    found = ("--finding", "Nose burr", "--finding", "Outer race pitted", "--severity", "serious", "--out", "8 screws")
    assert main(["job", "add", job, *told, *found, "--logs", logs]) == 0
    assert main(["report", job, "--to", str(page), "--logs", logs]) == 0
    print_with_browser(page, printed)
    second = ["pdftotext", "-f", "2", "-l", "2", str(printed), "-"]
    after = subprocess.run(second, check=True, capture_output=True, text=True).stdout
    # Before it there is only the browser's own line with the time and the title of the page.
    assert "\n\nTechnical record\n" in after
    assert len(after.partition("\n\nTechnical record\n")[0].splitlines()) <= 3
    first = ["pdftotext", "-l", "1", str(printed), "-"]
    summary = subprocess.run(first, check=True, capture_output=True, text=True).stdout
    for words in (
        "Chatters",
        "Outer race pitted",
        "12 N m",
        "Rebuild of the focusing slide: 2 of 18 steps",
        "To watch",
    ):
        assert words in summary


def test_the_report_carries_the_hash_of_the_state_that_was_signed(play: Play, store: Store, tmp_path: Path) -> None:
    play("this is juliet tango", "next", "log clearance four thou", "sign off", "log clearance five thou")
    job = store.jobs()[0].id
    out = tmp_path / "a.html"
    assert main(["report", job, "--to", str(out), "--logs", str(store.folder)]) == 0
    text = re.sub(r"\s+", " ", out.read_text(encoding="utf-8"))
    signed = next(
        number for number, event in enumerate(store.events(job), 1)
        if isinstance(event, FactNoted) and event.about == "signed off"
    )  # fmt: skip
    # Signed is the state before the signature itself: that of the event before it.
    of_state = store.links(job)[signed - 2].hash
    assert f"State that JT signed, entry {signed - 1}" in text
    assert of_state in text
    assert of_state != store.last_hash(job)
    assert "Not signed off since" in text


def test_what_the_workshop_says_to_the_owner_stands_on_the_page_and_too_much_of_it_is_refused(
    job: str, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "a.html"
    command = ["report", job, "--to", str(out), "--logs", str(store.folder)]
    assert main([*command, "--say", "Keep it <b>dry</b>."]) == 0
    assert '<p class="say">Keep it &lt;b&gt;dry&lt;/b&gt;.</p>' in out.read_text(encoding="utf-8")
    assert main([*command, "--say", "dry " * 200]) == 2
    assert "--say has 799 letters; the owner's page has room for 600" in capsys.readouterr().err
    assert main([*command, "--say", "dry", "--without", "owner"]) == 2
    assert "--say is for the owner's page, which this report is without" in capsys.readouterr().err


def test_the_parts_of_a_report_are_the_workshops_and_can_be_chosen_once(
    job: str, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "a.html"
    command = ["report", job, "--to", str(out), "--logs", str(store.folder)]

    def parts(*options: str) -> list[bool]:
        assert main([*command, *options]) == 0
        text = out.read_text(encoding="utf-8")
        return [words in text for words in ("For the owner", "Technical record", "Time line", "<h3>Price</h3>")]

    assert parts() == [True, True, True, False]
    assert parts("--without", "time-line", "--with", "charges") == [True, True, False, True]
    monkeypatch.setattr(
        "handsfree.commands.jobs.report.load_workshop",
        lambda: Workshop(report=frozenset({"owner", "charges"})),
    )
    assert parts() == [True, False, False, True]
    assert parts("--with", "record", "--without", "charges") == [True, True, False, False]
    assert main([*command, "--without", "owner"]) == 2
    assert "a report needs the owner's page or the record" in capsys.readouterr().err


def test_a_note_for_the_owner_is_found_again_and_exported(
    job: str, store: Store, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    logs = ["--logs", str(store.folder)]
    assert main(["job", "add", job, "--for-the-owner", "The stop is straight again.", *logs]) == 0
    assert main(["search", "straight", *logs]) == 0
    assert "The stop is straight again." in capsys.readouterr().out
    assert main(["report", job, "--to", "-", "--format", "json", *logs]) == 0
    (fact,) = json.loads(capsys.readouterr().out)["facts"]
    assert (fact["about"], fact["text"]) == ("for the owner", "The stop is straight again.")
    assert main(["report", job, "--to", "-", "--format", "text", *logs]) == 0
    assert "Note for the owner" in capsys.readouterr().out
