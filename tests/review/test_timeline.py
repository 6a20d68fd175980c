"""What happened in a job, one line for each event; what was corrected by what; and how long each step took."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from handsfree.job.events import (
    CheckAnswered,
    ClipsDeleted,
    ClockSetBack,
    EntryConfirmed,
    EntryWithdrawn,
    Event,
    FactNoted,
    FileAttached,
    HandedOver,
    JobFinished,
    JobOpened,
    JobPaused,
    JobReopened,
    JobResumed,
    MarkMade,
    NoteKept,
    NoteStretch,
    OutcomeGiven,
    PartFollowed,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ProcedureTakenUp,
    QuestionAnswered,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    StoodBy,
    TimerStarted,
    WorkerChanged,
)
from handsfree.procedure.file.loader import parse_procedure
from handsfree.review.timeline import corrections, in_procedures, step_times, time_line

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
TEXT = "title: Latch\nitem: i\nrevision: 2\nsteps:\n  - {id: a, do: Press.}\n  - {id: b, do: Press.}\n"
OPENED = JobOpened(
    at=AT, title="Latch", revision="2", procedure_sha256="0", procedure_text=TEXT, procedure_name="latch",
    serial="0417",
)  # fmt: skip
PROCEDURES = {"latch": parse_procedure(TEXT.encode(), "p.yaml").procedure}


def after(minutes: float) -> datetime:
    return AT + timedelta(minutes=minutes)


def taken_up(name: str, minutes: float = 0) -> ProcedureTakenUp:
    return ProcedureTakenUp(at=after(minutes), procedure_name=name, title=name.capitalize(), revision="1",
                            procedure_sha256="1", procedure_text="")  # fmt: skip


def reading(id_: str = "r1", said: str = "4 thou", minutes: float = 0, **slots: Any) -> ReadingLogged:
    usual = {"step": "b", "characteristic": "end float", "occasion": "as set", "unit": "thou"}
    judged = {"decision": "in limits", "limits": "2 to 5 thou"}
    event = {"at": after(minutes), "id": id_, "as_said": said, "value": said.split(maxsplit=1)[0]}
    return ReadingLogged.model_validate({**usual, **judged, **event, **slots})


def check(passed: bool = True) -> CheckAnswered:
    return CheckAnswered(at=AT, step="b", id="c1", question="Is it free?", passed=passed)


def note(text: str = "shim is bent", id_: str = "n1") -> NoteKept:
    return NoteKept(at=AT, step="b", id=id_, text=text, seconds=1.0)


def fact(about: str, text: str, id_: str = "f1", minutes: float = 0, **slots: Any) -> FactNoted:
    return FactNoted.model_validate({"at": after(minutes), "id": id_, "about": about, "text": text, **slots})


def parts(count: int, way: str, id_: str = "p1", **slots: Any) -> PartsCounted:
    return PartsCounted.model_validate({"at": AT, "id": id_, "part": "screw", "count": count, "way": way, **slots})


@pytest.mark.parametrize(
    ("events", "words"),
    [
        ([reading()], "end float, as set: 4 thou, in limits"),
        ([reading(said="9 thou", decision="out of limits", beyond="4 thou", side="high")],
         "end float, as set: 9 thou, out of limits, 4 thou over"),
        ([reading(decision="no limits", limits="none", place="left end")], "end float, left end, as set: 4 thou"),
        ([check()], "check answered yes: Is it free?"),
        ([check(passed=False)], "check answered no: Is it free?"),
        ([note()], "note: shim is bent"),
        ([note("")], "note: (not understood)"),
        ([fact("owner", "Mrs Wren")], "owner: Mrs Wren"),
        ([fact("finding", "cracked", severity="serious")], "serious finding: cracked"),
        ([fact("complaint", "", to_type=True)], "complaint: (kept as sound)"),
        ([parts(8, "out")], "parts counted: eight screws out"),
        ([reading(), OutcomeGiven(at=AT, id="r1", outcome="accepted", reason="for show")],
         "end float, as set, 4 thou: accepted: for show"),
        ([reading(), OutcomeGiven(at=AT, id="r1", outcome="left open")], "end float, as set, 4 thou: left open"),
        ([check(), EntryWithdrawn(at=AT, id="c1", why="taken back")], "taken back: the check"),
        ([note(), EntryWithdrawn(at=AT, id="n1", why="taken back")], "taken back: the note, shim is bent"),
        ([fact("owner", "Mrs Wrn"), EntryWithdrawn(at=AT, id="f1", why="taken back")], "taken back: owner, Mrs Wrn"),
        ([PartWanted(at=AT, id="w1", what="gib screw", count=2, size="M2 x 5")],
         "part to order: 2 gib screws, M2 × 5"),
        ([PartWanted(at=AT, id="w1", what="gib screw"), PartFollowed(at=AT, id="w1", stage="arrived")],
         "to order: one gib screw: arrived"),
        ([HandedOver(at=AT)], "handed over"),
        ([HandedOver(at=AT, kept="the case")], "handed over; not given back: the case"),
        ([StepDone(at=AT, step="a")], "step done"),
        ([StepDone(at=AT, step="a", missing=("no figure", "the check failed"))],
         "step done, still open: no figure; the check failed"),
        ([StepSkipped(at=AT, step="a", reason="no gauge")], "step skipped: no gauge"),
        ([StepRedone(at=AT, step="a", stale_steps=("a", "b"))], "step done again; no longer standing: steps 1 and 2"),
        ([QuestionAnswered(at=AT, name="collar", question="Is there one?", answer="yes")], "collar: yes"),
        ([QuestionAnswered(at=AT, name="pattern", question="?", answer="late", how="serial number")],
         "pattern: late (by its serial number)"),
        ([TimerStarted(at=AT, name="bath", seconds=600)], "timer started: bath, ten minutes"),
        ([ClockSetBack(at=AT, seconds=3600)], "clock set back by one hour"),
        ([EntryConfirmed(at=AT, point="step two was skipped")], "entry confirmed: step two was skipped"),
        ([ClipsDeleted(at=AT, clips=("cd" * 32,), why="by hand")], "one clip deleted: by hand"),
        ([ClipsDeleted(at=AT, clips=("cd" * 32, "ab" * 32), why="by age")], "two clips deleted: by age"),
        ([JobFinished(at=AT)], "job finished"),
        ([JobFinished(at=AT, open_points=("one", "two"))], "job finished with: one; two"),
        ([taken_up("cleaning")], "procedure taken up: Cleaning, revision 1"),
        ([JobReopened(at=AT, reason="came back")], "job reopened: came back"),
        ([StoodBy(at=AT)], "stood by"),
        ([WorkerChanged(at=AT, name="Bo")], "at the bench: Bo"),
        ([WorkerChanged(at=AT)], "nobody is named at the bench"),
        ([NoteStretch(at=AT, text="rim is", seconds=2.0)], "note, as it was heard: rim is"),
        ([NoteStretch(at=AT, text="", seconds=2.0)], "note, as it was heard: (not understood)"),
        ([reading(), ReadingSettled(at=AT, id="r1")], "reading settled: end float, as set, 4 thou"),
        ([reading(), EntryConfirmed(at=AT, id="r1", point="it stands")],
         "entry confirmed: it stands, end float, as set, 4 thou"),
    ],
)  # fmt: skip
def test_every_event_has_its_line(events: list[Event], words: str) -> None:
    line = time_line(PROCEDURES, [OPENED, *events])[-1]
    assert line.text == words
    assert (line.seq, line.kind, line.at) == (len(events) + 1, events[-1].kind, events[-1].at)


def test_the_first_line_says_what_was_opened() -> None:
    assert time_line(PROCEDURES, [OPENED])[0].text == "job opened: Latch, revision 2"
    taken_in = OPENED.model_copy(update={"procedure_name": ""})
    assert time_line({}, [taken_in])[0].text == "job taken in, before a procedure was chosen"


def test_each_line_knows_its_step_its_procedure_and_how_it_was_heard() -> None:
    heard = StepDone(at=AT, step="b", heard="done", recogniser="builtin", clip="ab" * 32)
    lines = time_line(PROCEDURES, [OPENED, heard, taken_up("cleaning"), StepDone(at=AT, step="b"), StoodBy(at=AT)])
    assert [(line.procedure, line.step) for line in lines] == [
        ("latch", None), ("latch", 2), ("cleaning", None), ("cleaning", None), ("cleaning", None),
    ]  # fmt: skip
    assert (lines[1].heard, lines[1].recogniser, lines[1].clip) == ("done", "builtin", "ab" * 32)


def test_events_belong_to_the_procedure_that_was_worked() -> None:
    events = [OPENED, note(), taken_up("cleaning"), note("x", "n2"), taken_up("latch")]
    assert [name for name, _ in in_procedures(events)] == ["latch", "latch", "cleaning", "cleaning", "latch"]


# Corrections


def told(*events: Event) -> list[tuple[int | None, str, str]]:
    return [(each.step, each.what, each.words) for each in corrections(PROCEDURES, [OPENED, *events])]


def test_a_corrected_figure_is_told_with_what_it_was_and_how_much_later() -> None:
    found = told(reading(said="14 thou"), reading("r2", minutes=2, corrects="r1"))
    assert found == [(2, "end float, as set", "4 thou, corrected from 14 thou, two minutes later")]


@pytest.mark.parametrize(
    ("ended", "words"),
    [
        (EntryWithdrawn(at=after(1), id="r1", why="taken back"), "4 thou, taken back, one minute later"),
        (OutcomeGiven(at=AT, id="r1", outcome="set again"), "4 thou, set again, at once"),
        (StepRedone(at=AT, step="a", stale_steps=("b",)),
         "4 thou, no longer standing, as a step was done again, at once"),
    ],
)  # fmt: skip
def test_a_figure_that_no_longer_stands_says_why(ended: Event, words: str) -> None:
    assert told(reading(), ended) == [(2, "end float, as set", words)]


@pytest.mark.parametrize(
    "harmless",
    [
        OutcomeGiven(at=AT, id="r1", outcome="accepted"),
        StepRedone(at=AT, step="a", stale_steps=("a",)),
        EntryWithdrawn(at=AT, id="gone", why="taken back"),
        reading("r2", corrects="gone"),
    ],
    ids=lambda event: event.kind,
)
def test_a_figure_that_stands_is_no_correction(harmless: Event) -> None:
    assert told(reading(), harmless) == []


def test_what_ended_once_does_not_end_again() -> None:
    back = EntryWithdrawn(at=AT, id="r1", why="taken back")
    assert len(told(reading(), back, StepRedone(at=AT, step="b", stale_steps=("b",)), back)) == 1


def test_checks_notes_facts_and_parts_are_corrected_too() -> None:
    found = told(
        check(), note(), fact("finding", "cracked"), parts(8, "out"),
        EntryWithdrawn(at=AT, id="c1", why="taken back"), EntryWithdrawn(at=AT, id="n1", why="taken back"),
        fact("finding", "scratched", "f2", corrects="f1"), parts(7, "out", "p2", corrects="p1"),
    )  # fmt: skip
    assert [(what, words) for _, what, words in found] == [
        ("Is it free?", "yes, taken back, at once"),
        ("note", "shim is bent, taken back, at once"),
        ("finding", "scratched, corrected from cracked, at once"),
        ("screw, out", "7 out, corrected from 8 out, at once"),
    ]


def test_what_came_off_marks_orders_and_files_are_corrected_too() -> None:
    entries: list[Event] = [
        PartsRemoved(at=AT, id="p1", sort="part", what="front cover"),
        MarkMade(at=AT, id="m1", what="two dots"),
        PartWanted(at=AT, id="w1", what="spring"),
        PartWanted(at=AT, id="w2", what="gib screw", count=2),
        FileAttached(at=AT, id="a1", name="plan.pdf", sha256="f" * 64, bytes=80),
    ]
    back = [EntryWithdrawn(at=AT, id=id_, why="taken back") for id_ in ("p1", "m1", "w1", "a1")]
    found = told(*entries, *back, PartWanted(at=AT, id="w3", what="gib screw", count=3, corrects="w2"))
    assert [(what, words) for _, what, words in found] == [
        ("what came off", "the front cover, taken back, at once"),
        ("mark", "two dots, taken back, at once"),
        ("part to order", "1 spring, taken back, at once"),
        ("file", "plan.pdf, taken back, at once"),
        ("part to order", "3 gib screws, corrected from 2 gib screws, at once"),
    ]


def test_of_a_log_whose_beginning_is_lost_what_was_corrected_is_told_all_the_same() -> None:
    first, second = fact("serial", "0471"), fact("serial", "0474", "f2", corrects="f1")
    assert [each.words for each in corrections(PROCEDURES, [StoodBy(at=AT), first, second])] == [
        "0474, corrected from 0471, at once"
    ]


def test_only_figures_and_answers_end_with_their_step() -> None:
    redone = StepRedone(at=AT, step="b", stale_steps=("b",))
    entries = (reading(), check(), note(), fact("finding", "x", step="b"), parts(8, "out", step="b"))
    assert [what for _, what, _ in told(*entries, redone)] == ["end float, as set", "Is it free?"]


def test_a_step_of_another_procedure_ends_nothing() -> None:
    redone = StepRedone(at=AT, step="b", stale_steps=("b",))
    assert told(reading(), taken_up("cleaning"), redone) == []
    assert len(told(reading(), taken_up("cleaning"), taken_up("latch"), redone)) == 1


def test_what_was_given_at_the_opening_is_corrected_by_the_first_fact() -> None:
    found = told(fact("serial", "0471", minutes=3), fact("serial", "0474", "f2", minutes=4, corrects="f1"))
    assert [words for _, _, words in found] == [
        "0471, corrected from 0417, three minutes later",
        "0474, corrected from 0471, one minute later",
    ]
    assert told(fact("serial", "0417")) == []
    assert told(fact("owner", "Mrs Wren")) == []


# Times


def entered(step: str, minutes: float) -> StepEntered:
    return StepEntered(at=after(minutes), step=step)


def minutes_at(*events: Event) -> dict[tuple[str, str], float]:
    return {step: spent.total_seconds() / 60 for step, spent in step_times([OPENED, *events]).items()}


def test_the_time_at_a_step_runs_from_its_entry_to_the_next() -> None:
    spent = minutes_at(entered("a", 1), StepDone(at=after(4), step="a"), entered("b", 5), entered("a", 7),
                       JobFinished(at=after(8)), StoodBy(at=after(30)))  # fmt: skip
    assert spent == {("latch", "a"): 5, ("latch", "b"): 2}


def test_pauses_and_gaps_that_a_crash_made_are_left_out() -> None:
    paused = minutes_at(entered("a", 0), JobPaused(at=after(2)), StoodBy(at=after(50)), JobResumed(at=after(60)),
                        StepDone(at=after(61), step="a"))  # fmt: skip
    assert paused == {("latch", "a"): 3}
    often = minutes_at(entered("a", 0), JobPaused(at=after(2)), StoodBy(at=after(50)), StoodBy(at=after(55)),
                       StoodBy(at=after(58)), JobResumed(at=after(60)), StepDone(at=after(61), step="a"))  # fmt: skip
    assert often == {("latch", "a"): 3}
    crashed = minutes_at(entered("a", 0), JobResumed(at=after(60)), StepDone(at=after(61), step="a"))
    assert crashed == {("latch", "a"): 1}


def test_what_names_no_step_has_no_time() -> None:
    assert minutes_at(StepEntered(at=AT), StoodBy(at=after(5))) == {}
    assert minutes_at(entered("a", 0), StepEntered(at=after(2)), StoodBy(at=after(5))) == {("latch", "a"): 5}


def test_a_clock_set_back_takes_nothing_away() -> None:
    assert minutes_at(entered("a", 5), StoodBy(at=after(2)), StepDone(at=after(3), step="a")) == {("latch", "a"): 1}


def test_another_procedure_has_times_of_its_own() -> None:
    spent = minutes_at(entered("a", 0), taken_up("cleaning", 2), StoodBy(at=after(3)), entered("a", 4),
                       taken_up("latch", 9), StoodBy(at=after(20)))  # fmt: skip
    assert spent == {("latch", "a"): 2, ("cleaning", "a"): 5}


def test_leaving_a_procedure_for_one_moment_to_correct_a_figure_interrupts_nothing() -> None:
    spent = minutes_at(entered("a", 0), taken_up("cleaning", 2), taken_up("latch", 2), StepDone(at=after(5), step="a"))
    assert spent == {("latch", "a"): 5}
