"""Numbers in words: the one home of digits, teens, tens and named parts, of cardinals, and of numerals in a text."""

from __future__ import annotations

import re

from handsfree.text.english import hundred_joint, nought

DIGITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
"""From one: nought has several names."""
NOUGHTS = ("zero", "nought", "oh")
TEENS = ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")

PARTS = {
    "half": 2, "third": 3, "quarter": 4, "fourth": 4, "fifth": 5, "eighth": 8, "sixteenth": 16,
    "thirty second": 32, "sixty fourth": 64,
}  # fmt: skip
"""The parts of one of which people say several ("three quarters"), the usual name first."""
NTHS = {
    **{f"{tens[:-1]}ieth": 10 * value for value, tens in enumerate(TENS, 2)},
    "twenty fifth": 25, "hundred and twenty fifth": 125, "two hundred and fiftieth": 250,
    **{f"{hundreds} hundredth": 100 * value for value, hundreds in enumerate(DIGITS[1:], 2)},
}  # fmt: skip
"""The small parts of which people say one: "a fiftieth", "a two hundredth"; others are said with "over"."""

NUMERAL = r"[0-9]*\.[0-9]+|[0-9]+"
"""A numeral in a text, as a pattern."""
_GROUPED = re.compile(r"(?<=[0-9]),(?=[0-9]{3}(?![0-9]))")
_SIGNS = {".": "point", "-": "minus", "/": "over"}
_LARGEST = 999_999


def cardinal(number: int, *, zero: str = "zero", joint: str = " and ") -> str:
    """A whole number below a million in words, the same in every English; ``joint`` stands before the last two figures.

    A larger one digit by digit.
    """
    if number == 0:
        return zero
    if number < 10:
        return DIGITS[number - 1]
    if number < 20:
        return TEENS[number - 10]
    if number < 100:
        tens, ones = divmod(number, 10)
        return TENS[tens - 2] + (f" {DIGITS[ones - 1]}" if ones else "")
    if number > _LARGEST:
        return digit_words(str(number), zero)
    size, name = (100, "hundred") if number < 1000 else (1000, "thousand")
    count, rest = divmod(number, size)
    words = f"{cardinal(count, zero=zero, joint=joint)} {name}"
    return words + ((joint if rest < 100 else " ") + cardinal(rest, zero=zero, joint=joint) if rest else "")


def whole_words(number: int) -> str:
    """A whole number in the chosen English; one of a million or more digit by digit."""
    return cardinal(number, zero=nought(), joint=hundred_joint())


def digit_words(text: str, zero: str | None = None) -> str:
    """Figures one by one: "0.05" is "nought point nought five"; ``zero`` where it is not that of the chosen English."""
    zero = nought() if zero is None else zero
    return " ".join(_SIGNS.get(sign) or (DIGITS[int(sign) - 1] if sign != "0" else zero) for sign in text)


def ungrouped(text: str) -> str:
    """A text with its numerals in one piece: "1,200" becomes "1200", while "1,5" stays."""
    return _GROUPED.sub("", text)


def numerals_spelled(text: str, zero: str) -> str:
    """A text with its numerals digit by digit, as words of their own."""
    return re.sub(NUMERAL, lambda numeral: f" {digit_words(numeral[0], zero)} ", text)


def a(word: str) -> str:
    """The word with its article."""
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"
