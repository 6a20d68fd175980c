"""What can be seen of a job: one immutable snapshot of everything that may be shown at this moment.

The same snapshot is behind the page and the terminal, and its words come from the same formatter as speech and log.
"""

from __future__ import annotations

from collections import Counter
from datetime import datetime
from fractions import Fraction

from handsfree.guide.guide import Guide
from handsfree.guide.session import Session, item_words
from handsfree.guide.view.scale import place_of
from handsfree.guide.view.shown import Asked, DangerShown, OtherItem, QuestionShown, Scale, Shown, TimerShown, View
from handsfree.guide.view.understood import Understood, answers_of
from handsfree.job.disassembly import figures_as_found, removals
from handsfree.job.events import MarkMade, ReadingLogged
from handsfree.job.progress import StepStatus
from handsfree.job.readings import standing_readings
from handsfree.job.state import Entry, JobState
from handsfree.job.stated import in_own_unit, kept, stated, step_of_reading, value_of
from handsfree.measure.formatting import figure_shown, in_other_system, number_written, range_written, size_written
from handsfree.measure.limits import Decision
from handsfree.procedure.model import Characteristic, Fastener, Lubricant, Step
from handsfree.text.prose import duration
from handsfree.wording import gaps
from handsfree.wording.dangers import elsewhere, lasting
from handsfree.wording.instructions import left_hand_words
from handsfree.wording.readings import figure_name, margin_words, outcome_words


def view_of(guide: Guide, now: datetime, *, microphone: str, heard: Understood | None = None, said: str = "") -> View:
    """The snapshot of ``guide`` at ``now``. What only the bench knows comes in as words."""
    session = guide.session
    procedure, state, question = session.procedure, session.state, session.question
    opened, step = state.opened, procedure.steps[session.here]
    over = session.machine.state in ("paused", "finished")
    apart = session.worked.apart
    statuses = tuple(state.status(other.id) for other in procedure.steps)
    return View(
        title=f"{'Rehearsal: ' if opened and opened.purpose == 'rehearsal' else ''}{procedure.title}",
        revision=procedure.revision,
        item=(opened and opened.item) or procedure.item,
        serial=(opened and opened.serial) or "",
        workshop=procedure.workshop or "",
        number=session.here + 1,
        of=len(procedure.steps),
        act=step.act,
        status=state.status(step.id),
        looking=session.here != session.current,
        at=session.current + 1,
        heading="Taking apart" if apart else _heading(session, state.status(step.id)),
        stage=_taken_off(state) if apart else _stage(step, statuses),
        steps=statuses,
        state=session.machine.state,
        microphone=microphone,
        asked=_asked(session, step),
        last=_last(session),
        fasteners=tuple(map(_fastener, step.fasteners)),
        lubricants=tuple(map(_lubricant, step.lubricants)),
        cautions=step.cautions,
        dangers=_dangers(session, step),
        heard=heard,
        said=said,
        question=_question(session, now),
        point=question.point(state) if question and question.point else None,
        note=None if session.note is None else " ".join(filter(None, session.note.texts)),
        timers=_timers(state, now),
        phrases=() if over else _phrases(guide, step),
        events=state.count,
        left_hand=left_hand_words(step),
        rehearsal=bool(opened and opened.purpose == "rehearsal"),
    )


def other_item(guide: Guide, now: datetime) -> OtherItem:
    """The item of a job that stands aside."""
    session = guide.session
    apart = session.worked.apart
    where = "taking apart" if apart else f"step {session.current + 1} of {len(session.procedure.steps)}"
    serial = session.state.fact("serial")
    item = item_words(session).rstrip(".")
    return OtherItem(f"{item}, {serial}" if serial else item, where, _timers(session.state, now))


def _timers(state: JobState, now: datetime) -> tuple[TimerShown, ...]:
    """Those that run, the one that ends first at the top."""
    return tuple(
        TimerShown(timer.name, (timer.ends - now).total_seconds(), timer.seconds)
        for timer in sorted(state.timers.values(), key=lambda timer: timer.ends)
    )


def microphone_words(state: str, source: str, *, speaking: bool, lost: bool) -> str:
    """Whether the microphone is open, in words. ``source`` is "mic", "typed" or "recording"."""
    if speaking:
        return "speaking"
    if state in ("paused", "finished"):
        return "microphone closed"
    if lost:
        return "microphone lost"
    if state == "standing by":
        return "standing by"
    return {"typed": "keyboard open", "recording": "recording plays"}.get(source, "microphone open")


def _heading(session: Session, status: StepStatus) -> str:
    number = f"Step {session.here + 1} of {len(session.procedure.steps)}"
    return number if status == "open" else f"{number}, {status}"


def _taken_off(state: JobState) -> str:
    marks = [e for e in state.entries.values() if isinstance(e.event, MarkMade) and e.stands]
    counts = ((len(removals(state)), "removal"), (len(marks), "mark"), (len(figures_as_found(state)), "figure"))
    shown = [(count, what) for count, what in counts if count or what == "removal"]
    said = [f"{count or 'no'} {what}{'' if count == 1 else 's'}" for count, what in shown]
    return f"{', '.join(said)} logged"


