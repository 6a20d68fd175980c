"""What a step, or a whole job, still lacks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from handsfree.job.events import ReadingLogged
from handsfree.job.state import Entry, JobState
from handsfree.job.tally import unreconciled
from handsfree.measure.limits import Decision
from handsfree.procedure.model import Danger, Procedure, Step
from handsfree.text.prose import counted, listed, time_left
from handsfree.wording.tally import in_few_words, sums


def needs_outcome(entry: Entry) -> bool:
    """A figure that is out of limits and about which nothing has been decided."""
    event = entry.event
    return (
        isinstance(event, ReadingLogged)
        and not event.is_finding
        and entry.stands
        and event.decision == Decision.OUT.value
        and entry.outcome is None
    )


def of_step(step: Step, state: JobState, now: datetime | None = None) -> list[str]:
    """In a few words each, what the step lacks: figures, outcomes, the check, the waiting time."""
    lacking = []
    for measured in step.characteristics:
        readings = state.readings(step.id, measured.name)
        if not readings:
            lacking.append(f"no figure for {measured.name}")
        elif needs_outcome(readings[-1]):
            lacking.append(f"{measured.name} is out of limits with nothing decided")
    check = state.check(step.id)
    if step.check:
        if check is None:
            lacking.append(WAITS_FOR_ANOTHER if step.check_by_another else NOT_ANSWERED)
        elif not getattr(check.event, "passed", True):
            lacking.append("the check failed")
    if step.wait is not None and now is not None and state.status(step.id) == "open":
        lacking += _waiting(step, state, now)
    return lacking


NOT_ANSWERED = "the check is not answered"
WAITS_FOR_ANOTHER = "the check waits for another person"


def waits_for_check(step: Step, state: JobState, now: datetime | None = None) -> bool:
    """Whether everything at a step is done but the check that another person has to answer."""
    begun = step.id in state.progress.begun_by and state.status(step.id) == "open"
    return begun and of_step(step, state, now) == [WAITS_FOR_ANOTHER]


def wait_name(step: Step) -> str:
    """The name of the timer that a step's waiting time goes by."""
    return step.wait.name if step.wait and step.wait.name else "waiting"


_NOT_RUN = "the waiting time has not run"
_NOT_IN_FULL = f"{_NOT_RUN} in full"
_STILL = "still to wait"


def _waiting(step: Step, state: JobState, now: datetime) -> list[str]:
    lacking = still_to_wait(step, state)
    timer = state.timers.get(wait_name(step))
    if timer is not None and timer.of_step == step.id:
        # What is running now is waited to its end, and what it is too short for after it.
        left = max(timer.ends - now, timedelta()) + max(lacking - timedelta(seconds=timer.seconds), timedelta())
        return [f"{time_left(left)} {_STILL}"] if left else []
    if not lacking:
        return []
    return [f"{time_left(lacking)} {_STILL}" if _seconds_run(step, state) else _NOT_RUN]


def _seconds_run(step: Step, state: JobState) -> float:
    """For how long timers ran to their end for the waiting time of this very step, in all."""
    return state.waited.get(wait_name(step), {}).get(step.id, 0.0)


def still_to_wait(step: Step, state: JobState) -> timedelta:
    """What of a step's waiting time no timer has run for yet; nought where it has none."""
    seconds = step.wait.seconds if step.wait is not None else 0
    return timedelta(seconds=max(0.0, seconds - _seconds_run(step, state)))


def wait_words(step: Step, state: JobState, now: datetime) -> str | None:
    """What is left of a step's waiting time, where its timer runs; nothing to say where that is over, and None where
    it is still to be begun, or there is none."""
    if step.wait is None:
        return None
    timer = state.timers.get(wait_name(step))
    if timer is not None and timer.of_step == step.id:
        return f"timer {timer.name} runs, {time_left(timer.ends - now)} left"
    return None if still_to_wait(step, state) else ""


def of_waiting(words: str) -> bool:
    """Whether what a step was done without is its waiting time."""
    return words == _NOT_RUN or words.endswith(_STILL)


def waiting_left_out(step: Step, state: JobState) -> str:
    """That a step was done without its waiting time, which has not run since either; empty otherwise."""
    left_out = any(map(of_waiting, state.missing.get(step.id, ())))
    if not left_out or not still_to_wait(step, state):
        return ""
    return _NOT_IN_FULL if _seconds_run(step, state) else _NOT_RUN


