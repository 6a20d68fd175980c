"""The figures that one person said at the bench, and that stood: what a voice is learned from further."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from handsfree.audio.samples import seconds_of
from handsfree.hearing.learning.known_voice import same_name
from handsfree.hearing.learning.lessons import Said, SaidWords
from handsfree.hearing.listening.endpoints import PADDING, Segment
from handsfree.job.errors import LogError
from handsfree.job.log.store import Store
from handsfree.job.readings import LoggedReading, standing_readings
from handsfree.job.state import fold
from handsfree.phrases.intents import Intent

NEWEST = 40
"""So many of the newest figures are learned from: twice as many gained no more."""
LEAST_FIGURES = 20
"""From fewer nothing is learned."""


def figures_that_stood(
    store: Store,
    name: str,
    interpret: Callable[[SaidWords], tuple[Intent, ...]],
    *,
    since: date,
    most: int = NEWEST,
) -> list[Said]:
    """The newest figures that this person said on days after ``since``, each with its sound, the newest first.

    Only those that were read back, that nobody corrected or took back later, whose words are a figure by themselves
    (``interpret``: the plain language, without a procedure's names), and whose sound is still kept. LogError where the
    log can't be read.
    """
    found: list[Said] = []
    for summary in store.jobs():
        readings = list(standing_readings(fold(store.events(summary.id))))
        for reading in reversed(readings):
            said = _said(store, reading) if _counts(reading, name, since) else None
            if said is not None and any(intent.figure is not None for intent in interpret(said.words)):
                found.append(said)
            if len(found) == most:
                return found
    return found


def _counts(reading: LoggedReading, name: str, since: date) -> bool:
    by, at = reading.entry.by, reading.event.at.astimezone().date()
    return reading.entry.settled and by is not None and same_name(by) == same_name(name) and at > since


def _said(store: Store, reading: LoggedReading) -> Said | None:
    """A reading's words and sound; None where it was typed, or its sound is gone."""
    event = reading.event
    if event.clip is None or not event.heard:
        return None
    try:
        sound = store.read_clip(event.clip)
    except LogError:
        return None
    end = max(seconds_of(sound) - PADDING, 0.0)
    return Said(tuple(event.heard.split()), Segment(sound, min(PADDING, end), end))
