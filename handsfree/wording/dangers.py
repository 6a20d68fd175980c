"""Dangers that last: those of the procedure being worked, and those that another procedure of the job began."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handsfree.job.state import JobState
from handsfree.procedure.model import Procedure
from handsfree.text.numerals import whole_words
from handsfree.text.prose import sentence
from handsfree.wording import gaps


def standing(
    procedure: Procedure, state: JobState, others: Mapping[str, Procedure], *, but: int | None = None
) -> Iterator[str]:
    """Every danger that has begun and not ended, with where it began: "since step four: spring under load".

    ``others``: the job's other procedures by name; ``but``: index of a step of the procedure being worked that is
    announced with its own dangers.
    """
    for number, danger in gaps.standing_dangers(procedure, state):
        if but is not None and number == but + 1:
            continue
        yield f"Danger stands since step {whole_words(number)}. {sentence(danger.say)}"
    for name, other in others.items():
        if name in state.elsewhere:
            for number, danger in gaps.standing_dangers(other, state.of(name)):
                where = f"step {whole_words(number)} of {other.title}"
                yield f"Danger stands since {where}. {sentence(danger.say)}"
