"""What a job took apart, as a list to be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeVar

from handsfree.job.disassembly import figures_as_found, removals
from handsfree.job.events import MarkMade, NoteKept
from handsfree.job.state import Entry, JobState
from handsfree.review.judged_as_found import JudgedAsFound
from handsfree.text.prose import sentence
from handsfree.wording.disassembly import mark_words, removed_words
from handsfree.wording.gaps import lost_words
from handsfree.wording.readings import decision_words, figure_name

_Kind = TypeVar("_Kind", MarkMade, NoteKept)
_NOT_JUDGED: Mapping[str, JudgedAsFound] = {}


def stripping_text(state: JobState, job: str) -> str:
    """What came off, in order, with trays, marks, figures and notes; ``state`` as of ``taken_apart``."""
    lines = [f"TAKEN APART: {state.fact('item') or ''}, job {job}", "", *came_off(state)]
    lines += _section("MARKS", marks_made(state))
    lines += _section("AS FOUND", as_found(state))
    lines += _section("NOTES", [_note(event, entry) for event, entry in _standing(state, NoteKept)])
    lines += _section("LOST", [sentence(lost_words(first, last)) for first, last in state.lost])
    lines += ["", f"The procedure to put it back: handsfree draft {job}", ""]
    return "\n".join(lines)


def came_off(state: JobState) -> list[str]:
    """Each thing that came off, numbered, with its tray."""
    return [
        f"{number:>3}  {sentence(removed_words(event))} {_tray(state.trays.get(event.id))}"
        for number, event in enumerate(removals(state), 1)
    ]


def marks_made(state: JobState) -> list[str]:
    """The marks that were made."""
    return [sentence(mark_words(event)) for event, _ in _standing(state, MarkMade)]


def as_found(state: JobState, judged: Mapping[str, JudgedAsFound] = _NOT_JUDGED) -> list[str]:
    """The figures as found, and what they were by the limits of a procedure of the job (``review.judged_as_found``)."""
    lines = []
    for each in figures_as_found(state):
        by = judged.get(each.id)
        was = f"; {decision_words(by)}, by the limits of {by.procedure}: {by.limits}" if by else ""
        lines.append(f"{figure_name(each.characteristic, each.place)}: {each.shown}{was}")
    return lines


def _tray(tray: int | None) -> str:
    return f"Tray {tray}." if tray else "No tray."


def _note(event: NoteKept, entry: Entry) -> str:
    clip = f", clip {event.clip[:8]}" if event.clip else ""
    return f"{f'{event.names}: ' if event.names else ''}{entry.text or '(not understood)'}{clip}"


def _standing(state: JobState, of: type[_Kind]) -> list[tuple[_Kind, Entry]]:
    every = ((entry.event, entry) for entry in state.entries.values() if entry.stands)
    return [(event, entry) for event, entry in every if isinstance(event, of)]


def _section(title: str, lines: Sequence[str]) -> list[str]:
    return ["", title, *(f"  {line}" for line in lines)] if lines else []
