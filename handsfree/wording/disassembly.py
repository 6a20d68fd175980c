"""What came off and which marks were made, in words."""

from __future__ import annotations

from handsfree.job.events import (
    MarkMade,
    PartsRemoved,
)
from handsfree.measure.figure import Figure, decimal_text
from handsfree.measure.formatting import spoken
from handsfree.measure.threads import spoken_size
from handsfree.phrases.disassembly.commands import the
from handsfree.procedure.values import figure_with_unit
from handsfree.text.prose import counted


def removed_words(event: PartsRemoved) -> str:
    """What came off, as it is read back: "two screws, M two by five, cheese head, from the top"."""
    said = [the(event.what)] if event.sort == "part" and event.count == 1 else []
    said = said or [counted(event.count, event.what)]
    said += [spoken_size(event.size)] if event.size else []
    said += [words for words in (event.head, event.finish) if words]
    said += [spoken(figure_with_unit(event.thickness))] if event.thickness else []
    said += ["left-hand thread"] if event.left_hand else []
    said += [words for words in (event.way, f"from {event.place}" if event.place else None) if words]
    return ", ".join(said)


def few_words(event: PartsRemoved, *, size: bool = False) -> str:
    """What came off in few words: "two screws", with their size where it is wanted."""
    if the(event.what) == event.what:
        return event.what
    said = counted(event.count, event.what)
    more = [spoken_size(event.size)] if event.size else []
    more += [spoken(figure_with_unit(event.thickness))] if event.thickness else []
    return ", ".join((said, *more)) if size else said


def mark_words(event: MarkMade) -> str:
    """ "mark made at the bottom", "two dots across the cover and the body"."""
    made = "mark made" if event.what == "mark" else event.what
    if not event.place:
        return made
    joint = "across" if len(event.parts) > 1 else "on" if event.parts else "at"
    return f"{made} {joint} {event.place}"


_FINEST = 64
"""Parts of an inch that are said as fractions."""


_MOST_DECIMALS = 6


def written_text(figure: Figure) -> str:
    """The number as a procedure file takes it: a fraction only where it is one of a rule or a tape."""
    if (figure.decimals or 0) > _MOST_DECIMALS:
        return decimal_text(figure.value, _MOST_DECIMALS)
    usual = figure.value.denominator <= _FINEST and 0 < figure.value.numerator < _FINEST**2
    return figure.text if usual or "/" not in figure.text else decimal_text(figure.value, 4)
