"""A job in which several procedures were worked: one review and one report over all of them."""

from __future__ import annotations

import csv
import io
import re

from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    Event,
    FactNoted,
    NoteKept,
    PartsCounted,
    ProcedureTakenUp,
    ReadingSettled,
    StepDone,
    StepEntered,
)
from handsfree.job.state import JobState, fold
from handsfree.review.exports import to_csv
from handsfree.review.pages.report import Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.record_lines import JobRecord
from handsfree.review.source import procedures_of
from handsfree.review.text.at_bench import review_at_bench
from handsfree.review.text.spoken import spoken_review
from handsfree.review.text.whole import review_text
from tests.support.story import OPENED, at, reading

OTHER = """
title: Cleaning of the thread
item: bench micrometer
revision: "1"
steps:
  - {id: strip, do: Wash the thread., check: Is the thread bright?}
  - id: float
    do: Measure the play.
    measure: {name: play, unit: thou, limits: [0, 2], tool: {name: dial gauge, resolution: 0.1 thou}, when: as left}
"""
TAKEN_UP = ProcedureTakenUp(
    at=at(20), procedure_name="cleaning", title="Cleaning of the thread", revision="1", procedure_sha256="c" * 64,
    procedure_text=OTHER, steps=2,
)  # fmt: skip
BACK = TAKEN_UP.model_copy(
    update={"at": at(60), "procedure_name": OPENED.procedure_name, "procedure_text": None, "steps": 0}
)
STORY: list[Event] = [
    OPENED,
    StepEntered(at=at(1), step="float"),
    reading(2, "9 thou", decision="out of limits", beyond="4 thou", side="high"),
    ReadingSettled(at=at(2), id="r2", step="float"),
    PartsCounted(at=at(3), id="p3", part="screw", count=8, way="out", step="float"),
    FactNoted(at=at(4), id="f4", about="serial", text="0418", step="float"),
    TAKEN_UP,
    StepEntered(at=at(21), step="strip"),
    CheckAnswered(at=at(22), id="c22", step="strip", question="Is the thread bright?", passed=False),
    StepDone(at=at(31), step="strip"),
    NoteKept(at=at(32), id="n32", step="strip", text="the thread is brown", seconds=3.0),
    BACK,
    EntryWithdrawn(at=at(61), id="c22", step="strip"),
    PartsCounted(at=at(62), id="p62", part="screw", count=7, way="back", step="float"),
    PartsCounted(at=at(63), id="p63", part="screw", count=6, way="back", step="float", corrects="p62"),
]


def told(events: list[Event]) -> tuple[JobState, JobRecord]:
    state = fold(events)
    return state, record_of(procedures_of(state), state, events, job="1")


def test_each_entry_and_step_belongs_to_its_own_procedure() -> None:
    _, record = told(STORY)
    assert [line.title for line in record.procedures] == ["Bench micrometer, overhaul", "Cleaning of the thread"]
    assert {(line.procedure, line.step_number) for line in record.notes} == {("cleaning", 1)}
    assert [line.procedure for line in record.figures] == [OPENED.procedure_name]
    states = {(line.procedure, line.step): line.state for line in record.steps}
    assert (states[OPENED.procedure_name, "strip"], states["cleaning", "strip"]) == ("open", "done")


def test_time_at_another_procedure_is_not_counted_at_the_step_that_was_left() -> None:
    _, record = told(STORY)
    minutes = {(line.procedure, line.step): line.seconds / 60 for line in record.steps if line.seconds}
    assert minutes == {(OPENED.procedure_name, "float"): 19, ("cleaning", "strip"): 39}


def test_what_was_taken_back_from_another_procedure_no_longer_stands() -> None:
    _, record = told(STORY)
    assert [(line.id, line.state) for line in record.checks] == [("c22", "taken back")]


def test_corrected_facts_and_counts_are_among_the_corrections() -> None:
    _, record = told(STORY)
    words = {(line.what, line.words) for line in record.corrections}
    assert ("serial number", "0418, corrected from 0417, four minutes later") in words
    assert ("screw, back", "6 back, corrected from 7 back, one minute later") in words
    assert ("Is the thread bright?", "no, taken back, thirty nine minutes later") in words


def test_the_review_by_voice_covers_the_whole_job_and_tells_parts_once() -> None:
    state = fold(STORY[:-3])
    procedures = procedures_of(state)
    said = " ".join(spoken_review(procedures, state))
    assert said.count("screw") == 1
    assert "step two of Bench micrometer, overhaul, end float, nine thou" in said
    assert "step one of Cleaning of the thread" in said
    assert "One of five steps done" in said
    points = review_at_bench(procedures, state).points
    assert {point.entry for point in points} >= {"r2", "c22", "n32", "p3", "f4"}
    note = next(point for point in points if point.entry == "n32")
    assert note.say == "To type. Cleaning of the thread, step one: The note, the thread is brown."


def test_the_page_holds_all_procedures_under_one_head() -> None:
    state, record = told(STORY)
    page = report_page(record, procedures_of(state), integrity=Integrity(), written_at=at(99), version="1")
    assert page.count("<h1>") == 1
    assert re.findall(r'<h3 class="title"[^>]*>(.*?)</h3>', page) == [
        "Bench micrometer, overhaul",
        "Cleaning of the thread",
    ]
    assert re.findall(r"<li>(.*steps done.*)</li>", page) == [
        "Bench micrometer, overhaul: 0 of 3 steps done.",
        "Cleaning of the thread: 1 of 2 steps done.",
    ]
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_csv_and_text_hold_all_procedures() -> None:
    more: list[Event] = [*STORY[:8], reading(23, "1 thou", characteristic="play", limits="0 to 2 thou"), *STORY[8:]]
    state, record = told(more)
    rows = list(csv.DictReader(io.StringIO(to_csv([record]), newline="")))
    assert [(row["procedure"], row["title"], row["characteristic"], row["high"]) for row in rows] == [
        (OPENED.procedure_name, "Bench micrometer, overhaul", "end float", "5"),
        ("cleaning", "Cleaning of the thread", "play", "2"),
    ]
    text = review_text(procedures_of(state), state, more, job="1")
    assert text.count("REVIEW OF JOB 1") == text.count("COUNTS") == 1
    assert text.index("BENCH MICROMETER, OVERHAUL, REVISION 3") < text.index("CLEANING OF THE THREAD, REVISION 1")
    assert max(map(len, text.splitlines())) <= 80
