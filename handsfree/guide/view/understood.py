"""What was heard and what was made of it, in words for the eye."""

from __future__ import annotations

from dataclasses import dataclass

from handsfree.guide.session import Question
from handsfree.measure.formatting import figure_shown
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.utterance import Hearing, Utterance

_ANSWERS: dict[Kind, str] = {
    Kind.YES: "yes",
    Kind.NO: "no",
    Kind.SET_AGAIN: "set again",
    Kind.ACCEPT: "accept it, and the reason",
    Kind.LEAVE_OPEN: "leave open",
    Kind.FIGURE: "the figure with its unit",
    Kind.GO_TO: "go to step, with its number",
}
"""Answers as they are worth showing; others are further ways of giving the same answer."""


@dataclass(frozen=True)
class Understood:
    """Something that was said and what followed from it."""

    words: str
    made: str
    """What it was taken for, or why for nothing."""


def heard_words(utterance: Utterance, *, dictation: bool, answered: bool, tone: str | None = None) -> Understood | None:
    """``utterance`` in words; ``answered`` is whether anything followed from it, ``tone`` the signal that was given.

    None for talk and noise, which is no business of a screen's.
    """
    if utterance.hearing is Hearing.NONE:
        return Understood(utterance.free_text.strip() or "a sound", "free speech, kept") if dictation else None
    words = utterance.text or utterance.free_text.strip()
    if utterance.hearing is Hearing.NEAR or not utterance.intents or tone == "not caught":
        return Understood(words, "not caught: say it again")
    meaning = _intent_words(utterance.intents[0])
    if utterance.hearing is Hearing.DOUBTFUL and tone == "question":
        return Understood(words, f"in doubt, asked back: {meaning}?")
    return Understood(words, meaning if answered else f"not taken now: {meaning}")


def _intent_words(intent: Intent) -> str:
    figure = figure_shown(intent.figure) if intent.figure is not None else None
    if intent.figure is not None and intent.figure.ambiguous_unit:
        figure = f"{figure} {intent.figure.ambiguous_unit}"
    step = None if intent.step is None else f"step {intent.step}"
    slots = (intent.characteristic, intent.name, intent.occasion, figure, step, intent.reason)
    return ", ".join(filter(None, (intent.kind.value, *slots)))


def answers_of(question: Question) -> tuple[str, ...]:
    """How a question can be answered."""
    said = [words for kind, words in _ANSWERS.items() if kind in question.answers]
    if question.free is not None:
        said.append("the reason, in your own words")
    return (*said, *(() if question.firm else ("drop it",)))[:6]
