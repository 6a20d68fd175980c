"""Asking: everything that is answered from the procedure and the log, and changes nothing."""

from __future__ import annotations

from handsfree.guide.handlers.steps.ordering import first_of
from handsfree.guide.session import Turn
from handsfree.job.state import JobState
from handsfree.measure.formatting import spoken
from handsfree.phrases.intents import Intent
from handsfree.procedure.model import Step
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, sentence, sentences
from handsfree.wording import gaps, instructions


def say_again(turn: Turn, _: Intent) -> None:
    turn.say(turn.session.last_said or instructions.step_words(turn.step, turn.here + 1), carefully=True)


def tell_details(turn: Turn, _: Intent) -> None:
    turn.say(sentence(turn.step.details or "no more is known of this step"))


def tell_fasteners(turn: Turn, _: Intent) -> None:
    parts = turn.step.fasteners
    said = " ".join(map(instructions.fastener, parts)) if parts else "No fasteners at this step."
    turn.say(f"{said} {instructions.tray(turn.step) if parts else ''}".strip())


def tell_lubricants(turn: Turn, _: Intent) -> None:
    parts = turn.step.lubricants
    turn.say(" ".join(map(instructions.lubricant, parts)) if parts else "No lubricant at this step. Leave it dry.")


def tell_cautions(turn: Turn, _: Intent) -> None:
    """Dangers first: of this step, and those that stand from earlier ones; then cautions for the work."""
    here = turn.step
    standing = turn.session.standing_dangers(but=turn.here)
    said = " ".join(filter(None, (instructions.dangers(here), *standing, sentences(here.cautions))))
    turn.say(said or "No cautions at this step.", must_hear=bool(here.dangers or standing))


def tell_why(turn: Turn, _: Intent) -> None:
    turn.say(sentence(turn.step.reason or "no reason is given for this step"))


def tell_limits(turn: Turn, _: Intent) -> None:
    """The limits of what is measured at this step, and its target where one is named."""
    said = []
    for measured in turn.step.characteristics:
        target = f"; aim at {spoken(measured.target)}" if measured.target is not None else ""
        said.append(f"{measured.name}, {instructions.limits_words(measured)}{target}")
    turn.say(sentences(said) or "Nothing is measured at this step.")


def tell_tray(turn: Turn, _: Intent) -> None:
    turn.say(instructions.tray(turn.step) or "No tray is named for this step.")


def tell_tools(turn: Turn, _: Intent) -> None:
    """The tools that have to be at hand, those for measuring among them."""
    step = turn.step
    measuring = [measured.tool for measured in step.characteristics if measured.tool]
    names = [tool.name for tool in (*step.tools, *measuring)]
    turn.say(sentence(listed(list(dict.fromkeys(names)))) or "No tools are named for this step.")


def tell_marks(turn: Turn, _: Intent) -> None:
    turn.say(instructions.marks(turn.step) or "No marks at this step.")


def tell_place(turn: Turn, _: Intent) -> None:
    """Which step, what it still lacks, and the dangers that stand."""
    number, of = whole_words(turn.session.current + 1), whole_words(len(turn.procedure.steps))
    step = turn.procedure.steps[turn.session.current]
    lacking = gaps.of_step(step, turn.state, turn.now)
    turn.session.looking = None
    said = (f"step {number} of {of}", step.act, *lacking)
    turn.say(" ".join((sentences(said), *turn.session.standing_dangers())))


def tell_what_is_left(turn: Turn, _: Intent) -> None:
    """How many steps are left, and what lies open behind."""
    steps = turn.procedure.steps
    open_ = [number for number, step in enumerate(steps, 1) if turn.state.status(step.id) == "open"]
    said = [f"{counted(len(open_), 'step')} left"]
    behind = [number - 1 for number in open_ if number - 1 < turn.session.current]
    if behind:
        said.append(f"left open behind: {first_of(behind)}")
    lacking = gaps.of_job(turn.procedure, turn.state).lacking
    if lacking:
        said.append(f"{counted(len(lacking), 'point')} open in finished steps")
    following = [number for number in open_ if number - 1 > turn.session.current]
    if following:
        said.append(f"after this, step {whole_words(following[0])}: {steps[following[0] - 1].act}")
    turn.say(sentences(said))


def tell_phrases(turn: Turn, _: Intent) -> None:
    """The phrases that fit this step, six at most."""
    turn.say(f"You can say: {listed(phrases_for(turn.step, turn.state), 'or')}.")


def phrases_for(step: Step, state: JobState) -> list[str]:
    """The phrases most likely wanted at a step, six at most."""
    said = ["next"]
    said += [f"log {m.name} and the figure" for m in step.characteristics][:2]
    if step.check and state.check(step.id) is None:
        said.append("yes, no")
    if step.wait:
        said.append("start the timer")
    said += [word for word, parts in (("fasteners", step.fasteners), ("lubricant", step.lubricants)) if parts]
    said += ["repeat", "note", "where am I", "take back"]
    return said[:6]


def tell_last_heard(turn: Turn, _: Intent) -> None:
    heard = turn.session.heard_before
    turn.say(f"I heard: {heard}." if heard else "Nothing was heard before this.")