def _stage(step: Step, statuses: tuple[StepStatus, ...]) -> str:
    count = Counter(statuses)
    said = [f"{count['done']} of {len(statuses)} done"]
    said += [f"{count['skipped']} skipped"] if count["skipped"] else []
    return ", ".join(([f"stage: {step.stage}"] if step.stage else []) + said)


def _asked(session: Session, step: Step) -> tuple[Asked, ...]:
    asked = [_figure_asked(session, step, measured) for measured in step.characteristics]
    if step.check:
        entry = session.state.check(step.id)
        passed = getattr(entry.event, "passed", None) if entry else None
        answer = {True: "answered yes", False: "answered no", None: ""}[passed]
        asked.append(Asked("check", step.check, "yes or no", answer))
    if step.wait is not None:
        name = gaps.wait_name(step)
        runs = name in session.state.timers
        done = "" if runs or gaps.still_to_wait(step, session.state) else "has run"
        what = f"wait, {name}" if step.wait.name else "wait"
        asked.append(Asked("wait", what, duration(step.wait.seconds), done, timer=name if runs else ""))
    return tuple(asked)


def _figure_asked(session: Session, step: Step, measured: Characteristic) -> Asked:
    bounds = range_written(measured.low, measured.high)
    more = [f"target {figure_shown(measured.target)}"] if measured.target else []
    more += [measured.tool.name] if measured.tool else []
    readings = [
        reading
        for reading in standing_readings(session.state)
        if (reading.event.step, reading.event.characteristic) == (step.id, measured.name)
    ]
    return Asked(
        kind="figure",
        what=f"{measured.name}, {measured.occasion}",
        wanted=f"in {measured.unit}" if bounds == "none" else bounds,
        more=", ".join(more),
        reading=_shown(session, readings[-1].event, readings[-1].entry) if readings else None,
        scale=_scale(None, measured),
    )


def _last(session: Session) -> Shown | None:
    readings = list(standing_readings(session.state))
    return _shown(session, readings[-1].event, readings[-1].entry) if readings else None


def _shown(session: Session, event: ReadingLogged, entry: Entry) -> Shown:
    number = next((n for n, step in enumerate(session.procedure.steps, 1) if step.id == event.step), 0)
    step = session.procedure.steps[number - 1] if number else None
    measured = next((m for m in step.characteristics if m.name == event.characteristic), None) if step else None
    return Shown(
        step=number,
        name=figure_name(event.characteristic, event.place),
        occasion=event.occasion,
        figure=event.shown,
        other=_in_other_unit(event, measured.resolution if measured else None),
        limits=event.limits,
        verdict="" if event.decision == Decision.NO_LIMITS.value else event.decision,
        by=margin_words(event),
        out=event.decision == Decision.OUT.value,
        outcome=outcome_words(entry),
        provisional=not entry.settled,
        scale=_scale(value_of(event), measured) if measured else None,
    )


def _in_other_unit(event: ReadingLogged, resolution: Fraction | None) -> str:
    """The reading in the unit of what is measured, where it was stated in another; else in the other system."""
    said = stated(event)
    if said is not None and said.unit != event.unit:
        return f"about {figure_shown(in_own_unit(event, resolution))}"
    own = said or kept(event.value, event.unit, resolution)
    other = in_other_system(own, step_of_reading(event, resolution))
    return f"{'about ' if other[1] else ''}{figure_shown(other[0])}" if other else ""


def _scale(value: Fraction | None, measured: Characteristic) -> Scale | None:
    place = place_of(value, measured.limits)
    bounds = (measured.low, measured.high, measured.target)
    return Scale(place, *(number_written(bound) if bound else "" for bound in bounds)) if place else None


def _fastener(part: Fastener) -> str:
    said = [f"{part.count} off: {size_written(part.size)}", *filter(None, (part.head, part.finish, part.where))]
    return ", ".join(said) + (". Left-hand thread." if part.left_hand else "")


def _lubricant(part: Lubricant) -> str:
    return ", ".join(filter(None, (part.which, part.where, part.how_much)))


def _dangers(session: Session, step: Step) -> tuple[DangerShown, ...]:
    """Of the step in view, then those that stand from other steps, then from other procedures of the job."""
    procedure = session.procedure
    standing = gaps.standing_dangers(procedure, session.state)
    present = [
        *((None, danger) for danger in step.dangers),
        *((began, danger) for began, danger in standing if danger not in step.dangers),
    ]
    return (
        *(DangerShown(danger.say, lasting(procedure, danger, began)) for began, danger in present),
        *(
            DangerShown(danger.say, lasting(other, danger, began, other.title))
            for other, began, danger in elsewhere(session.state, session.others)
        ),
    )


def _question(session: Session, now: datetime) -> QuestionShown | None:
    question = session.question
    if question is None:
        return None
    return QuestionShown(question.prompt, (question.due - now).total_seconds() if question.due else None)


def _phrases(guide: Guide, step: Step) -> tuple[str, ...]:
    """What is most likely wanted now, six at most."""
    if guide.session.machine.state == "standing by":
        return ("back at the bench",)
    if guide.session.note is not None:
        return ("end of note",)
    question = guide.session.question
    if question is not None and question.point is not None:
        return ("next", "look back", "play it", "let it stand", "take back", "end of review")
    if question is not None:
        return answers_of(question)
    return guide.likely_phrases(step)
