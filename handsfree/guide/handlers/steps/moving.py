"""Moving through the procedure: next, done, looking, going, redoing, skipping."""

from __future__ import annotations

from collections.abc import Callable

from handsfree.guide.handlers.figures import checks
from handsfree.guide.handlers.steps import ordering, variants
from handsfree.guide.session import Question, Turn
from handsfree.job.events import CheckAnswered, StepDone, StepEntered, StepRedone, StepSkipped
from handsfree.phrases.commands.reasons import REASONS
from handsfree.phrases.intents import Intent, Kind
from handsfree.procedure.model import Procedure, Step
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, numbered, sentence, sentences
from handsfree.wording import dangers, gaps, instructions, tally

LAST_STEP = "That was the last step. Say finish the job."
STAYING = "Staying here."


def enter(
    turn: Turn,
    index: int,
    lead: str = "",
    *,
    parts_asked: bool = False,
    cost_told: bool = False,
    lead_must_be_heard: bool = False,
) -> None:
    """Go to a step and announce it after ``lead``, once everything is known of the item that it depends on; before a
    cover is closed, what is not accounted for is asked about. ``cost_told``: what it costs was told and agreed to."""
    turn.session.looking = None
    questions = variants.needed(turn, index)
    if questions:
        variants.ask_variant(turn, questions[0], lambda turn, lead: enter(turn, index, lead, cost_told=cost_told), lead)
        return
    step = turn.procedure.steps[index]
    if turn.state.status(step.id) == "not needed":
        _go_on(turn, index, lead)
        return
    if step.closes_cover and not parts_asked and turn.state.step != step.id:
        uneven = tally.before_cover(turn.procedure, turn.state, index)
        if uneven:
            _ask_about_parts(turn, index, lead, uneven, cost_told=cost_told, lead_must_be_heard=lead_must_be_heard)
            return
    before = turn.state.step
    is_open = turn.state.status(step.id) == "open"
    cost = ordering.cost_of_doing(turn, index) if is_open and not cost_told else ""
    unmade = _unmade_marks(turn, step)
    turn.record(StepEntered, step=step.id)
    briefly = turn.session.briefly
    wait = gaps.wait_words(step, turn.state, turn.now)
    words = instructions.step_words(step, index + 1, briefly=briefly, wait=wait)
    group = _new_group(turn.procedure, before, step)
    said = " ".join(filter(None, (lead, cost, unmade, group, words)))
    turn.say(said, must_hear=lead_must_be_heard or bool(step.dangers or cost or unmade))
    following = open_after(turn, index)
    if following is not None:
        turn.prepare(instructions.step_words(turn.procedure.steps[following], following + 1, briefly=briefly))


def _ask_about_parts(
    turn: Turn, index: int, lead: str, uneven: str, *, cost_told: bool, lead_must_be_heard: bool
) -> None:
    turn.confirm(
        f"{uneven} Go on to close the cover? Yes or no.",
        lambda turn: enter(turn, index, parts_asked=True, cost_told=cost_told),
        "Staying here. The cover stays off.",
        otherwise="The cover stays off.",
        lead=lead,
        must_hear=lead_must_be_heard,
    )


def _new_group(procedure: Procedure, before: str | None, step: Step) -> str:
    groups = [other.group for other in procedure.steps if other.id == before]
    return sentence(step.group) if step.group and step.group not in groups else ""


def _unmade_marks(turn: Turn, step: Step) -> str:
    """A warning of marks that come together here and were never made."""
    makers = [(name, turn.procedure.maker_of(name)) for name in step.meets]
    not_done = [(name, maker) for name, maker in makers if maker and turn.state.status(maker.id) != "done"]
    return sentences(
        f"the {instructions.mark_called(name)} was not made: "
        f"step {whole_words(turn.procedure.step_number(maker.id))} is not done"
        for name, maker in not_done
    )


