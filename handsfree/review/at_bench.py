"""The review as the guide steps through it by voice: the spoken summary, and every point as plain data."""

from __future__ import annotations

from collections.abc import Mapping

from handsfree.guide.entries import at_step, entry_words
from handsfree.guide.reviewing import Point, Review
from handsfree.guide.wording import sentence
from handsfree.job.events import FactNoted, PartsCounted
from handsfree.job.state import Entry, JobState, every_entry
from handsfree.procedure.model import Procedure
from handsfree.review.findings import Finding, findings_of_job
from handsfree.review.spoken import heading, spoken_review, where


def review_at_bench(procedures: Mapping[str, Procedure], state: JobState) -> Review:
    """Of the whole job, all its procedures by name: what wants attention first, then every other entry that stands."""
    found = findings_of_job(procedures, state)
    words = _words_of(procedures, state)
    titles = {name: each.title for name, each in procedures.items()} if len(procedures) > 1 else {}
    points = [_of_finding(finding, words, titles) for finding in found]
    told = {finding.entry for finding in found}
    rest = [entry.event.id for entry in every_entry(state) if entry.stands and entry.event.id not in told]
    points += [Point(words[id_], words[id_], id_) for id_ in rest]
    return Review(tuple(spoken_review(procedures, state)), tuple(points))


def _words_of(procedures: Mapping[str, Procedure], state: JobState) -> dict[str, str]:
    """Each entry in a sentence, with its procedure where there are several."""
    said: dict[str, str] = {}
    for name, procedure in procedures.items():
        for id_, entry in state.of(name).entries.items():
            place = at_step(procedure, entry)
            if len(procedures) > 1 and not _of_the_job(entry):
                place = f"{procedure.title}, {place[:1].lower()}{place[1:]}" if place else f"{procedure.title}: "
            said[id_] = sentence(place + entry_words(entry))
    return said


def _of_the_job(entry: Entry) -> bool:
    return isinstance(entry.event, (FactNoted, PartsCounted))


def _of_finding(finding: Finding, words: Mapping[str, str], titles: Mapping[str, str]) -> Point:
    place = f"{where(finding, titles)}: " if finding.number else ""
    if finding.entry is not None and finding.entry in words:
        say = f"{heading(finding.kind)}. {words[finding.entry]}"
    else:
        say = f"{heading(finding.kind)}. {sentence(place + (finding.say or finding.text))}"
    return Point(f"{place}{finding.text}", say, finding.entry)
