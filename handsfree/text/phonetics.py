"""How English words sound, roughly: letters to phones by rule, and how far two names are apart in phones.

The rules are few and know few exceptions. They need not find how a word is said, only whether two words may be taken
for each other: what is spelt alike in sound comes out alike. They are held against a dictionary in the tests.
"""

from __future__ import annotations

import re
from functools import lru_cache

from handsfree.text.numerals import numerals_spelled, ungrouped

SIMILAR = 0.34
"""Two names whose phones differ by no more than this share of the longer one are easily taken for each other."""

# Tried in this order at each place of a word. Phones are single letters: capitals for what two letters write.
_RULES: tuple[tuple[str, str], ...] = (
    ("tion", "Sn"), ("sion", "Sn"), ("ough", "V"), ("augh", "of"), ("eigh", "A"), ("igh", "I"), ("ture", "Ce"),
    ("alk", "ok"), ("nk", "Nk"), ("ngel", "Ngel"),
    ("tch", "C"), ("dge", "J"), ("sch", "sk"), ("qu", "kw"), ("ck", "k"), ("ch", "C"), ("sh", "S"), ("th", "T"),
    ("ph", "f"), ("wh", "w"), ("wr", "r"), ("kn", "n"), ("gn", "n"), ("gh", "g"), ("ng", "N"), ("mb", "m"),
    ("ee", "E"), ("ea", "E"), ("ie", "E"), ("ei", "A"), ("ai", "A"), ("ay", "A"), ("ey", "E"), ("oa", "O"), ("oe", "O"),
    ("oo", "U"), ("ou", "W"), ("ow", "W"), ("oi", "Y"), ("oy", "Y"), ("au", "o"), ("aw", "o"), ("ew", "U"), ("ue", "U"),
    ("oar", "o"), ("oor", "o"), ("ar", "Q"), ("er", "e"), ("ir", "e"), ("or", "o"), ("ur", "e"),
    ("ce", "se"), ("ci", "si"), ("cy", "si"), ("ge", "Je"), ("gi", "gi"), ("x", "ks"), ("c", "k"), ("q", "k"),
    ("j", "J"), ("y", "i"),
)  # fmt: skip
_IRREGULAR = {"gauge": "gAJ", "gauges": "gAJs", "gear": "gEe", "gears": "gEes", "height": "hIt", "heights": "hIts"}
"""Words of the trade that no rule reaches."""
_LONG = {"a": "A", "e": "E", "i": "I", "o": "O", "u": "U", "y": "I"}
_VOICED = {"b": "p", "d": "t", "g": "k", "v": "f", "z": "s", "J": "C"}
_NASAL, _LIQUID, _VOWELS = "mnN", "lr", "aeiouAEIOUVWYQ"
_MAGIC_E = re.compile(r"([aeiouy])([bcdfgklmnpstvz])e(s?)$")


@lru_cache(maxsize=4096)
def phones(name: str) -> str:
    """The phones of a name of one word or several."""
    return "".join(_word(word) for word in name.split())


def _word(word: str) -> str:
    word = word.replace("'", "")
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    # "guide" and "torque" have no u that is heard; "bottle" and "metre" have a vowel that is not written.
    word = re.sub(r"que(s?)$", r"k\1", re.sub(r"gu(?=[ei])", "g", word) if not word.endswith("gue") else word[:-2])
    word = re.sub(r"dge(s?)$", r"j\1", re.sub(r"(?<=[iou])se$", "ze", word))
    word = re.sub(r"(?<=[bcdfgkpstz])([lr])e(s?)$", r"e\1\2", word)
    final = _MAGIC_E.search(word)
    if final:
        consonant = "s" if final[2] == "c" else "J" if final[2] == "g" else final[2]
        return _by_rule(word[: final.start()]) + _LONG[final[1]] + consonant + final[3]
    if len(word) > 3 and word.endswith("e"):
        word = word[:-1] if word[-2] not in "cg" else f"{word[:-2]}{'s' if word[-2] == 'c' else 'j'}"
    return _by_rule(word)


def _by_rule(word: str) -> str:
    found: list[str] = []
    at = 0
    while at < len(word):
        fitting = (rule for rule in _RULES if word.startswith(rule[0], at))
        letters, sound = next(fitting, (word[at], word[at]))
        if not found or not found[-1].endswith(sound[:1]):  # doubled letters sound once
            found.append(sound)
        elif len(sound) > 1:
            found.append(sound[1:])
        at += len(letters)
    return "".join(found)


def distance(one: str, other: str) -> float:
    """Edit distance between two names in phones; what sounds nearly alike costs half.

    (Libraries of edit distances, RapidFuzz among them, weigh kinds of edit, not which sound stands for which.)
    """
    a, b = phones(one), phones(other)
    row = [float(at) for at in range(len(b) + 1)]
    for number, sound in enumerate(a, 1):
        before, row[0] = row[0], float(number)
        for at, against in enumerate(b, 1):
            changed = before + _change(sound, against)
            before, row[at] = row[at], min(row[at] + 1, row[at - 1] + 1, changed)
    return row[-1]


def _change(one: str, other: str) -> float:
    if one == other:
        return 0.0
    alike = (
        _VOICED.get(one) == other
        or _VOICED.get(other) == one
        or any(one in kind and other in kind for kind in (_NASAL, _LIQUID, _VOWELS))
    )
    return 0.5 if alike else 1.0


def alike(one: str, other: str) -> bool:
    """Whether two names are easily taken for each other."""
    longest = max(len(phones(one)), len(phones(other)))
    if longest == 0 or abs(len(phones(one)) - len(phones(other))) > SIMILAR * longest:
        return False
    if set(one.split()) & set(other.split()):
        # A word in common tells nothing apart: the others have to.
        ones = [word for word in one.split() if word not in other.split()]
        others = [word for word in other.split() if word not in one.split()]
        if ones and others:
            return alike(" ".join(ones), " ".join(others))
        return False
    return distance(one, other) <= SIMILAR * longest


MUCH_LONGER = 4
"""So many times as long, two texts have nothing in common."""


def plain(reading: str) -> str:
    """The words of a free reading: no capitals, no punctuation, numerals digit by digit."""
    return " ".join(re.findall(r"[a-z']+", numerals_spelled(ungrouped(reading.lower()), "oh")))


def unlike(reading: str, phrase: str) -> float:
    """By what share of its phones a plain reading ("lou reckoned") differs from ``phrase`` ("lubricant"): 0 where they
    sound the same, 1 where nothing is alike."""
    shorter, longer = sorted((len(phones(reading)), len(phones(phrase))))
    if not shorter or longer > MUCH_LONGER * shorter:
        return 1.0
    return distance(reading, phrase) / longer
