"""A person's voice learned from the card or from figures, tried, and kept where it helps."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

import numpy as np

from handsfree.audio.weights import sha256_of
from handsfree.hearing.builtin.recogniser import BuiltinRecogniser
from handsfree.hearing.learning.fitting import FittingSettings, Learner
from handsfree.hearing.learning.known_voice import KnownVoice
from handsfree.hearing.learning.lessons import Said, SaidWords, lessons
from handsfree.hearing.learning.telling import Trial, told
from handsfree.hearing.listening.denoise import cleaned
from handsfree.phrases.language import Language

LEAST_PHRASES = 20
"""From fewer no voice is learned."""


def learned(
    who: str | KnownVoice,
    said: Sequence[Said],
    *,
    recogniser: BuiltinRecogniser,
    language: Language,
    today: date,
    progress: Callable[[float], None] = lambda share: None,
    settings: FittingSettings | None = None,
) -> KnownVoice | None:
    """What was learned of a voice; None where fewer of its phrases are heard rightly by it than without it.

    ``who``: the person's name, or what is known of the voice, to go on from: what was ``said`` is then figures. The
    recogniser, whose grammar must be that of ``language``, hears as it came again afterwards.
    """
    begun = {} if isinstance(who, str) else who.values
    try:
        recogniser.hear_with(begun)
        heard_before = [_heard(recogniser, language, each) for each in said]
        everything = lessons(said, np.random.default_rng(1))
        values = Learner(recogniser.files).learn(everything, settings, progress, begun)
        recogniser.hear_with(values)
        heard_after = [_heard(recogniser, language, each) for each in said]
    finally:
        recogniser.hear_with({})

    def right(each: Said, heard: SaidWords) -> bool:
        return language.meaning(heard) == language.meaning(each.words)

    trials = [
        Trial(each.words, before, after, right(each, before), right(each, after))
        for each, before, after in zip(said, heard_before, heard_after, strict=True)
    ]
    before, after = sum(each.right_before for each in trials), sum(each.right_after for each in trials)
    if after < before:
        return None
    network = sha256_of(recogniser.files.encoder)
    if isinstance(who, str):
        return KnownVoice(who, today, network, values, len(said), told(trials))
    line = f"Then learned from {len(said)} figures: {before} were heard rightly before, {after} after."
    return KnownVoice(who.name, today, network, values, who.phrases + len(said), (*who.told, line))


def _heard(recogniser: BuiltinRecogniser, language: Language, said: Said) -> SaidWords:
    """The likeliest phrase."""
    result = recogniser.recognise(cleaned(said.segment), language.meaning)
    return result.alternatives[0].words if result.alternatives else ()
