"""The answers to bench sums, exact, with what had to be rounded called "about"."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from handsfree.measure.figure import Figure
from handsfree.measure.formatting import converted, figure_shown, one_and_many, rounded, spoken
from handsfree.measure.rounding import computed_figure, is_part_of_rule
from handsfree.measure.sums.asked import (
    HUNDRED,
    Convert,
    ErrorOf,
    Percent,
    PieceCombination,
    Setting,
    Sum,
    SumError,
    Total,
    Travel,
)
from handsfree.measure.sums.pieces import SetError, Stack, Stacks, stacks
from handsfree.measure.units import UnitError, convert, in_use, unit
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted

_WAYS_SAID = 3
_NO_UNIT = "count"
"""The unit of plain numbers."""


@dataclass(frozen=True)
class SumResult:
    """What a sum comes to: the figure (exact as far as it is shown, else ``about``), and its sentence for the ear."""

    figure: Figure
    spoken: str
    written: str
    about: bool = False
    exact: Fraction | None = None
    """The result before it was rounded, in the figure's unit."""
    stacks: Stacks | None = None


def work_out(asked: Sum, setting: Setting = Setting()) -> SumResult:  # noqa: B008 - immutable
    """Do the sum; SumError where it has no answer."""
    try:
        match asked:
            case Convert(figure, target):
                stated = _stated(figure, setting)
                exact = convert(stated.value, stated.unit or target, target)
                # Asked for is the one unit: "two minutes ten seconds" in seconds are a hundred and thirty.
                return _as_figure(*converted(replace(stated, larger=None), target), exact)
            case PieceCombination(what, figure):
                return _pieces(what, _stated(figure, setting, setting.pieces(what)), setting.pieces(what))
            case Travel():
                return _travel(asked)
            case Total(one, other, sign):
                return _total(one, other, sign, setting)
            case Percent(figure, of):
                return _percent(figure, of, setting)
            case ErrorOf(figure, of):
                return _error(figure, of, setting)
    except (UnitError, SetError) as error:
        raise SumError(str(error)) from None


def _stated(figure: Figure, setting: Setting, like: Sequence[Figure] | None = None) -> Figure:
    """The figure with its unit: said, or that of the place, or that of the pieces."""
    assumed = (like[0].unit if like else None) or setting.unit
    stated = in_use(figure, assumed) if assumed else figure
    if stated.ambiguous_unit:
        raise SumError(f"{stated.ambiguous_unit} can mean more than one thing; say the unit in full")
    if stated.unit is None:
        raise SumError("say the figure with its unit")
    return stated


def _as_figure(figure: Figure, about: bool, exact: Fraction) -> SumResult:
    mark = "about " if about else ""
    return SumResult(figure, f"{mark}{spoken(figure)}", f"{mark}{figure_shown(figure)}", about, exact)


def _rounded(exact: Fraction, unit_key: str, figures: int = 0) -> SumResult:
    return _as_figure(*rounded(exact, unit_key, figures), exact)


def _travel(asked: Travel) -> SumResult:
    if asked.turns.unit not in (None, "turn"):
        raise SumError("say how many turns")
    if asked.thread is not None:
        pitch, target = asked.thread.pitch, "mm"
    else:
        stated = asked.pitch
        if stated is None or stated.unit is None or unit(stated.unit).kind != "length":
            raise SumError("say the pitch with its unit, such as point five millimetres")
        pitch, target = stated.value, stated.unit
    return _rounded(asked.turns.value * asked.starts * pitch, target)


def _total(one: Figure, other: Figure, sign: int, setting: Setting) -> SumResult:
    # "ten less four thou": the unit of the other goes for both; without any they are plain numbers.
    if _plain(one, other, setting):
        return _total(replace(one, unit=_NO_UNIT), replace(other, unit=_NO_UNIT), sign, setting)
    first = _stated(one, replace(setting, unit=other.unit or setting.unit))
    second = _stated(other, replace(setting, unit=first.unit))
    assert first.unit is not None and second.unit is not None
    value = convert(second.value, second.unit, first.unit)
    if unit(first.unit).kind == "temperature":
        raise SumError("temperatures are not added")
    total = first.value + sign * value
    if first.unit == second.unit and None not in (first.decimals, second.decimals):
        return _as_figure(Figure(total, max(first.decimals or 0, second.decimals or 0), first.unit), False, total)
    if first.unit == second.unit:
        stated = Figure(total, None, first.unit) if is_part_of_rule(total) else computed_figure(total, first.unit)
        return _as_figure(stated, stated.value != total, total)
    return _rounded(total, first.unit, _figures(first))


