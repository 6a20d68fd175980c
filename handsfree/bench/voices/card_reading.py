"""The card read aloud by one person, hands free: what is asked for next, and what is made of each thing said."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

from handsfree.audio.levels import of_the_voice, sounding
from handsfree.audio.samples import seconds_of
from handsfree.hearing.learning.card import CARD, card_words
from handsfree.hearing.learning.lessons import SaidWords
from handsfree.hearing.listening.endpoints import Segment
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.utterance import Hearing, Utterance

MOST_ASKED = 3
"""So often one phrase is asked for; then the next one is."""
LONGEST_WORD, LONGEST_PAUSE = 0.9, 1.5
"""Seconds: what takes longer than this, for each word and beyond that, holds more than the phrase."""

GOING_ON = "Going on."


@dataclass(frozen=True)
class Answer:
    """What was made of one thing said: the sentence that answers (perhaps empty), and the number of the phrase whose
    sound is to be kept."""

    says: str = ""
    keep: int | None = None


class CardReading:
    """Walks the card. ``said`` are the numbers of the phrases (from 0) that were said before."""

    def __init__(
        self, said: Iterable[int], interpret: Callable[[SaidWords], tuple[Intent, ...]], card: tuple[str, ...] = CARD
    ) -> None:
        self._card = card
        self._interpret = interpret
        self._said = set(said)
        self._left_out: set[int] = set()
        self._order: list[int] = []
        self._tries = 0
        self.state: Literal["reading", "standing by", "left"] = "reading"

    @property
    def number(self) -> int | None:
        """The phrase that is asked for; None where there is none left."""
        return next((i for i in range(len(self._card)) if i not in self._said | self._left_out), None)

    @property
    def over(self) -> bool:
        """Whether nothing more is to be heard."""
        return self.state == "left" or self.number is None

    @property
    def phrase(self) -> str:
        """What is asked for; empty where nothing is."""
        return self._card[self.number] if self.number is not None and self.state == "reading" else ""

    @property
    def place(self) -> str:
        """Where the reading stands: "phrase 3 of 40"."""
        return f"phrase {len(self._said | self._left_out) + 1} of {len(self._card)}"

    def hear(self, segment: Segment, utterance: Utterance) -> Answer:
        """What is made of one thing said."""
        number = self.number
        if number is None or self.state == "left":
            return Answer()
        kinds = {intent.kind for intent in utterance.intents} if utterance.hearing is Hearing.CLEAR else set()
        if self.state == "standing by":
            if Kind.COME_BACK not in kinds:
                return Answer()
            self.state = "reading"
            return Answer(GOING_ON)
        if (steered := self._steer(kinds)) is not None:
            return steered
        self._tries += 1
        wrong = self._wrong(segment, utterance, number)
        if wrong and self._tries < MOST_ASKED:
            return Answer(wrong)
        tries, self._tries = self._tries, 0
        if wrong and tries >= MOST_ASKED and not wrong.startswith("I heard"):
            self._left_out.add(number)
            return Answer("Left out.")
        self._said.add(number)
        self._order.append(number)
        return Answer(keep=number)

    def _steer(self, kinds: set[Kind]) -> Answer | None:
        """What was said to steer the reading: none of it is on the card."""
        if Kind.STAND_BY in kinds:
            self.state = "standing by"
            return Answer("Standing by. Say: back at the bench.")
        if Kind.PAUSE in kinds:
            self.state = "left"
            return Answer("What was said is kept.")
        if Kind.CANCEL in kinds:
            self._tries = 0
            if self._order:
                self._said.discard(self._order.pop())
            return Answer("Once more.")
        return Answer("Once more.") if Kind.REPEAT in kinds else None

    def _wrong(self, segment: Segment, utterance: Utterance, number: int) -> str:
        """Why the phrase must be said again; empty where it need not."""
        words = card_words(self._card[number])
        if segment.part or segment.end - segment.start > LONGEST_PAUSE + LONGEST_WORD * len(words):
            return "That was long. Only the phrase."
        if seconds_of(segment.samples) and (problems := of_the_voice(sounding(segment.samples))):
            return f"Once more: {problems[0].partition(':')[0]}."
        if (
            self._tries == 1
            and utterance.hearing is Hearing.CLEAR
            and set(utterance.intents).isdisjoint(self._interpret(words))
        ):
            # A slip of the tongue, or just what is to be learned: the second time it is taken as said.
            return f"I heard {utterance.text}. Once more."
        return ""
