"""How words of the trade are pronounced, where an engine would guess wrongly: one table for all of them.

Each engine is given a word in the form that it takes: the neural voice and eSpeak the phones, the system's voices other
letters. A workshop adds words of its own, which go before those of the table.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from handsfree.text.ipa import in_espeak_s, phones_between_slashes

Form = Literal["neural", "espeak", "letters"]


@dataclass(frozen=True)
class Pronunciation:
    """How a word, or several that stand together, are said.

    ``phones`` are those of ``text.ipa``, empty where the letters say it; ``letters`` are read by rule as it should be
    said.
    """

    letters: str
    phones: str = ""


TABLE: Mapping[str, Pronunciation] = {
    # Short for thousandth: voiceless, and rhymes with cow (common practice).
    "thou": Pronunciation("thow", "θˈW"),
    # With a hard g: CMUdict has G IH1 B.
    "gib": Pronunciation("ghib", "ɡˈɪb"),
    "gibs": Pronunciation("ghibs", "ɡˈɪbz"),
    # The tool, not the unit: CMUdict has M AY0 K R AA1 M AH0 T ER0.
    "micrometer": Pronunciation("my-crommiter", "mIkɹˈɑmətəɹ"),
    "micrometers": Pronunciation("my-crommiters", "mIkɹˈɑmətəɹz"),
    # At a bench a spring is wound, and paint and solder are of the metal; CMUdict has W AY1 N D and L EH1 D.
    "wind": Pronunciation("whined", "wˈInd"),
    "rewind": Pronunciation("re-whined", "ɹiwˈInd"),
    "unwind": Pronunciation("un-whined", "ʌnwˈInd"),
    **{
        f"lead {metal}": Pronunciation(f"led {metal}")
        for metal in ("paint", "solder", "seal", "seals", "weight", "weights", "hammer", "fumes", "dust", "foil")
    },
    "run-out": Pronunciation("run out"),
    "nought": Pronunciation("nawt", "nˈɔt"),
    # CMUdict has SH EH1 L AE2 K for the noun; the stress is on the end in both Englishes (common practice).
    "shellac": Pronunciation("shell ack", "ʃəlˈæk"),
    # CMUdict has EY1 T TH.
    "eighth": Pronunciation("eight-th", "ˈAtθ"),
    "eighths": Pronunciation("eight-ths", "ˈAtθs"),
    # Letters, of which the last would be taken for an article.
    "ba": Pronunciation("bee ay", "bˌiˈA"),
    "ra": Pronunciation("are ay", "ˌɑɹˈA"),
}  # fmt: skip

_own: dict[str, Pronunciation] = {}
_pattern: re.Pattern[str] | None = None


def pronunciation(said: str) -> Pronunciation:
    """A pronunciation as a workshop writes it: phones between slashes ("/ɡɪb/"), else letters that are read by rule.

    ValueError says what is wrong with the phones.
    """
    phones = phones_between_slashes(said)
    return Pronunciation(said) if phones is None else Pronunciation("", phones)


def use_own(words: Mapping[str, str]) -> None:
    """Say a workshop's words as it wants them from now on, in place of those it had before; ValueError as
    ``pronunciation``."""
    global _pattern  # noqa: PLW0603
    made = {word.lower(): pronunciation(said) for word, said in words.items()}
    _own.clear()
    _own.update(made)
    _pattern = None


def for_the_engine(text: str, form: Form) -> str:
    """``text`` (plain words without brackets) with its words of the table in the form that an engine takes."""
    global _pattern  # noqa: PLW0603
    if _pattern is None:
        longest_first = sorted({*TABLE, *_own}, key=len, reverse=True)
        _pattern = re.compile(rf"(?<![\w'-])({'|'.join(map(re.escape, longest_first))})(?![\w-])", re.IGNORECASE)
    return _pattern.sub(lambda match: _in_form(match[0], form), text)


def _in_form(word: str, form: Form) -> str:
    meant = _own.get(word.lower()) or TABLE[word.lower()]
    if meant.phones and form == "neural":
        return f"[{word}](/{meant.phones}/)"
    if meant.phones and form == "espeak":
        return f"[[{in_espeak_s(meant.phones)}]]"
    return meant.letters or word
