"""What became of a figure: each value it replaced, and after how long."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from handsfree.job.counter.orders import part_text
from handsfree.job.events import (
    CheckAnswered,
    FactNoted,
    FileAttached,
    MarkMade,
    NoteKept,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ReadingLogged,
)
from handsfree.job.state import Entry, EntryEvent, JobState, every_entry
from handsfree.text.numerals import whole_words
from handsfree.text.prose import time_left
from handsfree.wording.disassembly import mark_words, removed_words
from handsfree.wording.facts import ONLY_SOUND, fact_value_words
from handsfree.wording.readings import stated_figure
from handsfree.wording.tally import part_words


def stated_words(event: EntryEvent) -> str:
    """What an entry says, as it was stated: "4 thou", "7 back", "yes"."""
    match event:
        case ReadingLogged():
            return event.as_said
        case PartsCounted():
            return f"{event.count} {event.way}"
        case CheckAnswered():
            return "yes" if event.passed else "no"
        case PartsRemoved():
            return removed_words(event)
        case MarkMade():
            return mark_words(event)
        case FileAttached():
            return event.name
        case PartWanted():
            return part_text(event.what, event.count, event.size)
        case NoteKept() | FactNoted():
            return event.text or (ONLY_SOUND if isinstance(event, FactNoted) else "(not understood)")


def value(entry: Entry) -> str:
    """The same of an entry, with what was typed since; nothing for what can't be corrected by another."""
    event = entry.event
    if isinstance(event, (ReadingLogged, PartsCounted, PartWanted)):
        return stated_words(event)
    return entry.text if isinstance(event, FactNoted) else ""


def value_words(entry: Entry) -> str:
    """The same for the ear: "four thou", "seven back"."""
    match entry.event:
        case ReadingLogged() as event:
            return stated_figure(event)
        case PartsCounted() as event:
            return f"{whole_words(event.count)} {event.way}"
        case PartWanted() as event:
            return part_words(event.what, event.count, event.size)
        case FactNoted() as event:
            return fact_value_words(event, entry.text)
    return ""


def history_of_entry(state: JobState, entry: Entry, as_value: Callable[[Entry], str] = value) -> list[str]:
    """What the entry replaced, newest first: "corrected from 14 thou, 20 seconds later"."""
    words: list[str] = []
    here, seen = entry, {entry.event.id}
    while (before := state.entry(getattr(here.event, "corrects", None))) is not None:
        if before.event.id in seen:
            break
        seen.add(before.event.id)
        words.append(corrected_from(as_value(before), here.event.at - before.event.at))
        here = before
    if entry.withdrawn is not None:
        words.insert(0, entry.withdrawn)
    if entry.stale:
        words.insert(0, "no longer stands, its step was done again")
    return words


def history_of_job(state: JobState) -> list[tuple[Entry, list[str]]]:
    """Every entry of the job that replaced another or no longer stands, with its history; what was replaced is told by
    what replaced it."""
    entries = every_entry(state)
    replaced = {getattr(entry.event, "corrects", None) for entry in entries}
    found = [(entry, history_of_entry(state, entry)) for entry in entries if entry.event.id not in replaced]
    return [(entry, words) for entry, words in found if words]


def corrected_from(before: str, after: timedelta) -> str:
    """ "corrected from 14 thou, 20 seconds later"."""
    return f"corrected from {before}, {later(after)}"


def later(after: timedelta) -> str:
    """ "20 seconds later", "at once"."""
    return f"{time_left(after)} later" if after >= timedelta(seconds=1) else "at once"
