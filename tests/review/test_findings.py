"""What a review points out, from small logs written by hand."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from handsfree.job.events import (
    CheckAnswered,
    EntryWithdrawn,
    Event,
    FactNoted,
    JobOpened,
    NoteKept,
    NoteStretch,
    OutcomeGiven,
    PartsCounted,
    ReadingLogged,
    ReadingSettled,
    StepDone,
    StepEntered,
    StepRedone,
    StepSkipped,
    TimerRang,
    TimerStarted,
    TimerStopped,
    WorkerChanged,
)
from handsfree.job.state import fold
from handsfree.procedure.file.problems import ProcedureError
from handsfree.review.findings import Finding, FindingKind, findings, findings_of_job
from handsfree.review.source import procedure_of
from handsfree.review.text.spoken import spoken_review

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
TEXT = """
title: Bench micrometer, overhaul
item: bench micrometer
revision: "3"
steps:
  - id: spring
    do: Let the ratchet spring in.
    dangers:
      - say: the spring is under load
        until: release
  - id: float
    do: Set the end float.
    measure:
      - name: end float
        unit: thou
        limits: [2, 5]
        tool: {name: feeler gauge, resolution: 0.5}
    rests on: spring
  - id: check
    do: Turn the thimble through its travel.
    check: Does it run free?
    wait: 10 minutes
  - id: release
    do: Let the spring down.
