"""A time is measured: what "eleven thirty seconds" means there."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from handsfree.guide.figures.proposed import Proposed
from handsfree.guide.figures.times import of_a_time
from handsfree.measure.figure import Figure
from handsfree.procedure.file.loader import parse_procedure
from tests.support.played import Play

BEAT = """
title: Timing
item: Bench timer
revision: 1
steps:
  - id: run
    do: Time the run.
    measure: [{name: run, unit: UNIT, limits: LIMITS}]
"""


@pytest.mark.parametrize("by_keyboard", [False, True])
@pytest.mark.parametrize(
    ("unit", "limits", "said", "answer"),
    [
        # In limits as minutes and seconds only.
        ("s", "[660, 720]", "eleven thirty seconds", "Run, eleven minutes thirty seconds, three nought. In limits."),
        ("s", "[660, 720]", "eleven thirty", "Run, eleven minutes thirty seconds, three nought. In limits."),
        ("min", "[11, 12]", "eleven thirty", "Run, eleven minutes thirty seconds, three nought. In limits."),
        ("s", "[85, 95]", "one thirty seconds", "Run, one minute thirty seconds, three nought. In limits."),
        # In limits as seconds, and as a part of a second.
        ("s", "[125, 135]", "one thirty seconds", "Run, one hundred and thirty seconds. In limits."),
        ("s", "[0.3, 0.4]", "eleven thirty seconds", "Run, eleven thirty seconds of a second. In limits."),
    ],
)  # fmt: skip
def test_of_figures_in_pairs_what_is_sensible_as_a_time_is_taken(
    make_play: Callable[..., Play], *, unit: str, limits: str, said: str, answer: str, by_keyboard: bool
) -> None:
    play = make_play(BEAT.replace("UNIT", unit).replace("LIMITS", limits))
    assert play(f"log {said}", by_keyboard=by_keyboard).last == answer


@pytest.mark.parametrize("said", ["eleven thirty seconds", "one thousand one hundred and thirty seconds"])
def test_where_nothing_is_sensible_the_seconds_are_asked_back_and_no_part_of_a_rule(
    make_play: Callable[..., Play], said: str
) -> None:
    play = make_play(BEAT.replace("UNIT", "s").replace("LIMITS", "[9.8, 10.2]"))
    asked = play(f"log {said}", by_keyboard=True).last
    assert asked == "One thousand one hundred and thirty seconds is far out of limits. Say the figure again."


def test_a_number_said_in_full_is_no_time_of_the_clock(make_play: Callable[..., Play]) -> None:
    play = make_play(BEAT.replace("UNIT", "s").replace("LIMITS", "[660, 720]"))
    asked = play("log one thousand one hundred and thirty seconds", by_keyboard=True).last
    assert asked == "One thousand one hundred and thirty seconds is far out of limits. Say the figure again."


@pytest.mark.parametrize("said", ["eleven sixty seconds", "eleven oh nine seconds"])
def test_what_no_clock_shows_is_no_time_of_the_clock(make_play: Callable[..., Play], said: str) -> None:
    play = make_play(BEAT.replace("UNIT", "s").replace("LIMITS", "[660, 725]"))
    assert "far out of limits" in play(f"log {said}", by_keyboard=True).last


def test_a_part_of_a_rule_that_can_mean_nothing_else_is_asked_back(make_play: Callable[..., Play]) -> None:
    play = make_play(BEAT.replace("UNIT", "s").replace("LIMITS", "[9.8, 10.2]"))
    asked = play("log a thirty second", by_keyboard=True).last
    assert asked == "A thirty second of a second is far out of limits. Say the figure again."


def test_what_the_sound_may_have_been_in_another_unit_is_no_time() -> None:
    text = BEAT.replace("UNIT", "s").replace("LIMITS", "[9.8, 10.2]")
    step = parse_procedure(text.encode(), "beat.yaml").procedure.steps[0]
    heard = Proposed(step, step.characteristics[0], Figure(Fraction(10), 0, "s"), "as set")
    thou = [Figure(Fraction(4), 0, "thou")]
    assert of_a_time(heard, thou, [], ("ten", "seconds")) == (heard, [])
    assert of_a_time(heard, [], thou, ("ten", "seconds")) == (heard, thou)


@pytest.mark.parametrize("said", ["fifteen", "fifteen seconds"])
def test_what_only_sounds_alike_is_asked_about_and_not_taken_though_it_lies_in_limits(
    make_play: Callable[..., Play], said: str
) -> None:
    play = make_play(BEAT.replace("UNIT", "s").replace("LIMITS", "[48, 52]"))
    assert play(f"log {said}").last == "One five or five nought, seconds?"


def test_a_length_in_thirty_seconds_is_one_on_a_rule(make_play: Callable[..., Play]) -> None:
    play = make_play(BEAT.replace("UNIT", "inch").replace("LIMITS", "[0.3, 0.4]"))
    assert play("log eleven thirty seconds").last.startswith("Run, eleven thirty seconds of an inch")
