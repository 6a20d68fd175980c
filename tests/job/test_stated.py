"""What was stated of a logged reading, its exact value, and how finely it was read."""

from __future__ import annotations

from datetime import datetime, timezone
from fractions import Fraction
from typing import Any

import pytest

from handsfree.job.events import ReadingLogged
from handsfree.job.stated import in_own_unit, kept, parsed, resolution_of, stated, step_of_reading, value_of
from handsfree.measure.figure import exact_text
from handsfree.measure.formatting import written
from handsfree.procedure.file.loader import parse_procedure

MM_TENTH = exact_text(Fraction(1000, 254))
"""A tenth of a millimetre in thou (25.4 mm are an inch), as the log writes it: it has no end."""
AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)


def reading(said: str, value: str, unit: str = "thou", **slots: Any) -> ReadingLogged:
    usual = {"at": AT, "step": "a", "id": "r1", "characteristic": "gap", "occasion": "as set"}
    judged = {"decision": "in limits", "limits": "none"}
    return ReadingLogged.model_validate({**usual, **judged, "as_said": said, "value": value, "unit": unit, **slots})


@pytest.mark.parametrize(
    ("event", "shown"),
    [
        (reading("4 thou", "4"), "4 thou"),
        (reading("4.50 thou", "4.50"), "4.50 thou"),
        # An inch is 1000 thou and 25.4 mm exactly (NIST SP 811).
        (reading("1/4 in", "250"), "1/4 in"),
        (reading("0.1 mm", MM_TENTH), "0.1 mm"),
        # Hundredths of a millimetre are written as decimals of it.
        (reading("5 hundredths of a millimetre", "0.05", "mm"), "0.05 mm"),
        (reading("0.05 mm", "5", "hundredth mm"), "0.05 mm"),
        (reading("4 thou", "40", "tenth thou"), "4.0 thou"),
        # Grams are a force where a force is measured.
        (reading("40 g", "40", "gf"), "40 gf"),
        # A pure number has no unit to be said with.
        (reading("4", "4", "count"), "4"),
    ],
)
def test_a_single_figure_is_what_was_stated(event: ReadingLogged, shown: str) -> None:
    figure = stated(event)
    assert figure is not None
    assert written(figure) == shown


@pytest.mark.parametrize(
    "event",
    [
        reading("nine-ish", "9"),
        reading("4", "4"),
        reading("between 4 and 5 thou", "4", upper="5"),
        reading("4 thou", "4", upper="5"),
        reading("9 thou", "9.5"),
        reading("9 N", "9"),
    ],
)
def test_what_is_more_or_other_than_a_figure_was_not_stated_as_one(event: ReadingLogged) -> None:
    assert stated(event) is None


def test_the_value_is_exact_where_the_text_in_the_log_has_no_end() -> None:
    assert value_of(reading("0.1 mm", MM_TENTH)) == Fraction(1000, 254)
    assert value_of(reading("4 thou", "4", upper="5")) == 4
    assert value_of(reading("nine-ish", "9.5")) == Fraction(19, 2)


@pytest.mark.parametrize(
    ("event", "resolution", "step"),
    [
        (reading("4 thou", "4"), None, "1"),
        (reading("4.5 thou", "4.5"), None, "1/10"),
        (reading("4.5 thou", "4.5"), "1/2", "1/10"),
        (reading("4 thou", "4"), "1/2", "1/2"),
        # The last digit in another unit says nothing of the tool.
        (reading("0.1 mm", MM_TENTH), "1/2", "1/2"),
        (reading("0.1 mm", MM_TENTH), None, "1000/254"),
        (reading("nine-ish", "9.50"), None, "1/100"),
        (reading("nine-ish", "9.50"), "1/1000", "1/1000"),
    ],
)
def test_how_finely_it_was_read(event: ReadingLogged, resolution: str | None, step: str) -> None:
    assert step_of_reading(event, None if resolution is None else Fraction(resolution)) == Fraction(step)


@pytest.mark.parametrize(
    ("event", "shown"),
    [
        (reading("4.50 thou", "4.50"), "4.50 thou"),
        (reading("0.10 mm", MM_TENTH), "3.94 thou"),
        (reading("4 thou", "4", upper="5"), "4 thou"),
        (reading("nine-ish", "3.937007874016"), "3.937 thou"),
    ],
)
def test_a_reading_in_the_unit_of_what_is_measured(event: ReadingLogged, shown: str) -> None:
    assert written(in_own_unit(event)) == shown


def test_a_value_without_an_end_is_rounded_by_the_tool_or_to_four_figures() -> None:
    assert written(kept("4.50", "thou")) == "4.50 thou"
    assert written(kept("0.123456", "thou")) == "0.123456 thou"
    assert written(kept("3.937007874016", "thou")) == "3.937 thou"
    assert written(kept("3.937007874016", "thou", Fraction(1, 2))) == "3.9 thou"
    assert written(kept("1000/254", "thou")) == "3.937 thou"


TEXT = """
title: t
item: i
revision: 1
steps:
  - {id: a, do: x, measure: {name: gap, unit: thou, tool: {name: blades, resolution: 0.5}}}
  - {id: b, do: y, measure: {name: gap, unit: thou}}
"""


def test_the_resolution_is_that_of_the_tool_it_was_taken_with() -> None:
    procedure = parse_procedure(TEXT.encode(), "p.yaml").procedure
    assert resolution_of(reading("4 thou", "4", tool="blades"), procedure) == Fraction(1, 2)
    assert resolution_of(reading("4 thou", "4", tool="calliper"), procedure) is None
    assert resolution_of(reading("4 thou", "4", step="b", tool="blades"), procedure) is None
    assert resolution_of(reading("4 thou", "4", characteristic="play", tool="blades"), procedure) is None
    assert resolution_of(reading("4 mm", "4", "mm", tool="blades"), procedure) is None
    assert resolution_of(reading("4 thou", "4", tool="blades"), None) is None


def test_a_text_that_is_no_figure_is_none() -> None:
    assert parsed("nine-ish") is None
    figure = parsed("9 thou")
    assert figure is not None and (figure.value, figure.unit) == (9, "thou")


@pytest.mark.parametrize(
    ("text", "resolution", "shown"),
    [
        ("3.937007", None, "3.937007 thou"),
        ("3.9370078", None, "3.937 thou"),
        ("3.9370078", Fraction(1, 2), "3.9 thou"),
        ("3.937007", Fraction(1, 2), "3.937007 thou"),
    ],
)
def test_a_value_of_more_decimals_than_people_state_is_rounded(
    text: str, resolution: Fraction | None, shown: str
) -> None:
    assert written(kept(text, "thou", resolution)) == shown
