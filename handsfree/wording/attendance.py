"""Who is at the bench in words, and why somebody may not check or sign."""

from __future__ import annotations

from handsfree.job.state import JobState

_NOBODY = "Say who {does} first: this is, and the name."


def check_refused(state: JobState, step: str) -> str:
    """Why whoever is at the bench may not answer the check of a step that another has to answer; empty: they may."""
    if state.worker is None:
        return _NOBODY.format(does="checks")
    hands = state.hands_at(step)
    if state.worker in hands:
        return f"{state.worker} did this step, so another has to check it."
    if None in hands:
        return "Nobody was named for this step: whoever did it says so, and redo this step."
    return ""


def sign_off_refused(state: JobState, name: str | None) -> str:
    """Why this person may not sign a job that another has to sign; empty: they may."""
    if name is None:
        return _NOBODY.format(does="signs")
    if name.casefold() in {hand.casefold() for hand in state.hands if hand}:
        return f"{name} worked on this job, so another has to sign it."
    return ""
