"""Moving through the procedure: next, done, looking, going, redoing, skipping."""

from __future__ import annotations

from collections.abc import Callable

from handsfree.guide import gaps, tallying, wording
from handsfree.guide.question import Question
from handsfree.guide.turn import Turn
from handsfree.job.events import NoteKept, StepDone, StepEntered, StepRedone, StepSkipped
from handsfree.measure.wording import whole_words
from handsfree.phrases.intents import Intent, Kind
from handsfree.procedure.model import Procedure

LAST_STEP = "That was the last step. Say finish the job."


def enter(turn: Turn, index: int, lead: str = "", *, parts_asked: bool = False) -> None:
    """Go to a step and announce it; before a cover is closed, what is not accounted for is asked about."""
    turn.guide.looking = None
    step = turn.procedure.steps[index]
    if step.closes_cover and not parts_asked and turn.state.step != step.id:
        uneven = tallying.before_cover(turn.procedure, turn.state, index)
        if uneven:
            _ask_about_parts(turn, index, lead, uneven)
            return
    turn.record(StepEntered, step=step.id)
    words = wording.step_words(step, index + 1)
    turn.say(f"{lead} {words}".strip(), must_hear=bool(step.dangers))
    following = _open_after(turn, index)
    if following is not None:
        turn.prepare(wording.step_words(turn.procedure.steps[following], following + 1))


def _ask_about_parts(turn: Turn, index: int, lead: str, uneven: str) -> None:
    def close(turn: Turn, _: Intent) -> None:
        turn.settle()
        enter(turn, index, parts_asked=True)

    def stay(turn: Turn, _: Intent) -> None:
        turn.settle()
        turn.say("Staying here. The cover stays off.")

    prompt = f"{uneven} Go on to close the cover? Yes or no."
    turn.ask(Question(prompt, {Kind.YES: close, Kind.NO: stay}, on_expiry="No answer. The cover stays off."), lead=lead)


def _open_after(turn: Turn, index: int) -> int | None:
    """The next step that is not done or skipped, in the procedure's order; then the first one left behind."""
    steps = turn.procedure.steps
    order = [*range(index + 1, len(steps)), *range(index)]
    return next((i for i in order if turn.state.status(steps[i].id) == "open"), None)


def _finish_step(turn: Turn, then: Callable[[Turn, str], None]) -> None:
    """Mark the step in view as done, asking once about what it lacks; ``then`` gets what is to be said first."""
    step = turn.step
    lacking = tuple(gaps.of_step(step, turn.state, turn.now))
    if turn.state.status(step.id) == "done" and not lacking:
        then(turn, "")
        return

    def finish(turn: Turn, _: Intent | None = None) -> None:
        turn.settle()
        before = gaps.standing_dangers(turn.procedure, turn.state)
        turn.record(StepDone, step=step.id, missing=lacking)
        after = gaps.standing_dangers(turn.procedure, turn.state)
        over = [danger for number, danger in before if (number, danger) not in after and danger.until == step.id]
        then(turn, "Danger over." if over else "")

    if not lacking:
        finish(turn)
        return

    def stay(turn: Turn, _: Intent) -> None:
        turn.settle()
        turn.say("Staying here.")

    prompt = f"{wording.sentence(wording.listed(lacking))} Go on without? Yes or no."
    turn.ask(Question(prompt, {Kind.YES: finish, Kind.NEXT: finish, Kind.DONE: finish, Kind.NO: stay}))


def next_step(turn: Turn, _: Intent) -> None:
    """The step at which the job stands is done; go on to the next open one. Looking elsewhere has ended."""
    turn.guide.looking = None
    here = turn.here

    def go_on(turn: Turn, lead: str) -> None:
        following = _open_after(turn, here)
        if following is None:
            turn.say(f"{lead} {LAST_STEP}".strip())
            return
        if following < here:
            lead = f"{lead} Step {whole_words(following + 1)} was left open.".strip()
        enter(turn, following, lead)

    _finish_step(turn, go_on)


def done(turn: Turn, _: Intent) -> None:
    """The step in view is done; stay."""
    number = whole_words(turn.here + 1)

    def stay(turn: Turn, lead: str) -> None:
        turn.say(f"{lead} Step {number} done.".strip())

    _finish_step(turn, stay)


