"""Phones as a dictionary prints them, in the International Phonetic Alphabet, in one letter each.

The letters are those of the neural voice: where the alphabet writes two signs for one phone, it has a capital ("aʊ" is
"W", as in "thou": "θW").
"""

from __future__ import annotations

import re

_JOINED = (
    ("tʃ", "ʧ"), ("dʒ", "ʤ"), ("aʊ", "W"), ("eɪ", "A"), ("aɪ", "I"), ("oʊ", "O"), ("əʊ", "O"), ("ɔɪ", "Y"),
    ("ɜː", "ɜɹ"), ("ɑː", "ɑ"), ("iː", "i"), ("uː", "u"), ("ɔː", "ɔ"), ("ɪə", "iɹ"), ("eə", "ɛɹ"), ("ʊə", "ʊɹ"),
    ("ɒ", "ɑ"), ("ɚ", "əɹ"), ("ɝ", "ɜɹ"), ("g", "ɡ"), ("r", "ɹ"), ("e", "ɛ"), ("a", "æ"), ("'", "ˈ"), (",", "ˌ"),
)  # fmt: skip
"""What dictionaries write, the longer first, and the one letter for it."""

VOWELS = "AIOWYiuæɑɔəɛɜɪʊʌᵊᵻɐ"
CONSONANTS = "bdfhjklmnpstvwzðŋɡɹʃʒʤʧθT"
STRESSES = "ˈˌ"

_ESPEAK = {
    "A": "eI", "I": "aI", "O": "oU", "W": "aU", "Y": "OI", "i": "i:", "u": "u:", "æ": "a", "ɑ": "A:", "ɔ": "O:",
    "ə": "@", "ɛ": "E", "ɜ": "3:", "ɪ": "I", "ʊ": "U", "ʌ": "V", "ᵊ": "@", "ᵻ": "I", "ɐ": "a#", "ð": "D", "ŋ": "N",
    "ɡ": "g", "ɹ": "r", "ʃ": "S", "ʒ": "Z", "ʤ": "dZ", "ʧ": "tS", "θ": "T", "T": "t", "ˈ": "'", "ˌ": ",",
}  # fmt: skip


def one_letter_each(text: str) -> str:
    """The phones of a dictionary's transcription; ValueError names the sign that is none."""
    for signs, letter in _JOINED:
        text = text.replace(signs, letter)
    text = re.sub(r"[ː./ ]", "", text)
    for sign in text:
        if sign not in VOWELS + CONSONANTS + STRESSES:
            raise ValueError(f"{sign!r} is no sign of the phonetic alphabet that is known here")
    if not any(sign in VOWELS for sign in text):
        raise ValueError("there is no vowel in it")
    return text if "ˈ" in text else re.sub(f"([{VOWELS}])", r"ˈ\1", text, count=1)


def phones_between_slashes(said: str) -> str | None:
    """The phones of a pronunciation that is written in them ("/ɡɪb/"), None of one that is written in letters;
    ValueError as ``one_letter_each``."""
    return one_letter_each(said[1:-1]) if len(said) > 2 and said[0] == said[-1] == "/" else None


def in_espeak_s(phones: str) -> str:
    """Phones of one letter each in eSpeak's own signs: "θˈW" is "T'aU"."""
    return "".join(_ESPEAK.get(phone, phone) for phone in phones)
