"""Who is at the bench: named, written down with every entry, and what only another person may do."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.job.events import CheckAnswered, FactNoted, WorkerChanged
from tests.support.played import MORNING, SMALL, Play

PEOPLE = "people: [Jo Tern, Al Gable]\n"
BY_ANOTHER = SMALL.replace("revision: 1", "revision: 1\nsign-off by another: true").replace(
    "    check: Does the latch fall by itself?",
    "    check: Does the latch fall by itself?\n    check by another: true",
)
TO_THE_CHECK = ("next", "log clearance four thou", "next", "go to step five")


@pytest.fixture
def bench(make_play: Callable[..., Play]) -> Play:
    return make_play(SMALL, PEOPLE)


@pytest.fixture
def two_needed(make_play: Callable[..., Play]) -> Play:
    return make_play(BY_ANOTHER, PEOPLE)


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("this is jo", "Jo Tern"),
        ("this is al gable", "Al Gable"),
        ("this is tango golf", "TG"),
    ],
)
def test_whoever_is_at_the_bench_says_so_by_a_known_name_or_spelled(bench: Play, said: str, name: str) -> None:
    played = bench(said)
    assert [event.name for event in played.events if isinstance(event, WorkerChanged)] == [name]
    assert played.last.startswith("At the bench: ")
    assert played.state.worker == name


def test_everything_written_down_is_of_whoever_was_at_the_bench_then(bench: Play) -> None:
    played = bench("next", "this is jo", "log clearance four thou", "this is al", "log clearance five thou")
    assert [entry.by for entry in played.state.every_entry.values()] == ["Jo Tern", "Al Gable"]


def test_whoever_takes_a_job_up_again_is_not_taken_for_the_one_who_left_it(bench: Play) -> None:
    bench("this is jo", "pause the job")
    assert bench("yes", "next", "log clearance four thou").state.every_entry.popitem()[1].by is None


def test_the_same_person_said_twice_is_written_once(bench: Play) -> None:
    played = bench("this is jo", "this is jo tern")
    assert played.last == "Jo Tern. At the bench already."
    assert sum(isinstance(event, WorkerChanged) for event in played.events) == 1


def test_who_is_here_may_be_said_before_a_job_that_was_left_goes_on(bench: Play) -> None:
    bench("pause the job")
    played = bench("this is jo", "yes", "next", "log clearance four thou")
    assert played.said[1] == "At the bench: Jo Tern. Go on from step one? Yes or no."
    assert played.state.every_entry.popitem()[1].by == "Jo Tern"


def test_the_name_at_the_bench_is_the_name_of_the_sign_off(bench: Play) -> None:
    played = bench("this is jo", "sign off", "this is al", "sign off")
    assert [event.text for event in played.events if isinstance(event, FactNoted)] == ["Jo Tern", "Al Gable"]


def test_a_procedure_that_wants_another_person_asks_for_the_name_at_once(two_needed: Play) -> None:
    assert "Say who is at the bench: this is, and the name." in two_needed("where am i").said[0]


def test_a_check_by_another_is_refused_to_whoever_did_the_step(two_needed: Play) -> None:
    played = two_needed("this is jo", *TO_THE_CHECK, "yes", "yes")
    assert played.last == "Jo Tern did this step, so another has to check it."
    assert not any(isinstance(event, CheckAnswered) for event in played.events)


def test_a_check_by_another_is_taken_from_another(two_needed: Play) -> None:
    played = two_needed("this is jo", *TO_THE_CHECK, "yes", "this is al", "yes")
    assert played.last == "Check passed."
    assert played.state.check("release").by == "Al Gable"  # type: ignore[union-attr]


def test_a_check_by_another_wants_a_name_for_the_work_and_for_the_check(two_needed: Play) -> None:
    assert two_needed(*TO_THE_CHECK, "yes", "yes").last == "Say who checks first: this is, and the name."
    played = two_needed("yes", "this is al", "yes", at=MORNING)
    assert played.last == "Nobody was named for this step. Whoever did it: say this is, the name, and redo this step."
    played = two_needed("yes", "this is jo", "redo this step", "this is al", "yes", at=MORNING)
    assert played.last == "Check passed."


@pytest.mark.parametrize("words", ["sign off", "signed off by juliet tango"])
def test_a_sign_off_by_another_is_refused_to_whoever_worked_on_the_job(two_needed: Play, words: str) -> None:
    played = two_needed("this is jo", "next", "log clearance four thou", words)
    assert played.last == "Jo Tern worked on this job, so another has to sign it."
    played = two_needed("yes", "this is al", "sign off", at=MORNING)
    assert played.last == "Signed off by Al Gable."


def test_a_sign_off_is_of_a_state_and_a_figure_after_it_needs_a_new_one(bench: Play) -> None:
    played = bench("next", "this is jo", "log clearance four thou", "sign off", "finish the job")
    assert "signed off" not in played.last
    played = bench("yes", "log clearance five thou", "finish the job", at=MORNING)
    assert "Not signed off since: Jo Tern signed before." in played.last
    signature = played.state.signature
    assert signature is not None and not signature.stands
    played = bench("no", "this is jo", "sign off", "finish the job", at=MORNING)
    assert "signed off" not in played.last
    assert played.state.signature is not None and played.state.signature.stands


def test_a_waiting_time_that_was_made_up_for_later_counts_as_run(play: Play) -> None:
    lines = ("next", "log clearance four thou", "next", "next", "yes")
    assert "the waiting time has not run" in " ".join(play(*lines, "finish the job", "yes").events[-1].open_points)  # type: ignore[union-attr]


def test_a_waiting_time_made_up_for_is_no_open_point_any_more(play: Play) -> None:
    lines = ("next", "log clearance four thou", "next", "next", "yes", "timer lacquer ten minutes", "~ eleven minutes")
    points = play(*lines, "got it", "finish the job", "yes").events[-1].open_points  # type: ignore[union-attr]
    assert "the waiting time has not run" not in " ".join(points)


def test_a_timer_shorter_than_the_waiting_time_leaves_the_rest_to_wait(play: Play) -> None:
    lines = (
        "next",
        "log clearance four thou",
        "next",
        "timer lacquer four minutes",
        "~ five minutes",
        "got it",
        "next",
    )
    assert play(*lines).last == "Six minutes still to wait. Go on without? Yes or no."
    assert play("yes", "start the timer").last == "Timer lacquer, six minutes."


def test_two_waiting_times_without_a_name_are_two(make_play: Callable[..., Play]) -> None:
    text = """
