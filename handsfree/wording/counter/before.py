"""An item that was here before, for the ear and for the eye."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from handsfree.job.counter.before import TO_WATCH, EarlierJob
from handsfree.job.events import ReadingLogged
from handsfree.job.log.numbers import number_of
from handsfree.job.state import Entry
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, sentences
from handsfree.wording.readings import figure_name, stated_figure

_TOLD = 2
"""Figures named for the ear."""


def ago(days: int) -> str:
    """ "three weeks": in the largest unit of which there are at least two."""
    for length, one in ((365, "year"), (30, "month"), (7, "week")):
        if days >= 2 * length:
            return f"{whole_words(days // length)} {one}s"
    return f"{whole_words(days)} days"


def when_words(day: date, today: date) -> str:
    """ "today", "yesterday", "three weeks ago"."""
    days = (today - day).days
    return "today" if days < 1 else "yesterday" if days == 1 else f"{ago(days)} ago"


def before_spoken(before: Sequence[EarlierJob], today: date) -> str:
    """The newest job on the item in a few short sentences, and how many there were; empty: it was never here."""
    numbers = [whole_words(number_of(each.job)) for each in before if each.is_open]
    still_open = [f"job {number} on it is open" for number in numbers]
    before = [each for each in before if not each.is_open]
    if not before:
        return sentences(still_open)
    newest = before[0]
    worked = f": {listed(newest.titles)}" if newest.titles else ""
    said = [*still_open, f"here before, {when_words(newest.day, today)}{worked}"]
    said += (
        [f"accepted out of limits: {listed([_figure(entry) for entry in newest.accepted[:_TOLD]])}"]
        if (newest.accepted)
        else []
    )
    said += [f"to be watched: {newest.watch[0]}"] if newest.watch else []
    said += [] if newest.finished else ["that job is not finished"]
    said += ["under warranty"] if _warranted(newest, today) else []
    said += [f"{counted(len(before) - 1, 'more job')} before that"] if len(before) > 1 else []
    return sentences(said)


def before_written(before: Sequence[EarlierJob], today: date, most: int = 3) -> Iterator[str]:
    """The same for the eye, a line for each job, and for each figure that was accepted; the newest first."""
    for each in (each for each in before if each.is_open):
        yield ": ".join(filter(None, (f"Open already: job {each.job}", ", ".join(each.titles))))
    before = [each for each in before if not each.is_open]
    for each in before[:most]:
        worked = f": {', '.join(each.titles)}" if each.titles else ""
        state = "" if each.finished else " (not finished)"
        yield f"Here before: job {each.job}, {each.day} ({when_words(each.day, today)}){worked}{state}"
        for entry in each.accepted:
            event = entry.event
            assert isinstance(event, ReadingLogged)
            reason = f", {entry.reason}" if entry.reason else ""
            name = figure_name(event.characteristic, event.place)
            yield f"  {entry.outcome} out of limits: {name} {event.shown} (limits {event.limits}){reason}"
        yield from (f"  to be watched: {text}" for text in each.watch)
        if each.warranted_until is not None:
            over = "under warranty" if _warranted(each, today) else "out of warranty since"
            yield f"  {over}{' until' if _warranted(each, today) else ''} {each.warranted_until}"
    if len(before) > most:
        yield f"{len(before) - most} more before that: handsfree history shows them."


def _figure(entry: Entry) -> str:
    event = entry.event
    assert isinstance(event, ReadingLogged)
    watched = f", {TO_WATCH}" if entry.reason == TO_WATCH else ""
    return f"{figure_name(event.characteristic, event.place)}, {stated_figure(event)}{watched}"


def _warranted(before: EarlierJob, today: date) -> bool:
    return before.warranted_until is not None and before.day <= today <= before.warranted_until
