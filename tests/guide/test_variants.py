"""Questions about the item, stages, places, marks and trays at the bench."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.bench.setting_up import session_of
from handsfree.guide.effects import Say
from handsfree.guide.guide import Guide
from handsfree.job.events import JobOpened, QuestionAnswered
from handsfree.job.state import fold
from handsfree.procedure.file.loader import Loaded, load_procedure
from handsfree.review.text.whole import review_text
from tests.support.played import MORNING, Play

ENGINE = """
title: Valves of a small engine
item: Bench engine
revision: 1
questions:
  collar: {ask: Is there a collar on the pinion?, when: start}
  pattern:
    ask: Is it the early or the late pattern?
    by serial: {early: up to 4000, late: from 4001}
places:
  cylinders: [cylinder one, cylinder two]
steps:
  - id: cover
    do: Take the cover off.
    tray: one
    marks: {name: cover mark, where: "across cover and head, at the bottom"}
  - id: collar
    do: Take the collar off.
    only if: {collar: yes}
  - group: valves
    for each: cylinders
    stop: The cover may stay off until tomorrow.
    steps:
      - id: set
        do: Set the inlet valve.
        measure:
          - {name: inlet clearance, unit: thou, limits: [3, 5], only if: {pattern: early}}
          - {name: inlet clearance, unit: thou, limits: [4, 6], only if: {pattern: late}}
        wait: {for: 1 minute, name: oil}
  - group: closing
    steps:
      - id: late-washer
        do: Put the washer on.
        only if: {pattern: late}
      - id: close
        do: Put the cover on.
        meets: cover mark
        tools: long driver
        fasteners: {count: 4, size: M4 x 12, tighten: "firm, crosswise"}
        tray: tray one
