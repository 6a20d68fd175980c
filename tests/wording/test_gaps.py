"""What a step and a job still lack, which dangers stand, and which parts are out."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from typing import Any

import pytest

from handsfree.job.events import (
    CheckAnswered,
    Event,
    FactNoted,
    JobOpened,
    OutcomeGiven,
    PartsCounted,
    ProcedureTakenUp,
    ReadingLogged,
    StepDone,
    StepEntered,
    StepSkipped,
    TimerRang,
    TimerStarted,
)
from handsfree.job.state import JobState, fold
from handsfree.job.tally import Tally
from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.model import Danger, Procedure
from handsfree.wording import dangers, gaps, tally

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)
TEXT = """
title: Latch
item: bench gauge
revision: 1
steps:
  - id: load
    do: Hook the spring on.
    dangers:
      - {say: spring under load, until: release}
      - {say: sharp edge}
  - id: set
    do: Set the clearance.
    measure:
      - {name: clearance, unit: thou, limits: [3, 5]}
      - {name: travel, unit: mm}
    check: Does it run free?
  - id: cure
    do: Let it cure.
    wait: {for: 10 minutes, name: lacquer}
  - id: cover
    do: Put the cover on.
    fasteners: {size: M2 x 5, count: 4}
  - id: release
    do: Let the spring down.
    fasteners: {size: M2 x 8, count: 2}
"""
LATCH = parse_procedure(TEXT.encode(), "latch.yaml").procedure
OPENED = JobOpened(
    at=AT, title="Latch", revision="1", procedure_sha256="0", procedure_text=TEXT, procedure_name="latch"
)


def after(*events: Event) -> JobState:
    return fold([OPENED, *events])


def reading(id_: str, name: str = "clearance", decision: str = "in limits", step: str = "set") -> ReadingLogged:
    return ReadingLogged(
        at=AT, step=step, id=id_, characteristic=name, occasion="as set", value="4", unit="thou", as_said="4 thou",
        decision=decision, limits="3 to 5 thou",
    )  # fmt: skip


def check(passed: bool) -> CheckAnswered:
    return CheckAnswered(at=AT, step="set", id="c1", question="Does it run free?", passed=passed)


def parts(id_: str, count: int, way: str, part: str = "screw") -> PartsCounted:
    return PartsCounted.model_validate({"at": AT, "id": id_, "part": part, "count": count, "way": way})


def done(*steps: str) -> list[Event]:
    return [StepDone(at=AT, step=step) for step in steps]


def lacks(step: str, *events: Event, at: timedelta | None = None) -> list[str]:
    return gaps.of_step(LATCH.by_id(step), after(*events), None if at is None else AT + at)


# A step


def test_a_step_lacks_the_figures_and_the_answer_that_it_asks_for() -> None:
    assert lacks("set") == ["no figure for clearance", "no figure for travel", "the check is not answered"]
    assert lacks("set", reading("r1"), check(True)) == ["no figure for travel"]
    assert lacks("set", reading("r1"), reading("r2", "travel"), check(True)) == []
    assert lacks("load") == []


def test_an_answer_of_no_is_lacking_too() -> None:
    assert lacks("set", reading("r1"), reading("r2", "travel"), check(False)) == ["the check failed"]


def test_a_figure_out_of_limits_wants_a_decision_and_only_the_newest_counts() -> None:
    out = reading("r1", decision="out of limits")
    rest = (reading("r3", "travel"), check(True))
    undecided = ["clearance is out of limits with nothing decided"]
    assert lacks("set", out, *rest) == undecided
    assert lacks("set", out, OutcomeGiven(at=AT, id="r1", outcome="left open"), *rest) == []
    assert lacks("set", out, reading("r2"), *rest) == []
    assert lacks("set", reading("r2"), out, *rest) == undecided


@pytest.mark.parametrize(("decision", "wanted"), [("out of limits", True), ("undecided", False), ("in limits", False)])
def test_only_a_figure_out_of_limits_wants_a_decision(decision: str, wanted: bool) -> None:
    assert gaps.needs_outcome(after(reading("r1", decision=decision)).entries["r1"]) is wanted
    assert not gaps.needs_outcome(after(check(False)).entries["c1"])


def test_a_waiting_time_is_lacking_until_it_has_run() -> None:
    started = TimerStarted(at=AT, name="lacquer", seconds=600, step="cure")
    rang = TimerRang(at=AT + timedelta(minutes=10), name="lacquer")
    assert lacks("cure", at=timedelta(0)) == ["the waiting time has not run"]
    assert lacks("cure", started, at=timedelta(minutes=4)) == ["six minutes still to wait"]
    assert lacks("cure", started, at=timedelta(minutes=10)) == []
    assert lacks("cure", started, rang, at=timedelta(minutes=11)) == []
    # Of a step that is done, or at no time in particular, no waiting is told.
    assert lacks("cure", *done("cure"), at=timedelta(0)) == []
    assert lacks("cure") == []


def test_a_timer_that_is_too_short_for_the_waiting_time_is_not_that_time() -> None:
    short = TimerStarted(at=AT, name="lacquer", seconds=240, step="cure")
    rang = TimerRang(at=AT + timedelta(minutes=4), name="lacquer")
    assert lacks("cure", short, at=timedelta(minutes=1)) == ["nine minutes still to wait"]
    assert lacks("cure", short, rang, at=timedelta(minutes=5)) == ["six minutes still to wait"]
    rest = TimerStarted(at=AT + timedelta(minutes=5), name="lacquer", seconds=360, step="cure")
    again = TimerRang(at=AT + timedelta(minutes=11), name="lacquer")
    assert lacks("cure", short, rang, rest, at=timedelta(minutes=10)) == ["one minute still to wait"]
    assert lacks("cure", short, rang, rest, again, at=timedelta(minutes=11)) == []
    left_out = StepDone(at=AT, step="cure", missing=("six minutes still to wait",))
    assert gaps.waiting_left_out(LATCH.by_id("cure"), after(short, rang, left_out)) == (
        "the waiting time has not run in full"
    )


def test_a_timer_of_this_name_that_is_for_another_step_is_not_its_time() -> None:
    other = TimerStarted(at=AT, name="lacquer", seconds=600, step="set", of_step="release")
    assert lacks("cure", other, at=timedelta(minutes=1)) == ["the waiting time has not run"]
    assert lacks("cure", other, TimerRang(at=AT, name="lacquer"), at=timedelta(minutes=10)) == [
        "the waiting time has not run"
    ]


def test_a_step_at_several_places_waits_at_each_of_them() -> None:
    text = """
