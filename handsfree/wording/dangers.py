"""Dangers that last, in words: those of the procedure being worked, and those that another of the job began."""

from __future__ import annotations

from collections.abc import Mapping

from handsfree.job.state import JobState
from handsfree.procedure.model import Danger, Procedure
from handsfree.text.numerals import whole_words
from handsfree.text.prose import sentence
from handsfree.wording import gaps


def since(number: int, danger: Danger, of: str = "") -> str:
    """ "Danger stands since step four. Spring under load."; ``of``: the procedure's title, where several are worked."""
    return f"Danger stands since step {whole_words(number)}{f' of {of}' if of else ''}. {sentence(danger.say)}"


def standing(
    procedure: Procedure, state: JobState, others: Mapping[str, Procedure], *, but: int | None = None
) -> list[str]:
    """Every danger that has begun and not ended, with where it began, for the ear.

    ``others``: the job's other procedures by name; ``but``: index of a step of the procedure being worked whose own
    dangers are told without this.
    """
    here = () if but is None else procedure.steps[but].dangers
    own = [since(number, each) for number, each in gaps.standing_dangers(procedure, state) if each not in here]
    return own + [
        since(number, each, other.title)
        for name, other in others.items()
        if name in state.procedures
        for number, each in gaps.standing_dangers(other, state.of(name))
    ]


def for_the_eye(procedure: Procedure, danger: Danger) -> str:
    """ "danger, until step 5 is done: Spring under load."."""
    until = f"until step {procedure.step_number(danger.until)} is done" if danger.until else "still there"
    return f"danger, {until}: {danger.say}"
