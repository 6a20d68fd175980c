"""The job as a whole in the review: take-in, parts, materials, findings, tally, sign-off; and its history."""

from __future__ import annotations

from collections.abc import Mapping

from handsfree.job.counter.orders import orders_of
from handsfree.job.events import FactNoted
from handsfree.job.facts import FACTS
from handsfree.job.state import Entry, JobState, every_entry
from handsfree.job.tally import tally
from handsfree.procedure.model import Procedure
from handsfree.text.columns import paragraph
from handsfree.text.terminal import printable_lines
from handsfree.wording import corrections
from handsfree.wording.entries import entries_written, entry_written
from handsfree.wording.facts import ONLY_SOUND, fact_value
from handsfree.wording.gaps import lost_words
from handsfree.wording.tally import sums


def of_the_job(state: JobState) -> list[str]:
    """The facts that stand, and the parts tally, in lines; none where nothing was noted."""
    lines: list[str] = []
    for fact in FACTS.values():
        for entry in state.facts(fact.name) if not fact.identifies else ():
            lines += paragraph(_fact(entry), 20, fact.said.capitalize())
    for order in orders_of(state):
        lines += paragraph(f"[{order.id}] {order.text}: {order.stage}", 20, "Part to order")
    if state.handed_over is not None:
        over = state.handed_over
        kept = f"; not given back: {over.kept}" if over.kept else ""
        lines += paragraph(f"{over.at.astimezone():%Y-%m-%d %H:%M}{kept}", 20, "Handed over")
    signature = state.signature
    if signature is not None:
        since = (
            "nothing was altered since" if signature.stands else "not signed off since: the job was altered after it"
        )
        lines += paragraph(f"the state of entry {signature.number - 1}; {since}", 20, "Signed")
    for each in tally(state):
        lines += paragraph(sums(each), 20, "Parts tally")
    for event in state.reopened:
        lines += paragraph(f"{event.at.astimezone():%Y-%m-%d %H:%M}: {event.reason}", 20, "Reopened")
    return lines


def _fact(entry: Entry) -> str:
    event = entry.event
    assert isinstance(event, FactNoted)
    severity = f"{event.severity}: " if event.severity else ""
    text = fact_value(event, entry.text) or ONLY_SOUND
    return f"[{event.id}] {severity}{text}{' (to type)' if entry.to_type else ''}"


def corrections_text(state: JobState) -> str:
    """Every entry that was corrected, taken back or made stale, with what it was before."""
    lines: list[str] = []
    for fact in FACTS.values():
        first = getattr(state.opened, fact.name, None) if fact.identifies else None
        now = state.fact(fact.name)
        if first and first != now:
            lines += paragraph(f"{fact.said.capitalize()}: {now}, was {first} when the job was opened")
    for entry, told in corrections.history_of_job(state):
        head = f"[{entry.event.id}] {entry.event.at.astimezone():%Y-%m-%d %H:%M} {entry_written(entry)}"
        lines += [*paragraph(head), *(line for words in told for line in paragraph(words, 4))]
    return _safe(["HISTORY", "=======", *(lines or ["Every entry is as it was first written."])])


def entries_text(procedures: Mapping[str, Procedure], state: JobState) -> str:
    """Every entry that stands, with its name, and its procedure where there are several."""
    words = entries_written(procedures, state)
    lines: list[str] = []
    for entry in every_entry(state):
        if entry.stands:
            lines += paragraph(words.get(entry.event.id) or entry_written(entry), 8, entry.event.id)
    return _safe(["ENTRIES", "=======", *(lines or ["None."])])


def taken_in_text(state: JobState, job: str) -> str:
    """A job that was taken in and not yet worked."""
    title = f"JOB {job}, TAKEN IN AND NOT YET WORKED"
    lines = [title, "=" * len(title)]
    for fact in FACTS.values():
        if fact.identifies:
            lines += paragraph(state.fact(fact.name) or "not given", 20, fact.name.capitalize())
    for first, last in state.lost:
        lines += paragraph(lost_words(first, last), 20, "Lost")
    return _safe([*lines, *of_the_job(state), "", f"Work it: handsfree run PROCEDURE --job {job}"])


def _safe(lines: list[str]) -> str:
    """Words from files and logs go to a terminal: nothing in them may steer it."""
    text = "\n".join(lines) + "\n"
    return printable_lines(text)
