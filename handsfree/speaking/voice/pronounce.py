"""Text for the ear: what a screen would show, turned into what a voice engine says well.

Figures become the words that a read-back has, so that a trailing nought is said, and no engine makes a year of them.
Plain sentences come through unchanged, and so does text that has been through here before.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from handsfree.measure.formatting import number_words
from handsfree.measure.units import UNITS, Unit
from handsfree.text.numerals import whole_words

# "4 in place" and "thou" are words already.
_NOT_SYMBOLS = {"", "in", "thou", "bar", "turns"}


def _unit_pattern() -> tuple[re.Pattern[str], dict[str, Unit]]:
    by_symbol = {unit.symbol: unit for unit in UNITS.values() if unit.symbol not in _NOT_SYMBOLS}
    for symbol in ("N m", "N cm", "mN m"):
        for joint in ("", "·", "⋅"):
            by_symbol[symbol.replace(" ", joint)] = by_symbol[symbol]
    longest_first = sorted(by_symbol, key=len, reverse=True)
    # A single letter stuck to a number is more often a name ("tray 3A") than a unit.
    single = "|".join(s for s in longest_first if len(s) == 1 and s.isascii() and s.isalpha())
    others = "|".join(re.escape(s) for s in longest_first if not (len(s) == 1 and s.isascii() and s.isalpha()))
    number = r"(?<![\w.])((?:\d+ )?\d+/\d+|\d+(?:\.\d+)?|\.\d+)"
    return re.compile(rf"{number}(?: ?({others})| ({single}))(?![\w'’]|-\w)"), by_symbol


_UNIT, _BY_SYMBOL = _unit_pattern()
_FRACTION = re.compile(r"(?<![\w/.])(?:(\d{1,6}) )?(\d{1,4})/(\d{1,4})(?![\w/]|\.\d)")
_DECIMAL = re.compile(r"(?<![\w./:])(\d{0,6})\.(\d{1,6})(?![\w/]|\.\d)")
_CLOCK = re.compile(r"(?<![\d:.])([01]?\d|2[0-3]):([0-5]\d)(?![\d:]|\.\d)")
_LONG_NUMBER = re.compile(r"\d{4,6}")
_MOST_PASSES = 10
_TAG = re.compile(r"</?[A-Za-z][^<>]*>")
_LETTERS = {"\u03bc": "\u00b5", "\u2126": "\u03a9", "’": "'", "‘": "'", "“": '"', "”": '"', "−": "-", "½": " 1/2",
            "¼": " 1/4", "¾": " 3/4"}  # fmt: skip
_RULES: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (re.compile(pattern), said)
    for pattern, said in (
        (r"\bNo\.\s*(?=\d)", "number "),
        (r"\be\.g\.", "for example"),
        (r"\bi\.e\.", "that is"),
        (r"\bapprox\.", "about"),
        (r"\bM(?=\d)", "M "),
        (r"(?<=\d)\s*[x×]\s*(?=\d)", " by "),
        (r"\s*×\s*", " times "),
        (r"(?<=\d)\s*[–—]\s*(?=\d)", " to "),
        (r"\s*[–—]\s*", ", "),
        (r"(?<!\w)[Ø⌀]\s*(?=[\d.])", "diameter "),
        (r"\s*(?:±|\+/-)\s*", " plus or minus "),
        (r"\s*(?:≤|<=)\s*", " at most "),
        (r"\s*(?:≥|>=)\s*", " at least "),
        (r"\s*(?:≈|~)\s*(?=[\d.])", " about "),
        (r"\s*<\s*(?=[\d.])", " less than "),
        (r"\s*>\s*(?=[\d.])", " more than "),
        (r"(?<![\w)])-(?=\.?\d)", "minus "),
        (r"\s*&\s*", " and "),
        (r"[<>{}\[\]|\\*_`^~#=]", " "),
    )
)  # fmt: skip


def for_the_ear(text: str) -> str:
    """``text`` as it should be given to a voice engine: "M2.5 x 6" becomes "M two point five by 6", "0.1 mm"
    "nought point one millimetres".

    Control characters, emoji and mark-up go; units after a number are spelled out; fractions become words.
    """
    # What one rule makes may be what another waits for ("M3mm"): until nothing changes, which makes it idempotent.
    for _ in range(_MOST_PASSES):
        before, text = text, _one_pass(text)
        if text == before:
            break
    return text


def _one_pass(text: str) -> str:
    text = _tidy(_TAG.sub(" ", "".join(_plain(character) for character in text)))
    text = _UNIT.sub(_unit_said, text)
    text = _FRACTION.sub(_fraction_said, text)
    text = _CLOCK.sub(_clock_said, text)
    for pattern, said in _RULES:
        text = pattern.sub(said, text)
    text = _DECIMAL.sub(_decimal_said, text)
    return re.sub(r" (?=[,;:.!?](?:\s|$))", "", _tidy(text)).strip()


def _tidy(text: str) -> str:
    """One space or one line's end for each stretch of them."""
    return re.sub(r"\s+", lambda match: "\n" if "\n" in match[0] else " ", text)


def _plain(character: str) -> str:
    if character in _LETTERS:
        return _LETTERS[character]
    if character == "\n" or character in "°′Ω±×÷≤≥≈⌀":
        return character
    kind = unicodedata.category(character)
    return " " if kind[0] in "CZ" or kind in ("So", "Sk", "Mn", "Me") else character


def _unit_said(match: re.Match[str]) -> str:
    number, unit = match[1], _BY_SYMBOL[match[2] or match[3]]
    if "/" in number and " " not in number:
        number = "half" if number == "1/2" else f"{number} of"
        return f"{number} {'an' if unit.one[0] in 'aeiou' else 'a'} {unit.one}"
    # Of itself an engine takes four figures for a year.
    said = whole_words(int(number)) if _LONG_NUMBER.fullmatch(number) else number
    return f"{said} {unit.one if number == '1' else unit.many}"


def _decimal_said(match: re.Match[str]) -> str:
    return number_words(Fraction(f"{match[1] or 0}.{match[2]}"), len(match[2]))


def _clock_said(match: re.Match[str]) -> str:
    """ "10:30" as "ten thirty", "9:05" as "nine oh five"."""
    hour, minute = whole_words(int(match[1])), int(match[2])
    if not minute:
        return f"{hour} o'clock"
    return f"{hour} {'oh ' if minute < 10 else ''}{whole_words(minute)}"


def _fraction_said(match: re.Match[str]) -> str:
    whole, count, parts = int(match[1] or 0), int(match[2]), int(match[3])
    if not 0 < count < parts or parts > 1000:
        return match[0]
    return number_words(whole + Fraction(count, parts), None)
