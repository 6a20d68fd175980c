"""What every recogniser can do."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from typing import Protocol

from handsfree.audio.samples import Samples
from handsfree.phrases.automaton import WordAutomaton
from handsfree.phrases.utterance import RecognitionResult

Meaning = Callable[[tuple[str, ...]], Hashable | None]
"""What a phrase means, to be compared only; None for a phrase of no use here."""


Bias = Callable[[tuple[str, ...]], float]
"""What to add to a phrase's log probability because of what is expected; at most zero."""


class Recogniser(Protocol):
    """Turns the sound of one utterance into phrases of a grammar."""

    @property
    def name(self) -> str:
        """The name used in logs and reports."""

    def set_grammar(self, automaton: WordAutomaton) -> None:
        """From now on, phrases of ``automaton`` are sought. Slow: once per procedure."""

    def missing_words(self, words: Iterable[str]) -> list[str]:
        """Those of ``words`` that can never be heard, sorted."""

    def recognise(
        self, sound: Samples, meaning: Meaning, *, commands: bool = True, bias: Bias | None = None
    ) -> RecognitionResult:
        """What ``sound`` (one utterance) may have been; without ``commands`` only the free text is sought.

        ``bias`` may be left out of account by a recogniser whose scores can't be weighed.
        """