title: Latch
item: bench gauge
revision: 1
places: {ends: [left end, right end]}
steps:
  - group: lacquer
    for each: ends
    steps:
      - {id: cure, do: "Let {place} cure.", wait: 10 minutes}
"""
    left, right = parse_procedure(text.encode(), "p.yaml").procedure.steps
    name = gaps.wait_name(left)
    state = after(TimerStarted(at=AT, name=name, seconds=600, step=left.id), TimerRang(at=AT, name=name))
    assert gaps.of_step(left, state, AT) == []
    assert gaps.of_step(right, state, AT) == ["the waiting time has not run"]


def test_the_timer_of_a_waiting_time_has_a_name() -> None:
    assert gaps.wait_name(LATCH.by_id("cure")) == "lacquer"
    assert gaps.wait_name(LATCH.by_id("load")) == "waiting"


# A job


def test_a_job_lacks_what_its_steps_lack_its_parts_its_dangers_and_a_signature() -> None:
    events = [*done("load", "set"), StepSkipped(at=AT, step="cure", reason="later"), reading("r1"), check(True),
              parts("p1", 2, "out")]  # fmt: skip
    lacking = gaps.of_job(LATCH, after(*events))
    assert lacking.points == (
        "two steps not done",
        "step 2: no figure for travel",
        "two screws still out",
        "one danger still present",
        "not signed off",
    )
    assert lacking.words == (
        "one danger still present, two steps not done, one point open in finished steps and two screws still out"
    )
    assert (lacking.open_steps, lacking.lacking) == ((4, 5), ((2, "no figure for travel"),))


def test_a_job_that_is_done_lacks_nothing_but_the_signature() -> None:
    everything = [*done(*(step.id for step in LATCH.steps)), reading("r1"), reading("r2", "travel"), check(True)]
    assert gaps.of_job(LATCH, after(*everything)).points == ("not signed off",)
    assert gaps.of_job(LATCH, after(*everything)).words == ""
    signed = FactNoted(at=AT, id="f1", about="signed off", text="AB")
    assert gaps.of_job(LATCH, after(*everything, signed)).points == ()


@pytest.mark.parametrize(("purpose", "unsigned"), [("repair", True), ("rehearsal", False), ("disassembly", False)])
def test_nobody_signs_what_is_only_practised_or_taken_apart(purpose: Any, unsigned: bool) -> None:
    state = fold([OPENED.model_copy(update={"purpose": purpose})])
    assert bool(gaps.of_job(LATCH, state).unsigned) is unsigned


# Dangers


def test_a_danger_stands_from_its_step_until_the_step_that_ends_it_is_done() -> None:
    def standing(*events: Event) -> list[tuple[int, str]]:
        return [(number, danger.say) for number, danger in gaps.standing_dangers(LATCH, after(*events))]

    loaded = [(1, LATCH.steps[0].dangers[0].say)]
    assert standing() == []
    assert standing(StepEntered(at=AT, step="load")) == loaded
    assert standing(*done("load")) == loaded
    assert standing(StepSkipped(at=AT, step="load", reason="later"), StepEntered(at=AT, step="set")) == []
    assert standing(*done("load"), StepEntered(at=AT, step="release")) == loaded
    assert standing(*done("load", "release")) == []
    # Begun and left open, nobody knows how far it was done.
    assert standing(StepEntered(at=AT, step="load"), StepEntered(at=AT, step="set")) == loaded
    # Leaving out the step that ends it ends nothing.
    assert standing(*done("load"), StepSkipped(at=AT, step="release", reason="later")) == loaded


def test_a_standing_danger_is_told_with_where_it_began() -> None:
    state = after(*done("load"))
    said = ["Danger stands since step one. Spring under load."]
    assert dangers.standing(LATCH, state, {}) == said
    assert dangers.standing(LATCH, state, {}, but=1) == said
    # The step in view tells its own.
    assert dangers.standing(LATCH, state, {}, but=0) == []


def test_a_danger_of_the_jobs_other_procedure_is_told_with_its_title() -> None:
    other = parse_procedure(TEXT.replace("title: Latch", "title: Cleaning").encode(), "p.yaml").procedure
    taken_up = ProcedureTakenUp(
        at=AT, procedure_name="cleaning", title="Cleaning", revision="1", procedure_sha256="1", procedure_text=""
    )
    state = after(*done("load"), taken_up)
    said = ["Danger stands since step one of Latch. Spring under load."]
    assert dangers.standing(other, state, {"latch": LATCH}) == said
    # One that the job has not worked has begun nothing.
    assert dangers.standing(other, state, {"never": LATCH}) == []


def test_what_a_job_of_two_procedures_lacks_is_told_with_the_title_of_the_one_that_is_not_worked_now() -> None:
    other = parse_procedure(TEXT.replace("title: Latch", "title: Cleaning").encode(), "p.yaml").procedure
    taken_up = ProcedureTakenUp(
        at=AT, procedure_name="washing", title="Cleaning", revision="1", procedure_sha256="1", procedure_text=""
    )
    state = after(*done("load", "set"), parts("p1", 2, "out"), taken_up, *done("load", "cure", "cover", "release"))
    assert gaps.points_of_job({"latch": LATCH, "washing": other}, state) == (
        "one step not done",
        # Parts and the signature are the whole job's, and told once.
        "two screws still out",
        "not signed off",
        "Latch: three steps not done",
        "Latch: step 2: no figure for clearance",
        "Latch: step 2: no figure for travel",
        "Latch: step 2: the check is not answered",
        "Latch: one danger still present",
    )


@pytest.mark.parametrize(
    ("says", "said"),
    [
        ("Spring under load. Keep your face clear.", "Danger over. No longer: spring under load."),
        ("Hot; use the tongs.", "Danger over. No longer: hot."),
        # What is written in capitals stays so.
        ("UV light! Wear the goggles.", "Danger over. No longer: UV light."),
    ],
)
def test_a_danger_that_is_over_is_told_without_what_to_do_about_it(says: str, said: str) -> None:
    assert dangers.over([Danger.model_validate({"say": says})]) == said
    assert dangers.over([]) == ""


def test_a_step_done_before_its_time_was_up_is_told_from_one_done_without_something_else() -> None:
    lacking = lacks("cure", TimerStarted(at=AT, step="cure", name="lacquer", seconds=600), at=timedelta(minutes=4))
    assert [gaps.of_waiting(words) for words in lacking] == [True]
    assert [gaps.of_waiting(words) for words in lacks("cure", at=timedelta(0))] == [True]
    assert not gaps.of_waiting("the check is not answered")


def test_where_another_number_was_counted_than_the_step_lists_the_list_is_told() -> None:
    cover = LATCH.by_id("cover")

    def told(count: int, **where: Any) -> str:
        back = {"at": AT, "id": "p1", "step": "cover", "part": "screw", "count": count, "way": "back", **where}
        return tally.of_the_step(cover, after(PartsCounted.model_validate(back)), "screw", "back")

    assert told(3) == "this step lists four screws"
    assert told(4) == ""
    # Of another step, or the other way: not those that the step lists.
    assert told(4, step="release") == told(4, way="out") == "this step lists four screws"
    assert tally.of_the_step(cover, after(), "washer", "back") == ""


def test_a_danger_for_the_eye_says_until_when() -> None:
    lasting, sharp = LATCH.steps[0].dangers
    assert dangers.for_the_eye(LATCH, lasting) == f"danger, until step 5 is done: {lasting.say}"
    assert dangers.for_the_eye(LATCH, sharp) == f"danger, still there: {sharp.say}"


# Parts


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        (Tally("screw", 8), "eight screws still out"),
        (Tally("screw", 8, 7), "eight screws out and seven back: one screw still out"),
        (Tally("screw", 8, 6, 1), "eight screws out, six back and one replaced: one screw still out"),
        (Tally("screw", 8, 8), "eight screws out and eight back: all screws accounted for"),
        (Tally("screw", 1, 2), "one screw out and two back: one screw more in than came out"),
        # What was taken off without a name is called by its number.
        (Tally("part two", 1), "part two still out"),
        (Tally("part two", 1, 1), "part two out and one back: part two accounted for"),
        (Tally("screw", 0, 2), "no screws out and two back: two screws more in than came out"),
    ],
)
def test_the_tally_of_a_kind_of_part_in_words(counts: Tally, said: str) -> None:
    assert tally.sums(counts) == said


def test_parts_of_which_none_is_back_are_told_together() -> None:
    counts = [Tally("screw", 8, 7), Tally("cover", 1), Tally("part two", 1), Tally("shim", 3)]
    assert tally.in_few_words(counts) == [
        "one cover, part two and three shims still out", "eight screws out and seven back: one screw still out",
    ]  # fmt: skip
    assert tally.in_few_words([]) == []


def before_cover(*events: Event, step: int = 3, procedure: Procedure = LATCH) -> str:
    return tally.before_cover(procedure, after(*events), step)


def test_before_a_cover_is_closed_parts_that_are_out_are_asked_for() -> None:
    assert before_cover() == ""
    assert before_cover(parts("p1", 1, "out", "spring")) == "One spring still out."
    # The six screws that the steps from here on put in are rightly out.
    assert before_cover(parts("p1", 6, "out")) == ""
    assert before_cover(parts("p1", 4, "out"), parts("p2", 2, "out", "bolt")) == ""
    assert before_cover(parts("p1", 6, "out"), parts("p2", 1, "out", "spring")) == ("One spring still out.")
    assert before_cover(parts("p1", 7, "out")) == ("Seven screws still out. Six fasteners needed from here on.")


def test_screws_of_steps_that_are_done_or_came_before_are_not_wanted_any_more() -> None:
    assert before_cover(parts("p1", 2, "out"), step=4) == ""
    assert before_cover(parts("p1", 2, "out"), *done("cover")) == ""
    assert before_cover(parts("p1", 1, "out"), *done("cover", "release")) == "One screw still out."
