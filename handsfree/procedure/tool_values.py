"""What a tool can measure, and the pieces of a set, as they are written in a file."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from handsfree.measure.figure import Figure
from handsfree.measure.sums.pieces import MOST_PIECES
from handsfree.measure.units import UnitError, convert
from handsfree.procedure.values import exact_figure, figure_with_unit, kind_of

_COUNTED = re.compile(r"(\d{1,2}) ?[x×] ?(.+)")


def range_of(value: object) -> tuple[Figure, Figure]:
    """From where to where a tool reads: "0 to 25 mm" or [0, 25]."""
    parts = re.split(r"\s+to\s+", value.strip()) if isinstance(value, str) else value
    if not isinstance(parts, (list, tuple)) or len(parts) != 2:
        raise ValueError(f'must be written as "0 to 25 mm", not {kind_of(value)}')
    low, high = (figure_with_unit(part) for part in parts)
    low = low if low.unit else replace(low, unit=high.unit)
    try:
        lowest = low.value if low.unit == high.unit else convert(low.value, low.unit or "", high.unit or "")
    except UnitError:
        raise ValueError(f'must have one unit for both ends, as in "0 to 25 mm", not {kind_of(value)}') from None
    if lowest >= high.value:
        raise ValueError(f"is the wrong way round ({low.text}, then {high.text}); write the smaller one first")
    return low, high


def set_of(value: object, *, needs_unit: bool = True) -> tuple[Figure, ...]:
    """The pieces of a set, each as often as it is there: "1, 1.5, 2 thou", "4 x 0.1, 2 x 0.2 mm", or a list.

    The unit of the last piece goes for those without.
    """
    if isinstance(value, str):
        parts: list[object] = [part for part in re.split(r"\s*,\s*|\s+(?=[\d.])(?!\d+/)", value.strip()) if part]
        parts = list(_rejoined(parts))
    elif isinstance(value, (list, tuple)):
        parts = list(value)
    else:
        parts = [value]
    pieces = [piece for part in parts for piece in _counted(part)]
    if len(pieces) > MOST_PIECES:
        raise ValueError(f"has {len(pieces)} pieces; {MOST_PIECES} is the most")
    unit = pieces[-1].unit if pieces else None
    if pieces and unit is None and needs_unit:
        raise ValueError('has no unit; write it after the last piece, as in "1, 1.5, 2 thou"')
    for piece in pieces:
        if piece.value <= 0:
            raise ValueError(f"has a piece of {piece.text}; every piece is thicker than nought")
    return tuple(piece if piece.unit else replace(piece, unit=unit) for piece in pieces)


def stated_set(value: object) -> tuple[Figure, ...]:
    """A set in a file, where its unit has to be stated."""
    return set_of(value)


def _rejoined(parts: list[object]) -> Iterator[object]:
    """ "4 x 0.1" was split at its space before the figure: put it together again."""
    waiting = ""
    for part in map(str, parts):
        text = f"{waiting} {part}".strip()
        waiting = text if re.fullmatch(r".*[x×]", part) else ""
        if not waiting:
            yield text


def _counted(part: object) -> list[Figure]:
    counted = _COUNTED.fullmatch(part.strip()) if isinstance(part, str) else None
    if counted is None:
        return [figure_with_unit(part) if isinstance(part, str) else exact_figure(part)]
    return [figure_with_unit(counted[2])] * int(counted[1])
