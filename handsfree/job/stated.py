"""A logged reading as it was stated, and its exact value.

The log keeps a value in the characteristic's unit as decimal text. Where that has no end (bar in pounds per square
inch), what was said is the truth, and the exact value is computed from it again.
"""

from __future__ import annotations

from fractions import Fraction

from handsfree.job.events import ReadingLogged
from handsfree.measure.figure import MOST_DECIMALS, Figure, exact_text, figure_from_text
from handsfree.measure.rounding import step_of, to_figures, to_step
from handsfree.measure.units import UnitError, convert, difference_in, in_use, unit
from handsfree.procedure.model import Procedure
from handsfree.procedure.values import figure_with_unit

_MOST_PARTS = 10**6
_MOST_SHOWN = 6
"""Decimals; more than people state."""
_NEAR = Fraction(1, 10**MOST_DECIMALS)


def parsed(text: str) -> Figure | None:
    """The figure that was written as ``text``; None where it can't be read back."""
    try:
        return figure_with_unit(text)
    except ValueError:
        return None


def stated(event: ReadingLogged) -> Figure | None:
    """The single figure that was stated, with its unit; None where what was said is more than that (two blades, a
    deviation from a target), or does not come to the value that was logged."""
    said = parsed(event.as_said)
    if said is None or event.upper is not None or (said.unit is None and unit(event.unit).symbol):
        return None
    said = in_use(said, event.unit)
    try:
        value = convert(said.value, said.unit or event.unit, event.unit)
        logged = figure_from_text(event.value).value
    except (UnitError, ArithmeticError, ValueError):
        return None
    if abs(value - logged) > _NEAR:
        return None
    if said.unit == unit(event.unit).part_of and (value * _MOST_PARTS).denominator == 1:
        # Hundredths of a millimetre are written as decimals of it.
        return figure_from_text(exact_text(value), event.unit)
    return said


def value_of(event: ReadingLogged) -> Fraction:
    """The exact value in the characteristic's unit; of two blades that of the one that goes."""
    said = stated(event)
    if said is None or said.unit is None:
        return figure_from_text(event.value).value
    return convert(said.value, said.unit, event.unit)


def resolution_of(event: ReadingLogged, procedure: Procedure | None) -> Fraction | None:
    """The resolution of the tool that the procedure names for a figure, in the figure's unit; None where it was taken
    with another tool, or nothing is known of it."""
    steps = procedure.steps if procedure is not None else ()
    for measured in (each for step in steps if step.id == event.step for each in step.characteristics):
        if measured.name == event.characteristic and measured.unit == event.unit:
            return measured.resolution if measured.tool and measured.tool.name == event.tool else None
    return None


def step_of_reading(event: ReadingLogged, resolution: Fraction | None = None) -> Fraction:
    """What is told apart at the least, in the characteristic's unit: the tool's ``resolution`` where it is known, or
    the last digit that was stated where that is finer."""
    said = stated(event)
    if said is None or said.unit is None:
        step = step_of(figure_from_text(event.value))
    elif resolution is not None and said.unit != event.unit:
        # The last digit in another unit says nothing of the tool.
        return resolution
    else:
        step = difference_in(step_of(said), said.unit, event.unit)
    return step if resolution is None else min(step, resolution)


def in_own_unit(event: ReadingLogged, resolution: Fraction | None = None) -> Figure:
    """The reading in the characteristic's unit: as it was stated, or rounded once where it was stated in another."""
    said = stated(event)
    if said is not None and said.unit == event.unit:
        return said
    if said is None:
        return kept(event.value, event.unit, resolution)
    return to_step(value_of(event), step_of_reading(event, resolution), event.unit)


def kept(text: str, unit_key: str, resolution: Fraction | None = None) -> Figure:
    """A value of the log as it may be shown: one that has no end is rounded by the tool's ``resolution``, or to four
    significant figures."""
    figure = figure_from_text(text, unit_key)
    if figure.decimals is not None and figure.decimals <= _MOST_SHOWN:
        return figure
    if resolution is not None:
        return to_step(figure.value, resolution, unit_key)
    return to_figures(figure.value, 4, unit_key)
