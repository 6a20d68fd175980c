"""What is done about a figure out of limits: set again, accepted, or left open."""

from __future__ import annotations

from typing import Any

from handsfree.guide.handlers.steps.moving import with_reason
from handsfree.guide.session import Handler, Question, Turn
from handsfree.job.events import (
    OutcomeGiven,
    ReadingLogged,
)
from handsfree.measure.limits import Decision
from handsfree.phrases.intents import Intent, Kind

OUTCOMES = "Set again, accept it, or leave open?"


def _decide(turn: Turn, id_: str, **decided: Any) -> None:
    """Write what is done about a figure, where the figure belongs."""
    entry = turn.state.entry(id_)
    assert entry is not None
    with turn.belonging_to(turn.state.home_of(id_)):
        turn.record(OutcomeGiven, id=id_, step=entry.event.step, **decided)


def ask_outcome(turn: Turn, entry: str, lead: str) -> None:
    """Ask what is done about a figure out of limits, after its read-back."""
    otherwise = "The figure stands, with nothing decided."
    turn.ask(Question(OUTCOMES, _answers(entry), otherwise=otherwise), lead=lead, settles=entry)


def _answers(entry: str) -> dict[Kind, Handler]:
    """What can be done about a figure out of limits."""

    def again(turn: Turn, _: Intent) -> None:
        turn.settle()
        home = turn.state.home_of(entry)
        _decide(turn, entry, outcome="set again")
        where = "" if home == turn.state.working else f" in {turn.state.procedures[home].title}"
        turn.say(f"Set it again, then log it{where}.")

    def accept(turn: Turn, intent: Intent) -> None:
        turn.settle()

        def accepted(turn: Turn, reason: str, sounds: bool) -> None:
            turn.settle()
            kept = turn.sound() if sounds else ()
            _decide(turn, entry, outcome="accepted", reason=reason, sounds=kept)
            turn.say(f"Accepted out of limits, {reason}.")

        with_reason(turn, intent, "Accepted for what reason?", accepted)

    def leave(turn: Turn, _: Intent) -> None:
        turn.settle()
        _decide(turn, entry, outcome="left open")
        turn.say("Left open. It will be in the review.")

    return {Kind.SET_AGAIN: again, Kind.ACCEPT: accept, Kind.LEAVE_OPEN: leave}


def decide_outcome(turn: Turn, intent: Intent) -> None:
    """An outcome without its question: it is for the newest figure out of limits of this step."""
    for entry in reversed(list(turn.state.entries.values())):
        event = entry.event
        if isinstance(event, ReadingLogged) and event.step == turn.current_step.id and entry.stands:
            if event.is_finding:
                turn.say("A figure as found stands as it is.")
                return
            if event.decision == Decision.OUT.value and entry.outcome in (None, "left open"):
                _answers(event.id)[intent.kind](turn, intent)
                return
            break
    turn.say("No figure of this step is out of limits.")
