"""The answer to the check of a step."""

from __future__ import annotations

from handsfree.guide.handlers import attendance
from handsfree.guide.session import Turn
from handsfree.job.events import (
    CheckAnswered,
)
from handsfree.phrases.intents import Intent, Kind


def answer(turn: Turn, intent: Intent) -> None:
    """Yes or no without a question: the answer to the check of this step."""
    step = turn.current_step
    assert step.check is not None
    if attendance.check_is_refused(turn):
        return
    passed = intent.kind is Kind.YES
    turn.record(
        CheckAnswered,
        step=step.id,
        id=turn.state.next_id,
        question=step.check,
        passed=passed,
    )
    turn.say("Check passed." if passed else "Check failed. It is in the log.")
