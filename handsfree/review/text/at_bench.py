"""The review as the guide steps through it by voice: the spoken summary, and every point as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from handsfree.job.state import JobState, every_entry
from handsfree.procedure.model import Procedure
from handsfree.review.findings import Finding, FindingKind, findings_of_job
from handsfree.review.text.spoken import finding_heading, finding_place, spoken_review
from handsfree.text.prose import counted, sentence
from handsfree.wording.entries import entry_sentences, titles_told
from handsfree.wording.points import Point, Review

MOST_ALONE = 3
"""So many steps that were not done are points of their own; more are one."""


def review_at_bench(procedures: Mapping[str, Procedure], state: JobState) -> Review:
    """Of the whole job, all its procedures by name: what wants attention first, then every other entry that stands."""
    points = tuple(point for _, point in grouped_points(procedures, state))
    return Review(tuple(spoken_review(procedures, state)), points)


def grouped_points(procedures: Mapping[str, Procedure], state: JobState) -> Iterator[tuple[Finding | None, Point]]:
    """The points in the order in which they are gone through; without a finding what only has been logged."""
    found = findings_of_job(procedures, state)
    words = entry_sentences(procedures, state)
    titles = {name: each.title for name, each in procedures.items()} if len(procedures) > 1 else {}
    told = titles_told(procedures, state)
    for of, group in groupby(found, key=lambda finding: (finding.kind, finding.procedure)):
        alike = list(group)
        if of[0] is FindingKind.NOT_DONE and len(alike) > MOST_ALONE:
            yield alike[0], _steps_not_done(alike, titles, told)
        else:
            yield from ((finding, _of_finding(finding, words, titles, told)) for finding in alike)
    of_findings = {finding.entry for finding in found}
    for entry in every_entry(state):
        if entry.stands and entry.event.id not in of_findings:
            yield None, Point(words[entry.event.id], words[entry.event.id], entry.event.id, logged=True)


def _steps_not_done(found: Sequence[Finding], titles: Mapping[str, str], told: Mapping[str, str]) -> Point:
    """Many steps that were not done, as one point; ``titles`` are for the log, ``told`` for the ear."""
    numbers = [str(finding.number) for finding in found]
    of, of_told = (f" of {them[found[0].procedure]}" if found[0].procedure in them else "" for them in (titles, told))
    say = f"{counted(len(found), 'step')}{of_told}, the first is {finding_place(found[0], {})}"
    return Point(f"not done{of}: steps {', '.join(numbers)}", f"Not done. {sentence(say)}")


def _of_finding(
    finding: Finding, words: Mapping[str, str], titles: Mapping[str, str], told: Mapping[str, str]
) -> Point:
    place, heard = (f"{finding_place(finding, them)}: " if finding.number else "" for them in (titles, told))
    if finding.entry is not None and finding.entry in words:
        say = f"{finding_heading(finding.kind)}. {words[finding.entry]}"
    else:
        say = f"{finding_heading(finding.kind)}. {sentence(heard + finding.say)}"
    return Point(f"{place}{finding.text}", say, finding.entry)
