"""What a job's log says that somebody should look at, most important first.

Each finding is derived from the state alone, by one small function of its kind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import IntEnum, auto

from handsfree.guide.view.result import Result, result_of
from handsfree.job.events import CheckAnswered, FactNoted, NoteKept, ReadingLogged
from handsfree.job.facts import FACTS
from handsfree.job.readings import LoggedReading, logged_readings, standing_readings
from handsfree.job.state import JobState
from handsfree.job.tally import unreconciled
from handsfree.measure.limits import Decision
from handsfree.procedure.model import Procedure, Step
from handsfree.text.prose import duration
from handsfree.wording import dangers
from handsfree.wording.facts import ONLY_SOUND
from handsfree.wording.gaps import lost_words, of_waiting, standing_dangers, waiting_left_out, waits_for_check
from handsfree.wording.readings import (
    decision_words,
    figure_name,
    measured_words,
    outcome_words,
    stated_figure,
    tool_written,
)
from handsfree.wording.tally import balance, sums


class FindingKind(IntEnum):
    """What a finding is about, the most important first."""

    DANGER = auto()
    """A danger to the person that has begun and not ended."""
    UNSAFE = auto()
    """Something was found that makes the item unsafe to use."""
    SERIOUS = auto()
    LOST = auto()
    """Entries of the log that were lost from a damaged file: what they said is not known."""
    OUT_NOTHING_DECIDED = auto()
    OUT_LEFT_OPEN = auto()
    OUT_ACCEPTED = auto()
    FOUND_OUT = auto()
    """Found out of limits, and no figure in limits was taken since."""
    UNDECIDED = auto()
    TOOL_OVERDUE = auto()
    """A figure that was taken with a tool that was to be calibrated before."""
    CHECK_FAILED = auto()
    PARTS = auto()
    """Parts that came out and neither went back nor were replaced."""
    MISSING = auto()
    """A figure, an answer or a waiting time that a finished step is without."""
    NOT_DONE = auto()
    SKIPPED = auto()
    PROVISIONAL = auto()
    """A figure whose read-back never ended."""
    STALE = auto()
    """A figure or answer that no longer stands, the step having been done again, and was not taken anew."""
    TIMER = auto()
    NOTE = auto()
    """Speech that nobody has typed yet."""


@dataclass(frozen=True)
class Finding:
    """One point: what it is, the step (identifier and number; None for none in particular), and its words."""

    kind: FindingKind
    step: str | None
    number: int | None
    text: str
    say: str
    """The same for the ear, in a few words."""
    entry: str | None = None
    """The entry that it is about, where it is about one."""
    procedure: str = ""
    """The name of the procedure that the step belongs to; empty for what belongs to the job as a whole."""


_OF_THE_JOB = {FindingKind.UNSAFE, FindingKind.SERIOUS, FindingKind.LOST, FindingKind.PARTS, FindingKind.TIMER}


def findings_of_job(procedures: Mapping[str, Procedure], state: JobState) -> list[Finding]:
    """Everything that wants attention in all of a job's procedures, by importance, procedure and step.

    What belongs to the job as a whole is told once.
    """
    found: list[Finding] = []
    whole: set[tuple[FindingKind, str]] = set()
    for of, procedure in procedures.items():
        there = state.of(of)
        for finding in findings(procedure, there):
            entry = there.entry(finding.entry)
            if finding.kind in _OF_THE_JOB or (entry is not None and isinstance(entry.event, FactNoted)):
                key = (finding.kind, finding.entry or finding.text)
                if key in whole:
                    continue
                whole.add(key)
                known = len(procedures) == 1
                found.append(finding if known else replace(finding, step=None, number=None))
            else:
                found.append(replace(finding, procedure=of))
    return sorted(found, key=lambda finding: finding.kind)


def findings(procedure: Procedure, state: JobState) -> list[Finding]:
    """Everything that wants attention, by importance and then by step."""
    numbers = {step.id: number for number, step in enumerate(procedure.steps, 1)}
    found = [
        Finding(point.kind, point.step, numbers.get(point.step or ""), point.text, point.say, point.entry)
        for look in _LOOKS
        for point in look(procedure, state)
    ]
    return sorted(found, key=lambda finding: (finding.kind, finding.number or len(numbers) + 1))


INTERNAL = {FindingKind.NOTE, FindingKind.TIMER}
"""For the bench, not for the owner."""
OUT_OF_LIMITS = {
    FindingKind.OUT_NOTHING_DECIDED,
    FindingKind.OUT_LEFT_OPEN,
    FindingKind.OUT_ACCEPTED,
    FindingKind.FOUND_OUT,
}


def result_of_findings(found: Iterable[Finding], *, finished: bool, measured: bool = True) -> Result:
    """What came of a job, from what wants attention in it, and whether anything was ``measured``."""
    kinds = [finding.kind for finding in found if finding.kind not in INTERNAL]
    unsafe = sum(kind in (FindingKind.DANGER, FindingKind.UNSAFE) for kind in kinds)
    out = sum(kind in OUT_OF_LIMITS for kind in kinds)
    return result_of(finished=finished, unsafe=unsafe, out=out, open_=len(kinds) - unsafe - out, measured=measured)


@dataclass(frozen=True)
class _Point:
    kind: FindingKind
    step: str | None
    text: str
    say: str
    entry: str | None = None


def _dangers(procedure: Procedure, state: JobState) -> Iterator[_Point]:
    for number, danger in standing_dangers(procedure, state):
        text = dangers.for_the_eye(procedure, danger)
        yield _Point(FindingKind.DANGER, procedure.steps[number - 1].id, text, danger.say.rstrip("."))


def _out_of_limits(_: Procedure, state: JobState) -> Iterator[_Point]:
    kinds = {"accepted": FindingKind.OUT_ACCEPTED, "left open": FindingKind.OUT_LEFT_OPEN}
    for reading in standing_readings(state):
        if reading.decision is Decision.OUT and reading.event.is_finding:
            if not _since_in_limits(reading, state):
                yield _about(reading, FindingKind.FOUND_OUT, "", state)
        elif reading.decision is Decision.OUT:
            kind = kinds.get(reading.entry.outcome or "", FindingKind.OUT_NOTHING_DECIDED)
            yield _about(reading, kind, outcome_words(reading.entry) or "nothing decided", state)


def _since_in_limits(found: LoggedReading, state: JobState) -> bool:
    """Whether the newest figure that was set, of the same characteristic at the same place, is in limits."""
    what = found.event.characteristic, found.event.place
    later = [
        reading
        for reading in standing_readings(state)
        if not reading.event.is_finding and (reading.event.characteristic, reading.event.place) == what
    ]
    return bool(later) and later[-1].decision is Decision.IN


def _undecided(_: Procedure, state: JobState) -> Iterator[_Point]:
    for reading in standing_readings(state):
        if reading.event.is_finding and _since_in_limits(reading, state):
            continue
        if reading.decision is Decision.UNDECIDED:
            yield _about(reading, FindingKind.UNDECIDED, outcome_words(reading.entry), state)


def _overdue(_: Procedure, state: JobState) -> Iterator[_Point]:
    for reading in standing_readings(state):
        event = reading.event
        if event.tool_overdue is not None:
            tool = tool_written(event.tool or "tool", event.tool_identity, None, event.tool_overdue)
            say = f"{figure_name(event.characteristic, event.place)}, {event.tool}"
            text = f"{measured_words(event)}: {event.shown}, taken with {tool}"
            yield _Point(FindingKind.TOOL_OVERDUE, event.step, text, say, event.id)


def _about(reading: LoggedReading, kind: FindingKind, outcome: str, state: JobState) -> _Point:
    event = reading.event
    words = [f"{measured_words(event)}: {event.shown}, limits {event.limits}: {decision_words(event)}", outcome]
    newest = state.readings(event.step or "", event.characteristic)[-1].event
    if isinstance(newest, ReadingLogged) and newest is not event:
        words.append(f"a later figure ({newest.occasion}) is {newest.shown}, {newest.decision}")
    say = f"{figure_name(event.characteristic, event.place)}, {stated_figure(event)}"
    return _Point(kind, event.step, "; ".join(filter(None, words)), say, event.id)


def _failed_checks(procedure: Procedure, state: JobState) -> Iterator[_Point]:
    for step in procedure.steps:
        entry = state.check(step.id)
        if entry is not None and isinstance(entry.event, CheckAnswered) and not entry.event.passed:
            text = f"check answered no: {entry.event.question}"
            yield _Point(FindingKind.CHECK_FAILED, step.id, text, "", entry.event.id)


def _missing(procedure: Procedure, state: JobState) -> Iterator[_Point]:
    for step in procedure.steps:
        if state.status(step.id) != "done":
            continue
        known = state.missing.get(step.id, ())
        for measured in step.characteristics:
            if not _readings_ever(state, step, measured.name):
                name, why = figure_name(measured.name, step.place), _knowingly(known, measured.name)
                yield _Point(FindingKind.MISSING, step.id, f"done without a figure for {name}{why}", name)
        if step.check and state.check(step.id) is None and not _stale_check(state, step):
            text = f"done without an answer to its check{_knowingly(known, 'check')}: {step.check}"
            yield _Point(FindingKind.MISSING, step.id, text, "the check")
        for words in known:
            if of_waiting(words) and not waiting_left_out(step, state):
                continue  # made up for later
            # Figures and checks may have come in later; what else was said to be missing stays so.
            if not any(measured.name in words for measured in step.characteristics) and "check" not in words:
                yield _Point(FindingKind.MISSING, step.id, f"done early, {words}: {step.act}", words)


def _knowingly(known: tuple[str, ...], what: str) -> str:
    return ", knowingly" if any(what in words for words in known) else ""


def _readings_ever(state: JobState, step: Step, characteristic: str) -> bool:
    """Whether a reading is there that was not withdrawn, be it stale."""
    return any(
        reading.event.step == step.id
        and reading.event.characteristic == characteristic
        and reading.entry.withdrawn is None
        for reading in logged_readings(state)
    )


def _not_done(procedure: Procedure, state: JobState) -> Iterator[_Point]:
    if state.takes_apart(state.working):
        return
    for step in procedure.steps:
        if waits_for_check(step, state):
            yield _Point(FindingKind.MISSING, step.id, f"waits for the check of another: {step.check}", "the check")
        elif state.status(step.id) == "open":
            yield _Point(FindingKind.NOT_DONE, step.id, f"not done: {step.act}", step.act)


def _skipped(procedure: Procedure, state: JobState) -> Iterator[_Point]:
    for step in procedure.steps:
        if state.status(step.id) == "skipped":
            reason = state.reasons.get(step.id, "no reason given")
            yield _Point(FindingKind.SKIPPED, step.id, f"skipped ({reason}): {step.act}", reason)


def _provisional(_: Procedure, state: JobState) -> Iterator[_Point]:
    for reading in standing_readings(state):
        if not reading.entry.settled:
            event = reading.event
            text = f"{measured_words(event)}: {event.shown} is provisional: its read-back never ended"
            say = f"{figure_name(event.characteristic, event.place)}, {stated_figure(event)}"
            yield _Point(FindingKind.PROVISIONAL, event.step, text, say, event.id)


def _stale(procedure: Procedure, state: JobState) -> Iterator[_Point]:
    for step in procedure.steps:
        for measured in step.characteristics:
            old = [
                reading.event
                for reading in logged_readings(state)
                if reading.event.step == step.id
                and reading.event.characteristic == measured.name
                and reading.entry.stale
                and reading.entry.withdrawn is None
            ]
            if old and not state.readings(step.id, measured.name):
                text = f"{measured_words(old[-1])}: {old[-1].shown} no longer stands and was not taken again"
                yield _Point(FindingKind.STALE, step.id, text, figure_name(measured.name, step.place))
        if step.check and state.check(step.id) is None and _stale_check(state, step):
            text = f"the answer to its check no longer stands and was not given again: {step.check}"
            yield _Point(FindingKind.STALE, step.id, text, "the check")


def _stale_check(state: JobState, step: Step) -> bool:
    return any(
        isinstance(entry.event, CheckAnswered)
        and entry.event.step == step.id
        and entry.stale
        and entry.withdrawn is None
        for entry in state.entries.values()
    )


def _timers(_: Procedure, state: JobState) -> Iterator[_Point]:
    for timer in state.timers.values():
        text = f'timer "{timer.name}" ({duration(timer.seconds)}) neither rang nor was stopped'
        yield _Point(FindingKind.TIMER, None, text, timer.name)


def _notes(_: Procedure, state: JobState) -> Iterator[_Point]:
    for entry in state.entries.values():
        event = entry.event
        if isinstance(event, (NoteKept, FactNoted)) and entry.to_type:
            if isinstance(event, NoteKept):
                what, nothing = "note", "(not understood)"
            else:
                what, nothing = FACTS[event.about].said, ONLY_SOUND
            text = f"{what} to type, {event.seconds:.0f} s{clip_words(event.clip)}: {event.text or nothing}"
            yield _Point(FindingKind.NOTE, event.step, text, "", event.id)


def _cut_off(_: Procedure, state: JobState) -> Iterator[_Point]:
    if state.note_begun:
        text = " ".join(each.text for each in state.note_begun if each.text) or "(not understood)"
        words = f"note cut off, kept when the job is taken up again: {text}"
        yield _Point(FindingKind.NOTE, None, words, "a note cut off")


def _found(_: Procedure, state: JobState) -> Iterator[_Point]:
    for entry in state.facts("finding"):
        event = entry.event
        if isinstance(event, FactNoted) and event.severity in ("serious", "unsafe"):
            kind = FindingKind.UNSAFE if event.severity == "unsafe" else FindingKind.SERIOUS
            yield _Point(kind, event.step, f"{event.severity} finding: {entry.text}", entry.text, event.id)


def _lost(_: Procedure, state: JobState) -> Iterator[_Point]:
    for first, last in state.lost:
        yield _Point(FindingKind.LOST, None, lost_words(first, last), "entries of a damaged log")


def _parts(_: Procedure, state: JobState) -> Iterator[_Point]:
    for each in unreconciled(state):
        yield _Point(FindingKind.PARTS, None, sums(each), balance(each))


def clip_words(clip: str | None) -> str:
    """How a clip is named in text: by the beginning of its hash."""
    return f", clip {clip[:8]}" if clip else ", no clip"


_LOOKS: tuple[Callable[[Procedure, JobState], Iterator[_Point]], ...] = (
    _dangers, _found, _lost, _out_of_limits, _undecided, _overdue, _failed_checks, _parts, _missing, _not_done,
    _skipped, _provisional, _stale, _timers, _cut_off, _notes,
)  # fmt: skip
