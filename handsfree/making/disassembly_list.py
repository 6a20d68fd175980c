"""What a job took apart, as a procedure to be worked and as a list to be read."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from pathlib import Path

from handsfree.job.disassembly import figures_as_found, removals
from handsfree.job.events import MarkMade, NoteKept
from handsfree.job.state import JobState
from handsfree.procedure.file.loader import Loaded, parse_procedure
from handsfree.text.prose import sentence
from handsfree.wording.disassembly import mark_words, removed_words


def slug(text: str) -> str:
    """``text`` as a name for a file or a step: lower case, hyphens; "item" where nothing is left."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "item"


def stripping_procedure(item: str) -> Loaded:
    """The procedure of taking ``item`` apart: a single step, in which everything is said."""
    title = json.dumps(f"Taking apart: {item}", ensure_ascii=False)
    text = (
        f"title: {title}\nitem: {json.dumps(item, ensure_ascii=False)}\nrevision: 1\n"
        "steps:\n  - id: strip\n    do: Take it apart, and say what comes off.\n"
    )
    return parse_procedure(text.encode(), Path(f"strip-{slug(item)}.yaml"))


def stripping_text(state: JobState, job: str) -> str:
    """What came off, in order, with trays, marks, figures and notes."""
    opened = state.opened
    lines = [f"TAKEN APART: {opened.item if opened else ''}, job {job}", ""]
    for number, event in enumerate(removals(state), 1):
        tray = state.trays.get(event.id)
        lines.append(f"{number:>3}  {sentence(removed_words(event))} {f'Tray {tray}.' if tray else 'No tray.'}")
    lines += _section("MARKS", [sentence(mark_words(e)) for e in _standing(state, MarkMade)])
    lines += _section("AS FOUND", [f"{each.characteristic}: {each.as_said}" for each in figures_as_found(state)])
    lines += _section(
        "NOTES", [f"{e.text or '(not understood)'}{f', clip {e.clip[:8]}' if e.clip else ''}" for e in _notes(state)]
    )
    lines += ["", f"The procedure to put it back: handsfree draft {job}", ""]
    return "\n".join(lines)


def _standing(state: JobState, of: type[MarkMade]) -> list[MarkMade]:
    return [entry.event for entry in state.entries.values() if isinstance(entry.event, of) and entry.stands]


def _notes(state: JobState) -> list[NoteKept]:
    return [entry.event for entry in state.entries.values() if isinstance(entry.event, NoteKept) and entry.stands]


def _section(title: str, lines: Sequence[str]) -> list[str]:
    return ["", title, *(f"  {line}" for line in lines)] if lines else []
