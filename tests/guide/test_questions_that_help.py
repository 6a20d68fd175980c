"""Questions at the bench: asked where evidence asks for them, answerable as people answer, and never a trap."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.job.events import JobFinished, ReadingLogged, StepDone
from tests.support.played import Play, Played

BENCH = """
title: Balance and gauge
item: Portable typewriter
revision: 1
tools:
  balance: {name: spring balance, resolution: 10 g, range: 0 to 1000 g}
  gauge: {name: dial gauge, resolution: 0.01 mm}
  display: {name: caliper, resolution: 0.01 mm, digital: true}
steps:
  - id: pull
    do: Pull the carriage with the balance.
    measure: {name: draw, unit: g, limits: [400, 600], tool: balance}
  - id: gap
    do: Set the gap.
    measure:
      - {name: gap, unit: thou, limits: [4, 20]}
      - {name: play, unit: mm, limits: [0.1, 0.3], tool: gauge}
      - {name: width, unit: mm, limits: [9, 11], tool: display}
    check: Does it run free?
  - id: last
    do: Close it.
"""


@pytest.fixture
def play(make_play: Callable[..., Play]) -> Play:
    return make_play(BENCH)


def written(played: Played) -> list[str]:
    return [entry.event.as_said for entry in played.state.entries.values()
            if isinstance(entry.event, ReadingLogged) and entry.stands]  # fmt: skip


def test_a_twin_that_is_out_of_limits_casts_no_doubt_on_a_figure_that_fits(play: Play) -> None:
    played = play("next", "yes", "log gap fifteen")
    assert played.last.startswith("Gap, fifteen thou")
    assert written(played) == ["15 thou"]


def test_where_both_twins_may_be_meant_it_is_asked(make_play: Callable[..., Play]) -> None:
    both = make_play(BENCH.replace("limits: [4, 20]", "limits: [4, 60]"))
    played = both("next", "yes", "log gap fifteen")
    assert played.last == "One five or five nought, thou?"
    assert written(played) == []


def test_what_is_typed_is_never_asked_back_for_how_it_sounds(make_play: Callable[..., Play]) -> None:
    both = make_play(BENCH.replace("limits: [4, 20]", "limits: [4, 60]"))
    assert written(both("next", "yes", "log gap fifteen", by_keyboard=True)) == ["15 thou"]


def test_a_choice_is_never_offered_that_the_tool_cannot_show(play: Play) -> None:
    played = play("log draw five hundred and sixteen")
    assert played.last.startswith("The spring balance can't show five hundred and sixteen grams")
    assert " or " not in played.last


def test_a_pointer_is_read_half_way_between_two_divisions(play: Play) -> None:
    played = play("next", "yes", "log play nought point two nought five")
    assert played.last == "Play, nought point two nought five millimetres. In limits."
    [reading] = [entry.event for entry in played.state.entries.values()]
    assert isinstance(reading, ReadingLogged) and reading.uncertainty == "0.005 mm"


def test_a_display_shows_no_half_digit(play: Play) -> None:
    played = play("next", "yes", "log width ten point nought nought five")
    assert played.last.startswith("The caliper can't show")


def test_a_new_reading_answers_a_question_about_the_last(play: Play) -> None:
    played = play("log draw five hundred and sixteen", "log draw five hundred and twenty")
    assert written(played) == ["520 g"]


def test_a_new_reading_of_something_else_puts_the_doubtful_one_aside(make_play: Callable[..., Play]) -> None:
    both = make_play(BENCH.replace("limits: [4, 20]", "limits: [4, 60]"))
    played = both("next", "yes", "log gap fifteen", "log play nought point two")
    assert written(played) == ["0.2 mm"]
    assert played.last.startswith("The figure was not written. Play, nought point two millimetres")


def test_take_back_takes_back_the_figure_that_is_not_written_yet_and_nothing_else(play: Play) -> None:
    played = play("log draw five hundred", "log draw five hundred and sixteen", "take back")
    assert played.last == "Dropped. Nothing written."
    assert written(played) == ["500 g"]
    assert play("yes", "take back").last.startswith("Taken back. Draw, as set, five hundred grams")


def test_next_said_twice_is_no_yes(play: Play) -> None:
    played = play("next", "next", "next")
    assert not any(isinstance(event, StepDone) for event in played.events)
    assert played.last == "No figure for draw. Go on without? Yes or no."
    assert any(isinstance(event, StepDone) for event in play("yes", "next", "yes").events)


def test_finish_said_twice_is_no_yes(play: Play) -> None:
    played = play("finish the job", "finish the job")
    assert not any(isinstance(event, JobFinished) for event in played.events)


def test_no_to_going_on_leads_back_to_the_bench(play: Play) -> None:
    play("log draw five hundred")
    played = play("no", "where am i", "go to step two", "log gap five")
    assert "Say go to step" in played.said[1]
    assert written(played) == ["500 g", "5 thou"]


def test_what_was_found_is_told_and_left(make_play: Callable[..., Play]) -> None:
    found = make_play(BENCH.replace("limits: [4, 20]", "limits: [4, 20], when: as found"))
    played = found("next", "yes", "log gap twenty five")
    assert played.last == "Gap, as found, twenty five thou. Out of limits, five thou over."
    assert found("yes", "set again").last == "A figure as found stands as it is."


def test_what_was_found_out_of_limits_needs_no_attention_once_it_is_set_right(play: Play) -> None:
    played = play(
        "next",
        "yes",
        "log gap as found twenty five",
        "review the job",
        "end of review",
        "log gap five",
        "review the job",
    )
    first, second = (said for said in played.said if "figures logged" in said or "figure logged" in said)
    assert "found out of limits" in first
    assert "found out of limits" not in second


def test_two_blades_of_the_limits_prove_them(make_play: Callable[..., Play]) -> None:
    narrow = make_play(BENCH.replace("limits: [4, 20]", "limits: [4, 6]"))
    assert narrow("next", "yes", "log gap four goes, six won't").last == "Gap, between four and six thou. In limits."


VARIANTS = """
title: Key levers
item: Portable typewriter
revision: 1
questions:
  pattern: {ask: Is it the early or the late pattern?, by serial: {early: up to 4000, late: from 4001}, when: start}
steps:
  - id: spring
    do: Fit the return spring.
    only if: {pattern: late}
  - id: lever
    do: Fit the lever.
  - id: key
    do: Fit the key.
"""


def test_a_changed_answer_says_at_once_what_has_to_be_done_behind(make_play: Callable[..., Play]) -> None:
    levers = make_play(VARIANTS)
    played = levers("early", "next", "ask me again", "late")
    assert played.answers("late")[0].startswith("Pattern: late. Now step one behind has to be done.")


def test_an_answer_that_the_serial_number_contradicts_is_remarked_on(make_play: Callable[..., Play]) -> None:
    levers = make_play(VARIANTS)
    played = levers("early", "serial number five one zero zero")
    assert played.last.endswith("By its serial number, pattern would be late; say ask me again to change it.")


def test_what_was_left_out_knows_what_finishing_would_ask(play: Play) -> None:
    played = play("next", "yes", "log gap five", "next", "yes", "what was left out")
    left_out = played.last
    assert "Step one: no figure for draw" in left_out
    assert "no figure for play" in left_out


def test_the_limits_are_told_again_when_they_are_asked_for(play: Play) -> None:
    assert play("what are the limits").last == "Draw, four hundred to six hundred grams."
    assert play("yes", "go to step three", "yes", "what are the limits").last == "Nothing is measured at this step."
