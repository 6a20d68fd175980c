"""What is learned from: each thing said, as it was, in noise and joined to strings; and how it may be written."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from handsfree.audio.noise import Noise, hum, pink
from handsfree.audio.samples import SAMPLE_RATE, Samples, at_speed, silence
from handsfree.hearing.builtin.trie import OTHER_SPELLINGS
from handsfree.hearing.listening.denoise import WINDOW_LENGTH, cleaned, loud_level
from handsfree.hearing.listening.endpoints import LEAD, PADDING, Segment
from handsfree.text.numerals import DIGITS, NOUGHTS, TENS

SaidWords = tuple[str, ...]

NOISES: tuple[tuple[Callable[[int, np.random.Generator], Noise], float], ...] = ((pink, 20), (pink, 10), (hum, 10))
"""Noises that are added, and how many dB they lie below the voice."""
STRINGS = 60
"""Strings of digits that are joined of digits said alone: without them, digits in a row gained nothing."""
LEAST_DIGITS = 5
"""With fewer different digits said alone no strings are made."""
FASTER = 0.1
"""Share by which what is in noise is said faster or more slowly."""

_SINGLE = frozenset((*DIGITS, *NOUGHTS))


@dataclass(frozen=True)
class Said:
    """A phrase of the card, and its sound."""

    words: SaidWords
    segment: Segment


@dataclass(frozen=True)
class Lesson:
    """A sound as the network is given it, and what is said in it. ``plain`` is its sound without added noise."""

    words: SaidWords
    sound: Samples
    plain: Samples


def lessons(said: Sequence[Said], rng: np.random.Generator) -> list[Lesson]:
    """Everything that is learned from what was ``said``."""
    found: list[Lesson] = []
    for each in said:
        noises = NOISES if len(each.words) == 1 else (NOISES[rng.integers(len(NOISES))],)
        found += _in_noise(each, noises, rng)
    for each in _strings([each for each in said if len(each.words) == 1 and each.words[0] in _SINGLE], rng):
        found += _in_noise(each, (NOISES[rng.integers(len(NOISES))],), rng)
    return found


def _in_noise(
    said: Said,
    noises: Sequence[tuple[Callable[[int, np.random.Generator], Noise], float]],
    rng: np.random.Generator,
) -> list[Lesson]:
    plain = cleaned(said.segment)
    found = [Lesson(said.words, plain, plain)]
    for noise, decibels in noises:
        faster = at_speed(said.segment.samples, rng.uniform(1 - FASTER, 1 + FASTER))
        segment = noisy(replace(said.segment, samples=faster), noise, decibels, rng)
        found.append(Lesson(said.words, cleaned(segment), plain))
    return found


def noisy(
    segment: Segment, noise: Callable[[int, np.random.Generator], Noise], decibels: float, rng: np.random.Generator
) -> Segment:
    """``segment`` in a noise that lies ``decibels`` below the voice, and that was there before it."""
    before = segment.before
    if len(before) < WINDOW_LENGTH:
        before = silence(LEAD)
    level = loud_level(segment.samples) / 10 ** (decibels / 20)
    added = (noise(len(before) + len(segment.samples), rng) * level).astype(np.float32)
    return replace(segment, before=before + added[: len(before)], samples=segment.samples + added[len(before) :])


def _strings(digits: Sequence[Said], rng: np.random.Generator) -> list[Said]:
    """Digits said alone, joined to strings of two to four."""
    if len({each.words for each in digits}) < LEAST_DIGITS:
        return []
    found = []
    for _ in range(STRINGS):
        chosen = [digits[i] for i in rng.integers(len(digits), size=rng.choice((2, 3, 3, 4)))]
        loudest = max(float(np.abs(each.segment.samples).max()) for each in chosen)
        parts = [silence(PADDING)]
        for each in chosen:
            speech = _speech(each.segment)
            parts += [speech * (loudest / max(float(np.abs(speech).max()), 1e-6)), silence(rng.uniform(0.03, 0.12))]
        sound = np.concatenate([*parts[:-1], silence(PADDING)])
        room = chosen[0].segment.before
        if len(room):
            sound = sound + np.resize(room, len(sound)) * (np.abs(sound) == 0)
        words = tuple(word for each in chosen for word in each.words)
        found.append(Said(words, replace(chosen[0].segment, samples=sound.astype(np.float32))))
    return found


def _speech(segment: Segment) -> Samples:
    """The sound between the quiet at both ends."""
    length = round((segment.end - segment.start) * SAMPLE_RATE)
    tail = round(PADDING * SAMPLE_RATE)
    end = max(len(segment.samples) - tail, 1)
    return segment.samples[max(0, end - length) : end]


def spellings(words: str) -> list[str]:
    """How the network may write ``words``: with hyphens, commas, a full stop, and capitals or without."""
    parts = words.split()
    hyphened: list[str] = []
    for word in parts:
        if hyphened and hyphened[-1] in TENS and word in DIGITS:
            hyphened[-1] = f"{hyphened[-1]}-{word}"
        else:
            hyphened.append(word)
    forms = [" ".join(hyphened), " ".join(parts)]
    if all(word in _SINGLE for word in parts):
        forms.append(", ".join(parts))
    capital = [form[:1].upper() + form[1:] for form in forms]
    return list(dict.fromkeys([*(f"{form}." for form in capital), *capital]))


def all_spellings(words: str) -> list[str]:
    """The same, and with words in their place that sound like one of them."""
    parts = words.split()
    found = spellings(words)
    for place, word in enumerate(parts):
        for other in OTHER_SPELLINGS.get(word, ()):
            found += spellings(" ".join([*parts[:place], other, *parts[place + 1 :]]))
    return found
