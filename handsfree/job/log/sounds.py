"""Which sounds the events of a job name, and which of them lie in another one as well."""

from __future__ import annotations

from collections.abc import Iterable

from handsfree.job.events import Event, FactNoted, NoteKept


def sounds_named(events: Iterable[Event]) -> list[str]:
    """The clips that the events name, by their hashes, each once."""
    return list(dict.fromkeys(event.clip for event in events if event.clip))


def sounds_held(events: Iterable[Event]) -> set[str]:
    """Those of them that another one holds: the stretches of a note whose whole sound is kept. They may be gone."""
    return {clip for event in events if isinstance(event, (NoteKept, FactNoted)) for clip in event.holds}
