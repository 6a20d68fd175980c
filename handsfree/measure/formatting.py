"""The one formatter: how a figure is spoken and how it is written, the same for voice, screen, log and report.

A stated figure is never changed. A converted one is given to the stated one's precision and called "about" when it had
to be rounded.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from handsfree.measure.figure import Figure, decimal_text
from handsfree.measure.rounding import to_figures, to_step
from handsfree.measure.units import convert, difference_in, unit
from handsfree.text.english import unit_words
from handsfree.text.numerals import NTHS, PARTS, a, digit_words, whole_words

_PARTS = {denominator: name for name, denominator in reversed(PARTS.items())}
_NTHS = {denominator: name for name, denominator in NTHS.items()}
TENTHS = {10: "tenth", 100: "hundredth", 1000: "thousandth"}
PARTED = ("inch", "cm", "degree", "turn", "g", "N", "s", "V", "A", "ohm", "bar")
"""Units of which tenths, hundredths and thousandths are said."""
OTHER_THAN = frozenset({("inch", 100), ("inch", 1000)})
"""Those of them that are units of their own."""
_OTHER_SYSTEM = {"thou": "mm", "tenth thou": "mm", "hundredth inch": "mm", "inch": "mm", "mm": "thou",
                 "tenth mm": "thou", "micron": "thou", "hundredth mm": "thou", "cm": "inch", "lbf in": "N cm",
                 "ozf in": "mN m", "ozf": "N", "psi": "kPa", "°F": "°C", "°C": "°F",
                 "lbf ft": "N m", "lbf": "N", "kgf": "N", "oz": "g", "lb": "kg", "inHg": "hPa",
                 "inH2O": "hPa"}  # fmt: skip
_SIGNIFICANT = 3


def number_words(value: Fraction, decimals: int | None) -> str:
    """A number in words that the grammar takes back for the same number."""
    if value < 0:
        return f"minus {number_words(-value, decimals)}"
    if decimals is None:
        return _fraction_words(value)
    before, _, after = decimal_text(value, decimals).partition(".")
    words = whole_words(int(before))
    return f"{words} point {digit_words(after)}" if after else words


def _fraction_words(value: Fraction) -> str:
    count, rest = divmod(value, 1)
    if rest == 0:
        return whole_words(count)
    part = _part_words(rest)
    if part is None or (count and rest.denominator not in _PARTS):
        return f"{whole_words(value.numerator)} over {whole_words(value.denominator)}"
    return f"{whole_words(count)} and {part}" if count else part


def _part_words(rest: Fraction) -> str | None:
    """A part of one that has a name of its own."""
    name = _PARTS.get(rest.denominator)
    if name is None:
        return a(_NTHS[rest.denominator]) if rest.numerator == 1 and rest.denominator in _NTHS else None
    return a(name) if rest.numerator == 1 else f"{whole_words(rest.numerator)} {name}s"


def spoken(figure: Figure) -> str:
    """The figure as it is read back: "four and a half thou", "nought point one millimetres"."""
    value = figure.value
    if figure.larger is not None:
        first, rest = in_two(figure)
        if not rest.value:
            return spoken(first)
        if rest.decimals is None and rest.unit is not None:
            # "Two minutes and a half second", not "two minutes half a second".
            one, many = one_and_many(rest.unit)
            few = number_words(rest.value, None)
            return f"{spoken(first)} and {few} {one}" if 0 < rest.value < 1 else f"{spoken(first)} {few} {many}"
        return f"{spoken(first)} {spoken(rest)}"
    if figure.unit is None or figure.unit == "count":
        return number_words(value, figure.decimals)
    one, many = one_and_many(figure.unit)
    of_one = a(one)
    if abs(value) == 1 and figure.decimals == 0:
        return f"{number_words(value, 0)} {one}"
    if figure.decimals is None and 0 < value < 1:
        if value == Fraction(1, 2):
            return f"half {of_one}"
        part = _part_words(value) or _tenths_words(value, figure.unit)
        if part is not None:
            return f"{part} of {of_one}"
    return f"{number_words(value, figure.decimals)} {many}"


def in_two(figure: Figure) -> tuple[Figure, Figure]:
    """The two parts of a figure that was said in two: whole ones of the larger unit, and the rest. The first that is
    not nought has the sign."""
    assert figure.unit is not None and figure.larger is not None
    whole, rest = divmod(abs(figure.value), convert(Fraction(1), figure.larger, figure.unit))
    if figure.value < 0:
        whole, rest = -whole, rest if whole else -rest
    return Figure(Fraction(whole), 0, figure.larger), replace(figure, value=rest, larger=None)


def one_and_many(key: str) -> tuple[str, str]:
    """How a unit is said of one and of many, in the chosen English."""
    return unit_words(unit(key).one), unit_words(unit(key).many)


def _tenths_words(value: Fraction, key: str) -> str | None:
    name = TENTHS.get(value.denominator)
    if name is None or key not in PARTED or (key, value.denominator) in OTHER_THAN:
        return None
    return f"a {name}" if value.numerator == 1 else f"{whole_words(value.numerator)} {name}s"


def written(figure: Figure) -> str:
    """The figure as it is kept, and stays as it was stated: "4 1/2 thou", "0.10 mm"; hundredths of a millimetre as
    "0.03 mm"."""
    if figure.larger is not None:
        whole, part = in_two(figure)
        return f"{written(whole)} {written(part)}" if part.value else written(whole)
    figure = _in_whole_units(figure)
    if figure.decimals is None and figure.value.denominator != 1:
        count, rest = divmod(abs(figure.value), 1)
        text = f"{count} " * bool(count) + f"{rest.numerator}/{rest.denominator}"
        text = f"-{text}" if figure.value < 0 else text
    else:
        text = figure.text
    symbol = unit(figure.unit).symbol if figure.unit else ""
    return f"{text} {symbol}".strip() if not symbol.startswith(("°", "′")) else f"{text}{symbol}"


def figure_shown(figure: Figure) -> str:
    """The figure for the eye, in decimals where it has an end in them: "4.5 thou" of four and a half; "3/8 in" and
    "1/3 turn" stay."""
    if figure.larger is None and figure.decimals is None and figure.unit not in _READ_IN_FRACTIONS:
        places = _PLACES.get(figure.value.denominator)
        figure = replace(figure, decimals=places) if places else figure
    return written(figure)


_PLACES = {2: 1, 4: 2, 5: 1, 8: 3}
"""Decimals of halves, quarters, fifths and eighths."""
_READ_IN_FRACTIONS = ("inch", "ft", "s")
"""Units of which rules, sizes and dials are marked in halves, quarters and so on."""
_STAY = "|".join(unit(key).symbol for key in _READ_IN_FRACTIONS)
_HALVES = re.compile(rf"(?<![\d/.])(?:(\d{{1,4}}) )?(\d{{1,2}})/(2|4|5|8) (?=[^\W\d]|[°%])(?!(?:{_STAY})\b)")
_BY = re.compile(r"(?:(?<=[0-9])\s*|\s+)[x×]\s*(?=[\d.])")


def in_decimals(text: str) -> str:
    """A figure that was stated in halves and quarters, as limits and results are written: "2.5 thou" of "2 1/2 thou".
    Those of an inch or a second stay: "3/8 in" is how such sizes are read."""

    def decimal(found: re.Match[str]) -> str:
        value = Fraction(int(found[1] or 0)) + Fraction(int(found[2]), int(found[3]))
        return f"{float(value):g} "

    return _HALVES.sub(decimal, text)


def size_written(size: str) -> str:
    """A size of thread and length for the eye: "M2 × 5" of "M2 x 5"; words beside it stay."""
    return _BY.sub(" × ", size)


def number_written(figure: Figure) -> str:
    """The number of a figure as it is shown, where its unit stands elsewhere: "4.5", "5/32" of an inch; "0.03" of
    hundredths of a millimetre."""
    whole = _in_whole_units(figure)
    symbol = unit(whole.unit).symbol if whole.unit else ""
    return figure_shown(whole).removesuffix(symbol).rstrip()


def _in_whole_units(figure: Figure) -> Figure:
    """What was said in tenths or hundredths of a unit, as decimals of that unit."""
    whole = unit(figure.unit).part_of if figure.unit else ""
    if not whole or figure.unit is None:
        return figure
    value = convert(figure.value, figure.unit, whole)
    if figure.decimals is None:
        return to_figures(value, _SIGNIFICANT, whole)
    return Figure(value, figure.decimals + (1 if convert(Fraction(10), figure.unit, whole) == 1 else 2), whole)


def in_other_system(figure: Figure, step: Fraction | None = None) -> tuple[Figure, bool] | None:
    """The figure in the other system's usual unit, and whether it had to be rounded; None where that is no use.

    It is rounded by the resolution ``step`` of the tool, in the figure's unit, where that is known; else three
    significant figures are kept, or as many as were stated if more. Four thou becomes 0.102 mm either way.
    """
    target = _OTHER_SYSTEM.get(figure.unit or "")
    if target is None or figure.unit is None or not (figure.value or unit(target).kind == "temperature"):
        return None
    if figure.unit == "mm" and abs(figure.value) >= 10:
        target = "inch"
    return converted(figure, target, step)


def converted(figure: Figure, target: str, step: Fraction | None = None) -> tuple[Figure, bool]:
    """The figure in ``target`` units, and whether it had to be rounded: by the resolution ``step`` (in its own unit)
    where that is given, else to its own precision (three significant figures at least). UnitError where the two measure
    different things."""
    if figure.unit is None or figure.unit == target:
        return figure, False
    if step is not None:
        exact = convert(figure.value, figure.unit, target)
        made = to_step(exact, difference_in(step, figure.unit, target), target)
        return made, made.value != exact
    stated = len(figure.text.replace(".", "").replace("-", "").lstrip("0")) if figure.decimals else 0
    return rounded(convert(figure.value, figure.unit, target), target, stated)


def rounded(exact: Fraction, unit_key: str, figures: int) -> tuple[Figure, bool]:
    """A computed value to ``figures`` significant figures (three at least, and never a whole figure less than it has),
    without closing noughts, and whether it had to be rounded."""
    made = to_figures(exact, max(_SIGNIFICANT, figures), unit_key)
    return made, made.value != exact


def spoken_with_other(figure: Figure, step: Fraction | None = None) -> str:
    """ "four thou, about nought point one nought two millimetres"; ``step`` as for ``in_other_system``."""
    other = in_other_system(figure, step)
    if other is None:
        return spoken(figure)
    return f"{spoken(figure)}, {'about ' if other[1] else ''}{spoken(other[0])}"


def confusable_digits(figure: Figure) -> str | None:
    """For the classic mishearings (thirteen/thirty to nineteen/ninety): the number digit by digit, else None."""
    if figure.larger is not None:
        # Each part by itself: "thirty degrees twelve arc minutes, three nought".
        return ", ".join(filter(None, map(confusable_digits, in_two(figure)))) or None
    value = figure.value
    if value.denominator != 1 or not 13 <= abs(value) < 100:
        return None
    number = abs(int(value))
    if number < 20 or (number % 10 == 0 and number >= 30):
        return digit_words(str(number))
    return None


def range_words(low: Figure | None, high: Figure | None) -> str:
    """Limits in words: "one and a half to three thou", "at most two thou"."""
    if low is not None and high is not None:
        return f"{number_words(low.value, low.decimals)} to {spoken(high)}"
    if low is not None:
        return f"at least {spoken(low)}"
    return f"at most {spoken(high)}" if high is not None else "no limits"


def range_written(low: Figure | None, high: Figure | None) -> str:
    """Limits as shown: "1.5 to 3 thou", "at most 2 thou", "none"."""
    if low is not None and high is not None:
        return f"{number_written(low)} to {figure_shown(high)}"
    if low is not None:
        return f"at least {figure_shown(low)}"
    return f"at most {figure_shown(high)}" if high is not None else "none"
