"""A time is measured: what "eleven thirty seconds" means there."""

from __future__ import annotations

from collections.abc import Callable

import pytest

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


def test_a_length_in_thirty_seconds_is_one_on_a_rule(make_play: Callable[..., Play]) -> None:
    play = make_play(BEAT.replace("UNIT", "inch").replace("LIMITS", "[0.3, 0.4]"))
    assert play("log eleven thirty seconds").last.startswith("Run, eleven thirty seconds of an inch")
