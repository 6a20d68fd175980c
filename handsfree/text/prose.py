"""Sentences and lists: the few rules of English that everything which is told shares."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import timedelta

from handsfree.text.numerals import whole_words


def sentence(text: str) -> str:
    """``text`` with a capital first letter and a closing mark."""
    text = " ".join(text.split())
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".!?" else ".")


def sentences(texts: Iterable[str]) -> str:
    return " ".join(filter(None, map(sentence, texts)))


def listed(words: Sequence[str], joint: str = "and") -> str:
    """ "a, b and c"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joint} {words[-1]}" if words else ""


def number_or_no(count: int) -> str:
    return whole_words(count) if count else "no"


def plural(noun: str) -> str:
    """ "screws", "bushes", "accessories"."""
    if noun.endswith("y") and noun[-2:-1] not in tuple("aeiou"):
        return f"{noun[:-1]}ies"
    return f"{noun}es" if noun.endswith(("s", "sh", "ch", "x")) else f"{noun}s"


def singular(noun: str) -> str:
    """The noun of which this is the plural ("screws", "bushes"); a singular stays as it is."""
    if re.search(r"(ss|us|is|\blens|\bchassis|\bgas)$", noun) or not noun.endswith("s"):
        return noun
    if noun.endswith("ies") and len(noun.rsplit(maxsplit=1)[-1]) > 4:
        return f"{noun[:-3]}y"
    return noun[:-2] if re.search(r"(ss|sh|ch|x|\blens|\bgas)es$", noun) else noun[:-1]


def was_or_were(named: str) -> str:
    """The verb of something by its name: "were" of feeler blades, "was" of a micrometer."""
    last = named.rsplit(maxsplit=1)[-1]
    return "was" if singular(last) == last else "were"


def counted(count: int, one: str, many: str | None = None) -> str:
    """ "two steps", "one step", "no steps"."""
    return f"{number_or_no(count)} {one if count == 1 else many or plural(one)}"


def numbered(numbers: Sequence[str]) -> str:
    """ "step one", "steps one, two and three"."""
    return f"step{'s' if len(numbers) > 1 else ''} {listed(numbers)}"


def duration(seconds: float) -> str:
    """ "ten minutes", "an hour and five minutes", "forty seconds"."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    said = [counted(count, name) for count, name in ((hours, "hour"), (minutes, "minute"), (rest, "second")) if count]
    return listed(said[:2]) if said else "no time"


def time_left(left: timedelta) -> str:
    """A running time, in whole minutes once it is over three."""
    seconds = max(0.0, left.total_seconds())
    return duration(60 * round(seconds / 60) if seconds > 180 else seconds)