def _go_on(turn: Turn, here: int, lead: str = "") -> None:
    """To the next open step; between two stages only when that is agreed to."""
    following = open_after(turn, here)
    if following is None:
        turn.say(f"{lead} {LAST_STEP}".strip())
        return
    if following < here:
        lead = f"{lead} Step {whole_words(following + 1)} was left open.".strip()
    step, to = turn.current_step, turn.procedure.steps[following]
    if step.stop is None or to.stage == step.stage:
        enter(turn, following, lead)
        return

    standing = turn.session.standing_dangers()
    ended = sentences((f"end of stage {step.stage}", step.stop))
    turn.confirm(
        "Say next to go on, or pause the job.",
        lambda turn: enter(turn, following),
        STAYING,
        also=[Kind.NEXT],
        waits=True,
        lead=" ".join(filter(None, (lead, *standing, ended))),
        must_hear=bool(standing),
    )


def open_after(turn: Turn, index: int) -> int | None:
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

    def finish(turn: Turn) -> None:
        before = gaps.standing_dangers(turn.procedure, turn.state)
        turn.record(StepDone, step=step.id, missing=lacking, put_back=tally.put_back(step, turn.state))
        after = gaps.standing_dangers(turn.procedure, turn.state)
        over = [danger for number, danger in before if (number, danger) not in after and danger.until == step.id]
        then(turn, dangers.over(over))

    if not lacking:
        finish(turn)
        return
    if gaps.waits_for_check(step, turn.state, turn.now):
        # It stays open until then: what needs it says so.
        then(turn, f"Step {whole_words(turn.here + 1)} waits for the check of another.")
        return

    if lacking == (gaps.NOT_ANSWERED,) and step is turn.current_step:
        _put_check(turn, finish)
        return

    prompt = f"{sentence(listed(lacking))} Go on without? Yes or no."
    turn.confirm(prompt, finish, STAYING)


def _put_check(turn: Turn, finish: Callable[[Turn], None]) -> None:
    """Put the check that alone is wanting: a yes to any other question may be meant for it. Going on once more asks
    whether it is left out."""

    def passed(turn: Turn, intent: Intent) -> None:
        turn.settle()
        checks.answer(turn, intent)
        finish(turn)

    def failed(turn: Turn, intent: Intent) -> None:
        turn.settle()
        checks.answer(turn, intent)

    def go_on(turn: Turn, _: Intent) -> None:
        turn.settle()
        turn.confirm("Go on without the check? Yes or no.", finish, STAYING)

    answers = {Kind.YES: passed, Kind.NO: failed, Kind.NEXT: go_on, Kind.DONE: go_on}
    prompt = f"{sentence(f'first the check: {turn.current_step.check}')} Yes or no."
    turn.ask(Question(prompt, answers, otherwise=STAYING))


def next_step(turn: Turn, _: Intent) -> None:
    """The step at which the job stands is done; go on to the next open one. Looking elsewhere has ended."""
    turn.session.looking = None
    here = turn.here

    _finish_step(turn, lambda turn, lead: _go_on(turn, here, lead))


def done(turn: Turn, _: Intent) -> None:
    """The step in view is done; stay."""
    number = whole_words(turn.here + 1)

    def stay(turn: Turn, lead: str) -> None:
        done = "" if turn.state.status(turn.step.id) == "open" else f"Step {number} done."
        turn.say(f"{lead} {done}".strip())

    _finish_step(turn, stay)


_LOOKING = {
    "done": "Only looking, it is done already.",
    "skipped": "Only looking, it was skipped.",
    "not needed": "Only looking, it does not apply to this item.",
}
"""Before the step: after it, "done" would seem to be the answer to its check."""


def _look(turn: Turn, index: int, edge: str) -> None:
    if not 0 <= index < len(turn.procedure.steps):
        turn.say(edge)
        return
    turn.session.looking = index
    step = turn.procedure.steps[index]
    looking = _LOOKING.get(turn.state.status(step.id), "Only looking.")
    turn.say(f"{looking} {instructions.step_words(step, index + 1)}")


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
    target = turn.procedure.steps[index]
    if turn.state.status(target.id) == "not needed":
        why = listed([f"{name}, {turn.state.answers.get(name, '')}" for name in target.only_if])
        turn.say(f"{sentence(f'step {whole_words(index + 1)} does not apply to this item: {why}')} Still here.")
        return
    cost = ordering.cost_of_doing(turn, index) if turn.state.status(target.id) == "open" else ""
    if not cost:
        _jump(turn, index)
        return
    turn.confirm(f"{cost} Go there anyway? Yes or no.", lambda turn: _jump(turn, index, cost_told=True), STAYING)


