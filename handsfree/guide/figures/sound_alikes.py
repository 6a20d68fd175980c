"""What else a figure may have been: words that sound alike."""

from __future__ import annotations

from collections.abc import Callable

from handsfree.measure.figure import Figure
from handsfree.phrases.intents import Intent

_STEMS = ("thir", "four", "fif", "six", "seven", "eigh", "nine")
_TEENS = {f"{stem}teen": f"{stem}ty" for stem in _STEMS} | {"fourteen": "forty"}
_SWAPS = _TEENS | {ty: teen for teen, ty in _TEENS.items()}

_FEW = frozenset({"two", "three", "four", "five", "six", "seven", "eight", "nine"})


def sound_alikes(words: tuple[str, ...], interpret: Callable[[tuple[str, ...]], tuple[Intent, ...]]) -> list[Figure]:
    """The figures that ``words`` would mean with a teen taken for a ten, "a two hundredth of a second" for "two
    hundredths of a second", or the other way round."""
    figures = []
    for place, word in enumerate(words):
        swapped = _hundredths(words, place, word)
        if swapped is not None:
            figures += [i.figure for i in interpret(swapped) if i.kind.takes_figure and i.figure is not None]
    for place, word in enumerate(words):
        if word in _SWAPS:
            for intent in interpret((*words[:place], _SWAPS[word], *words[place + 1 :])):
                if intent.kind.takes_figure and intent.figure is not None:
                    figures.append(intent.figure)
    return figures


def _hundredths(words: tuple[str, ...], place: int, word: str) -> tuple[str, ...] | None:
    """The other of "a two hundredth" and "two hundredths" (``place`` is that of the last word), or None."""
    if words[place + 1 : place + 4] != ("of", "a", "second"):
        return None
    before, count = words[: place - 1], words[place - 1 : place]
    if word == "hundredth" and place >= 2 and words[place - 2] == "a" and count[0] in _FEW:
        return (*words[: place - 2], *count, "hundredths", *words[place + 1 :])
    if word == "hundredths" and place >= 1 and count[0] in _FEW:
        return (*before, "a", *count, "hundredth", *words[place + 1 :])
    return None
