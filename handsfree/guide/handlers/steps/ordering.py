"""The order of the steps at the bench: what doing or leaving out a step costs, what can be done now."""

from __future__ import annotations

from collections.abc import Sequence

from handsfree.guide.session import Turn
from handsfree.phrases.intents import Intent
from handsfree.procedure import order
from handsfree.procedure.order import TRAPPING, Cost
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, numbered, sentences
from handsfree.wording import gaps

NAMED = 6
"""Steps named in one breath at most."""


def _steps(positions: Sequence[int]) -> str:
    return numbered([whole_words(at + 1) for at in dict.fromkeys(positions)])


def first_of(positions: Sequence[int]) -> str:
    """Where there are many, the first of them and how many more there are."""
    more = len(positions) - NAMED
    named = [whole_words(at + 1) for at in positions[:NAMED]]
    return numbered([*named, f"{whole_words(more)} more"] if more > 0 else named)


def _are(positions: Sequence[int]) -> str:
    return "are" if len(set(positions)) > 1 else "is"


def cost_of_doing(turn: Turn, index: int) -> str:
    """What doing a step now would cost; nothing where it can well be done."""
    return _words(index, order.costs(turn.procedure.steps, index, turn.state.status))


def _words(index: int, costs: Sequence[Cost]) -> str:
    here, said = f"step {whole_words(index + 1)}", []
    needed = [cost.other for cost in costs if cost.what == "needs"]
    if needed:
        said.append(f"{here} needs {_steps(needed)}, not done yet")
    closed: dict[str, list[int]] = {}
    for cost in costs:
        if cost.what == "closes":
            verb = "shuts in" if cost.way is TRAPPING else "blocks"
            closed.setdefault(f"{verb} the {cost.thing}", []).append(cost.other)
        elif cost.what == "closed":
            said.append(f"the {cost.thing} is {cost.way.closed} since step {whole_words(cost.other + 1)}")
        elif cost.what == "not opened":
            verb = "frees" if cost.way is TRAPPING else "opens"
            said.append(f"only step {whole_words(cost.other + 1)} {verb} the {cost.thing}, and it is not done")
    if closed:
        said.append(f"{'it' if needed else here} {listed([*closed])}")
    shut_out = [other for others in closed.values() for other in others]
    if not set(shut_out) <= set(needed):
        said.append(f"{_steps(sorted(shut_out))} {_are(shut_out)} not done")
    return sentences(said)


def cost_of_leaving_out(turn: Turn, index: int) -> str:
    """What leaving a step out will cost those that follow."""
    costs = order.costs_of_leaving_out(turn.procedure.steps, index, turn.state.status)
    needing = [cost.other for cost in costs if cost.what == "needs"]
    said = [f"{_steps(needing)} {'need' if len(set(needing)) > 1 else 'needs'} it"] if needing else []
    closing: dict[int, list[str]] = {}
    for cost in costs:
        if cost.what == "closes":
            verb = "shut in" if cost.way is TRAPPING else "block"
            closing.setdefault(cost.other, []).append(f"{verb} the {cost.thing}")
    said += [f"step {whole_words(at + 1)} will {listed(what)}" for at, what in closing.items()]
    return sentences(said)


def tell_what_can_be_done(turn: Turn, _: Intent) -> None:
    """The open steps with nothing in their way."""
    able = order.can_be_done(turn.procedure.steps, turn.state.status)
    if not able:
        left = any(turn.state.status(step.id) == "open" for step in turn.procedure.steps)
        turn.say("Nothing can be done without a cost. Say what was left out." if left else "Nothing is left to do.")
        return
    first = turn.session.current if turn.session.current in able else able[0]
    said = [f"{first_of(able)} can be done now"]
    said.append(f"step {whole_words(first + 1)}: {turn.procedure.steps[first].act}")
    turn.say(sentences(said))


def tell_what_was_left_out(turn: Turn, _: Intent) -> None:
    """The steps before this one that are open or were skipped: which can still be done, and what is in the way."""
    steps, status = turn.procedure.steps, turn.state.status
    behind = range(turn.session.current)
    open_ = [at for at in behind if status(steps[at].id) == "open"]
    skipped = [at for at in behind if status(steps[at].id) == "skipped"]
    lacking = gaps.of_job(turn.procedure, turn.state)
    missing = [f"step {whole_words(number)}: {words}" for number, words in lacking.lacking]
    if len(missing) > NAMED:
        missing = [*missing[:NAMED], f"and {counted(len(missing) - NAMED, 'more point')} in finished steps"]
    missing += lacking.parts_words
    if not open_ and not skipped:
        turn.say(sentences(missing) or "Nothing was left out.")
        return

    def as_open(step_id: str) -> str:
        return "open" if steps[at].id == step_id else status(step_id)

    said: list[str] = []
    able: list[int] = []
    for at in sorted((*open_, *skipped)):
        costs = order.costs(steps, at, as_open)
        if not costs:
            able.append(at)
        elif len(said) < NAMED:
            was = "skipped" if at in skipped else "left out"
            said.append(f"step {whole_words(at + 1)} was {was}. {_words(at, costs)}")
    if able:
        said.insert(0, f"{first_of(able)} {'were' if len(able) > 1 else 'was'} left out, and can still be done")
    turn.say(sentences((*said, *missing)))
