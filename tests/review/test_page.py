"""The report of a job, as a page that somebody opens, prints or reads aloud."""

from __future__ import annotations

import base64
import re
import shutil
import subprocess
from datetime import timedelta
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.job.events import (
    Event,
    FactNoted,
    JobFinished,
    NoteKept,
    OutcomeGiven,
    ReadingSettled,
    StepDone,
    StepSkipped,
)
from handsfree.job.state import fold
from handsfree.review.pages.report import MOST_ACTS, MOST_TOLD, Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.source import procedure_of
from tests.support.places import REPOSITORY
from tests.support.story import OPENED, STORY, at, reading

FLAC = b"fLaC-not-really"
INTEGRITY = Integrity(("The chain holds.",), (("Last hash of the log", "ab" * 32),))


def page(*events: Event, opened: Event = OPENED, sound: bytes | None = FLAC) -> str:
    story = [opened, *events]
    procedure = procedure_of(OPENED)
    record = record_of({OPENED.procedure_name: procedure}, fold(story), story, job="2026-11-25-1")
    return report_page(
        record,
        {OPENED.procedure_name: procedure},
        integrity=INTEGRITY,
        written_at=at(200),
        version="1",
        sound=lambda _: sound,
    )


def summary(text: str) -> str:
    return plain(text.partition('id="summary"')[2].partition('id="record"')[0])


