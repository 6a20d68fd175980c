"""Dangers that last: those of the procedure being worked, and those that another procedure of the job began."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from handsfree.guide import gaps, wording
from handsfree.measure.wording import whole_words

if TYPE_CHECKING:
    from handsfree.guide.guide import Guide


def standing(guide: Guide, *, but: int | None = None) -> Iterator[str]:
    """Every danger that has begun and not ended, with where it began: "since step four: spring under load".

    ``but``: index of a step of the procedure being worked that is announced with its own dangers.
    """
    for number, danger in gaps.standing_dangers(guide.procedure, guide.state):
        if but is not None and number == but + 1:
            continue
        yield f"Danger stands since step {whole_words(number)}. {wording.sentence(danger.say)}"
    for name, procedure in guide.others.items():
        if name in guide.state.elsewhere:
            for number, danger in gaps.standing_dangers(procedure, guide.state.of(name)):
                where = f"step {whole_words(number)} of {procedure.title}"
                yield f"Danger stands since {where}. {wording.sentence(danger.say)}"