"""


@pytest.fixture
def small(tmp_path: Path) -> Loaded:
    path = tmp_path / "valves.yaml"
    path.write_text(ENGINE, encoding="utf-8")
    return load_procedure(path)


def opened(loaded: Loaded, serial: str | None) -> list[str]:
    guide = Guide(session_of(loaded.procedure))
    job = JobOpened(
        at=MORNING, title="t", revision="1", procedure_sha256="", procedure_text="", procedure_name="p", serial=serial
    )
    effects = guide.open(job)
    return [effect.text for effect in effects if isinstance(effect, Say)]


def test_a_question_of_the_start_comes_before_the_first_step_and_is_asked_once(play: Play) -> None:
    played = play("next", "no", "next", "early")
    assert played.said[0].endswith("Six steps. Is there a collar on the pinion? Yes or no.")
    assert played.said[1] == "First: Is there a collar on the pinion? Yes or no."
    assert played.said[2].startswith("Collar: no. Step one. Take the cover off.")
    assert [event.kind for event in played.events][:2] == ["job opened", "question answered"]
    assert sum("collar" in said.lower() and "?" in said for said in played.said) == 2


def test_a_step_that_does_not_apply_is_left_out_and_is_not_missing(play: Play) -> None:
    played = play("no", "next", "early", "what is left", "go to step two")
    assert played.said[2] == "Is it the early or the late pattern? Early or late."
    assert played.said[3].startswith("Pattern: early. Valves. Step three.")
    assert played.state.status("collar") == "not needed"
    assert played.said[4].startswith("Three steps left.")
    assert played.last == "Step two does not apply to this item: collar, no. Still here."
    assert played.state.step == "set/cylinder one"


def test_a_step_that_applies_comes_up(play: Play) -> None:
    assert play("yes", "next").last.startswith("Step two. Take the collar off.")


@pytest.mark.parametrize(("answer", "limits"), [("early", "three to five thou"), ("late", "four to six thou")])
def test_the_limits_depend_on_the_answer(play: Play, answer: str, limits: str) -> None:
    played = play("no", "next", answer)
    assert f"Log inlet clearance, {limits}." in played.last


def test_the_verdict_is_that_of_the_variant(play: Play) -> None:
    assert "In limits." in play("no", "next", "late", "log six thou").last


def test_the_serial_number_decides_and_the_log_says_so(small: Loaded) -> None:
    (said,) = opened(small, "K-4711")
    assert "By its serial number, pattern: late." in said
    (said,) = opened(small, None)
    assert "By its serial number" not in said


def test_an_answer_that_was_wrong_is_given_again_and_the_last_one_counts(play: Play) -> None:
    played = play("yes", "next", "ask me again", "no")
    assert played.said[-2] == "Is there a collar on the pinion? Yes or no."
    # Step two has gone, so the job goes on to what needs the next answer.
    assert played.last == "Collar: no. Is it the early or the late pattern? Early or late."
    assert fold(played.events).answers == {"collar": "no"}
    assert [event.answer for event in played.events if event.kind == "question answered"] == ["yes", "no"]


def test_answers_survive_a_pause(play: Play) -> None:
    play("no", "next", "early", "pause the job")
    played = play("yes", "which variant")
    assert played.last == "Collar: no. Pattern: early."
    assert played.state.answers == {"collar": "no", "pattern": "early"}


def test_a_question_is_put_again_when_the_job_is_taken_up(play: Play) -> None:
    play("pause the job")
    assert play("yes").last == "Is there a collar on the pinion? Yes or no."


def test_each_place_has_its_own_figure_and_its_own_wait(play: Play) -> None:
    lines = (
        "no",
        "next",
        "early",
        "log four thou",
        "start the timer",
        "~ one minute",
        "next",
        "log three thou",
        "next",
    )
    played = play(*lines)
    assert "Set the inlet valve, cylinder two." in " ".join(played.said)
    assert [(e.place, e.value) for e in played.events if e.kind == "reading logged"] == [
        ("cylinder one", "4"),
        ("cylinder two", "3"),
    ]
    assert played.last == "The waiting time has not run. Go on without? Yes or no."


def test_a_stage_ends_with_a_stop_that_is_left_only_when_it_is_said(play: Play) -> None:
    played = play("no", "next", "early", "next", "yes", "next", "yes")
    stop = "End of stage valves. The cover may stay off until tomorrow. Say next to go on, or pause the job."
    assert played.last == stop
    assert played.state.step == "set/cylinder two"
    resumed = play("pause the job")
    assert "Go on from step six? Yes or no." in resumed.said[0]


def test_going_on_after_the_stop(play: Play) -> None:
    played = play("no", "next", "early", "next", "yes", "next", "yes", "next")
    assert played.last.startswith("Closing. Step six. Put the cover on. Tray one.")


def test_marks_are_made_and_spoken_back_when_the_parts_meet(play: Play) -> None:
    played = play("no", "which marks", "next", "early", "go to step six", "which marks")
    assert "Make the cover mark: across cover and head, at the bottom." in played.said[1]
    assert "The cover mark meets: across cover and head, at the bottom." in played.said[-2]
    assert played.last == "The cover mark meets: across cover and head, at the bottom."


def test_a_mark_that_was_never_made_is_told_when_the_parts_meet(play: Play) -> None:
    played = play("no", "skip not needed", "early", "go to step six")
    assert "The cover mark was not made: step one is not done." in played.last


def test_tray_tools_and_how_firmly(play: Play) -> None:
    played = play("no", "which tray", "which tools", "go to step six", "which tray", "which tools", "fasteners")
    assert played.said[2:4] == ["Tray one.", "No tools are named for this step."]
    assert played.said[-3:] == ["Tray one.", "Long driver.", "Four M four by twelve, firm, crosswise. Tray one."]


def test_the_review_knows_the_variant(small: Loaded, play: Play) -> None:
    played = play("no", "next", "early", "log four thou", "next", "yes")
    procedure = small.procedure.given(played.state.answers)
    text = review_text({played.state.working: procedure}, played.state, played.events, job="1")
    assert "Variant     collar: no; pattern: early" in text
    assert "not done: Take the collar off." not in text


def test_yes_and_no_among_other_answers_are_taken(make_play: Callable[..., Play]) -> None:
    played = make_play(
        "title: Felt\nitem: Bench rig\nrevision: 1\n"
        "questions: {felt: {ask: Is there a felt?, answers: [yes, no, a trace of it], when: start}}\n"
        "steps:\n  - {id: a, do: Take the felt out., only if: {felt: yes}}\n  - {id: b, do: Close it.}\n"
    )("no")
    given = [event.answer for event in played.events if isinstance(event, QuestionAnswered)]
    assert given == ["no"] and played.said[1].endswith("Close it.")
