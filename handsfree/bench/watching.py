"""What can be seen of a bench: snapshots for whoever watches, and the review of the job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby
from typing import Literal

from handsfree.bench.bench import Bench
from handsfree.display.review import JobReview, ReviewPoint
from handsfree.guide.view.shown import View
from handsfree.guide.view.snapshot import microphone_words, other_item, view_of
from handsfree.job.errors import LogError
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.procedure.file.problems import ProcedureError
from handsfree.review.findings import Finding, findings_of_job, result_of_findings
from handsfree.review.source import procedures_of
from handsfree.review.text.at_bench import grouped_points
from handsfree.review.text.spoken import spoken_review
from handsfree.review.text.whole import HEADINGS, review_text
from handsfree.wording.points import Point

InputSource = Literal["mic", "typed", "recording"]


def watch(
    bench: Bench, now: Callable[[], datetime], source: InputSource, receivers: Sequence[Callable[[View], None]]
) -> None:
    """From now on hand a snapshot to each of ``receivers``, which must return at once, whenever something changes."""

    def tell() -> None:
        view = snapshot(bench, now(), source)
        for receiver in receivers:
            receiver(view)

    bench.tell(tell)


def snapshot(bench: Bench, now: datetime, source: InputSource) -> View:
    """Everything that may be shown of ``bench`` now."""
    speaking = bench.speaking is not None
    words = microphone_words(bench.guide.session.machine.state, source, speaking=speaking, lost=bench.microphone_lost)
    view = view_of(bench.guide, now, microphone=words, heard=bench.heard, said=bench.said)
    others = tuple(other_item(job.guide, now) for job in reversed(bench.aside.values()))
    return replace(view, others=others) if others else view


def job_review(store: Store, job: str) -> JobReview | None:
    """The review of a job as its log is now; None where the log can't be read."""
    try:
        events = store.events(job)
        state = fold(events)
        if state.opened is None:
            return None
        procedures = procedures_of(state)
    except (LogError, ProcedureError):
        return None
    several = len(procedures) > 1
    points = tuple(
        (title, tuple(ReviewPoint(_line(*shown, several=several), shown[1].entry or shown[1].text) for shown in group))
        for title, group in groupby(grouped_points(procedures, state), key=_heading)
    )
    text = review_text(procedures, state, events, job=job)
    result = result_of_findings(findings_of_job(procedures, state), finished=state.finished is not None)
    return JobReview(job, tuple(spoken_review(procedures, state)), points, text, result)


def _heading(point: tuple[Finding | None, Point]) -> str:
    finding = point[0]
    return HEADINGS[finding.kind] if finding else "Also logged"


def _line(finding: Finding | None, point: Point, *, several: bool) -> str:
    if finding is None or several:  # with several procedures, the point's own words name the one that is meant
        return point.text
    return f"step {finding.number}: {finding.text}" if finding.number else finding.text
