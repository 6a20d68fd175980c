"""Screw threads and fastener sizes: what a written size means, how it is said, and how far a turn goes.

Sizes that belong to no known family (watch and instrument sizes) are free text and are said as they are written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from handsfree.measure.figure import figure_from_text
from handsfree.measure.formatting import number_words
from handsfree.text.numerals import whole_words

_INCH = Fraction("25.4")
_COARSE = {
    "1": "0.25", "1.1": "0.25", "1.2": "0.25", "1.4": "0.3", "1.6": "0.35", "1.8": "0.35", "2": "0.4", "2.2": "0.45",
    "2.5": "0.45", "3": "0.5", "3.5": "0.6", "4": "0.7", "5": "0.8", "6": "1", "7": "1", "8": "1.25", "10": "1.5",
    "12": "1.75", "14": "2", "16": "2", "18": "2.5", "20": "2.5", "22": "2.5", "24": "3",
}  # fmt: skip
"""Metric coarse pitches in millimetres (ISO 261)."""
_BA = ("1", "0.9", "0.81", "0.73", "0.66", "0.59", "0.53", "0.48", "0.43", "0.39", "0.35", "0.31", "0.28", "0.25",
       "0.23", "0.21", "0.19")  # fmt: skip
"""Pitches of 0 to 16 BA in millimetres: 0.9 to the power of the number, to two figures (BS 93, from memory)."""
# Threads to the inch; from memory of the tables of BS 84 (Whitworth, BSF) and ASME B1.1 (unified).
_WHITWORTH = {"1/16": 60, "3/32": 48, "1/8": 40, "5/32": 32, "3/16": 24, "7/32": 24, "1/4": 20, "5/16": 18,
              "3/8": 16, "7/16": 14, "1/2": 12}  # fmt: skip
_BSF = {"3/16": 32, "7/32": 28, "1/4": 26, "5/16": 22, "3/8": 20, "7/16": 18, "1/2": 16}
_UNIFIED = ("0-80", "1-64", "1-72", "2-56", "2-64", "3-48", "3-56", "4-40", "4-48", "5-40", "5-44", "6-32", "6-40",
            "8-32", "8-36", "10-24", "10-32", "12-24", "12-28", "1/4-20", "1/4-28", "5/16-18", "5/16-24", "3/8-16",
            "3/8-24")  # fmt: skip


@dataclass(frozen=True)
class Thread:
    """A thread of a known family: as written, as said, and its pitch in millimetres."""

    written: str
    words: str
    pitch: Fraction


@dataclass(frozen=True)
class FastenerSize:
    """A fastener's size: its thread (None: a size of no known family) and its length as written and as said."""

    written: str
    thread: Thread | None
    length_words: str | None = None

    @property
    def words(self) -> str:
        """ "M two by five", "six thirty two by a quarter"; free text as it stands."""
        if self.thread is None:
            return self.written
        return f"{self.thread.words} by {self.length_words}" if self.length_words else self.thread.words


def threads() -> Iterator[Thread]:
    """Every thread that is known by name."""
    yield from (metric(size) for size in _COARSE)
    for number, pitch in enumerate(_BA):
        yield Thread(f"{number} BA", f"{whole_words(number)} B A", Fraction(pitch))
    for table, short, name in ((_WHITWORTH, "BSW", "Whitworth"), (_BSF, "BSF", "B S F")):
        for size, per_inch in table.items():
            yield Thread(f"{size} {short}", f"{_inch_words(size)} {name}", _INCH / per_inch)
    for size in _UNIFIED:
        yield _unified(size)


def metric(size: str, pitch: str | None = None) -> Thread:
    """A metric thread by its nominal diameter: coarse, or of the pitch given (both as decimal text, millimetres)."""
    fine = pitch is not None and Fraction(pitch) != Fraction(_COARSE.get(size, "0"))
    written, words = f"M{size}", f"M {_decimal_words(size)}"
    if pitch is not None and fine:
        written, words = f"{written} x {pitch}", f"{words}, pitch {_decimal_words(pitch)}"
    return Thread(written, words, Fraction(pitch or _COARSE[size]))


