"""What stays on a terminal when a job is left: how far it is, what it measures, and what is to be looked at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from handsfree.job.events import ReadingLogged
from handsfree.job.state import JobState, every_entry
from handsfree.procedure.model import Procedure
from handsfree.review.findings import findings_of_job, result_of_findings
from handsfree.review.text.whole import HEADINGS
from handsfree.text.columns import paragraph
from handsfree.text.terminal import printable
from handsfree.wording.readings import reading_written

_INDENT = 15
MOST_SHOWN_AT_END = 6
"""Shown of a job that is left; the review has them all."""


def closing_lines(
    procedures: Mapping[str, Procedure], state: JobState, *, job: str, figures: int = MOST_SHOWN_AT_END
) -> list[str]:
    """A few lines about a job, as long as ``text.columns`` has it; the newest figure of each characteristic of all its
    procedures, the newest last, and ``figures`` of them at most."""
    rows = [("The job", f"{job}, {_item(procedures, state)}: {_how_far(procedures, state)}")]
    found = findings_of_job(procedures, state)
    result = result_of_findings(found, finished=state.finished is not None)
    rows.append(("Result", f"{result.word}. {result.sentence}"))
    newest: dict[tuple[str | None, str, str | None, str], str] = {}
    for entry in every_entry(state):
        event = entry.event
        if isinstance(event, ReadingLogged) and entry.stands:
            what = entry.procedure, event.characteristic, event.place, event.occasion
            newest.pop(what, None)
            newest[what] = reading_written(event)
    shown = list(newest.values())[-figures:] if figures else []
    rows += [("Measured" if not number else "", words) for number, words in enumerate(shown)]
    if figures and len(newest) > len(shown):
        rows.append(("", f"and {len(newest) - len(shown)} more, in the review"))
    points = Counter(HEADINGS[finding.kind].lower() for finding in found)
    rows.append(("To look at", "; ".join(f"{words} ({count})" for words, count in points.items()) or "nothing"))
    return [line for label, words in rows for line in paragraph(printable(words), _INDENT, label)]


def _item(procedures: Mapping[str, Procedure], state: JobState) -> str:
    item = state.fact("item") or next((each.item for each in procedures.values()), "")
    serial = state.fact("serial")
    return ", ".join(filter(None, (item, f"serial {serial}" if serial else "")))


def _how_far(procedures: Mapping[str, Procedure], state: JobState) -> str:
    worked = [(name, each) for name, each in procedures.items() if not state.takes_apart(name)]
    steps = [state.of(name).status(step.id) for name, each in worked for step in each.steps]
    where = "finished" if state.finished else "open"
    return f"{steps.count('done')} of {len(steps)} steps done, {where}" if steps else where
