"""The ear that hears for a job, or the two of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from handsfree.bench.loops.sources import DICTATION_PHRASES
from handsfree.hearing.disfluency import PatientEar
from handsfree.hearing.ear import Ear
from handsfree.hearing.ensemble import TwoEars
from handsfree.hearing.errors import HearingError
from handsfree.hearing.learning.known_voice import load_voice
from handsfree.hearing.memory import give_back, uncollected
from handsfree.hearing.recogniser import Recogniser
from handsfree.hearing.vosk.models import vosk_model_for
from handsfree.phrases.expectation import NOTHING, Expectation
from handsfree.phrases.language import Language

RecogniserChoice = Literal["auto", "builtin", "untrained", "vosk", "both"]


def open_recogniser(choice: RecogniserChoice, vosk_model: Path | None = None) -> Recogniser:
    """The recogniser that was asked for; "auto" is Vosk where a model is given or found, else the built-in one;
    "untrained" the built-in one as its network came, by which the trained one is measured.

    HearingError where it is not to be had.
    """
    model = vosk_model_for(choice, vosk_model)
    if model is not None:
        from handsfree.hearing.vosk.adapter import VoskRecogniser  # noqa: PLC0415 - the engine that is not asked for is not loaded

        return VoskRecogniser(model)
    from handsfree.hearing.builtin.recogniser import BuiltinRecogniser  # noqa: PLC0415 - the engine that is not asked for is not loaded

    return BuiltinRecogniser(trained=choice != "untrained")


def _called(recogniser: Recogniser) -> str:
    """What a recogniser is called where people read of it; the log has it by its name."""
    return "built-in" if recogniser.name == "builtin" else recogniser.name


def open_ear(
    recogniser: Recogniser, language: Language, expects: Callable[[], Expectation] = lambda: NOTHING
) -> PatientEar:
    """An ear that hears ``language``; ``expects`` tells what is likely to be said next."""
    recogniser.set_grammar(language.automaton)
    ear = Ear(
        recogniser,
        language.interpret,
        dictation_phrases=DICTATION_PHRASES,
        meaning=language.meaning,
        expects=expects,
    )
    return PatientEar(ear, language)


def open_hearing(
    choice: RecogniserChoice,
    vosk_model: Path | None,
    language: Language,
    expects: Callable[[], Expectation] = lambda: NOTHING,
) -> OpenHearing:
    """The ear, or the two ears, that were asked for. HearingError where they are not to be had."""
    names: tuple[RecogniserChoice, ...] = ("builtin", "vosk") if choice == "both" else (choice,)
    with uncollected():
        # The networks may be on their way meanwhile.
        _ = language.automaton
        recognisers = [open_recogniser(name, vosk_model) for name in names]
        # What loading them took is free again for the grammar. Side by side they would be ready 0.2 s sooner, and want
        # 60 MB more at a time.
        give_back()
        notes = [line for recogniser in recognisers for line in unknown_words(recogniser, language)]
        ears = [open_ear(recogniser, language, expects) for recogniser in recognisers]
    name = " and ".join(map(_called, recognisers))
    give_back()
    return OpenHearing(
        ear=ears[0] if len(ears) == 1 else TwoEars(ears[0], ears[1]),
        name=name,
        notes=notes,
        recognisers=recognisers,
    )


@dataclass
class OpenHearing:
    """An ear ready to hear, what it is called, and what the user should know of it before the job begins."""

    ear: PatientEar | TwoEars
    name: str
    notes: list[str]
    recognisers: Sequence[Recogniser] = ()
    _tuned_to: str | None = None

    def hear_as(self, name: str | None) -> str:
        """Hear from now on as it was learned of this person's voice: as it came where nothing was, or the file can't be
        used. A sentence for the user where there is something to tell, else empty."""
        from handsfree.hearing.builtin.recogniser import BuiltinRecogniser  # noqa: PLC0415 - the engine that is not asked for is not loaded

        line, tuned = "", False
        for recogniser in self.recognisers:
            if not isinstance(recogniser, BuiltinRecogniser):
                continue
            network = next(iter(recogniser.files.trained_sha256.values()), "")
            try:
                voice = load_voice(name, network) if name and network else None
                if voice is not None:
                    recogniser.hear_with(voice.values)
                    tuned, line = True, f"Hearing is tuned to {voice.name} (learned {voice.made})."
            except HearingError as error:
                line = str(error)
            if not tuned and self._tuned_to is not None:
                recogniser.hear_with({})
        self._tuned_to = name if tuned else None
        return line


def unknown_words(recogniser: Recogniser, language: Language) -> list[str]:
    """Which words of the language ``recogniser`` can never hear: first those of the procedure, then the rest."""
    missing = set(recogniser.missing_words(language.automaton.words))
    names = language.vocabulary.characteristics
    unheard = [name for name in names if missing & set(name.split())]
    timers = [name for name in language.vocabulary.timers if missing & set(name.split())]
    lines = []
    for name in (*unheard, *timers):
        words = ", ".join(f'"{word}"' for word in name.split() if word in missing)
        lines.append(
            f'The {_called(recogniser)} recogniser does not know {words}: "{name}" can\'t be heard; give another '
            "name for it in the procedure (also:)."
        )
    rest = sorted(missing - {word for name in (*unheard, *timers) for word in name.split()})
    if rest:
        lines.append(
            f"The {_called(recogniser)} recogniser does not know these words of the commands: {', '.join(rest)}."
        )
    return lines


class Following:
    """Hears as whoever is at the bench: told whenever something may have changed there."""

    def __init__(self, hearing: OpenHearing, worker: Callable[[], str | None], tell: Callable[[str], None]) -> None:
        """``worker`` says who is at the bench now; ``tell`` is given what the user should know."""
        self._hearing, self._worker, self._tell = hearing, worker, tell
        self._known: str | None = None

    def __call__(self) -> None:
        worker = self._worker()
        if worker == self._known:
            return
        self._known = worker
        if line := self._hearing.hear_as(worker):
            self._tell(line)