def _unified(size: str) -> Thread:
    diameter, per_inch = size.split("-")
    first = _inch_words(diameter) if "/" in diameter else whole_words(int(diameter))
    return Thread(size, f"{first} {whole_words(int(per_inch))}", _INCH / int(per_inch))


def _decimal_words(text: str) -> str:
    figure = figure_from_text(text)
    return number_words(figure.value, figure.decimals)


def _inch_words(size: str) -> str:
    return re.sub(r"^an? ", "", number_words(Fraction(size), None))


_BY = re.compile(r"\s*[x×]\s*|\s+by\s+")
_METRIC_SIZE = re.compile(r"m ?(\d{1,2}(?:\.\d{1,2})?)", re.IGNORECASE)
_BA_SIZE = re.compile(r"(?:no\.? ?)?(\d{1,2}) ?b\.? ?a\.?|ba ?(\d{1,2})", re.IGNORECASE)
_BRITISH_SIZE = re.compile(r'(\d/\d{1,2}) ?(?:in(?:ch)?|")? ?(bsw|whit(?:worth|\.)?|bsf)', re.IGNORECASE)
_UNIFIED_SIZE = re.compile(r"(?:no\.? ?|#)?(\d{1,2}|\d/\d{1,2})-(\d{2})(?: ?(?:unc|unf|unef))?", re.IGNORECASE)
_LENGTH = re.compile(r'(\d+ )?(\d+)/(\d+)(?: ?(?:in(?:ch)?|"))?|(\d+(?:\.\d+)?)(?: ?(mm|in|inch|"))?')


class ThreadError(ValueError):
    """A size that looks like one of a known family and is none of its sizes."""


def fastener_size(written: str) -> FastenerSize:
    """What a written size means: "M2 x 5", "M8 x 1 x 20", "8 BA x 3/16 in", "1/4 BSW", "6-32 x 1/4".

    ThreadError where it names a size that its family does not have.
    """
    first, *rest = (part.strip() for part in _BY.split(written.strip()))
    pitch = rest.pop(0) if len(rest) == 2 and _METRIC_SIZE.fullmatch(first) else None
    thread = _thread(first, pitch)
    if thread is None or len(rest) > 1:
        return FastenerSize(written, None)
    length = _length_words(rest[0]) if rest else None
    if rest and length is None:
        return FastenerSize(written, None)
    return FastenerSize(written, thread, length)


def _thread(text: str, pitch: str | None) -> Thread | None:
    if found := _METRIC_SIZE.fullmatch(text):
        if found[1] not in _COARSE and pitch is None:
            raise ThreadError(f'"{text}" is no metric size with a coarse pitch of its own; state the pitch')
        if pitch is not None and not re.fullmatch(r"\d(\.\d{1,2})?", pitch):
            raise ThreadError(f'"{pitch}" is no pitch in millimetres')
        return metric(found[1], pitch)
    if found := _BA_SIZE.fullmatch(text):
        name = f"{int(found[1] or found[2])} BA"
    elif found := _BRITISH_SIZE.fullmatch(text):
        name = f"{found[1]} {'BSF' if found[2].lower() == 'bsf' else 'BSW'}"
    elif found := _UNIFIED_SIZE.fullmatch(text):
        name = f"{found[1]}-{found[2]}"
    else:
        return None
    if name not in _by_name():
        raise ThreadError(f'"{text}" is not a size of its family; look it up again')
    return _by_name()[name]


_NAMES: dict[str, Thread] = {}


def _by_name() -> dict[str, Thread]:
    if not _NAMES:
        _NAMES.update({thread.written: thread for thread in threads()})
    return _NAMES


def _length_words(text: str) -> str | None:
    found = _LENGTH.fullmatch(text)
    if found is None:
        return None
    if found[3]:
        if not int(found[3]):
            return None
        return number_words(int(found[1] or 0) + Fraction(int(found[2]), int(found[3])), None)
    inches = found[5] not in (None, "mm")
    words = _decimal_words(found[4])
    return f"{words} {'inch' if found[4] == '1' else 'inches'}" if inches else words


def spoken_size(written: str) -> str:
    """A written size for the ear; what is of no known family is left as it stands."""
    try:
        return fastener_size(written).words
    except ThreadError:
        return written
