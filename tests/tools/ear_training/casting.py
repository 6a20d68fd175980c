"""Who speaks with the neural voice, what digits are said, and with what accent: drawn at random, without sound."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

Style = np.ndarray[Any, np.dtype[np.float32]]
WHO = "neural"

AMERICAN = {
    "zero": "zˈɪɹO", "one": "wˈʌn", "two": "tˈu", "three": "θɹˈi", "four": "fˈɔɹ", "five": "fˈIv", "six": "sˈɪks",
    "seven": "sˈɛvən", "eight": "ˈAt", "nine": "nˈIn", "oh": "ˈO", "nought": "nˈɔt", "point": "pˈYnt",
}  # fmt: skip
BRITISH = {
    **AMERICAN, "zero": "zˈɪəɹQ", "two": "tˈuː", "three": "θɹˈiː", "four": "fˈɔː", "oh": "ˈQ", "nought": "nˈɔːt",
}  # fmt: skip
ACCENTS = {
    "zero": ("zˈɛɾo", "sˈiɹO", "zˈeɾo", "zˈɛɹO", "zˈiɹo", "sˈɛɹo"),
    "one": ("wˈɑn", "wˈan", "vˈʌn", "wˈɒn", "ʋˈan", "wˈɔn", "wˈʊn"),
    "two": ("tˈʊ", "ʈˈu", "tˈu", "tˈy"),
    "three": ("tɹˈi", "sɹˈi", "θɾˈi", "tɾˈi", "fɹˈi", "sɾˈi", "θʁˈi", "tʁˈi"),
    "four": ("fˈoɾ", "fˈɔɾ", "fˈɔʁ", "fˈoː", "fˈɔ"), "five": ("fˈIf", "fˈaɪv", "fˈɑɪv", "fˈaɪf", "fˈʌɪv"),
    "six": ("sˈiks", "sˈɪks", "zˈɪks"), "seven": ("sˈɛbən", "sˈevən", "sˈɛvɪn", "zˈɛvən", "sˈævən"),
    "eight": ("ˈet", "ˈɛɪt", "ˈeɪt", "ˈɛt", "ˈaɪt"), "nine": ("nˈaɪn", "nˈɑɪn", "nˈIn", "nˈʌɪn"),
    "oh": ("ˈo", "ˈoː", "ˈɔ"), "nought": ("nˈot", "nˈɒt"), "point": ("pˈɔɪnt", "pˈoɪnt", "pwˈɛnt"),
}  # fmt: skip
"""Words of figures as foreign tongues say them."""
SHIFTS = (
    ("θ", "tsf"), ("ð", "dz"), ("ɹ", "ɾʁr"), ("w", "vʋ"), ("v", "fb"), ("z", "s"), ("ɪ", "i"), ("æ", "ɛa"), ("ʌ", "aɔ"),
    ("A", "eɛ"), ("O", "oɔ"), ("Q", "oɔ"), ("ʤ", "ʧ"), ("ŋ", "n"), ("ə", "ɛa"), ("h", "x"), ("d", "t"), ("ɡ", "k"),
)  # fmt: skip
"""Styles of English and what foreign tongues make of them."""
DIGITS = tuple(AMERICAN)[:10]


@dataclass(frozen=True)
class Speaker:
    """Parts of styles, how far they are from the middle of all, and how this one speaks."""

    parts: tuple[tuple[str, float], ...]
    beyond: float
    pitch: float
    spread: float
    pace: float

    def style(self, known: Mapping[str, Style], middle: Style, length: int) -> Style:
        mixed = sum((share * known[name][length] for name, share in self.parts), np.zeros_like(middle[length]))
        return np.asarray(middle[length] + (mixed - middle[length]) * self.beyond, np.float32)


def anybody(names: list[str], rng: random.Random) -> Speaker:
    """A speaker of a voice's, or made of two to four."""
    english = [name for name in names if name[0] in "ab"]
    beyond = 1.0
    if rng.random() < 0.4:
        pool = english if rng.random() < 0.6 else [name for name in names if name not in english]
        parts: tuple[tuple[str, float], ...] = ((rng.choice(pool), 1.0),)
    else:
        chosen = rng.sample(names, rng.choice((2, 2, 3, 4)))
        weights = [rng.gammavariate(0.8, 1) + 1e-3 for _ in chosen]
        parts = tuple((name, weight / sum(weights)) for name, weight in zip(chosen, weights, strict=True))
        if rng.random() < 0.6:
            beyond = rng.uniform(0.8, 1.35)
    pitch, spread = (float(np.exp(rng.gauss(*moved))) for moved in ((0, 0.13), (-0.05, 0.3)))
    return Speaker(parts, beyond, pitch, spread, rng.uniform(0.78, 1.4))


def digit_sounds(rng: random.Random) -> Mapping[str, str]:
    """How one person says the words of figures: each word always alike."""
    tongue = rng.choices(("american", "british", "foreign"), (0.34, 0.28, 0.38))[0]
    if tongue == "foreign":
        return {
            word: rng.choice(ACCENTS[word]) if rng.random() < 0.5 else rng.choice((AMERICAN, BRITISH))[word]
            for word in AMERICAN
        }
    return AMERICAN if tongue == "american" else BRITISH


def with_accent(phonemes: str, rng: random.Random) -> str:
    for sound, others in SHIFTS:
        if rng.random() < 0.25:
            phonemes = phonemes.replace(sound, rng.choice(others))
    return phonemes


def figure(rng: random.Random) -> list[str]:
    """One to five digits, now and then with a point or a nought."""
    count = rng.choices((1, 2, 3, 4, 5), (0.14, 0.2, 0.3, 0.24, 0.12))[0]
    words = [rng.choice(DIGITS) for _ in range(count)]
    drawn = rng.random()
    if drawn < 0.18 and count > 1:
        words.insert(rng.randrange(1, count), "point")
    if drawn < 0.1 or drawn > 0.94:
        words.insert(0, rng.choice(("oh", "nought", "point")))
    if 0.3 < drawn < 0.38:
        words = [rng.choice(("oh", "nought")) if word == "zero" else word for word in words]
    return words
