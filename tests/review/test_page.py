"""The report of a job, as a page that somebody opens, prints or reads aloud."""

from __future__ import annotations

import base64
import re
from collections.abc import Collection
from datetime import timedelta
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handsfree.job.events import (
    EntryWithdrawn,
    Event,
    FactNoted,
    JobFinished,
    JobOpened,
    NoteKept,
    OutcomeGiven,
    ReadingSettled,
    StepDone,
    StepSkipped,
    TextTyped,
    WorkerChanged,
)
from handsfree.job.state import fold
from handsfree.procedure.settings.report_parts import USUAL_PARTS
from handsfree.review.pages.report import Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.source import procedure_of
from tests.support.html_checker import found_by_html_checker
from tests.support.story import OPENED, STORY, at, reading

FLAC = b"fLaC-not-really"
INTEGRITY = Integrity(("The chain holds.",), (("Last hash of the log", "ab" * 32),))


def page(
    *events: Event,
    opened: JobOpened = OPENED,
    sound: bytes | None = FLAC,
    parts: Collection[str] = USUAL_PARTS,
    say: str = "",
) -> str:
    story = [opened, *events]
    procedure = procedure_of(opened)
    record = record_of({OPENED.procedure_name: procedure}, fold(story), story, job="2026-11-25-1")
    return report_page(
        record,
        {OPENED.procedure_name: procedure},
        integrity=INTEGRITY,
        written_at=at(200),
        version="1",
        sound=lambda _: sound,
        parts=parts,
        say=say,
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


def test_the_owners_page_opens_with_the_result_and_tells_found_done_measured_and_to_watch() -> None:
    found = reading(2, "9 thou", occasion="as found", decision="out of limits", beyond="4 thou", side="high")
    words = summary(page(found, *STORY))
    headings = ("Out of limits 1 figure", "What was found", "What was done", "Measured", "To watch", "Date")
    order = [words.index(heading) for heading in headings]
    assert order == sorted(order)
    assert "1 figure is out of limits, and 4 points are to be watched." in words
    assert "Bench micrometer, overhaul: 2 of 3 steps done." in words
    assert "End float 9 thou 1 thou 2 to 5 thou ± 0.25 thou out of limits, 1 thou under; accepted" in words
    assert "Out of limits, accepted: end float Check answered no: Does it run free? Skipped: Put the cover on." in words
    assert "Take the spindle out" not in words


def test_remarks_of_the_bench_are_private_unless_they_are_asked_for() -> None:
    remarks = ("owner wants it tight", "gasket to come", "second shim is bent", "15 thou")
    private = summary(page(*STORY))
    assert not any(remark in private for remark in remarks)
    told = summary(page(*STORY, parts=USUAL_PARTS | {"remarks"}))
    assert [remark in told for remark in remarks] == [True, True, False, False]
    assert all(remark in plain(page(*STORY)) for remark in remarks)


def test_what_was_done_is_told_in_the_procedures_words_for_the_owner_once_its_step_is_done() -> None:
    text = OPENED.procedure_text
    for act, said in (("Set the end float.", "The play was set."), ("Put the cover on.", "The cover was fitted.")):
        text = text.replace(f"do: {act}", f"do: {act}\n    for the owner: {said}")
    opened = OPENED.model_copy(update={"procedure_text": text})
    words = summary(page(*STORY, opened=opened))
    assert "What was done The play was set. Measured" in words
    text = text.replace("steps:", "for the owner: Overhauled.\nsteps:", 1)
    whole = opened.model_copy(update={"procedure_text": text})
    done: list[Event] = [StepDone(at=at(n), step=step) for n, step in enumerate(("strip", "float", "cover"))]
    words = summary(page(*done, opened=whole))
    assert "What was done Overhauled. The play was set. The cover was fitted. Measured" in words
    assert "Overhauled" not in summary(page(*STORY, opened=whole))


def test_what_the_workshop_says_and_notes_for_the_owner_stand_under_the_result() -> None:
    noted: list[Event] = [
        FactNoted(at=at(1), id="o1", about="for the owner", text="use thin oil only", to_type=True, seconds=3.0),
        FactNoted(at=at(2), id="o2", about="for the owner", text="the second one"),
        EntryWithdrawn(at=at(3), id="o2"),
    ]
    words = summary(page(*noted, say="Bring it again in a year."))
    assert "From the workshop Bring it again in a year. Use thin oil only † What was found" in words
    assert "the second one" not in words.lower()
    assert words.count("As far as it was understood") == 1
    typed = TextTyped(at=at(4), id="o1", text="Use thin oil only.")
    assert "†" not in summary(page(*noted, typed))


def test_of_repeated_readings_the_worst_is_told_and_a_figure_set_anew_takes_the_place_of_the_one_before() -> None:
    over = {"decision": "out of limits", "beyond": "1 thou", "side": "high", "occasion": "as left"}
    twice = [reading(1, "6 thou", **over), reading(2, "4 thou", occasion="as left")]
    settled = [ReadingSettled(at=at(3), id=id_) for id_ in ("r1", "r2")]
    words = summary(page(*twice, *settled))
    assert "6 thou 2 to 5 thou ± 0.25 thou out of limits, 1 thou over; worst of 2 readings" in words
    then = [reading(1, "6 thou", **{**over, "occasion": "as set"}), reading(2, "4 thou", occasion="as left"), *settled]
    assert "End float 4 thou 2 to 5 thou ± 0.25 thou in limits To watch" in summary(page(*then))


def test_what_was_measured_as_found_and_not_again_says_so_in_its_verdict() -> None:
    over = {"decision": "out of limits", "beyond": "4 thou", "side": "high"}
    for occasion, verdict in (("as found", "out of limits as found, 4 thou over"), ("as left", "out of limits, 4")):
        words = summary(page(reading(1, "9 thou", occasion=occasion, **over), ReadingSettled(at=at(2), id="r1")))
        assert verdict in words
    words = summary(page(reading(1, "4 thou", occasion="as found"), ReadingSettled(at=at(2), id="r1")))
    assert "in limits as found" in words


def test_a_chart_has_the_limits_that_a_figure_was_judged_by_though_the_procedure_has_it_no_more() -> None:
    one = reading(1, "9 thou", characteristic="shake", decision="out of limits", beyond="4 thou", side="high")
    chart = page(one, ReadingSettled(at=at(2), id="r1")).partition('<svg class="chart ')[2].partition("</svg><table")[0]
    assert chart.count('class="limit"') == 2
    assert re.findall(r'class="bound"[^>]*>([^<]*)<', chart) == ["at least 2", "at most 5"]


def test_parts_of_the_report_are_left_out_as_the_workshop_has_it() -> None:
    short = page(*STORY, parts={"owner"})
    assert "Technical record" not in short and "Time line" not in short and "<svg" not in short
    plain_record = page(*STORY, parts={"record"})
    assert "For the owner" not in plain_record and "Time line" not in plain_record and "<svg" not in plain_record
    assert "<audio" not in plain_record
    whole = page(*STORY)
    assert "For the owner" in whole and "Time line" in whole and '<svg class="chart across"' in whole


@pytest.mark.parametrize("worker", ["Jo Tern", None])
def test_the_times_of_a_job_have_the_width_that_the_names_of_its_people_leave_them(worker: str | None) -> None:
    text = page(*([WorkerChanged(at=at(1), name=worker)] if worker else []), JobFinished(at=at(9)))
    boxes = {label: width for width, label in re.findall(r'<div(?: class="(\w+)")?><dt>([^<]*)</dt>', text)}
    assert [boxes[label] for label in ("Taken in", "Finished", "Time at the bench")] == (
        ["wide", "wide", "wide"] if worker else ["", "", "last"]
    )
    assert ("At the bench" in boxes) is (worker is not None)


@pytest.mark.parametrize("count", [4, 6])
def test_of_many_people_the_title_block_names_four_and_says_how_many_more_there_were(count: int) -> None:
    names = [f"Worker {letter}" for letter in "ABCDEF"[:count]]
    text = page(*(WorkerChanged(at=at(number), name=name) for number, name in enumerate(names, 1)))
    boxes = re.findall(r"<dt>At the bench</dt><dd>([^<]*)</dd>", text)
    told = "Worker A, Worker B, Worker C, Worker D"
    # The record has all of them.
    assert boxes == ([told] if count == 4 else [f"{told}, and 2 more", ", ".join(names)])


def test_the_record_is_folded_and_the_owners_page_open() -> None:
    folds = [attributes for tag, attributes in Outline(page(*STORY)).elements if tag == "details"]
    assert [("open" in fold, (fold["class"] or "").split()[:2]) for fold in folds] == [
        (True, ["part", "owner"]), (False, ["part", "record"]), (False, ["times"]),
    ]  # fmt: skip


def test_the_time_line_says_each_day_once() -> None:
    next_day = StepSkipped(at=at(24 * 60), step="cover", reason="gasket to come")
    times = page(*STORY[:3], next_day).partition('class="times"')[2]
    days = re.findall(r"<h4>(.*?)</h4>", times)
    assert len(days) == len(set(days)) == 2
    assert not re.search(r'data-head="time">\d{4}-', times)


def test_each_printed_page_names_the_job_and_a_hostile_serial_number_stays_in_its_string() -> None:
    text = page(*STORY, opened=OPENED.model_copy(update={"serial": '7"; } body { display: none } /* \\ <b>'}))
    foot = text.partition("@page { @bottom-left { content")[2].partition("\n")[0]
    assert foot.startswith(': "Job 2026-11-25-1, serial number 7')
    assert foot.count('"') == 6
    assert "\\" not in foot and "<" not in foot
    assert 'counter(page) " of " counter(pages)' in foot


def test_what_was_wrong_as_found_and_is_right_now_is_not_to_be_watched() -> None:
    found = reading(2, "9 thou", occasion="as found", decision="out of limits", beyond="4 thou", side="high")
    left: list[Event] = [ReadingSettled(at=at(2), id="r2"), OutcomeGiven(at=at(3), id="r2", outcome="left open")]
    before = summary(page(found, *left)).split("To watch")[1]
    after = summary(page(found, *left, reading(9, "3 thou"), ReadingSettled(at=at(9), id="r9"))).split("To watch")[1]
    assert "Found out of limits: end float" in before
    assert "out of limits" not in after


def test_of_a_job_in_which_nothing_was_measured_nothing_is_said_of_limits() -> None:
    done: list[Event] = [StepDone(at=at(n), step=step) for n, step in enumerate(("strip", "float", "cover"))]
    words = summary(page(*done, JobFinished(at=at(9))))
    assert "With points to watch 3 points are to be watched." in words
    assert "No figure was taken." in words


def test_many_steps_that_were_not_done_are_one_point() -> None:
    acts = "".join(f"  - {{id: s{n}, do: Turn screw number {n} by a quarter.}}\n" for n in range(60))
    opened = OPENED.model_copy(update={"procedure_text": f"title: t\nitem: i\nrevision: '1'\nsteps:\n{acts}"})
    words = summary(page(*(StepDone(at=at(n), step=f"s{n}") for n in range(50)), opened=opened))
    assert "t: 50 of 60 steps done." in words
    assert "Ten steps of “t” not done" in words


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


def test_the_nu_html_checker_finds_nothing(tmp_path: Path) -> None:
    (tmp_path / "page.html").write_text(page(*STORY), encoding="utf-8")
    assert found_by_html_checker([tmp_path / "page.html"]) == []


def test_times_at_the_steps_leave_pauses_out() -> None:
    story = [OPENED, *STORY]
    record = record_of({OPENED.procedure_name: procedure_of(OPENED)}, fold(story), story, job="1")
    assert sum(step.seconds for step in record.steps) <= record.head.seconds_at_bench
    assert timedelta(seconds=record.head.seconds_at_bench) == timedelta(minutes=40)


def test_what_is_serious_or_unsafe_is_told_first_and_never_pushed_off_the_owners_page() -> None:
    facts: list[Event] = [
        FactNoted(at=at(n), id=f"f{n}", about="finding", text=f"finding number {n} is a mark", severity="minor")
        for n in range(60)
    ]
    worst = FactNoted(at=at(89), id="w", about="finding", text="the latch lets go", severity="unsafe")
    complaint = FactNoted(at=at(90), id="c", about="complaint", text="it sticks")
    words = summary(page(*facts, worst, complaint))
    assert "What was found Unsafe: The latch lets go Told: It sticks Finding number 0" in words
    shown = len(re.findall(r"Finding number", words))
    assert f"And {60 - shown} more in the technical record." in words
    assert 5 <= shown < 60
    assert "Finding number 59" in plain(page(*facts)).partition("Technical record")[2]