"""
OPENED = JobOpened(
    at=AT, title="Bench micrometer, overhaul", revision="3", procedure_sha256="0" * 64, procedure_text=TEXT,
    procedure_name="micrometer",
)  # fmt: skip
PROCEDURE = procedure_of(OPENED)


def reading(number: int = 1, said: str = "4 thou", value: str = "4", **slots: Any) -> ReadingLogged:
    usual = {"step": "float", "characteristic": "end float", "occasion": "as set", "unit": "thou"}
    judged = {"decision": "in limits", "limits": "2 to 5 thou", "tool": "feeler gauge", "uncertainty": "0.25 thou"}
    event = {"at": AT + timedelta(minutes=number), "id": f"r{number}", "as_said": said, "value": value}
    return ReadingLogged.model_validate({**usual, **judged, **event, **slots})


def too_big(number: int = 1, **slots: Any) -> ReadingLogged:
    out = {"decision": "out of limits", "beyond": "4 thou", "side": "high"}
    return reading(number, "9 thou", "9", **{**out, **slots})


def settled(number: int = 1) -> ReadingSettled:
    return ReadingSettled(at=AT, id=f"r{number}")


def done(*steps: str) -> list[Event]:
    return [StepDone(at=AT, step=step) for step in steps]


def found(*events: Event, kind: FindingKind | None = None) -> list[Finding]:
    points = findings(PROCEDURE, fold([OPENED, *events]))
    return [point for point in points if kind is None or point.kind is kind]


COMPLETE: list[Event] = [
    *done("spring"), reading(), settled(), *done("float"),
    CheckAnswered(at=AT, step="check", id="c1", question="Does it run free?", passed=True),
    *done("check", "release"),
]  # fmt: skip


def test_a_complete_job_has_no_findings() -> None:
    assert found(*COMPLETE) == []
    assert spoken_review({OPENED.procedure_name: PROCEDURE}, fold([OPENED, *COMPLETE])) == [
        "Nothing is open.", "Four of four steps done.", "One figure logged.",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("outcome", "kind", "words"),
    [
        (None, FindingKind.OUT_NOTHING_DECIDED, "nothing decided"),
        (OutcomeGiven(at=AT, id="r1", outcome="left open"), FindingKind.OUT_LEFT_OPEN, "left open"),
        (OutcomeGiven(at=AT, id="r1", outcome="accepted", reason="for show only"), FindingKind.OUT_ACCEPTED,
         "accepted: for show only"),
    ],
)  # fmt: skip
def test_a_figure_out_of_limits_says_by_how_much_and_what_was_decided(
    outcome: Event | None, kind: FindingKind, words: str
) -> None:
    events: list[Event] = [too_big(), settled(), *([outcome] if outcome else [])]
    (point,) = [
        point for point in found(*events) if point.kind < FindingKind.CHECK_FAILED and point.kind > FindingKind.DANGER
    ]
    assert point.kind is kind
    assert (point.step, point.number) == ("float", 2)
    assert point.text == f"end float, as set: 9 thou, limits 2 to 5 thou: out of limits, 4 thou over; {words}"
    assert point.say == "end float, nine thou"


def test_an_outcome_that_came_later_replaces_the_first() -> None:
    left, accepted = (
        OutcomeGiven(at=AT, id="r1", outcome=outcome, reason="spare ordered") for outcome in ("left open", "accepted")
    )
    assert found(too_big(), left, accepted, kind=FindingKind.OUT_LEFT_OPEN) == []
    assert len(found(too_big(), left, accepted, kind=FindingKind.OUT_ACCEPTED)) == 1


def test_an_out_of_limits_figure_that_was_set_again_is_no_longer_pointed_out() -> None:
    again: list[Event] = [
        too_big(), OutcomeGiven(at=AT, id="r1", outcome="set again"),
        reading(2), settled(2),
    ]  # fmt: skip
    assert {point.kind for point in found(*again)} == {FindingKind.NOT_DONE}


def test_a_later_figure_is_named_beside_an_older_one_that_still_stands() -> None:
    (point,) = found(too_big(), reading(2, occasion="as left"), kind=FindingKind.OUT_NOTHING_DECIDED)
    assert point.text.endswith("; a later figure (as left) is 4 thou, in limits")


@pytest.mark.parametrize(
    ("beyond", "side", "words"),
    [
        ("-0.1 thou", "high", "0.1 thou inside the upper limit"),
        ("0.1 thou", "low", "0.1 thou beyond the lower limit"),
        ("0 thou", "low", "on the lower limit"),
        (None, "low", "too near the lower limit"),
    ],
)
def test_an_undecided_figure_says_how_near_it_is_to_which_limit(beyond: str | None, side: str, words: str) -> None:
    (point,) = found(reading(decision="undecided", beyond=beyond, side=side), kind=FindingKind.UNDECIDED)
    assert words in point.text


def test_a_check_answered_no_is_found_and_a_check_answered_yes_is_not() -> None:
    def answer(passed: bool) -> list[Finding]:
        event = CheckAnswered(at=AT, step="check", id="c1", question="Does it run free?", passed=passed)
        return found(event, *done("check"), kind=FindingKind.CHECK_FAILED)

    assert [(point.number, point.text) for point in answer(False)] == [(3, "check answered no: Does it run free?")]
    assert answer(True) == []


def test_a_finished_step_without_its_figure_or_answer_is_found() -> None:
    points = found(*done("float", "check"), kind=FindingKind.MISSING)
    assert [point.text for point in points] == [
        "done without a figure for end float",
        "done without an answer to its check: Does it run free?",
    ]


def test_what_was_knowingly_left_out_is_said_so_and_given_up_when_it_came_in_later() -> None:
    knowing = StepDone(at=AT, step="float", missing=("no figure for end float",))
    assert [point.text for point in found(knowing, kind=FindingKind.MISSING)] == [
        "done without a figure for end float, knowingly"
    ]
    assert found(knowing, reading(), settled(), kind=FindingKind.MISSING) == []


def test_a_check_that_was_knowingly_left_unanswered_is_told_once_and_given_up_when_it_was_answered() -> None:
    knowing = StepDone(at=AT, step="check", missing=("the check is not answered",))
    assert [point.text for point in found(knowing, kind=FindingKind.MISSING)] == [
        "done without an answer to its check, knowingly: Does it run free?"
    ]
    answered = CheckAnswered(at=AT, step="check", id="c1", question="Does it run free?", passed=True)
    assert found(knowing, answered, kind=FindingKind.MISSING) == []


def test_what_was_found_at_a_step_comes_before_what_was_found_of_the_job_as_a_whole() -> None:
    def finding(id_: str, step: str | None) -> FactNoted:
        return FactNoted(at=AT, id=id_, step=step, about="finding", text=id_, severity="unsafe")

    points = found(finding("whole", None), finding("late", "check"), finding("early", "float"), kind=FindingKind.UNSAFE)
    assert [(point.say, point.number) for point in points] == [("early", 2), ("late", 3), ("whole", None)]


def test_a_waiting_time_that_was_cut_short_is_found() -> None:
    events: list[Event] = [
        CheckAnswered(at=AT, step="check", id="c1", question="Does it run free?", passed=True),
        StepDone(at=AT, step="check", missing=("four minutes still to wait",)),
    ]
    assert [point.text for point in found(*events, kind=FindingKind.MISSING)] == [
        "done early, four minutes still to wait: Turn the thimble through its travel."
    ]


def test_a_waiting_time_that_has_run_since_is_no_more_found() -> None:
    answered = CheckAnswered(at=AT, step="check", id="c1", question="Does it run free?", passed=True)
    early = StepDone(at=AT, step="check", missing=("the waiting time has not run",))
    later = [
        TimerStarted(at=AT, name="waiting", seconds=600, of_step="check"),
        TimerRang(at=AT + timedelta(minutes=10), name="waiting"),
    ]
    assert [point.text for point in found(answered, early, kind=FindingKind.MISSING)] == [
        "done early, the waiting time has not run: Turn the thimble through its travel."
    ]
    assert found(answered, early, *later, kind=FindingKind.MISSING) == []


def test_a_figure_taken_back_is_missing_again() -> None:
    taken_back = EntryWithdrawn(at=AT, id="r1", why="taken back")
    assert len(found(reading(), settled(), *done("float"), taken_back, kind=FindingKind.MISSING)) == 1


def test_steps_not_done_and_steps_skipped_are_told_apart() -> None:
    points = found(*done("spring"), StepSkipped(at=AT, step="float", reason="no gauge"))
    assert [(point.kind, point.number, point.text) for point in points if point.kind > FindingKind.DANGER] == [
        (FindingKind.NOT_DONE, 3, "not done: Turn the thimble through its travel."),
        (FindingKind.NOT_DONE, 4, "not done: Let the spring down."),
        (FindingKind.SKIPPED, 2, "skipped (no gauge): Set the end float."),
    ]


def test_a_figure_whose_read_back_never_ended_is_provisional() -> None:
    assert len(found(reading(), kind=FindingKind.PROVISIONAL)) == 1
    assert found(reading(), settled(), kind=FindingKind.PROVISIONAL) == []
    assert found(reading(), EntryWithdrawn(at=AT, id="r1", why="taken back"), kind=FindingKind.PROVISIONAL) == []


def test_a_redone_step_makes_stale_what_rested_on_it_until_it_is_taken_again() -> None:
    redone = StepRedone(at=AT, step="spring", stale_steps=("spring", "float", "check"))
    points = found(*COMPLETE, redone, *done("spring", "float", "check"))
    assert [(point.kind, point.number, point.text) for point in points] == [
        (FindingKind.STALE, 2, "end float, as set: 4 thou no longer stands and was not taken again"),
        (FindingKind.STALE, 3, "the answer to its check no longer stands and was not given again: Does it run free?"),
    ]
    answer = CheckAnswered(at=AT, step="check", id="c2", question="Does it run free?", passed=True)
    gone = EntryWithdrawn(at=AT, id="r1", why="taken back")
    assert found(*COMPLETE, redone, gone, kind=FindingKind.STALE)[0].number == 3
    anew = [redone, reading(2), settled(2), answer, *done("spring", "float", "check")]
    assert found(*COMPLETE, *anew) == []


def test_only_a_timer_that_neither_rang_nor_was_stopped_is_running() -> None:
    start = TimerStarted(at=AT, name="bath", seconds=600)
    (point,) = found(start, kind=FindingKind.TIMER)
    assert '"bath" (ten minutes)' in point.text
    assert found(start, TimerRang(at=AT, name="bath"), kind=FindingKind.TIMER) == []
    assert found(start, TimerStopped(at=AT, name="bath"), kind=FindingKind.TIMER) == []


def test_a_note_is_to_be_typed_unless_it_was_taken_back() -> None:
    note = NoteKept(at=AT, step="float", id="n1", text="shim is bent", seconds=3.2, clip="1a2b3c4d" * 8)
    (point,) = found(note, kind=FindingKind.NOTE)
    assert (point.number, point.text) == (2, "note to type, 3 s, clip 1a2b3c4d: shim is bent")
    assert found(note, EntryWithdrawn(at=AT, id="n1", why="taken back"), kind=FindingKind.NOTE) == []


def test_a_note_that_was_cut_off_is_found_with_what_was_heard_of_it() -> None:
    def stretch(text: str) -> NoteStretch:
        return NoteStretch(at=AT, text=text, seconds=2.0)

    (point,) = found(stretch("second shim"), stretch(""), stretch("is bent"), kind=FindingKind.NOTE)
    assert point.text == "note cut off, kept when the job is taken up again: second shim is bent"
    (point,) = found(stretch(""), kind=FindingKind.NOTE)
    assert point.text.endswith(": (not understood)")
    kept = NoteKept(at=AT, id="n1", step="float", text="second shim is bent", seconds=4.0)
    assert not any("cut off" in point.text for point in found(stretch("second shim"), kept))


def test_a_danger_to_the_person_stands_until_its_end() -> None:
    (point,) = found(*done("spring"), kind=FindingKind.DANGER)
    assert (point.number, point.text) == (1, "danger, until step 4 is done: the spring is under load")
    assert found(*done("spring", "release"), kind=FindingKind.DANGER) == []
    assert found(StepEntered(at=AT, step="spring"), kind=FindingKind.DANGER) != []


def test_the_most_important_comes_first_and_within_it_the_earliest_step() -> None:
    points = found(reading(), too_big(2), NoteKept(at=AT, id="n1", text="", seconds=1.0), *done("spring"))
    order = [(point.kind, point.number or 99) for point in points]
    assert order == sorted(order)
    assert order[:2] == [(FindingKind.DANGER, 1), (FindingKind.OUT_NOTHING_DECIDED, 2)]


def test_the_procedure_comes_from_the_log_alone() -> None:
    assert [step.id for step in PROCEDURE.steps] == ["spring", "float", "check", "release"]
    broken = OPENED.model_copy(update={"procedure_text": "steps: ["})
    with pytest.raises(ProcedureError, match="micrometer"):
        procedure_of(broken)


@pytest.mark.parametrize(
    ("shown", "logged", "spoken"),
    [
        ("9 thou", "9", "nine thou"),
        ("0.009 in", "9", "nought point nought nought nine inches"),
        ("1/4 in", "250", "a quarter of an inch"),
        ("0.1 mm", "500/127", "nought point one millimetres"),
        # What can't be read back to the logged value is spoken as it was shown.
        ("9 thou", "9.5", "9 thou"),
        ("nine-ish", "9", "nine-ish"),
        ("9 N", "9", "9 N"),
    ],
)
def test_a_figure_is_never_spoken_otherwise_than_it_was_logged(shown: str, logged: str, spoken: str) -> None:
    out = {"decision": "out of limits", "beyond": "4 thou", "side": "high"}
    (point,) = found(reading(1, shown, logged, **out), kind=FindingKind.OUT_NOTHING_DECIDED)
    assert point.say == f"end float, {spoken}"


def test_the_spoken_review_names_the_worst_first() -> None:
    events: list[Event] = [
        *done("spring"), too_big(), settled(), reading(2, "4 1/2 thou", "4.5"),
        StepSkipped(at=AT, step="check", reason="no time"), NoteKept(at=AT, id="n1", text="x", seconds=1.0),
    ]  # fmt: skip
    assert spoken_review({OPENED.procedure_name: PROCEDURE}, fold([OPENED, *events])) == [
        "One danger still present: step one, the spring is under load.",
        "One figure out of limits with nothing decided: step two, end float, nine thou.",
        "One figure provisional: step two, end float, four and a half thou.",
        "One of four steps done, one skipped, two not done.",
        "Two figures logged, one note to type.",
    ]


@pytest.mark.parametrize("many", [1, 3, 40, 150])
def test_the_spoken_review_is_over_within_a_minute_however_bad_the_job(many: int) -> None:
    makers: list[Callable[[int], list[Event]]] = [
        lambda n: [too_big(10 * n), settled(10 * n)],
        lambda n: [too_big(10 * n + 1), OutcomeGiven(at=AT, id=f"r{10 * n + 1}", outcome="left open")],
        lambda n: [too_big(10 * n + 2), OutcomeGiven(at=AT, id=f"r{10 * n + 2}", outcome="accepted", reason="why")],
        lambda n: [reading(10 * n + 3, decision="undecided", beyond="0 thou", side="low")],
        lambda n: [TimerStarted(at=AT, name=f"a long name {'x ' * 20}{n}", seconds=600)],
        lambda n: [NoteKept(at=AT, id=f"n{n}", text="text " * 50, seconds=1.0)],
    ]  # fmt: skip
    events = [event for n in range(1, many + 1) for make in makers for event in make(n)]
    failed = CheckAnswered(at=AT, step="check", id="c", question="Does it run free?", passed=False)
    redone = StepRedone(at=AT, step="spring", stale_steps=("spring",))
    said = spoken_review(
        {OPENED.procedure_name: PROCEDURE}, fold([OPENED, *events, failed, redone, *done("spring", "check")])
    )
    assert sum(len(sentence.split()) for sentence in said) < 140
    assert all(sentence.endswith(".") for sentence in said)


def test_a_review_of_many_short_words_is_short_as_well() -> None:
    # Letters alone would let them all be said, and each word takes its time.
    seen = [
        FactNoted(at=AT, id=f"f{number}", about="finding", text="a b c d e f g h " * 4, severity=severity)
        for number, severity in enumerate(("unsafe", "unsafe", "serious", "serious"))
    ]
    said = spoken_review({OPENED.procedure_name: PROCEDURE}, fold([OPENED, *seen]))
    assert sum(len(sentence.split()) for sentence in said) < 140
    assert said[0].startswith("Two findings unsafe: a b c")
    assert said[1] == "Two findings serious."


def test_what_is_unsafe_comes_before_what_is_serious_and_both_before_figures() -> None:
    def seen(id_: str, severity: str) -> FactNoted:
        event = {"at": AT, "id": id_, "about": "finding", "text": f"{severity} thing", "severity": severity}
        return FactNoted.model_validate(event)

    points = found(too_big(), seen("f1", "serious"), seen("f2", "unsafe"), seen("f3", "minor"))
    named = [(point.kind.name, point.text) for point in points if point.entry]
    assert [name for name, _ in named] == ["UNSAFE", "SERIOUS", "OUT_NOTHING_DECIDED", "PROVISIONAL"]
    assert [text for _, text in named][:2] == ["unsafe finding: unsafe thing", "serious finding: serious thing"]


NOTED = FactNoted(at=AT, id="f1", about="finding", text="pivot worn")
EACH_KIND: dict[str, tuple[list[Event], list[tuple[str, int | None, str, str, str | None]]]] = {
    "a danger that stands": (
        done("spring"),
        [("DANGER", 1, "danger, until step 4 is done: the spring is under load", "the spring is under load", None)],
    ),
    "what is unsafe": (
        [NOTED.model_copy(update={"step": "float", "severity": "unsafe"})],
        [("UNSAFE", 2, "unsafe finding: pivot worn", "pivot worn", "f1")],
    ),
    "what is serious": (
        [NOTED.model_copy(update={"severity": "serious"})],
        [("SERIOUS", None, "serious finding: pivot worn", "pivot worn", "f1")],
    ),
    "what is only noted": ([NOTED, NOTED.model_copy(update={"id": "f2", "severity": "minor"})], []),
    "found out of limits": (
        [too_big(occasion="as found"), settled()],
        [("FOUND_OUT", 2, "end float, as found: 9 thou, limits 2 to 5 thou: out of limits, 4 thou over",
          "end float, nine thou", "r1")],
    ),
    "found out of limits and set since": ([too_big(occasion="as found"), settled(), reading(2), settled(2)], []),
    "found out of limits and set wrong": (
        [too_big(occasion="as found"), settled(), too_big(2), settled(2)],
        [("OUT_NOTHING_DECIDED", 2, "end float, as set: 9 thou, limits 2 to 5 thou: out of limits, 4 thou over; "
          "nothing decided", "end float, nine thou", "r2"),
         ("FOUND_OUT", 2, "end float, as found: 9 thou, limits 2 to 5 thou: out of limits, 4 thou over; a later "
          "figure (as set) is 9 thou, out of limits", "end float, nine thou", "r1")],
    ),
    "undecided": (
        [reading(said="5 thou", value="5", decision="undecided", side="high"), settled()],
        [("UNDECIDED", 2, "end float, as set: 5 thou, limits 2 to 5 thou: undecided, too near the upper limit: nearer "
          "than the tool can tell", "end float, five thou", "r1")],
    ),
    "found undecided and set since": (
        [reading(said="5 thou", value="5", decision="undecided", side="high", occasion="as found"), settled(),
         reading(2), settled(2)],
        [],
    ),
    "a tool that was due": (
        [reading(tool_overdue="2026-01-31", tool_identity="T 7"), settled()],
        [("TOOL_OVERDUE", 2, "end float, as set: 4 thou, taken with feeler gauge, T 7, was due 2026-01-31",
          "end float, feeler gauge", "r1")],
    ),
    "a check answered no": (
        [CheckAnswered(at=AT, id="c1", step="check", question="Does it run free?", passed=False)],
        [("CHECK_FAILED", 3, "check answered no: Does it run free?", "", "c1")],
    ),
    "parts still out": (
        [PartsCounted(at=AT, id=f"p{count}", count=count, part="screw", way=way) for count, way in
         ((8, "out"), (7, "back"))],
        [("PARTS", None, "eight screws out and seven back: one screw still out", "one screw still out", None)],
    ),
    "left out knowingly": (
        [StepDone(at=AT, step="float", missing=("no end float",)),
         StepDone(at=AT, step="check", missing=("waited 2 min of 10 min", "no answer to the check"))],
        [("MISSING", 2, "done without a figure for end float, knowingly", "end float", None),
         ("MISSING", 3, "done without an answer to its check, knowingly: Does it run free?", "the check", None),
         ("MISSING", 3, "done early, waited 2 min of 10 min: Turn the thimble through its travel.",
          "waited 2 min of 10 min", None)],
    ),
    "left out": (
        done("float", "check"),
        [("MISSING", 2, "done without a figure for end float", "end float", None),
         ("MISSING", 3, "done without an answer to its check: Does it run free?", "the check", None)],
    ),
    "skipped": (
        [StepSkipped(at=AT, step="release", reason="no spring")],
        [("SKIPPED", 4, "skipped (no spring): Let the spring down.", "no spring", None)],
    ),
    "a read-back that never ended": (
        [reading()],
        [("PROVISIONAL", 2, "end float, as set: 4 thou is provisional: its read-back never ended",
          "end float, four thou", "r1")],
    ),
    "figures that no longer stand": (
        [reading(occasion="as found"), settled(), reading(2, "3 thou", "3"), settled(2), *done("float"),
         StepRedone(at=AT, step="float", stale_steps=("float",))],
        [("STALE", 2, "end float, as set: 3 thou no longer stands and was not taken again", "end float", None)],
    ),
    "a timer": (
        [TimerStarted(at=AT, step="float", name="bath", seconds=600)],
        [("TIMER", None, 'timer "bath" (ten minutes) neither rang nor was stopped', "bath", None)],
    ),
    "notes to type": (
        [NoteKept(at=AT, id="n1", step="float", text="worn", seconds=3.4, clip="ab" * 32),
         NoteKept(at=AT, id="n2", text="", seconds=2)],
        [("NOTE", 2, "note to type, 3 s, clip abababab: worn", "", "n1"),
         ("NOTE", None, "note to type, 2 s, no clip: (not understood)", "", "n2")],
    ),
}  # fmt: skip


@pytest.mark.parametrize("story", EACH_KIND)
def test_each_kind_of_finding_names_its_step_says_what_it_is_and_leads_to_its_entry(story: str) -> None:
    events, told = EACH_KIND[story]
    seen = [(each.kind.name, each.number, each.text, each.say, each.entry) for each in found(*events)]
    # Of the steps that are not done something is told in most of them: that is looked at elsewhere.
    assert [each for each in seen if each[0] != "NOT_DONE"] == told


def test_steps_that_are_not_done_are_named_by_their_act() -> None:
    assert [(each.number, each.text, each.say) for each in found(kind=FindingKind.NOT_DONE)] == [
        (number, f"not done: {step.act}", step.act) for number, step in enumerate(PROCEDURE.steps, 1)
    ]


def test_a_step_that_waits_for_the_check_of_another_is_missing_it_and_not_undone() -> None:
    text = TEXT.replace("    check: Does it run free?", "    check: Does it run free?\n    check by another: true")
    text = text.replace("    wait: 10 minutes\n", "")
    opened = OPENED.model_copy(update={"procedure_text": text})
    events: list[Event] = [*done("spring", "release"), reading(), settled(), *done("float")]
    begun = StepEntered(at=AT, step="check")
    state = fold([opened, WorkerChanged(at=AT, name="Jo Tern"), *events, begun])
    assert [(each.kind.name, each.number, each.text, each.say) for each in findings(procedure_of(opened), state)] == [
        ("MISSING", 3, "waits for the check of another: Does it run free?", "the check")
    ]
    unbegun = findings(procedure_of(opened), fold([opened, *events]))
    assert [(each.kind.name, each.number) for each in unbegun] == [("NOT_DONE", 3)]


def test_what_belongs_to_the_job_has_the_step_it_was_told_at_where_there_is_one_procedure_only() -> None:
    state = fold([OPENED, NOTED.model_copy(update={"step": "float", "severity": "serious"})])
    name = OPENED.procedure_name
    for procedures, number in (({name: PROCEDURE}, 2), ({name: PROCEDURE, "cleaning": PROCEDURE}, None)):
        (told,) = [each for each in findings_of_job(procedures, state) if each.kind is FindingKind.SERIOUS]
        assert (told.number, told.step) == (number, "float" if number else None)