@dataclass(frozen=True)
class JobGaps:
    """What a job still lacks as a whole."""

    open_steps: tuple[int, ...]
    lacking: tuple[tuple[int, str], ...]
    """Number of a finished step, and what it lacks."""
    parts: tuple[str, ...] = ()
    """Kinds of part whose counts do not come out even."""
    parts_words: tuple[str, ...] = ()
    """The same for the ear, told together as far as can be."""
    dangers: int = 0
    """Dangers to the person that have not ended."""
    unsigned: str = ""
    """That nobody has signed the job, or not as it stands now."""

    @property
    def points(self) -> tuple[str, ...]:
        said = []
        if self.open_steps:
            said.append(counted(len(self.open_steps), "step") + " not done")
        said += [f"step {number}: {words}" for number, words in self.lacking]
        said += self.parts
        if self.dangers:
            said.append(counted(self.dangers, "danger") + " still present")
        if self.unsigned:
            said.append(self.unsigned)
        return tuple(said)

    @property
    def words(self) -> str:
        """A few words, for the ear, the worst first; the missing signature is told for itself."""
        said = []
        if self.dangers:
            said.append(counted(self.dangers, "danger") + " still present")
        if self.open_steps:
            said.append(counted(len(self.open_steps), "step") + " not done")
        if self.lacking:
            said.append(counted(len(self.lacking), "point") + " open in finished steps")
        said += self.parts_words
        return listed(said)


def of_job(procedure: Procedure, state: JobState) -> JobGaps:
    open_steps, lacking = [], []
    # Taking apart is over when nothing more comes off: it lacks nothing.
    for number, step in enumerate(procedure.steps, 1):
        status = state.status(step.id)
        if waits_for_check(step, state):
            lacking.append((number, WAITS_FOR_ANOTHER))
        elif status == "open" and not state.takes_apart(state.working):
            open_steps.append(number)
        elif status == "done":
            lacking += [(number, words) for words in (*of_step(step, state), waiting_left_out(step, state)) if words]
    uneven = unreconciled(state)
    parts, parts_words = tuple(map(sums, uneven)), tuple(in_few_words(uneven))
    # What is only practised, or only taken apart, is no work that anybody answers for.
    real = state.opened is not None and state.purpose == "repair"
    unsigned = unsigned_words(state) if real else ""
    dangers = len(standing_dangers(procedure, state))
    return JobGaps(tuple(open_steps), tuple(lacking), parts, parts_words, dangers, unsigned)


def points_of_job(procedures: Mapping[str, Procedure], state: JobState) -> tuple[str, ...]:
    """What a job lacks in all its procedures (by name), each with its title where there are several and it is not the
    one being worked; what is the whole job's is told once."""
    points: list[str] = []
    names = sorted(procedures, key=lambda name: name != state.working)
    for number, name in enumerate(names):
        lacking = of_job(procedures[name], state.of(name))
        if number:
            lacking = replace(lacking, parts=(), parts_words=(), unsigned="")
        title = f"{procedures[name].title}: " if number else ""
        points += [f"{title}{point}" for point in lacking.points]
    return tuple(points)


def unsigned_words(state: JobState) -> str:
    """ "not signed off"; a sign-off is of a state: "not signed off since", once anything was altered."""
    signature = state.signature
    if signature is None:
        return "not signed off"
    return "" if signature.stands else f"not signed off since: {signature.name} signed before"


def standing_dangers(procedure: Procedure, state: JobState) -> list[tuple[int, Danger]]:
    """Dangers that have begun and not ended, with the number of the step in which they began. Of a step that was begun
    and left open nobody knows how far it was done: its dangers count."""
    found = []
    for number, step in enumerate(procedure.steps, 1):
        status = state.status(step.id)
        begun = status == "done" or (status == "open" and step.id in state.progress.begun_by)
        for danger in step.dangers:
            if begun and danger.until is not None and state.status(danger.until) != "done":
                found.append((number, danger))
    return found


def lost_words(first: int, last: int) -> str:
    """Entries of the log (running numbers) that a rescue from a damaged file could not read."""
    which = f"entry {first}" if first == last else f"entries {first} to {last}"
    return f"{which} could not be read from a damaged log; what they said is not known"