def _plain(one: Figure, other: Figure, setting: Setting) -> bool:
    return not any((one.unit, one.ambiguous_unit, other.unit, other.ambiguous_unit, setting.unit))


def _figures(figure: Figure) -> int:
    return len(figure.text.replace(".", "").replace("-", "").lstrip("0")) if figure.decimals else 0


def _share(figure: Figure, of: Figure | None, setting: Setting) -> tuple[Fraction, Figure]:
    """The figure as a multiple of the other, and the other."""
    whole = of or setting.target
    if whole is None:
        raise SumError("there is no target here; say against what")
    if _plain(figure, whole, setting):
        figure, whole = replace(figure, unit=_NO_UNIT), replace(whole, unit=_NO_UNIT)
    whole = _stated(whole, replace(setting, unit=figure.unit or setting.unit))
    stated = _stated(figure, replace(setting, unit=whole.unit))
    if not whole.value:
        raise SumError("nothing is a percentage of nought")
    assert stated.unit is not None and whole.unit is not None
    return convert(stated.value, stated.unit, whole.unit) / whole.value, whole


def _percent(figure: Figure, of: Figure | None, setting: Setting) -> SumResult:
    share, _ = _share(figure, of, setting)
    return _rounded(share * HUNDRED, "percent")


def _error(figure: Figure, of: Figure | None, setting: Setting) -> SumResult:
    share, whole = _share(figure, of, setting)
    result, about = rounded((share - 1) * HUNDRED, "percent", 0)
    size = replace(result, value=abs(result.value))
    ways = ("long", "short") if unit(whole.unit or "").kind == "time" else ("over", "under")
    if share == 1:
        return SumResult(result, "no error", "no error")
    words = f"{'about ' if about else ''}{spoken(size)} {ways[share < 1]}"
    return SumResult(result, words, f"{'about ' if about else ''}{figure_shown(result)}", about, (share - 1) * HUNDRED)


def _pieces(what: str, wanted: Figure, pieces: tuple[Figure, ...] | None) -> SumResult:
    if pieces is None:
        raise SumError(f"no set of {what} is stated; name one in the tools file")
    if not pieces:
        raise SumError(f"the set of {what} is empty")
    unit_key = pieces[0].unit or wanted.unit or ""
    by_value = {convert(piece.value, piece.unit or unit_key, unit_key): piece for piece in pieces}
    assert wanted.unit is not None
    combinations = stacks(
        convert(wanted.value, wanted.unit, unit_key),
        [convert(piece.value, piece.unit or unit_key, unit_key) for piece in pieces],
    )

    def way_said(way: Sequence[Fraction]) -> str:
        said = []
        for piece, count in Counter(way).items():
            size = spoken(replace(by_value[piece], unit=None))
            said.append(f"{whole_words(count)} of {size}" if count > 1 else size)
        return _joined(said)

    def way_written(way: Sequence[Fraction]) -> str:
        return " + ".join(by_value[piece].text for piece in way)

    one, many = what[:-1], one_and_many(unit_key)[1]
    if combinations.exact is not None:
        stack = combinations.exact
        ways = [way_said(way) for way in stack.ways[:_WAYS_SAID]]
        head = f"one {one}, " if stack.count == 1 else ""
        more = len(stack.ways) - _WAYS_SAID
        tail = f"; and {counted(more, 'more way')}" if more > 0 else ""
        return SumResult(
            wanted,
            f"{head}{'; or '.join(ways)} {many}{tail}",
            "; ".join(map(way_written, stack.ways)) + f" {unit(unit_key).symbol}",
            stacks=combinations,
        )

    def near(stack: Stack, where: str) -> tuple[str, str]:
        made, _ = rounded(stack.thickness, unit_key, 9)
        said = spoken(made) if stack.count == 1 else f"{spoken(made)} from {way_said(stack.ways[0])}"
        sum_ = f" = {way_written(stack.ways[0])}" if stack.count > 1 else ""
        return f"{where}, {said}", f"{where}: {figure_shown(made)}{sum_}"

    ends = [
        near(s, w)
        for s, w in ((combinations.below, "nearest below"), (combinations.above, "nearest above"))
        if s is not None
    ]
    return SumResult(
        wanted,
        f"no {what} make {spoken(wanted)}; " + "; ".join(said for said, _ in ends),
        f"no {what} make {figure_shown(wanted)}; " + "; ".join(text for _, text in ends),
        stacks=combinations,
    )


def _joined(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
