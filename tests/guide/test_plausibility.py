"""Whether a figure can be meant where it was said: at the bound and on both sides of it."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from handsfree.guide.figures.plausibility import far_outside, implausible, misfit, not_shown, refused, with_point
from handsfree.guide.figures.proposed import Proposed, kept_text
from handsfree.measure.figure import Figure
from handsfree.phrases.intents import Intent, Kind
from handsfree.procedure.model import Characteristic, Step, Tool


def measured(unit: str = "thou", tool: dict[str, Any] | None = None, **keys: Any) -> Characteristic:
    """A gap, with whatever tool was named for it at the bench."""
    spaced = {key.replace("_", " "): value for key, value in keys.items()}
    gap = Characteristic.model_validate({"name": "gap", "unit": unit, **spaced})
    return gap.model_copy(update={"tool": None if tool is None else Tool.model_validate(tool)})


def figure(text: str, unit: str | None = "thou") -> Figure:
    return Figure(Fraction(text), len(text.partition(".")[2]), unit)


def proposed(of: Characteristic, low: str, high: str | None = None, unit: str | None = None, **more: Any) -> Proposed:
    unit = unit or of.unit
    step = Step.model_validate({"id": "set", "do": "Set the gap."})
    upper = None if high is None else figure(high, unit)
    return Proposed(step, of, figure(low, unit), "as set", upper=upper, **more)


BLADES = {"name": "feelers", "resolution": "0.5 thou", "blades": "2, 3, 3.5, 4 thou"}
DIGITAL = {"name": "dial", "resolution": "2 thou", "digital": True}
THERMOMETER = {"name": "thermometer", "resolution": "2 °C", "digital": True}
MIKE = {"name": "mike", "resolution": "0.01 mm", "range": "0 to 25 mm"}


@pytest.mark.parametrize(
    ("of", "low", "high", "deviation", "why"),
    [
        (measured(), "4", None, False, None),
        (measured(), "0", None, False, None),
        (measured(), "-1", None, False, "gap can't be minus"),
        (measured(limits=["-0.5", "0.5"]), "-1", None, False, None),
        (measured(at_least="-0.5"), "-1", None, False, None),
        (measured(at_most="0"), "-1", None, False, "gap can't be minus"),
        (measured("°C"), "-1", None, False, None),
        (measured(), "4", None, True, "gap is not measured as plus and minus"),
        (measured(deviation=True), "1", None, False,
         "gap is measured from its target: say plus or minus with the figure"),
        (measured(deviation=True), "0", None, False, None),
        (measured(deviation=True), "-1", None, False, None),
        (measured(deviation=True), "1", None, True, None),
        (measured(), "3", "4", False, None),
        (measured(), "4", "4", False, "the blade that goes must be thinner than the one that won't"),
        (measured(), "4", "3", False, "the blade that goes must be thinner than the one that won't"),
        (measured(), "4", "-1", False, "gap can't be minus"),
        (measured(tool={"name": "balance", "resolution": "1 g"}), "4", None, False,
         "the balance does not measure thou"),
    ],
)  # fmt: skip
def test_a_reading_that_can_never_be_written_is_refused_with_the_reason(
    of: Characteristic, low: str, high: str | None, deviation: bool, why: str | None
) -> None:
    assert refused(proposed(of, low, high, deviation=deviation)) == why


@pytest.mark.parametrize(
    ("tool", "why"),
    [
        (None, None),
        ({"name": "rule"}, None),
        ({"name": "rule", "resolution": "0.5 mm"}, None),
        ({"name": "balance", "resolution": "1 g"}, "the balance does not measure thou"),
        ({"name": "balance", "uncertainty": "1 g"}, "the balance does not measure thou"),
        ({"name": "balance", "range": "0 to 100 g"}, "the balance does not measure thou"),
    ],
)
def test_a_tool_that_measures_something_else_is_told_by_whatever_is_known_of_it(
    tool: dict[str, Any] | None, why: str | None
) -> None:
    assert misfit(measured(tool=tool)) == why


@pytest.mark.parametrize(
    ("tool", "low", "high", "unit", "more", "why"),
    [
        (None, "3.3", None, "thou", {}, None),
        (BLADES, "3.5", None, "thou", {}, None),
        (BLADES, "2.5", None, "thou", {}, None),  # two blades together show it
        (BLADES, "3.2", None, "thou", {}, "the feelers can't show three point two thou"),
        (BLADES, "2.5", None, "thou", {"feel": "drags"}, "there is no blade of two point five thou"),
        (BLADES, "3", "4", "thou", {}, None),
        (BLADES, "3", "4.5", "thou", {}, "there is no blade of four point five thou"),
        (MIKE, "0.01", None, "mm", {}, None),
        (MIKE, "0.012", None, "mm", {}, "the mike can't show nought point nought one two millimetres"),
        (MIKE, "0.015", None, "mm", {}, None),  # half a division, read off a pointer
        (MIKE, "0", None, "mm", {}, None),
        (MIKE, "25", None, "mm", {}, None),
        (MIKE, "25.01", None, "mm", {}, "twenty five point nought one millimetres is beyond the range of the mike"),
        (MIKE, "30", None, "mm", {"deviation": True}, None),  # from the target
        (DIGITAL, "2", None, "thou", {"deviation": True}, None),
        (DIGITAL, "3", None, "thou", {"deviation": True}, "the dial can't show three thou"),
        (THERMOMETER, "4", None, "°C", {}, None),
        (THERMOMETER, "5", None, "°C", {}, "the thermometer can't show five degrees celsius"),
    ],
)  # fmt: skip
def test_what_the_tool_cannot_show_is_told(
    tool: dict[str, Any] | None, low: str, high: str | None, unit: str, more: dict[str, Any], why: str | None
) -> None:
    assert not_shown(proposed(measured(unit, tool=tool), low, high, **more)) == why


@pytest.mark.parametrize(
    ("limits", "near", "far"),
    [
        ({"limits": [3, 5]}, ("-3", "4", "11"), ("-3.01", "11.01")),
        ({"at_most": 5}, ("-100", "20"), ("20.01",)),
        ({"at_least": 5}, ("-10", "100"), ("-10.01",)),
        ({"at_most": 0}, ("1000",), ()),
        ({}, ("1000000",), ()),
    ],
)
def test_far_outside_is_beyond_three_times_the_width_of_the_limits(
    limits: dict[str, Any], near: tuple[str, ...], far: tuple[str, ...]
) -> None:
    bounds = measured(**limits).limits
    assert not any(far_outside(Fraction(value), bounds) for value in near)
    assert all(far_outside(Fraction(value), bounds) for value in far)


@pytest.mark.parametrize(
    ("said", "limits", "meant"),
    [
        ("995", {"limits": ["9.80", "10.20"]}, "9.95"),
        ("1005", {"limits": ["9.80", "10.20"]}, "10.05"),
        ("10", {"limits": ["9.80", "10.20"]}, None),  # in limits as it is
        ("7", {"limits": ["9.80", "10.20"]}, None),  # in limits nowhere
        ("995", {"limits": [9, 11]}, None),  # no decimals are expected
        ("9.9", {"limits": ["0.98", "1.02"]}, None),  # said with its point
        ("45", {"at_most": "5.0"}, "4.5"),
        ("0", {"at_most": "5.0"}, None),
        ("45", {"at_least": "2.0"}, "4.5"),
        ("6", {"at_least": "2.0"}, None),  # up to three times the least
        ("61", {"at_least": "2.0"}, None),
        ("45", {"target": "4.0"}, "4.5"),
        ("8", {"target": "4.0"}, None),
        ("81", {"target": "4.0"}, None),
        ("19", {"target": "4.0"}, None),
        ("20", {"target": "4.0"}, "2.0"),
        ("12345", {"target": "1.2"}, "1.2345"),
        ("123456", {"target": "1.2"}, None),  # more than four places
    ],
)  # fmt: skip
def test_digits_said_without_their_point_may_be_meant_with_it(
    said: str, limits: dict[str, Any], meant: str | None
) -> None:
    found = with_point(figure(said), measured(**limits))
    assert (None if found is None else found.text) == meant


@pytest.mark.parametrize(
    ("intent", "hardly"),
    [
        ({}, False),
        ({"figure": figure("4")}, False),
        ({"figure": figure("11")}, False),
        ({"figure": figure("12")}, True),
        ({"figure": figure("3.2")}, True),
        ({"figure": figure("-1")}, True),
        ({"figure": figure("900", "g")}, False),  # foreign to the step: refused, not doubted
        ({"figure": Figure(Fraction(900), 0, None, "mils")}, False),
        ({"figure": figure("900"), "characteristic": "lift"}, False),
        ({"figure": figure("12"), "characteristic": "gap"}, True),
    ],
)
def test_a_figure_can_hardly_be_meant_where_nothing_at_the_step_can_measure_it(
    intent: dict[str, Any], hardly: bool
) -> None:
    step = Step.model_validate(
        {
            "id": "set",
            "do": "Set the gap.",
            "measure": [{"name": "gap", "unit": "thou", "limits": [3, 5], "tool": BLADES}],
        }
    )
    assert implausible(step, {}, Intent(Kind.LOG, **intent)) == hardly


@pytest.mark.parametrize(
    ("value", "stated", "kept"),
    [
        ("4", Figure(Fraction(4), 0, "thou"), "4"),
        ("4", Figure(Fraction(4), 2, "thou"), "4.00"),
        ("4", Figure(Fraction(4), 2, None), "4.00"),
        ("4.5", Figure(Fraction(9, 2), None, "thou"), "4.5"),  # said as a fraction
        ("100", Figure(Fraction("2.54"), 2, "mm"), "100"),  # stated in another unit: as it is, not with its decimals
        ("4.25", Figure(Fraction("4.3"), 1, "thou"), "4.25"),  # never rounded
    ],
)
def test_a_value_is_kept_with_the_decimals_that_were_said_in_its_own_unit(
    value: str, stated: Figure, kept: str
) -> None:
    assert kept_text(Fraction(value), stated, "thou") == kept


@pytest.mark.parametrize(
    ("of", "low", "high", "more", "written", "spoken", "beyond"),
    [
        (measured(limits=[3, 5]), "9", None, {}, "9 thou", "nine thou", "4"),
        (measured(limits=[3, 5]), "2.25", None, {}, "2.25 thou", "two point two five thou", "0.75"),
        (measured(limits=[3, 5]), "4", None, {"feel": "drags"}, "4 thou", "four thou, drags", None),
        (measured(limits=[3, 5]), "5", "6.5", {}, "5 thou goes, 6.5 thou won't",
         "between five and six point five thou", "1.5"),
        (measured(limits=[3, 5]), "6", "7", {}, "6 thou goes, 7 thou won't", "between six and seven thou", "1"),
        (measured(limits=[-3, 3]), "-5", "2", {"deviation": True}, "+2 -5 thou", "plus two thou, minus five thou", "2"),
        (measured(limits=[-3, 3]), "2", None, {"deviation": True}, "+2 thou", "plus two thou", None),
        (measured(limits=[-3, 3]), "0", None, {"deviation": True}, "0 thou", "nought thou", None),
        (measured(limits=[3, 5], tool={"name": "rule", "resolution": "0.1 thou"}), "9", None, {}, "9 thou", "nine thou",
         "4"),
        (measured(limits=["3", "5.55"], tool={"name": "rule", "resolution": "0.1 thou"}), "9", None, {}, "9 thou",
         "nine thou", "3.45"),
    ],
)  # fmt: skip
def test_a_reading_is_written_spoken_and_set_against_its_limits(
    of: Characteristic, low: str, high: str | None, more: dict[str, Any], written: str, spoken: str, beyond: str | None
) -> None:
    reading = proposed(of, low, high, **more)
    assert (reading.written, reading.spoken) == (written, spoken)
    assert (reading.beyond.text if reading.beyond is not None else None) == beyond
