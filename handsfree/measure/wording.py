"""The one formatter: how a figure is spoken and how it is written, the same for voice, screen, log and report.

A stated figure is never changed. A converted one is given to the stated one's precision and called "about" when it had
to be rounded.
"""

from __future__ import annotations

from fractions import Fraction

from handsfree.measure.figure import Figure, decimal_text
from handsfree.measure.units import convert, unit

_ONES = (
    *("nought", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    *("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
)
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second", 64: "sixty fourth"}
_OTHER_SYSTEM = {"thou": "mm", "tenth thou": "mm", "mm": "thou", "micron": "thou", "hundredth mm": "thou",
                 "lbf in": "N cm", "ozf in": "mN m"}  # fmt: skip
_SIGNIFICANT = 3


def whole_words(number: int) -> str:
    """A whole number below a million in words."""
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens - 2] + (f" {_ONES[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{_ONES[hundreds]} hundred" + (f" and {whole_words(rest)}" if rest else "")
    if number >= 1_000_000:
        return " ".join(_ONES[int(figure)] for figure in str(number))
    thousands, rest = divmod(number, 1000)
    joint = " and " if 0 < rest < 100 else " "
    return f"{whole_words(thousands)} thousand" + (f"{joint}{whole_words(rest)}" if rest else "")


def number_words(value: Fraction, decimals: int | None) -> str:
    """A number in words that the grammar takes back for the same number."""
    if value < 0:
        return f"minus {number_words(-value, decimals)}"
    if decimals is None:
        return _fraction_words(value)
    before, _, after = decimal_text(value, decimals).partition(".")
    words = whole_words(int(before))
    return f"{words} point {' '.join(_ONES[int(figure)] for figure in after)}" if after else words


def _fraction_words(value: Fraction) -> str:
    count, rest = divmod(value, 1)
    if rest == 0:
        return whole_words(count)
    name = _PARTS.get(rest.denominator)
    if name is None:
        return f"{whole_words(value.numerator)} over {whole_words(value.denominator)}"
    part = f"a {name}" if rest.numerator == 1 else f"{whole_words(rest.numerator)} {name}s"
    return f"{whole_words(count)} and {part}" if count else part


def spoken(figure: Figure) -> str:
    """The figure as it is read back: "four and a half thou", "nought point one millimetres"."""
    words = number_words(figure.value, figure.decimals)
    if figure.unit is None or figure.unit == "count":
        return words
    said = unit(figure.unit)
    if figure.value == 1 and figure.decimals == 0:
        return f"{words} {said.one}"
    if figure.value == Fraction(1, 2) and figure.decimals is None:
        return f"half {'an' if said.one[0] in 'aeiou' else 'a'} {said.one}"
    if figure.decimals is None and 0 < figure.value < 1:
        return f"{words} {'of an' if said.one[0] in 'aeiou' else 'of a'} {said.one}"
    return f"{words} {said.many}"


def written(figure: Figure) -> str:
    """The figure as it is shown: "4 1/2 thou", "0.10 mm"."""
    if figure.decimals is None and figure.value.denominator != 1:
        count, rest = divmod(abs(figure.value), 1)
        text = f"{count} " * bool(count) + f"{rest.numerator}/{rest.denominator}"
        text = f"-{text}" if figure.value < 0 else text
    else:
        text = figure.text
    symbol = unit(figure.unit).symbol if figure.unit else ""
    return f"{text} {symbol}".strip() if not symbol.startswith(("°", "′")) else f"{text}{symbol}"


def in_other_system(figure: Figure) -> tuple[Figure, bool] | None:
    """The figure in the other system's usual unit, and whether it had to be rounded; None where that is no use.

    Three significant figures are kept, or as many as were stated if more: four thou becomes 0.102 mm.
    """
    target = _OTHER_SYSTEM.get(figure.unit or "")
    if target is None or figure.unit is None or not figure.value:
        return None
    if figure.unit == "mm" and abs(figure.value) >= 10:
        target = "inch"
    exact = convert(figure.value, figure.unit, target)
    stated = len(figure.text.replace(".", "").replace("-", "").lstrip("0")) if figure.decimals else 0
    places = max(0, max(_SIGNIFICANT, stated) - _digits_before_point(exact))
    rounded = Fraction(round(exact * 10**places), 10**places)
    while places and (rounded * 10 ** (places - 1)).denominator == 1:
        places -= 1
    return Figure(rounded, places, target), rounded != exact


def _digits_before_point(value: Fraction) -> int:
    """Digits before the decimal point; negative by the noughts that follow it (0.004: -2)."""
    value, count = abs(value), 0
    while value >= 1:
        value, count = value / 10, count + 1
    while 0 < value < Fraction(1, 10):
        value, count = value * 10, count - 1
    return count


def spoken_with_other(figure: Figure) -> str:
    """ "four thou, about nought point one nought two millimetres"."""
    other = in_other_system(figure)
    if other is None:
        return spoken(figure)
    return f"{spoken(figure)}, {'about ' if other[1] else ''}{spoken(other[0])}"


def confusable_digits(figure: Figure) -> str | None:
    """For the classic mishearings (thirteen/thirty to nineteen/ninety): the number digit by digit, else None."""
    value = figure.value
    if value.denominator != 1 or not 13 <= abs(value) < 100:
        return None
    number = abs(int(value))
    if number < 20 or (number % 10 == 0 and number >= 30):
        return " ".join(_ONES[int(digit)] for digit in str(number))
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
        return f"{low.text} to {written(high)}"
    if low is not None:
        return f"at least {written(low)}"
    return f"at most {written(high)}" if high is not None else "none"