title: Two baths
item: Bench gauge
revision: 1
steps:
  - {id: first, do: Put it in the first bath., wait: 10 minutes}
  - {id: second, do: Put it in the second bath., wait: 10 minutes}
  - {id: last, do: Dry it.}
"""
    baths = make_play(text)
    played = baths("start the timer", "~ eleven minutes", "next", "next")
    assert played.last == "The waiting time has not run. Go on without? Yes or no."


def test_what_was_said_of_the_job_can_be_heard_again_and_starts_no_dictation(bench: Play) -> None:
    lines = (
        "note the complaint",
        "the latch sticks",
        "end of note",
        "serious finding",
        "the pivot is worn",
        "end of note",
    )
    played = bench(*lines, "what is the complaint", "what are the findings", "what is the condition")
    assert played.answers("what is the complaint") == ["Complaint, the latch sticks."]
    assert played.answers("what are the findings") == ["Serious finding, the pivot is worn."]
    assert played.last == "No condition as found is known."


# The first goes on, and the check waits

CHECKED_SET = BY_ANOTHER.replace(
    "    why: Too tight and it sticks.",
    "    why: Too tight and it sticks.\n    check: Does the blade drag?\n    check by another: true",
)
SET = ("this is jo", "next", "log clearance four thou", "next")


@pytest.fixture
def hold(make_play: Callable[..., Play]) -> Play:
    return make_play(CHECKED_SET, PEOPLE)


def test_the_first_goes_on_while_a_step_waits_for_the_check_of_another(hold: Play) -> None:
    played = hold(*SET, "what waits for a check")
    assert played.answers("next")[-1].startswith("Step two waits for the check of another. Step three.")
    assert played.last == "Waiting for a check. Step two, Set the latch clearance, by Jo Tern."
    assert played.state.status("set") == "open"
    assert not any(isinstance(event, CheckAnswered) for event in played.events)


def test_the_other_person_checks_later_and_nothing_waits_any_more(hold: Play) -> None:
    played = hold(*SET, "this is al", "go to step two", "yes", "next", "what waits for a check")
    (check,) = (entry for entry in played.state.every_entry.values() if isinstance(entry.event, CheckAnswered))
    assert check.by == "Al Gable"
    assert played.state.status("set") == "done"
    assert played.last == "No step waits for a check."


def test_whoever_did_it_cannot_check_it_by_coming_back(hold: Play) -> None:
    played = hold(*SET, "go to step two", "yes", "step done")
    assert "Jo Tern did this step, so another has to check it." in played.said
    assert played.last == "Step two waits for the check of another."
    assert played.state.check("set") is None


def test_a_step_that_lacks_more_than_the_check_is_asked_about_as_ever(hold: Play) -> None:
    played = hold("this is jo", "next", "next")
    assert played.last.startswith("No figure for latch clearance and the check waits for another person.")
    assert hold("what waits for a check").last == "No step waits for a check."


def test_what_waits_for_a_check_is_named_at_the_finish(hold: Play) -> None:
    played = hold(*SET, "finish the job", "yes")
    points = played.events[-1].open_points  # type: ignore[union-attr]
    assert "step 2: the check waits for another person" in points
