"""Being walked through a procedure."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.bench.setting_up import ready
from handsfree.guide.effects import Prepare
from handsfree.job.events import CheckAnswered, JobFinished
from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from tests.support.conversation import conversation
from tests.support.played import MORNING, Play


def test_the_job_begins_with_the_danger_and_then_the_act(play: Play) -> None:
    first = play().said[0]
    assert first.index("Danger. Spring under load.") < first.index("Press the spring down")


def test_next_goes_on_and_the_left_hand_thread_is_said_unasked(play: Play) -> None:
    assert "Left-hand thread." in play("next").last


def test_looking_ahead_logs_nothing_and_next_still_means_the_step_the_job_stands_at(play: Play) -> None:
    played = play("what comes after", "next")
    assert played.said[1].startswith("Only looking. Step two.")
    assert played.said[2].startswith("Step two.")
    assert played.state.steps == {"load": "done"}


def test_done_marks_a_step_that_was_looked_back_at(play: Play) -> None:
    played = play("go to step two", "back", "step done")
    assert played.last == "Step one done."
    assert played.state.steps == {"load": "done"}
    assert played.state.step == "set"


def test_going_on_without_the_answer_to_a_check_puts_the_check_so_that_a_yes_can_mean_nothing_else(
    small: Loaded,
) -> None:
    """Asked whether to go on without, a repairer's yes could have been meant for the check."""

    def answered(*lines: str) -> tuple[list[bool], str | None]:
        talk = conversation(small, "go to step five", "next")
        assert talk.said == ["First the check: Does the latch fall by itself? Yes or no."]
        checks = []
        for line in lines:
            talk.say(line)
            checks += [event.passed for event in talk.written if isinstance(event, CheckAnswered)]
        return checks, talk.state.steps.get("release")

    assert answered("yes") == ([True], "done")
    assert answered("no") == ([False], None)
    assert answered("next", "no") == ([], None)
    assert answered("next", "yes") == ([], "done")
    assert answered("step done", "yes") == ([], "done")


def test_a_check_that_is_passed_over_twice_is_missing_from_the_step(play: Play) -> None:
    played = play("go to step five", "next", "next", "yes")
    assert played.said[-2] == "Go on without the check? Yes or no."
    assert played.state.missing["release"] == ("the check is not answered",)


def test_going_on_without_the_figure_is_asked_about_once(play: Play) -> None:
    played = play("next", "next", "yes")
    assert played.said[2] == "No figure for latch clearance. Go on without? Yes or no."
    assert played.last.startswith("Step three.")
    assert [event.missing for event in played.events if event.kind == "step done"][-1] == (
        "no figure for latch clearance",
    )


def test_no_keeps_the_step(play: Play) -> None:
    played = play("next", "next", "no")
    assert played.state.step == "set"
    assert "set" not in played.state.steps


def test_a_question_expires_writes_nothing_and_says_so(play: Play) -> None:
    played = play("next", "next", "~ one minute", "yes")
    assert "No answer. Nothing written." in played.said
    assert played.state.step == "set"


def test_a_waiting_time_is_asked_about_until_it_has_run(play: Play) -> None:
    played = play("go to step three", "start the timer", "next", "no", "~ eleven minutes", "next")
    assert "Timer lacquer, ten minutes." in played.said
    assert any("still to wait" in text for text in played.said)
    assert "Timer lacquer: time is up." in played.said
    assert played.last.startswith("Step four.")


def test_skipping_asks_for_the_reason_and_keeps_it(play: Play) -> None:
    played = play("skip this step", "the owner has no spring")
    assert played.said[1] == "Why is it skipped?"
    assert played.state.reasons == {"load": "the owner has no spring"}
    assert "Step one skipped, the owner has no spring." in played.last


def test_skipping_with_a_reason_in_one_breath(play: Play) -> None:
    assert play("skip part missing").state.reasons == {"load": "part missing"}


def test_never_mind_drops_the_skipping(play: Play) -> None:
    played = play("skip this step", "drop it")
    assert played.last == "Dropped. Nothing written."
    assert played.state.steps == {}


def test_redoing_a_step_makes_what_rests_on_it_stale(play: Play) -> None:
    lines = ("next", "log four thou", "next", "start the timer", "~ ten minutes", "next", "log clearance four thou")
    played = play(*lines, "redo step two", "yes", "next")
    assert "Two figures of steps two and four will no longer stand. Redo? Yes or no." in played.said
    assert all(entry.stale for entry in played.state.entries.values())
    assert played.last == "No figure for latch clearance. Go on without? Yes or no."


def test_redoing_a_step_at_which_only_parts_were_counted_and_notes_taken_asks_nothing(play: Play) -> None:
    played = play("next", "two screws out", "note", "worn", "end of note", "material used", "paste", "end of note",
                  "redo step two")  # fmt: skip
    assert played.last.startswith("Step two.")
    assert "proved" not in played.last
    assert all(entry.stands for entry in played.state.entries.values())


def test_what_redoing_costs_counts_figures_and_checks_alone(play: Play) -> None:
    played = play("next", "two screws out", "log four thou", "note", "worn", "end of note", "redo step two", "yes")
    assert "One figure of step two will no longer stand. Redo? Yes or no." in played.said
    assert [entry.stands for entry in played.state.entries.values()] == [True, False, True]


