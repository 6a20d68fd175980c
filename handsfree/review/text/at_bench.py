"""The review as the guide steps through it by voice: the spoken summary, and every point as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handsfree.job.state import JobState, every_entry
from handsfree.procedure.model import Procedure
from handsfree.review.findings import Finding, findings_of_job
from handsfree.review.text.spoken import finding_heading, finding_place, spoken_review
from handsfree.text.prose import sentence
from handsfree.wording.entries import entry_sentences
from handsfree.wording.points import Point, Review


def review_at_bench(procedures: Mapping[str, Procedure], state: JobState) -> Review:
    """Of the whole job, all its procedures by name: what wants attention first, then every other entry that stands."""
    points = tuple(point for _, point in grouped_points(procedures, state))
    return Review(tuple(spoken_review(procedures, state)), points)


def grouped_points(procedures: Mapping[str, Procedure], state: JobState) -> Iterator[tuple[Finding | None, Point]]:
    """The points in the order in which they are gone through; without a finding what only has been logged."""
    found = findings_of_job(procedures, state)
    words = entry_sentences(procedures, state)
    titles = {name: each.title for name, each in procedures.items()} if len(procedures) > 1 else {}
    yield from ((finding, _of_finding(finding, words, titles)) for finding in found)
    told = {finding.entry for finding in found}
    for entry in every_entry(state):
        if entry.stands and entry.event.id not in told:
            yield None, Point(words[entry.event.id], words[entry.event.id], entry.event.id, logged=True)


def _of_finding(finding: Finding, words: Mapping[str, str], titles: Mapping[str, str]) -> Point:
    place = f"{finding_place(finding, titles)}: " if finding.number else ""
    if finding.entry is not None and finding.entry in words:
        say = f"{finding_heading(finding.kind)}. {words[finding.entry]}"
    else:
        say = f"{finding_heading(finding.kind)}. {sentence(place + (finding.say or finding.text))}"
    return Point(f"{place}{finding.text}", say, finding.entry)
