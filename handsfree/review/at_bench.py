"""The review as the guide steps through it by voice: the spoken summary, and every point as plain data."""

from __future__ import annotations

from collections.abc import Iterator

from handsfree.guide.entries import at_step, entry_words
from handsfree.guide.reviewing import Point, Review
from handsfree.guide.wording import sentence
from handsfree.job.state import Entry, JobState
from handsfree.measure.wording import whole_words
from handsfree.procedure.model import Procedure
from handsfree.review.findings import Finding, findings
from handsfree.review.spoken import heading, spoken_review


def review_at_bench(procedure: Procedure, state: JobState) -> Review:
    """What wants attention first, then every other entry that stands."""
    points = tuple(point for _, point in grouped_points(procedure, state))
    return Review(tuple(spoken_review(procedure, state)), points)


def grouped_points(procedure: Procedure, state: JobState) -> Iterator[tuple[Finding | None, Point]]:
    """The points in the order in which they are gone through; without a finding what only has been logged."""
    found = findings(procedure, state)
    yield from ((finding, _of_finding(finding, procedure, state)) for finding in found)
    told = {finding.entry for finding in found}
    for entry in state.entries.values():
        if entry.stands and entry.event.id not in told:
            yield None, Point(_words(procedure, entry), _words(procedure, entry), entry.event.id)


def _of_finding(finding: Finding, procedure: Procedure, state: JobState) -> Point:
    where = f"step {whole_words(finding.number)}: " if finding.number else ""
    entry = state.entries.get(finding.entry or "")
    if entry is not None:
        say = f"{heading(finding.kind)}. {_words(procedure, entry)}"
    else:
        say = f"{heading(finding.kind)}. {sentence(where + (finding.say or finding.text))}"
    return Point(f"{where}{finding.text}", say, finding.entry)


def _words(procedure: Procedure, entry: Entry) -> str:
    return sentence(at_step(procedure, entry) + entry_words(entry))