def test_a_waiting_time_has_to_run_again_when_its_step_is_redone(play: Play) -> None:
    waited = ("go to step three", "start the timer", "~ ten minutes", "next")
    assert play(*waited, "redo step three", "next").last == "The waiting time has not run. Go on without? Yes or no."


def test_a_danger_stands_until_its_end_and_the_end_is_said(play: Play) -> None:
    played = play("next", "where am i", "cautions", "go to step five", "yes", "next", "cautions")
    assert "Danger stands since step one. Spring under load. Keep your face clear." in played.said[2]
    assert played.said[3] == "Danger stands since step one. Spring under load. Keep your face clear."
    assert any(text.startswith("Danger over. No longer: spring under load.") for text in played.said)
    assert played.last == "No cautions at this step."


def test_cautions_tell_a_danger_of_the_step_itself_once(play: Play) -> None:
    assert play("cautions").last == "Danger. Spring under load. Keep your face clear."


def test_steps_passed_over_are_named_and_come_up_again(play: Play) -> None:
    played = play("go to step five", "yes", "next")
    assert "Four steps passed over, still open." in played.said[1]
    assert "Step one was left open." in played.last


def test_a_step_that_is_not_there_is_refused(play: Play) -> None:
    assert play("go to step nine").last == "There is no such step. There are five."


def test_standing_by_hears_nothing_but_the_call_back(play: Play) -> None:
    played = play("stand by", "next", "log four thou", "back at the bench")
    assert played.state.steps == {}
    assert played.last.startswith("Back. Danger.")


def test_finishing_without_a_signature_is_asked_about(play: Play) -> None:
    played = play("signed off by tango golf", "finish the job", "no")
    assert "Not signed off" not in played.said[-2]
    played = play("yes", "take back", "finish the job", "yes")
    assert played.said[-2].endswith("Not signed off. Finish anyway? Yes or no.")
    assert "not signed off" in next(e.open_points for e in reversed(played.events) if isinstance(e, JobFinished))


def test_finishing_with_gaps_says_what_they_are_and_asks(play: Play) -> None:
    played = play("finish the job", "no", "finish the job", "yes")
    assert played.said[1] == (
        "One danger still present and five steps not done. Not signed off. Finish anyway? Yes or no."
    )
    assert "Not finished. Still at the bench." in played.said
    assert played.over == "finished"


def test_help_names_six_phrases_at_most(play: Play) -> None:
    assert play("next", "help").last.count(",") <= 6


def test_what_is_not_there_is_said_in_a_few_words(play: Play) -> None:
    played = play("fasteners", "lubricant", "why", "details", "read back", "take back", "stop the timer")
    assert played.said[1:] == [
        "No fasteners at this step.",
        "No lubricant at this step. Leave it dry.",
        "No reason is given for this step.",
        "No more is known of this step.",
        "Nothing is logged yet.",
        "Nothing to take back.",
        "No timer is running.",
    ]


def test_details_of_a_step(play: Play) -> None:
    played = play("next", "fasteners", "lubricant", "why", "details")
    assert played.said[2:] == [
        "Two M two by five, cheese head. Left-hand thread.",
        "Instrument oil, the pivot, one drop.",
        "Too tight and it sticks.",
        "Use the long blade.",
    ]


SIZES = """
title: Fitting of the cover
item: Bench gauge
revision: 1
steps:
  - id: cover
    do: Fit the cover.
    fasteners:
      - {count: 2, size: 8 BA x 3/16 in, head: cheese head, finish: blued, left-hand thread: true}
      - {count: 1, size: 1/4 BSW x 1 in}
      - {count: 1, size: 3/16 BSF}
      - {count: 3, size: 6-32 x 1/4}
      - {count: 1, size: 1/4-20 UNC x 1/2}
      - {count: 1, size: "pillar screw, third wheel"}
"""


@pytest.mark.parametrize("asked", ["fasteners", "what size are the screws"])
def test_sizes_of_every_family_are_said_at_the_step(make_play: Callable[..., Play], asked: str) -> None:
    played = make_play(SIZES)(asked)
    assert played.said[0] == "Fitting of the cover. One step. Step one. Fit the cover. Left-hand thread."
    assert played.last == (
        "Two eight B A by three sixteenths, cheese head, blued. Left-hand thread. One quarter Whitworth by one inch. "
        "One three sixteenths B S F. Three six thirty two by a quarter. One quarter twenty by a half. "
        "One pillar screw, third wheel."
    )


def test_what_is_left_ends_with_the_next_open_step(play: Play) -> None:
    played = play("next", "what is left")
    assert "after this, step three: Put one drop of lacquer on the screw." in played.last.replace("After", "after")
    played = play("next", "skip", "yes", "what is left")
    assert "after this, step two" not in played.last.lower()


def test_the_usual_answers_are_made_ready_when_a_job_begins_so_that_they_come_at_once(
    small: Loaded, store: Store
) -> None:
    job = ready(small, store, MORNING)
    assert job.opened is not None
    made_ready = [text for effect in job.guide.open(job.opened) if isinstance(effect, Prepare) for text in effect.texts]
    assert {"Check passed.", "Staying here.", "Not sure. Say it again."} <= set(made_ready)
