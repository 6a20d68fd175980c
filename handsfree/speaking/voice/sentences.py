"""A text cut into pieces that the voice engine takes: sentence by sentence, none too long."""

from __future__ import annotations

import re

LONGEST_PIECE = 249
"""The most characters of a piece: the engine's buffer grows with the text, and very long texts end the process."""

_SENTENCE_END = re.compile(r"(?<=[.!?…])[\"')\]]*\s+|\s*\n\s*")
_CLAUSE_END = re.compile(r"[,;:]\s|\s[-–—]\s")


def pieces(text: str, longest: int = LONGEST_PIECE) -> list[str]:
    """The sentences of ``text``, those over ``longest`` characters cut at a clause, else at a space, else anywhere.

    Only pieces with a letter or a digit are given: the list is empty where there is nothing to say.
    """
    found: list[str] = []
    for sentence in _SENTENCE_END.split(text):
        found.extend(_short(sentence.strip(), longest))
    return [piece for piece in found if any(character.isalnum() for character in piece)]


def _short(sentence: str, longest: int) -> list[str]:
    parts: list[str] = []
    while len(sentence) > longest:
        window = sentence[:longest]
        ends = [match.end() for match in _CLAUSE_END.finditer(window)]
        cut = ends[-1] if ends and ends[-1] > longest // 3 else window.rfind(" ")
        if cut <= 0:
            cut = longest
        parts.append(sentence[:cut].strip())
        sentence = sentence[cut:].strip()
    return [*parts, sentence]
