"""Who is at the bench in words, and why somebody may not check or sign."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from handsfree.job.state import JobState
from handsfree.procedure.model import Procedure
from handsfree.text.prose import listed
from handsfree.wording.gaps import waits_for_check

_NOBODY = "Say who {does} first: this is, and the name."


def check_refused(state: JobState, step: str) -> str:
    """Why whoever is at the bench may not answer the check of a step that another has to answer; empty: they may."""
    if state.worker is None:
        return _NOBODY.format(does="checks")
    hands = state.hands_at(step)
    if state.worker in hands:
        return f"{state.worker} did this step, so another has to check it."
    if None in hands:
        return "Nobody was named for this step. Whoever did it: say this is, the name, and redo this step."
    return ""


def sign_off_refused(state: JobState, name: str | None) -> str:
    """Why this person may not sign a job that another has to sign; empty: they may."""
    if name is None:
        return _NOBODY.format(does="signs")
    if name.casefold() in {hand.casefold() for hand in state.hands if hand}:
        return f"{name} worked on this job, so another has to sign it."
    return ""


@dataclass(frozen=True)
class WaitingCheck:
    """A step that is done but for the check of another person."""

    procedure: str
    """The name of its procedure."""
    title: str
    number: int
    act: str
    by: str
    """Who did it: "Jo Tern"; empty: nobody who was named."""


def waiting_checks(procedures: Mapping[str, Procedure], state: JobState, now: datetime) -> Iterator[WaitingCheck]:
    """The steps of a job that wait for the check of another person; ``procedures`` are as they are for its item."""
    for name, procedure in procedures.items():
        there = state.of(name)
        for number, step in enumerate(procedure.steps, 1):
            if waits_for_check(step, there, now):
                by = listed(sorted(hand for hand in there.hands_at(step.id) if hand))
                yield WaitingCheck(name, procedure.title, number, step.act.rstrip("."), by)