def _jump(turn: Turn, index: int, *, cost_told: bool = False) -> None:
    passed_over = sum(
        turn.state.status(step.id) == "open" for step in turn.procedure.steps[turn.session.current : index]
    )
    lead = f"{counted(passed_over, 'step').capitalize()} passed over, still open." if passed_over else ""
    left = _dangers_left(turn) if index != turn.session.current else []
    enter(turn, index, " ".join((*left, lead)).strip(), cost_told=cost_told, lead_must_be_heard=bool(left))


def _dangers_left(turn: Turn) -> list[str]:
    """The dangers that stand since the step at which the job is, where that is left open."""
    number = turn.session.current + 1
    if turn.state.status(turn.current_step.id) != "open":
        return []
    standing = gaps.standing_dangers(turn.procedure, turn.state)
    return [dangers.since(began, danger) for began, danger in standing if began == number]


def redo(turn: Turn, intent: Intent) -> None:
    """Do a step again. Its figures and checks, and those of the steps that rest on it, no longer stand."""
    index = _index(turn.procedure, intent.step, turn.here)
    if index is None:
        _no_such_step(turn)
        return
    step_id = turn.procedure.steps[index].id
    stale = (step_id, *turn.procedure.resting_on(step_id))
    cost = ordering.cost_of_doing(turn, index)
    lost = [entry for entry in turn.state.going_stale(stale) if entry.stands]

    def again(turn: Turn) -> None:
        turn.record(StepRedone, step=step_id, stale_steps=stale)
        lead = "To be proved again." if lost else ""
        enter(turn, index, lead, cost_told=bool(cost))

    if not lost and not cost:
        again(turn)
        return

    numbers = [
        whole_words(number)
        for number, step in enumerate(turn.procedure.steps, 1)
        if any(entry.event.step == step.id for entry in lost)
    ]
    checks = sum(isinstance(entry.event, CheckAnswered) for entry in lost)
    counts = ((len(lost) - checks, "figure"), (checks, "check"))
    what = listed([counted(count, one) for count, one in counts if count])
    steps = numbered(numbers) if len(numbers) <= 3 else f"{whole_words(len(numbers))} steps"
    stands = sentence(f"{what} of {steps} will no longer stand") if lost else ""
    prompt = " ".join(filter(None, (cost, stands, "Redo? Yes or no.")))
    turn.confirm(prompt, again, "Left as it is.")


def skip(turn: Turn, intent: Intent) -> None:
    """Leave the step in view out; the reason is asked for where none was said."""
    index = turn.here
    cost = ordering.cost_of_leaving_out(turn, index)

    def leave_out(turn: Turn, reason: str, sounds: bool) -> None:
        turn.settle()
        turn.record(
            StepSkipped,
            step=turn.procedure.steps[index].id,
            reason=reason,
            sounds=turn.sound() if sounds else (),
        )
        lead = f"Step {whole_words(index + 1)} skipped, {reason}. {cost if intent.reason else ''}".strip()
        _go_on(turn, index, lead)

    with_reason(turn, intent, f"{cost} Why is it skipped?".strip(), leave_out)


def ask_again(turn: Turn, _: Intent) -> None:
    """The last answer about the item was wrong: put its question again. Where it changes which steps apply, go on."""
    name = variants.last_asked(turn)
    if name is None:
        turn.say("Nothing was asked about this item yet.")
        return
    variants.ask_variant(turn, name, lambda turn, lead: enter(turn, turn.session.current, lead))


def with_reason(turn: Turn, intent: Intent, prompt: str, then: Callable[[Turn, str, bool], None]) -> None:
    """Call ``then(turn, reason, keep_sound)`` with the reason that was said, or ask for one in free speech."""
    if intent.reason is not None:
        then(turn, intent.reason, intent.reason not in REASONS)
        return

    def free(turn: Turn) -> None:
        said = turn.utterance
        words = (said.free_text or said.text) if said else ""
        then(turn, words.strip(" .") or "reason kept as sound", True)

    turn.ask(Question(prompt, free=free))
