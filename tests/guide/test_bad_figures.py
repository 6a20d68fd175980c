"""What is no figure, or none that can be written: one clear sentence, or silence where it may be talk."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handsfree.procedure.file.problems import ProcedureError
from tests.support.played import Play

COUNTED = """
title: Look over of the wheel
item: Bench gauge
revision: 1
steps:
  - id: teeth
    do: Count the teeth.
    measure: {name: teeth, unit: count, limits: [4, 6]}
"""


@pytest.mark.parametrize(
    ("said", "answer"),
    [
        ("log four", "Nothing is measured at this step. Not logged."),
        ("log four thou", "Nothing is measured at this step. Not logged."),
        ("log clearance four", "Latch clearance is measured at steps two and four. Not logged."),
    ],
)
def test_a_figure_where_nothing_is_measured_is_refused(play: Play, said: str, answer: str) -> None:
    played = play(said)
    assert played.last.startswith(answer)
    assert not played.state.entries


@pytest.mark.parametrize("said", ["five", "five off", "five counts"])
def test_what_is_counted_needs_no_unit(make_play: Callable[..., Play], said: str) -> None:
    assert make_play(COUNTED)(f"log {said}").last == "Teeth, five. In limits."


def test_a_count_cannot_be_minus_or_have_a_unit(make_play: Callable[..., Play]) -> None:
    played = make_play(COUNTED)("log minus five", "log five thou")
    assert played.said[1:] == ["Teeth can't be minus. Not logged.", "Teeth is not measured in thou. Not logged."]
    assert not played.state.entries


def test_a_measurement_without_a_unit_is_a_fault_of_the_procedure(make_play: Callable[..., Play]) -> None:
    with pytest.raises(ProcedureError, match='a measurement needs "unit": such as "thou" or "mm"'):
        make_play(COUNTED.replace("unit: count, ", ""))


@pytest.mark.parametrize("said", ["log bananas", "log four bananas", "log clearance nine hundred trillion thou"])
def test_nonsense_writes_nothing_and_is_told_by_the_soft_tone(play: Play, said: str) -> None:
    played = play("next", said)
    assert played.shown[-1][0] == "not caught"
    assert not played.state.entries


def test_the_largest_figure_that_can_be_said_is_asked_again(play: Play) -> None:
    played = play("next", "log nine hundred and ninety nine thousand nine hundred and ninety nine thou")
    assert played.last.endswith("thou is far out of limits. Say the figure again.")
    assert not played.state.entries


def test_a_sum_with_an_empty_set_of_blades_says_so(make_play: Callable[..., Play]) -> None:
    play = make_play(COUNTED, 'tools:\n  - {name: feeler blades, resolution: 0.5 thou, blades: ""}\n')
    assert play("blades for nine thou").last == "The set of blades is empty."