def plain(markup: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", markup)).replace(" ,", ",")


class Outline(HTMLParser):
    """Elements and their attributes, in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))


def test_the_first_page_tells_the_owner_what_was_found_done_measures_now_and_is_to_watch() -> None:
    found = reading(2, "9 thou", occasion="as found", decision="out of limits", beyond="4 thou", side="high")
    words = summary(page(found, *STORY))
    order = [words.index(heading) for heading in ("Found", "Done", "Measures now", "To watch")]
    assert order == sorted(order)
    assert "end float: 9 thou, out of limits, 4 thou over" in words
    assert "2 of 3 steps done, 1 skipped" in words
    assert re.search(
        r"end float 1 thou 2 to 5 thou out of limits, 1 thou under ; accepted: owner wants it tight", words
    )
    assert "Skipped (gasket to come): Put the cover on." in words
    assert "second shim is bent" not in words
    done = words[order[1] : order[2]]
    assert ("Set the end float." in done, "Put the cover on." in done) == (True, False)


def test_what_was_wrong_as_found_and_is_right_now_is_not_to_be_watched() -> None:
    found = reading(2, "9 thou", occasion="as found", decision="out of limits", beyond="4 thou", side="high")
    left: list[Event] = [ReadingSettled(at=at(2), id="r2"), OutcomeGiven(at=at(3), id="r2", outcome="left open")]
    before = summary(page(found, *left)).split("To watch")[1]
    after = summary(page(found, *left, reading(9, "3 thou"), ReadingSettled(at=at(9), id="r9"))).split("To watch")[1]
    assert "9 thou" in before
    assert "9 thou" not in after


def test_a_long_job_still_has_a_first_page() -> None:
    acts = "".join(f"  - {{id: s{n}, do: Turn screw number {n} by a quarter.}}\n" for n in range(60))
    opened = OPENED.model_copy(update={"procedure_text": f"title: t\nitem: i\nrevision: '1'\nsteps:\n{acts}"})
    procedure = procedure_of(opened)
    story: list[Event] = [opened, *(StepDone(at=at(n), step=f"s{n}") for n in range(50))]
    record = record_of({OPENED.procedure_name: procedure}, fold(story), story, job="1")
    text = report_page(record, {OPENED.procedure_name: procedure}, integrity=INTEGRITY, written_at=at(99), version="1")
    assert f"and {50 - MOST_ACTS} more steps in the technical record" in summary(text)
    assert "and 3 more in the technical record" in summary(text)


def test_the_record_holds_every_reading_with_its_limits_as_a_chart() -> None:
    text = page(*STORY)
    charts = [piece.partition("</figure>")[0] for piece in text.split('role="img"')[1:]]
    assert len(charts) == 2
    assert 'width="100%"' in charts[0]
    for said in ("9 thou", "15 thou", "3 thou", "1 thou"):
        assert said in charts[0]
    assert charts[0].count('class="gone" d=') == 3
    assert 'class="out hollow"' in charts[0]
    assert 'class="zone"' in charts[0]
    assert 'class="zone"' not in charts[1]


def test_charts_are_told_in_words() -> None:
    outline = Outline(page(*STORY)).elements
    charts = [attributes for tag, attributes in outline if tag == "svg" and attributes.get("role")]
    ids = {attributes.get("id") for _, attributes in outline}
    assert len(charts) == 2
    assert all(chart["role"] == "img" and set((chart["aria-labelledby"] or "").split()) <= ids for chart in charts)
    words = re.findall(r"<desc[^>]*>(.*?)</desc>", page(*STORY))
    assert words[0].startswith("Limits: 2 to 5 thou. As set: 9 thou, out of limits, set again.")
    assert words[1] == "No limits. As set: 40.1 mm, taken back. As set: 40.2 mm."


def test_a_figure_that_the_procedure_does_not_know_is_told_with_the_limits_of_the_log() -> None:
    # As when the file was changed after the job: the log says by what it was judged.
    shake = reading(20, "0.4 mm", characteristic="side shake", unit="mm", limits="0.2 to 0.5 mm")
    words = re.findall(r"<desc[^>]*>(.*?)</desc>", page(*STORY, shake))
    assert words[-1] == "Limits: 0.2 to 0.5 mm. As set: 0.4 mm, in limits."


def test_a_job_without_limits_says_that_nothing_was_judged_and_one_with_them_by_which_uncertainty() -> None:
    length = {"characteristic": "spindle length", "unit": "mm", "limits": "none", "decision": "no limits"}
    unjudged = plain(page(reading(16, "40.1 mm", **length, tool=None, uncertainty=None)))
    assert "No figure was judged against limits." in unjudged
    assert "ISO 14253-1" not in unjudged
    judged = plain(page(*STORY))
    assert "No figure was judged against limits." not in judged
    assert "Decided by the rule of ISO 14253-1" in judged
    assert "U of feeler gauge: 0.25 thou." in judged
    assumed = plain(page(reading(3, "3 thou", uncertainty_assumed="half the resolution")))
    assert "U of feeler gauge: 0.25 thou (assumed: half the resolution)." in assumed


def test_headings_are_in_order_and_none_is_left_out() -> None:
    levels = [int(tag[1]) for tag, _ in Outline(page(*STORY)).elements if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_notes_can_be_heard_from_the_page_itself() -> None:
    sounds = [attributes for tag, attributes in Outline(page(*STORY)).elements if tag == "audio"]
    assert sounds
    assert all("controls" in sound and sound["aria-label"] for sound in sounds)
    kinds, _, content = (sounds[0]["src"] or "").partition(",")
    assert kinds == "data:audio/flac;base64"
    assert base64.b64decode(content) == FLAC
    assert "<audio" not in page(*STORY, sound=None)


def test_corrections_are_told_with_what_stood_before_and_how_much_later() -> None:
    words = plain(page(*STORY))
    assert "end float, as set: 3 thou, corrected from 15 thou, one minute later" in words
    assert "end float, as set: 9 thou, set again, one minute later" in words
    assert "spindle length, as set: 40.1 mm, taken back, one minute later" in words


def test_the_page_asks_for_nothing_from_outside_and_runs_no_script() -> None:
    text = page(*STORY)
    assert not re.search(r"https?:|//[a-z]", text)
    assert "@import" not in text
    assert re.findall(r"url\((?!#)", text) == []
    for tag, attributes in Outline(text).elements:
        assert tag not in ("script", "link", "iframe", "object", "img")
        assert not any(name.startswith("on") for name in attributes)
        assert (attributes.get("src") or "data:").startswith("data:")
        assert "href" not in attributes


WILD = '<script>alert("1")</script>&<b x=\'"></style></svg></title>'


def test_whatever_was_said_or_typed_is_only_text() -> None:
    opened = OPENED.model_copy(update={"item": WILD, "serial": WILD, "owner": WILD})
    events: list[Event] = [
        reading(1, WILD, value="4", limits=WILD, tool=WILD, uncertainty=WILD, heard=WILD, beyond=WILD,
                decision="out of limits", side="low", occasion=WILD, characteristic=WILD),
        OutcomeGiven(at=at(2), id="r1", outcome="accepted", reason=WILD),
        NoteKept(at=at(3), id="n1", text=WILD, seconds=1.0, heard=WILD),
        StepSkipped(at=at(4), step="cover", reason=WILD),
        JobFinished(at=at(5), open_points=(WILD,)),
    ]  # fmt: skip
    text = page(*events, opened=opened)
    assert "<script" not in text.replace("&lt;script", "")
    assert text.count("</style>") == 1
    assert not any(tag in ("script", "b") and attributes for tag, attributes in Outline(text).elements)
    html5lib.HTMLParser(strict=True).parse(text)


@settings(max_examples=25)
@given(st.lists(st.tuples(st.integers(-40, 400), st.text(max_size=20)), max_size=8))
def test_the_page_is_html_whatever_the_log_holds(rows: list[tuple[int, str]]) -> None:
    # html5lib's strict parser raises at the first parse error of the HTML standard.
    events = [
        reading(n, f"{value} thou", value=str(value), heard=words, tool=words or None)
        for n, (value, words) in enumerate(rows)
    ]
    notes = [NoteKept(at=at(n), id=f"n{n}", text=words, seconds=1.0) for n, (_, words) in enumerate(rows)]
    html5lib.HTMLParser(strict=True).parse(page(*events, *notes))


def _validator() -> list[str]:
    jars = [*(REPOSITORY / "node_modules").glob("vnu-jar/**/vnu.jar"), *Path("/usr/share/java").glob("vnu*.jar")]
    commands = [["vnu"], *(["java", "-jar", str(jar)] for jar in jars)]
    for command in commands:
        # A java that is there may be too old for it.
        if shutil.which(command[0]):
            tried = subprocess.run([*command, "--version"], check=False, capture_output=True)
            if tried.returncode == 0:
                return command
    pytest.skip("the Nu HTML checker (vnu, or the npm package vnu-jar with java) is not installed")


def test_the_nu_html_checker_finds_nothing(tmp_path: Path) -> None:
    validator = _validator()
    (tmp_path / "page.html").write_text(page(*STORY), encoding="utf-8")
    run = subprocess.run([*validator, str(tmp_path / "page.html")], capture_output=True, text=True, check=False)
    assert run.stderr == ""
    assert run.returncode == 0


def test_times_at_the_steps_leave_pauses_out() -> None:
    story = [OPENED, *STORY]
    record = record_of({OPENED.procedure_name: procedure_of(OPENED)}, fold(story), story, job="1")
    assert sum(step.seconds for step in record.steps) <= record.head.seconds_at_bench
    assert timedelta(seconds=record.head.seconds_at_bench) == timedelta(minutes=40)


def test_what_was_told_and_seen_stands_on_the_first_page_as_far_as_there_is_room() -> None:
    facts: list[Event] = [
        FactNoted(at=at(n), id=f"f{n}", about="finding", text=f"finding number {n}", severity="minor")
        for n in range(MOST_TOLD + 3)
    ]
    worst = FactNoted(at=at(19), id="w", about="finding", text="the latch lets go", severity="unsafe")
    complaint = FactNoted(at=at(20), id="c", about="complaint", text="it sticks")
    facts += [worst, complaint]
    words = summary(page(*facts))
    assert "Complaint it sticks Finding, unsafe the latch lets go" in words
    assert "and 5 more in the technical record" in words
    assert "finding number 8" not in words
    assert "finding number 8" in plain(page(*facts)).partition("Technical record")[2]
