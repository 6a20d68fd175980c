"""Codes spelled aloud: the ICAO spelling alphabet, figures, and a few marks; and codes read back in groups.

The letters' words are those of ICAO Annex 10, volume II, chapter 5, with the English spellings beside the official
"alfa" and "juliett", since recognisers write either.
"""

from __future__ import annotations

from itertools import pairwise

from handsfree.phrases.grammar import Many, Named, Node, either, says, seq
from handsfree.phrases.quantities.numbers import DIGIT, DIGIT_OR_ZERO
from handsfree.text.numerals import digit_words

LETTERS = {
    "A": ("alpha", "alfa"), "B": ("bravo",), "C": ("charlie",), "D": ("delta",), "E": ("echo",), "F": ("foxtrot",),
    "G": ("golf",), "H": ("hotel",), "I": ("india",), "J": ("juliet", "juliett"), "K": ("kilo",), "L": ("lima",),
    "M": ("mike",), "N": ("november",), "O": ("oscar",), "P": ("papa",), "Q": ("quebec",), "R": ("romeo",),
    "S": ("sierra",), "T": ("tango",), "U": ("uniform",), "V": ("victor",), "W": ("whiskey",), "X": ("x ray",),
    "Y": ("yankee",), "Z": ("zulu",),
}  # fmt: skip
SIGNS = {"-": ("dash",), "/": ("stroke",), ".": ("point",)}
MOST_SIGNS = 10
"""Letters, figures and marks that can be spelled in one breath."""
READ_TOGETHER = 3
"""How many are read back in one group at the most."""


def _joined(*parts: str) -> str:
    return "".join(parts)


_sign = either(
    *(says(word, letter) for letter, words in LETTERS.items() for word in words),
    *(says(word, mark) for mark, words in SIGNS.items() for word in words),
    seq(DIGIT_OR_ZERO, to=str),
    says("niner", "9"),
    *(seq(name, DIGIT, to=lambda d, n=times: n * str(d)) for name, times in (("double", 2), ("triple", 3))),
    *(says(f"{name} {zero}", times * "0") for name, times in (("double", 2), ("triple", 3)) for zero in ("oh", "zero")),
)

CODE: Node = Named(Many(_sign, 1, MOST_SIGNS, _joined), "LETTERS AND FIGURES")
"""A code as it is written, from its words: "alpha bravo four double oh" is "AB400"."""

INITIALS: Node = Named(Many(_sign, 2, MOST_SIGNS, _joined), "LETTERS AND FIGURES")
"""The same of two signs at least: "this is one" is said in any talk."""


def spelled(text: str) -> str:
    """A code for the ear, in groups as alike as can be: "alpha bravo, one two". What has no word is left as it is."""
    words = [_word(sign) for sign in text.upper() if not sign.isspace()]
    count = -(-len(words) // READ_TOGETHER)
    ends = [len(words) - group * len(words) // count for group in range(count, -1, -1)] if words else []
    return ", ".join(" ".join(words[begin:end]) for begin, end in pairwise(ends))


def _word(sign: str) -> str:
    if sign in LETTERS:
        return LETTERS[sign][0]
    if sign in SIGNS:
        return SIGNS[sign][0]
    return digit_words(sign, "zero") if sign in "0123456789" else sign
