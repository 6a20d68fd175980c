"""The review of a job as plain text: what needs attention first, then everything the log holds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Protocol

from handsfree.job.attendance import workers_of
from handsfree.job.counter.bench_time import at_the_bench
from handsfree.job.events import (
    CheckAnswered,
    ClockSetBack,
    Event,
    JobFinished,
    NoteKept,
    ReadingLogged,
)
from handsfree.job.log.sounds import sounds_held, sounds_named
from handsfree.job.readings import LoggedReading, logged_readings
from handsfree.job.state import Entry, JobState, every_entry
from handsfree.job.stated import resolution_of
from handsfree.measure.formatting import figure_shown
from handsfree.measure.limits import Decision
from handsfree.procedure.model import Procedure
from handsfree.review.findings import Finding, FindingKind, clip_words, findings_of_job
from handsfree.review.judged_as_found import judged_as_found
from handsfree.review.text.job_facts import of_the_job
from handsfree.review.text.taken_apart import as_found, came_off, marks_made
from handsfree.text.columns import paragraph, table
from handsfree.text.terminal import printable_lines
from handsfree.wording.entries import titles_told
from handsfree.wording.gaps import points_of_job
from handsfree.wording.readings import decision_words, figure_name, outcome_words, tool_written, uncertainty_written
from handsfree.wording.repeated import series, summed_up


class FigureTool(Protocol):
    """What is known of the tool of a figure."""

    @property
    def tool(self) -> str | None: ...
    @property
    def tool_identity(self) -> str | None: ...
    @property
    def tool_calibrated(self) -> str | None: ...
    @property
    def tool_overdue(self) -> str | None: ...
    @property
    def uncertainty(self) -> str | None: ...
    @property
    def uncertainty_assumed(self) -> str | None: ...


RULE = (
    "Decided by the rule of ISO 14253-1: with the tool's expanded uncertainty U a figure is in limits only inside "
    "the limits reduced by U, out of limits only beyond the limits enlarged by U, and undecided between the two."
)
HEADINGS = {
    FindingKind.DANGER: "Dangers to the person still present",
    FindingKind.UNSAFE: "Found: unsafe",
    FindingKind.SERIOUS: "Found: serious",
    FindingKind.LOST: "Lost from the log",
    FindingKind.OUT_NOTHING_DECIDED: "Out of limits, nothing decided",
    FindingKind.OUT_LEFT_OPEN: "Out of limits, left open",
    FindingKind.OUT_ACCEPTED: "Out of limits, accepted",
    FindingKind.FOUND_OUT: "Found out of limits",
    FindingKind.UNDECIDED: "Undecided",
    FindingKind.TOOL_OVERDUE: "Taken with a tool that was due",
    FindingKind.CHECK_FAILED: "Checks answered no",
    FindingKind.PARTS: "Parts not accounted for",
    FindingKind.MISSING: "Missing in finished steps",
    FindingKind.NOT_DONE: "Steps not done",
    FindingKind.SKIPPED: "Steps skipped",
    FindingKind.PROVISIONAL: "Provisional figures",
    FindingKind.STALE: "No longer standing, not taken again",
    FindingKind.TIMER: "Timers still running",
    FindingKind.NOTE: "Notes to type",
}


def review_text(procedures: Mapping[str, Procedure], state: JobState, events: Sequence[Event], *, job: str) -> str:
    """The review of the job of this identifier with all its ``procedures`` (by name).

    Lines are as long as ``text.columns`` has it; times are local.
    """
    several = len(procedures) > 1
    titles = titles_told(procedures, state)
    sections = [
        _head(procedures, state, events, job),
        _section("NEEDS ATTENTION", _attention(findings_of_job(procedures, state), titles)),
        _section("THE JOB AS A WHOLE", of_the_job(state)),
    ]
    for name, procedure in procedures.items():
        progress = state.of(name)
        if several:
            title = f"{procedure.title.upper()}, REVISION {procedure.revision}"
            sections.append(["", "#" * len(title), title, "#" * len(title), *_variant(progress)])
        if state.takes_apart(name):
            sections += [
                _section("CAME OFF", _wrapped(came_off(progress), indent=5)),
                _section("MARKS", _wrapped(marks_made(progress), indent=0)),
                _section("AS FOUND", _wrapped(as_found(progress, judged_as_found(procedures, state)), indent=0)),
                _section("NOTES", _notes(procedure, progress)),
            ]
            continue
        sections += [
            _section("STEPS", _steps(procedure, progress)),
            _section("FIGURES", _figures(procedure, progress)),
            _section("REPEATED READINGS", _repeated(procedure, progress)),
            _section("CHECKS", _checks(procedure, progress)),
            _section("NOTES", _notes(procedure, progress)),
        ]
    sections += [_section("COUNTS", _counts(procedures, state, events)), _section("RULE", _rule(state))]
    text = "\n\n".join("\n".join(lines) for lines in sections) + "\n"
    # Words from files and logs go to a terminal: nothing in them may steer it.
    return printable_lines(text)


def _kept(event: NoteKept) -> str:
    return f"{event.seconds:.0f} s{clip_words(event.clip)}" if event.seconds or event.clip else "typed"


def _section(title: str, lines: list[str]) -> list[str]:
    return [title, "=" * len(title), *(lines or ["none"])]


def _wrapped(lines: Iterable[str], *, indent: int) -> list[str]:
    """Each as long as a line may be; ``indent`` letters stand before what is wrapped."""
    return [line for each in lines for line in paragraph(each[indent:], indent, each[:indent])]


def _time(at: datetime) -> str:
    return at.astimezone().strftime("%Y-%m-%d %H:%M")


def _span(span: timedelta) -> str:
    minutes = round(span.total_seconds() / 60)
    return f"{minutes // 60} h {minutes % 60:02} min" if minutes >= 60 else f"{minutes} min"


def _variant(state: JobState) -> list[str]:
    return (
        paragraph("; ".join(f"{name}: {answer}" for name, answer in state.answers.items()), 12, "Variant")
        if (state.answers)
        else []
    )


def _head(procedures: Mapping[str, Procedure], state: JobState, events: Sequence[Event], job: str) -> list[str]:
    opened, last = state.opened, state.last
    item = state.fact("item") or next((each.item for each in procedures.values()), "not given")
    rows = [("Item", item)]
    if opened is not None:
        rows += [("Serial", state.fact("serial") or "not given"), ("Owner", state.fact("owner") or "not given")]
    rows += [("Procedure", f"{each.title}, revision {each.revision}") for each in procedures.values()]
    if len(procedures) == 1 and state.answers:
        rows.append(("Variant", "; ".join(f"{name}: {answer}" for name, answer in state.answers.items())))
    rows += [("Workshop", shop) for shop in dict.fromkeys(each.workshop for each in procedures.values()) if shop]
    if opened is not None and last is not None:
        rows.append(("Opened", _time(opened.at)))
        where = "paused" if state.paused else "not finished"
        rows.append(("Finished", _time(state.finished) if state.finished else f"{where}; last entry {_time(last)}"))
        rows += [("At bench", ", ".join(workers))] if (workers := workers_of(events)) else []
        set_back = sum(event.seconds for event in events if isinstance(event, ClockSetBack))
        whole = (state.finished or last) - opened.at + timedelta(seconds=set_back)
        rows.append(("Duration", f"{_span(at_the_bench(events))} at the bench, {_span(whole)} in all"))
    title = f"REVIEW OF JOB {job}"
    lines = [title, "=" * len(title)]
    for label, text in rows:
        lines += paragraph(text, 12, label)
    return lines


def _attention(found: Sequence[Finding], titles: Mapping[str, str]) -> list[str]:
    if not found:
        return ["Nothing."]
    lines: list[str] = []
    for kind in sorted({finding.kind for finding in found}):
        of_kind = [finding for finding in found if finding.kind is kind]
        lines.append(f"{HEADINGS[kind]} ({len(of_kind)})")
        for finding in of_kind:
            of = f"{titles[finding.procedure]}: " if finding.procedure in titles else ""
            lines += paragraph(of + finding.text, 12, f"  step {finding.number}" if finding.number else "  -")
    return lines


def _steps(procedure: Procedure, state: JobState) -> list[str]:
    rows: list[Sequence[str] | str] = []
    for number, step in enumerate(procedure.steps, 1):
        status = state.status(step.id)
        here = " (here)" if step.id == state.step and not state.finished else ""
        rows.append((str(number), f"{status}{here}", step.act))
        if status == "skipped":
            rows.append(f"skipped because: {state.reasons.get(step.id, 'no reason given')}")
        if status == "done" and state.missing.get(step.id):
            rows.append(f"still open when it was done: {'; '.join(state.missing[step.id])}")
    return table(("step", "state", "act"), rows, (4, 14))


def _figures(procedure: Procedure, state: JobState) -> list[str]:
    numbers = _numbers(procedure)
    everything = sorted(logged_readings(state), key=lambda reading: numbers.get(reading.event.step or "", 0))
    by_id = {reading.event.id: reading for reading in everything}
    corrected = {reading.event.corrects for reading in everything}
    several = len({entry.by for entry in every_entry(state) if entry.by}) > 1
    rows: list[Sequence[str] | str] = []
    for reading in everything:
        event = reading.event
        if event.id not in corrected:
            said = f"{event.shown}, {event.feel}" if event.feel else event.shown
            name = figure_name(event.characteristic, event.place)
            cells = (name, event.occasion, said, event.limits, _verdict(reading))
            rows.append((str(numbers.get(event.step or "", "-")), *cells))
            rows += [f"by {reading.entry.by}"] if reading.entry.by and several else []
            rows += [f"corrected from {was.shown} ({was.decision})" for was in _corrected(event, by_id)]
    heads = ("step", "figure", "when", "as said", "limits", "verdict")
    return table(heads, rows, (4, 22, 9, 14, 18)) if rows else []


def _repeated(procedure: Procedure, state: JobState) -> list[str]:
    rows: list[Sequence[str] | str] = []
    for name in dict.fromkeys(measured.name for measured in procedure.characteristics):
        for (place, occasion), events in series(state, name).items():
            if len(events) < 2:
                continue
            summary = summed_up(events, lambda event: resolution_of(event, procedure))
            scatter = f"{'about ' * summary.about}{figure_shown(summary.deviation)}" if summary.deviation else ""
            count, mean, range_ = str(summary.count), figure_shown(summary.mean), figure_shown(summary.range)
            rows.append((figure_name(name, place), occasion, count, mean, range_, scatter))
    heads = ("figure", "when", "count", "mean", "range", "standard deviation")
    return table(heads, rows, (22, 9, 6, 14, 12)) if rows else []


def _corrected(event: ReadingLogged, by_id: Mapping[str, LoggedReading]) -> Iterator[ReadingLogged]:
    """The figures that a figure replaced, the newest first."""
    old = by_id.get(event.corrects or "")
    if old is not None:
        yield old.event
        yield from _corrected(old.event, by_id)


def _verdict(reading: LoggedReading) -> str:
    entry = reading.entry
    outcome = "" if entry.outcome == entry.withdrawn else outcome_words(entry)
    words = "; ".join(filter(None, (decision_words(reading.event), outcome)))
    if entry.withdrawn is not None:
        return f"{entry.withdrawn} (was {words})"
    if entry.stale:
        return f"no longer stands, step done again (was {words})"
    return words if entry.settled else f"{words}; provisional"


def _checks(procedure: Procedure, state: JobState) -> list[str]:
    rows: list[Sequence[str] | str] = []
    for number, step in enumerate(procedure.steps, 1):
        answers = [entry for entry in state.entries.values() if _answers(entry, step.id)]
        rows += [(str(number), _answer(entry), _question(entry)) for entry in answers]
        if step.check and not any(entry.stands for entry in answers):
            rows.append((str(number), "not answered", step.check))
    return table(("step", "answer", "check"), rows, (4, 26)) if rows else []


def _answers(entry: Entry, step: str) -> bool:
    return isinstance(entry.event, CheckAnswered) and entry.event.step == step


def _question(entry: Entry) -> str:
    return entry.event.question if isinstance(entry.event, CheckAnswered) else ""


def _answer(entry: Entry) -> str:
    answer = "yes" if isinstance(entry.event, CheckAnswered) and entry.event.passed else "no"
    answer += f", {entry.by}" if entry.by else ""
    if entry.withdrawn is not None:
        return f"{entry.withdrawn} (was {answer})"
    return f"no longer stands (was {answer})" if entry.stale else answer


def _notes(procedure: Procedure, state: JobState) -> list[str]:
    numbers = _numbers(procedure)
    lines = []
    for entry in state.entries.values():
        event = entry.event
        if isinstance(event, NoteKept):
            where = f"step {numbers[event.step]}" if event.step in numbers else "no step"
            gone = f", {entry.withdrawn}" if entry.withdrawn else ""
            gone += f", by {entry.by}" if entry.by else ""
            lines += paragraph(f"{where}, {_time(event.at)}, {_kept(event)}{gone}")
            lines += paragraph(entry.text or "(not understood)", 4)
    untyped = any(entry.to_type for entry in state.entries.values() if isinstance(entry.event, NoteKept))
    lead = ["The text is as far as it was understood; the sound counts."] if untyped else []
    return [*lead, *lines] if lines else []


def _counts(procedures: Mapping[str, Procedure], state: JobState, events: Sequence[Event]) -> list[str]:
    steps = Counter(
        state.of(name).status(step.id)
        for name, procedure in procedures.items()
        if not state.takes_apart(name)
        for step in procedure.steps
    )
    entries = every_entry(state)
    every = [LoggedReading(entry.event, entry) for entry in entries if isinstance(entry.event, ReadingLogged)]
    stand = Counter(_judged(reading.event) for reading in every if reading.entry.stands)
    gone = Counter(reading.entry.withdrawn or "no longer standing" for reading in every if not reading.entry.stands)
    answers = [e for e in entries if isinstance(e.event, CheckAnswered) and e.stands]
    passed = sum(isinstance(entry.event, CheckAnswered) and entry.event.passed for entry in answers)
    notes = [entry for entry in entries if isinstance(entry.event, NoteKept) and entry.stands]
    clips = set(sounds_named(events)) - sounds_held(events)
    kinds = [kind for decision in Decision for kind in (decision.value, f"{decision.value} as found")]
    decisions = [f"{stand[kind]} {kind}" for kind in kinds if stand[kind]]
    rows = [
        (
            "Steps",
            f"{steps['done']} done, {steps['skipped']} skipped, {steps['open']} not done, of {steps.total()}",
        ),
        ("Figures", ", ".join([f"{sum(stand.values())} standing", *decisions])),
        ("History", ", ".join(f"{count} {why}" for why, count in sorted(gone.items())) or "no figure withdrawn"),
        ("Checks", f"{passed} yes, {len(answers) - passed} no"),
        ("Notes", str(len(notes))),
        ("Log", f"{len(events)} events, {len(clips)} {'clip' if len(clips) == 1 else 'clips'}"),
    ]
    named = [point for event in events if isinstance(event, JobFinished) for point in event.open_points]
    if named:
        rows.append(("Finished", f"knowingly with: {'; '.join(dict.fromkeys(named))}"))
        now = points_of_job(procedures, state)
        if set(now) != set(named):
            rows.append(("Open now", "; ".join(now) or "nothing of it"))
    return [line for label, text in rows for line in paragraph(text, 12, label)]


def _judged(event: ReadingLogged) -> str:
    """ "in limits", "out of limits as found": what was found is not what was left."""
    judged = event.decision != Decision.NO_LIMITS.value
    return f"{event.decision} as found" if event.is_finding and judged else event.decision


def _rule(state: JobState) -> list[str]:
    every = (entry.event for entry in every_entry(state))
    judged = [e for e in every if isinstance(e, ReadingLogged) and e.decision != Decision.NO_LIMITS.value]
    if not judged:
        return ["No figure was judged against limits."]
    return [*paragraph(RULE), *(line for text in uncertainties(judged) for line in paragraph(text, 2))]


def uncertainties(judged: Iterable[ReadingLogged | FigureTool]) -> list[str]:
    """U of each tool that was used, and how it was come by."""
    used = dict.fromkeys(
        (tool_of(each), uncertainty_written(each.uncertainty, each.uncertainty_assumed)) for each in judged
    )
    return [f"U of {tool}: {told or 'none stated, taken as nought'}" for tool, told in used]


def tool_of(event: ReadingLogged | FigureTool) -> str:
    """The tool that a figure was taken with, with its identity and its calibration."""
    return tool_written(event.tool or "tool not named", event.tool_identity, event.tool_calibrated, event.tool_overdue)


def _numbers(procedure: Procedure) -> dict[str, int]:
    return {step.id: number for number, step in enumerate(procedure.steps, 1)}
