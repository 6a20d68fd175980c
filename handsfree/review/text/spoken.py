"""The review for the ear: short sentences, the most important first, over within a minute."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from handsfree.job.events import NoteKept, ReadingLogged
from handsfree.job.state import JobState, every_entry
from handsfree.procedure.model import Procedure
from handsfree.review.findings import Finding, FindingKind, findings_of_job
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, number_or_no, sentence
from handsfree.wording.entries import titles_told

MOST_WORDS = 139
MOST_SECONDS = 50.0
"""At the bench the points are counted after it, and how to go through them is told."""
_LETTERS_A_SECOND = 14.5
"""The voice at its usual speed says 15.3 characters of such sentences in a second."""
_LETTERS_OF_A_DIGIT = 6
_NAMED = 2
"""Points of one kind that are named one by one."""

# Steps and notes are told in the closing sentences.
_WHAT: dict[FindingKind, tuple[str, str, str]] = {
    FindingKind.DANGER: ("danger", "dangers", "still present"),
    FindingKind.UNSAFE: ("finding", "findings", "unsafe"),
    FindingKind.SERIOUS: ("finding", "findings", "serious"),
    FindingKind.LOST: ("stretch of the log", "stretches of the log", "lost"),
    FindingKind.OUT_NOTHING_DECIDED: ("figure", "figures", "out of limits with nothing decided"),
    FindingKind.OUT_LEFT_OPEN: ("figure", "figures", "out of limits, left open"),
    FindingKind.OUT_ACCEPTED: ("figure", "figures", "out of limits, accepted"),
    FindingKind.FOUND_OUT: ("figure", "figures", "found out of limits"),
    FindingKind.UNDECIDED: ("figure", "figures", "undecided"),
    FindingKind.TOOL_OVERDUE: ("figure", "figures", "taken with a tool that was due"),
    FindingKind.CHECK_FAILED: ("check", "checks", "answered no"),
    FindingKind.PARTS: ("kind of part", "kinds of part", "not accounted for"),
    FindingKind.MISSING: ("point", "points", "missing in finished steps"),
    FindingKind.PROVISIONAL: ("figure", "figures", "provisional"),
    FindingKind.STALE: ("entry", "entries", "to be taken again"),
    FindingKind.TIMER: ("timer", "timers", "still running"),
}


_ALONE = {FindingKind.NOT_DONE: "Not done", FindingKind.SKIPPED: "Skipped", FindingKind.NOTE: "To type"}


def finding_heading(kind: FindingKind) -> str:
    """What a single point is: "Figure out of limits, left open"."""
    if kind in _ALONE:
        return _ALONE[kind]
    one, _, what = _WHAT[kind]
    return f"{one} {what}".capitalize()


def spoken_review(procedures: Mapping[str, Procedure], state: JobState) -> list[str]:
    """Sentences that are over within a minute: what needs attention in the whole job, then how far it is.

    ``procedures`` are those of the job by name.
    """
    found = findings_of_job(procedures, state)
    titles = titles_told(procedures, state)
    by_kind = {kind: [finding for finding in found if finding.kind is kind] for kind in _WHAT}
    groups = {kind: group for kind, group in by_kind.items() if group}
    said = [_counted(kind, group) for kind, group in groups.items()] or [
        "No figure and no check needs attention." if found else "Nothing is open."
    ]
    closing = _closing(procedures, state)
    for place, (kind, group) in enumerate(groups.items()):
        longer = [*said[:place], _named(kind, group, titles), *said[place + 1 :]]
        whole = [*longer, *closing]
        if _words(whole) <= MOST_WORDS and _seconds(whole) <= MOST_SECONDS:
            said = longer
    return [*said, *closing]


def _words(sentences: Sequence[str]) -> int:
    return sum(len(words.split()) for words in sentences)


def _seconds(sentences: Sequence[str]) -> float:
    """About how long they take to say."""
    text = " ".join(sentences)
    return (len(text) + (_LETTERS_OF_A_DIGIT - 1) * sum(letter.isdigit() for letter in text)) / _LETTERS_A_SECOND


def _counted(kind: FindingKind, group: Sequence[Finding]) -> str:
    """ "Two figures out of limits, left open." """
    one, many, what = _WHAT[kind]
    return sentence(f"{counted(len(group), one, many)} {what}")


def _named(kind: FindingKind, group: Sequence[Finding], titles: Mapping[str, str]) -> str:
    """The same with the first of them by name."""
    points = [", ".join(filter(None, (finding_place(finding, titles), finding.say))) for finding in group[:_NAMED]]
    rest = len(group) - _NAMED
    if rest > 0:
        points.append(f"and {whole_words(rest)} more")
    return f"{_counted(kind, group).rstrip('.')}: {'; '.join(points)}."


def finding_place(finding: Finding, titles: Mapping[str, str]) -> str:
    """ "Step four", with the procedure where ``titles`` tells several apart."""
    if not finding.number:
        return ""
    of = f" of {titles[finding.procedure]}" if finding.procedure in titles else ""
    return f"step {whole_words(finding.number)}{of}"


def _closing(procedures: Mapping[str, Procedure], state: JobState) -> list[str]:
    worked = [(name, each) for name, each in procedures.items() if not state.takes_apart(name)]
    steps = Counter(state.of(name).status(step.id) for name, each in worked for step in each.steps)
    of = f"{number_or_no(steps['done']) if steps['done'] else 'none'} of {counted(steps.total(), 'step')} done"
    others = [(steps["skipped"], "skipped"), (steps["open"], "not done")]
    rest = [f"{whole_words(count)} {what}" for count, what in others if count]
    stand = [entry.event for entry in every_entry(state) if entry.stands]
    figures = sum(isinstance(event, ReadingLogged) for event in stand)
    notes = sum(isinstance(event, NoteKept) for event in stand)
    kept = [f"{counted(figures, 'figure')} logged"] + ([f"{counted(notes, 'note')} to type"] if notes else [])
    return [*([sentence(", ".join([of, *rest]))] if worked else []), sentence(", ".join(kept))]
