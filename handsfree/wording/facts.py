"""Facts about a job in words: what each is called, and each in a sentence."""

from __future__ import annotations

import re
from typing import Protocol

from handsfree.job.events import FactNoted
from handsfree.job.facts import FACTS
from handsfree.job.state import Entry, JobState
from handsfree.phrases.quantities.spelling import spelled
from handsfree.text.calendar import day_from, day_words
from handsfree.text.money import amount_words
from handsfree.text.prose import sentence

ONLY_SOUND = "(kept as sound)"
"""In place of what was said, where nothing of it was understood and nobody has typed it yet."""
_AMOUNT = re.compile(r"[0-9]+(\.[0-9]{1,2})?", re.ASCII)


def called(event: FactNoted) -> str:
    """ "serial number", "serious finding"."""
    return f"{event.severity} {FACTS[event.about].said}" if event.severity else FACTS[event.about].said


def told_apart(state: JobState) -> list[str]:
    """What tells the item from others of its kind, for the ear: its serial number and its owner, as far as known."""
    return codes_told(state.fact("serial"), state.fact("owner"))


def codes_told(serial: str | None, owner: str | None) -> list[str]:
    """A serial number and an owner for the ear, as far as they are given."""
    return [told_code(about, text) for about, text in (("serial", serial), ("owner", owner)) if text]


def told_code(about: str, text: str) -> str:
    """ "serial number alpha bravo, one two", "owner Mill Lane": what is no name is spelled."""
    return f"{FACTS[about].said} {_code_words(about, text)}"


def _code_words(about: str, text: str) -> str:
    is_code = about == "serial" or (text == text.upper() and (" " not in text or any(map(str.isdigit, text))))
    return spelled(text) if is_code else text


def fact_words(entry: Entry) -> str:
    """A fact in one sentence, for the ear."""
    event = entry.event
    assert isinstance(event, FactNoted)
    text = fact_value_words(event, entry.text) or "kept as sound"
    if FACTS[event.about].spelled and not event.to_type:
        return sentence(f"{called(event)} {text}")
    return sentence(with_what_was_said(called(event), text))


def with_what_was_said(what: str, text: str) -> str:
    """ "the note, shim is bent"; words that are a sentence of their own stand behind a colon: "the note: The shim is
    bent."."""
    whole = " " in text and text[:1].isupper() and text[-1:] in ".!?"
    return f"{what}: {text}" if whole else f"{what}, {text}"


def fact_value_words(event: FactNoted, text: str) -> str:
    """What a fact says, for the ear: a day with its weekday, an amount of money in words, a code spelled."""
    if FACTS[event.about].spelled and not event.to_type:
        return _code_words(event.about, text)
    day = day_from(text) if FACTS[event.about].dated else None
    if day is not None:
        return day_words(day)
    if event.amount is None or not _AMOUNT.fullmatch(event.amount):
        return text
    return text.replace(event.amount, amount_words(event.amount), 1)


class FactTold(Protocol):
    """A fact as it is in the log, or as a line of a record."""

    @property
    def about(self) -> str: ...
    @property
    def amount(self) -> str | None: ...


def fact_value(event: FactTold, text: str) -> str:
    """The same for the eye: a day with its weekday, a charge with its amount, and anything else as it stands."""
    day = day_from(text) if FACTS[event.about].dated else None
    if FACTS[event.about].charged and event.amount is not None:
        return f"{text}, {event.amount}"
    return f"{day:%A} {day.isoformat()}" if day is not None else text


def fact_written(event: FactNoted, text: str) -> str:
    """A fact for the eye: "serious finding: the thread is cracked"."""
    return f"{called(event)}: {fact_value(event, text) or ONLY_SOUND}"
