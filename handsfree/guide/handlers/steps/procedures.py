"""Changing the procedure within a job: several may be worked on one item, in any order."""

from __future__ import annotations

from handsfree.guide.effects import Change
from handsfree.guide.handlers.job import disassembly
from handsfree.guide.handlers.steps import moving, variants
from handsfree.guide.session import Turn
from handsfree.phrases.intents import Intent
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, sentence


def change(turn: Turn, intent: Intent) -> None:
    """Leave the present procedure where it is and take another one up; who carries it out gets that ready."""
    if intent.name == turn.state.working:
        turn.say(f"This is {turn.procedure.title}. Step {whole_words(turn.session.current + 1)}.")
        return
    turn.say_lead()
    turn.effects.append(Change(intent.name or "", turn.now))


def begin_taking_apart(turn: Turn, _: Intent) -> None:
    """Leave the present procedure where it is: from now on what comes off is said."""
    turn.say_lead()
    turn.effects.append(Change("", turn.now, apart=True))


def tell_procedures(turn: Turn, _: Intent) -> None:
    """Tell the procedures that may be changed to, as they are said."""
    names = turn.session.language.vocabulary.procedures.items()
    others = [said for said, name in names if name != turn.state.working]
    turn.say(f"Change to: {listed(others)}." if others else "There is no other procedure here.")


def taken_up(turn: Turn) -> None:
    """Announce the procedure that was taken up, and what still stands of the others, and go where it was left."""
    if turn.session.worked.apart:
        disassembly.announce(turn)
        return
    current, steps = turn.session.current, turn.procedure.steps
    target: int | None = current
    if turn.state.status(steps[current].id) != "open":
        target = moving.open_after(turn, current)
    standing = turn.session.standing_dangers(but=target)
    lead = " ".join((*standing, f"{turn.procedure.title}."))
    if turn.state.step is None:
        decided = variants.decide_by_serial(turn, turn.state.fact("serial"))
        count = sentence(counted(len(steps), "step"))
        moving.enter(turn, 0, " ".join(filter(None, (lead, count, decided))), lead_must_be_heard=bool(standing))
    elif target is None:
        turn.say(f"{lead} No step of it is open.", must_hear=True)
    else:
        moving.enter(turn, target, lead, lead_must_be_heard=bool(standing))
