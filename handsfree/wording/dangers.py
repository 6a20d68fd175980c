"""Dangers that last, in words: those of the procedure being worked, and those that another of the job began."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from handsfree.job.state import JobState
from handsfree.procedure.model import Danger, Procedure
from handsfree.text.numerals import whole_words
from handsfree.text.prose import listed, sentence
from handsfree.wording import gaps


def since(number: int, danger: Danger, of: str = "") -> str:
    """ "Danger stands since step four. Spring under load."; ``of``: the procedure's title, where several are worked."""
    return f"Danger stands since step {whole_words(number)}{f' of {of}' if of else ''}. {sentence(danger.say)}"


def over(ended: Sequence[Danger]) -> str:
    """ "Danger over. No longer: it is hot."; nothing where none has ended."""
    return f"Danger over. {sentence(f'no longer: {listed([*map(_what, ended)])}')}" if ended else ""


def _what(danger: Danger) -> str:
    """The danger without what to do about it: the first sentence of its words."""
    first = re.split(r"(?<=[.!;]) ", danger.say.strip())[0].rstrip(".!;")
    # Only the first letter: what is written in capitals stays so.
    return f"{first[:1].lower()}{first[1:]}" if first[1:2].islower() else first


def standing(
    procedure: Procedure, state: JobState, others: Mapping[str, Procedure], *, but: int | None = None
) -> list[str]:
    """Every danger that has begun and not ended, with where it began, for the ear.

    ``others``: the job's other procedures by name; ``but``: index of a step of the procedure being worked whose own
    dangers are told without this.
    """
    here = () if but is None else procedure.steps[but].dangers
    own = [since(number, each) for number, each in gaps.standing_dangers(procedure, state) if each not in here]
    return own + [since(number, each, other.title) for other, number, each in elsewhere(state, others)]


def elsewhere(state: JobState, others: Mapping[str, Procedure]) -> Iterator[tuple[Procedure, int, Danger]]:
    """What the job's other procedures (by name) began and have not ended: each with its procedure and the number of its
    step there."""
    for name, other in others.items():
        if name in state.procedures:
            for number, danger in gaps.standing_dangers(other, state.of(name)):
                yield other, number, danger


def for_the_eye(procedure: Procedure, danger: Danger) -> str:
    """ "danger, until step 5 is done: Spring under load."."""
    return f"danger, {lasting(procedure, danger) or 'still there'}: {danger.say}"


def lasting(procedure: Procedure, danger: Danger, began: int | None = None, of: str = "") -> str:
    """ "since step 1, until step 5 is done", for the eye; ``began``: None at the step where it begins; ``of``: the
    procedure's title, where it is not the one being worked.

    Nothing where it begins here and is over with its own step.
    """
    since = f"since step {began}{f' of {of}' if of else ''}" if began else ""
    until = f"until step {procedure.step_number(danger.until)} is done" if danger.until else ""
    return ", ".join(filter(None, (since, until)))