def _look(turn: Turn, index: int, edge: str) -> None:
    if not 0 <= index < len(turn.procedure.steps):
        turn.say(edge)
        return
    turn.guide.looking = index
    step = turn.procedure.steps[index]
    status = {"done": "Done.", "skipped": "Skipped.", "open": ""}[turn.state.status(step.id)]
    turn.say(f"Only looking. {wording.step_words(step, index + 1)} {status}".strip())


def look_ahead(turn: Turn, _: Intent) -> None:
    _look(turn, turn.here + 1, "Nothing comes after this step.")


def look_back(turn: Turn, _: Intent) -> None:
    _look(turn, turn.here - 1, "This is the first step.")


def _index(procedure: Procedure, number: int | None, here: int) -> int | None:
    if number is None:
        return here
    return number - 1 if 1 <= number <= len(procedure.steps) else None


def _no_such_step(turn: Turn) -> None:
    turn.say(f"There is no such step. There are {whole_words(len(turn.procedure.steps))}.")


def go_to(turn: Turn, intent: Intent) -> None:
    index = _index(turn.procedure, intent.step, turn.here)
    if index is None:
        _no_such_step(turn)
        return
    passed_over = sum(turn.state.status(step.id) == "open" for step in turn.procedure.steps[turn.guide.current : index])
    lead = f"{wording.counted(passed_over, 'step').capitalize()} passed over, still open." if passed_over else ""
    enter(turn, index, lead)


def redo(turn: Turn, intent: Intent) -> None:
    """Do a step again. Its figures and checks, and those of the steps that rest on it, no longer stand."""
    index = _index(turn.procedure, intent.step, turn.here)
    if index is None:
        _no_such_step(turn)
        return
    step_id = turn.procedure.steps[index].id
    stale = (step_id, *turn.procedure.resting_on(step_id))
    lost = [
        entry
        for entry in turn.state.entries.values()
        if entry.stands and entry.event.step in stale and not isinstance(entry.event, NoteKept)
    ]

    def again(turn: Turn, _: Intent | None = None) -> None:
        turn.settle()
        turn.record(StepRedone, step=step_id, stale_steps=stale)
        lead = "To be proved again." if lost else ""
        enter(turn, index, lead)

    if not lost:
        again(turn)
        return

    def leave(turn: Turn, _: Intent) -> None:
        turn.settle()
        turn.say("Left as it is.")

    numbers = [
        whole_words(number)
        for number, step in enumerate(turn.procedure.steps, 1)
        if any(entry.event.step == step.id for entry in lost)
    ]
    what = wording.counted(len(lost), "figure or check", "figures and checks")
    steps = wording.numbered(numbers) if len(numbers) <= 3 else f"{whole_words(len(numbers))} steps"
    prompt = f"{wording.sentence(f'{what} of {steps} will no longer stand')} Redo? Yes or no."
    turn.ask(Question(prompt, {Kind.YES: again, Kind.REDO: again, Kind.NO: leave}))


def skip(turn: Turn, intent: Intent) -> None:
    """Leave the step in view out; the reason is asked for where none was said."""
    index = turn.here

    def leave_out(turn: Turn, reason: str, sounds: bool) -> None:
        turn.settle()
        turn.record(
            StepSkipped,
            step=turn.procedure.steps[index].id,
            reason=reason,
            sounds=turn.sound() if sounds else (),
        )
        lead = f"Step {whole_words(index + 1)} skipped, {reason}."
        following = _open_after(turn, index)
        if following is None:
            turn.say(f"{lead} {LAST_STEP}")
        else:
            enter(turn, following, lead)

    with_reason(turn, intent, "Why is it skipped?", leave_out)


def with_reason(turn: Turn, intent: Intent, prompt: str, then: Callable[[Turn, str, bool], None]) -> None:
    """Call ``then(turn, reason, keep_sound)`` with the reason that was said, or ask for one in free speech."""
    if intent.reason is not None:
        then(turn, intent.reason, False)
        return

    def free(turn: Turn) -> None:
        said = turn.utterance
        words = (said.free_text or said.text) if said else ""
        then(turn, words.strip(" .") or "reason kept as sound", True)

    turn.ask(Question(prompt, free=free, on_expiry="No reason given. Nothing written."))
