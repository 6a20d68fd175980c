"""The single values of a procedure file: text, spoken names, figures, units and lengths of time.

Each function takes what the file says and returns the value, or raises ValueError with a sentence for the
writer of the file. Numbers come in as their text, so that "1.50" keeps its two decimals and never passes through
a float.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.units import AMBIGUOUS, SMALLER, UNITS, convert, difference_in, unit_in_use

LONGEST_NAME = 4
"""Words in a spoken name."""
LONGEST_WAIT = 14 * 24 * 3600
"""Seconds."""

_NUMBER = re.compile(r"[+-]?\d{1,12}(\.\d{1,9})?")
_FRACTION = re.compile(r"(?:(\d{1,6}) )?(\d{1,6})/(\d{1,6})")
_TIME_UNITS = dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3600)
_TIME_UNITS |= dict.fromkeys(("min", "mins", "minute", "minutes"), 60)
_TIME_UNITS |= dict.fromkeys(("s", "sec", "secs", "second", "seconds"), 1)
_TIME_PART = re.compile(r"(\d{1,6}(?:\.\d{1,3})?) ?([a-z]+)")


def nearest_word(word: str, known: Iterable[str]) -> str | None:
    """The one of ``known`` that is most like ``word``, or None where none is like it."""
    by_folded = {each.casefold(): each for each in known}
    near = difflib.get_close_matches(word.casefold(), list(by_folded), n=1, cutoff=0.6)
    return by_folded[near[0]] if near else None


def kind_of(value: object) -> str:
    """What ``value`` is, in the words of a writer of files."""
    if isinstance(value, str):
        return f'"{value}"' if len(value) <= 40 else "a long text"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (list, tuple)):
        return "a list"
    return "a group of keys" if isinstance(value, dict) else str(value)


def text(value: object) -> str:
    """One line of text that is not empty; line breaks and runs of spaces become single spaces."""
    if isinstance(value, bool):
        raise ValueError(f"must be text, not {kind_of(value)}; put it in quotes if the word is meant")
    if isinstance(value, int):
        return str(value)
    if not isinstance(value, str):
        raise ValueError(f"must be text, not {kind_of(value)}")
    plain = " ".join(str(value).split())
    if not plain:
        raise ValueError("is empty; write something or leave the key out")
    return plain


def spoken_name(value: object) -> str:
    """A name that can be said: lower case, words of letters and apostrophes, hyphens turned to spaces."""
    said = text(value)
    name = " ".join(said.lower().replace("’", "'").replace("-", " ").split())
    if re.search(r"\d", name):
        raise ValueError(f'"{said}" has digits in it; a spoken name is made of words only, so write numbers as words')
    if not re.fullmatch(r"[a-z']+( [a-z']+)*", name):
        raise ValueError(
            f'"{said}" can\'t be said as it stands; a spoken name is made of the letters a to z, '
            "apostrophes, hyphens and spaces only"
        )
    if len(name.split()) > LONGEST_NAME:
        raise ValueError(f'"{said}" is too long to be said quickly; use at most {LONGEST_NAME} words')
    return name


def thing(value: object) -> str:
    """The name of a part or a place of the item, without its article and in lower case at its beginning."""
    said = re.sub(r"^(the|a|an) ", "", text(value), flags=re.IGNORECASE)
    return said[0].lower() + said[1:]


def exact_figure(value: object) -> Figure:
    """A plain number as an exact figure without unit: "1.50", "-3", "3/16", "1 1/2"."""
    if isinstance(value, Figure):
        return value
    if isinstance(value, float):
        # A binary float has lost what was written; only its text would be honest.
        raise ValueError("must be given as text, a whole number or a Decimal, not as a binary float")
    if isinstance(value, Fraction) or (isinstance(value, int) and not isinstance(value, bool)):
        return Figure(Fraction(value), 0 if value.denominator == 1 else None)
    if isinstance(value, Decimal):
        value = format(value, "f")
    if not isinstance(value, str):
        raise ValueError(f"must be a number, not {kind_of(value)}")
    said = value.strip()
    if _NUMBER.fullmatch(said):
        return figure_from_text(said)
    parts = _FRACTION.fullmatch(said)
    if parts and int(parts[3]):
        return Figure(int(parts[1] or 0) + Fraction(int(parts[2]), int(parts[3])), None)
    if re.fullmatch(r"[+-]?\d*,\d+", said):
        raise ValueError(f"must be a number; write {said.replace(',', '.')} with a point, not {said} with a comma")
    if re.fullmatch(r"[+-]?\.\d+", said):
        raise ValueError(f"must be a number with a figure before the point; write {said.replace('.', '0.', 1)}")
    if re.match(r"[+-]?\d", said) and unit_or_none(said.lstrip("+-0123456789./ ")):
        raise ValueError(f'must be a plain number, not "{said}"; the unit goes under "unit"')
    raise ValueError(f'must be a number such as 2, 1.5 or 3/16, not "{said}"')


def figure_with_unit(value: object) -> Figure:
    """A number with or without its unit: "0.02 mm", "0.5"; in two units where people say it so: "2 min 10 s"."""
    if isinstance(value, str):
        two = _IN_TWO.fullmatch(value.strip())
        if two and (made := _in_two(*two.groups())):
            return made
        parts = re.fullmatch(r"([+-]?[\d./ ]*\d) ?([^\d\s.,/].*)", value.strip())
        if parts:
            return replace(exact_figure(parts[1]), unit=unit_key(parts[2]))
    return exact_figure(value)


_IN_TWO = re.compile(r"(-?\d{1,6}) ?([^\d\s.,/-]+) ?(\d[\d./ ]*) ?([^\d\s.,/]+)")


def _in_two(count: str, first: str, rest: str, second: str) -> Figure | None:
    """The figure of two parts, in the smaller unit; None where the second unit is not the one that goes with the first.

    What is beyond one of the larger ("2 min 75 s") is no such figure.
    """
    larger = unit_or_none(first)
    smaller = SMALLER.get(larger or "")
    if larger is None or smaller is None or (second not in ("'", "′") and unit_or_none(second) != smaller):
        return None
    part, size = exact_figure(rest), convert(Fraction(1), larger, smaller)
    if part.value >= size:
        raise ValueError(
            f'"{rest} {second}" is more than one {UNITS[larger].one}; write it with the {UNITS[larger].many}'
        )
    total = abs(int(count)) * size + part.value
    return Figure(-total if count.startswith("-") else total, part.decimals, smaller, larger=larger)


@lru_cache(maxsize=1)
def _spellings() -> tuple[dict[str, str], dict[str, str]]:
    """Every spelling of a unit as written, and the same without regard to case, hyphens and spaces."""
    exact: dict[str, str] = {}
    for key, unit in UNITS.items():
        for form in (key, unit.symbol, *unit.spoken_forms, *unit.spelt):
            if form:
                exact.setdefault(form, key)
    loose: dict[str, str] = {}
    for form, key in exact.items():
        loose.setdefault(_loosely(form), key)
    return exact, loose


def _loosely(form: str) -> str:
    return re.sub(r"[\s.·-]+", "", form).casefold()


def unit_or_none(spelling: str) -> str | None:
    """The key of the unit spelt so, or None."""
    exact, loose = _spellings()
    return exact.get(spelling) or loose.get(_loosely(spelling))


def unit_key(value: object) -> str:
    """The key in ``units.UNITS`` of a unit given by key, symbol or any of its spoken forms."""
    said = text(value)
    if said.lower() in AMBIGUOUS:
        meanings = [f'"{key}"' for key in AMBIGUOUS[said.lower()]]
        raise ValueError(f'"{said}" means different things to different people; write {" or ".join(meanings)}')
    key = unit_or_none(said)
    if key is None:
        near = nearest_word(said, _spellings()[0])
        hint = f'did you mean "{near}"?' if near else f"known units are {', '.join(UNITS)}"
        raise ValueError(f'"{said}" is not a known unit; {hint}')
    return key


def in_unit(size: Figure, unit: str) -> Fraction:
    """A size (a difference, such as a resolution) in ``unit``; one without a unit is in ``unit`` already, and one in
    grams counts as a force where a force is measured.

    UnitError where the two measure different things.
    """
    if size.unit is None:
        return size.value
    return difference_in(size.value, unit_in_use(size.unit, unit), unit)


def seconds(value: object) -> int:
    """A length of time in whole seconds: "10 minutes", "1 hour 30 minutes", "90 s"."""
    form = 'write it as "10 minutes", "90 seconds" or "1 hour 30 minutes"'
    said = text(value)
    plain = re.sub(r",| and ", " ", said.lower())
    parts = _TIME_PART.findall(plain)
    rest = _TIME_PART.sub("", plain).strip()
    if not parts or rest or any(word not in _TIME_UNITS for _, word in parts):
        raise ValueError(f'"{said}" is not a length of time; {form}')
    total = sum((Fraction(number) * _TIME_UNITS[word] for number, word in parts), Fraction(0))
    if total.denominator != 1 or not 0 < total <= LONGEST_WAIT:
        raise ValueError(f'"{said}" must be a whole number of seconds, from one second to {LONGEST_WAIT // 86400} days')
    return int(total)


def count(value: object) -> int:
    """A whole number from one."""
    plain = str(value).strip()
    if isinstance(value, bool) or not re.fullmatch(r"\d{1,4}", plain) or not int(plain):
        raise ValueError(f"must be a whole number from one, not {kind_of(value)}")
    return int(plain)


def yes_or_no(value: object) -> bool:
    """true or false (yes and no are taken as well)."""
    answer = {"true": True, "yes": True, "false": False, "no": False}.get(str(value).strip().lower())
    if answer is None:
        raise ValueError(f"must be true or false, not {kind_of(value)}")
    return answer
