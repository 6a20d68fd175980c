"""What was found out about a voice, in plain words: what is heard well, what is mixed up, what to say instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.hearing.learning.lessons import SaidWords
from handsfree.text.numerals import TEENS, TENS


@dataclass(frozen=True)
class Trial:
    """A phrase of the card: what was said, and what was heard before the voice was learned and after (no words: no
    command)."""

    said: SaidWords
    before: SaidWords
    after: SaidWords
    right_before: bool
    right_after: bool


def told(trials: Sequence[Trial]) -> tuple[str, ...]:
    """Short sentences about these trials. What was heard afterwards was learned from, and is called so."""
    count = len(trials)
    before, after = sum(each.right_before for each in trials), sum(each.right_after for each in trials)
    lines = [f"Of {count} phrases {before} were heard rightly before learning, and {after} after it."]
    well = _named(each.said for each in trials if _always(trials, each.said, "right_before"))
    if well:
        lines.append(f"Heard well from the start: {', '.join(well)}.")
    for said, heard in dict.fromkeys((each.said, each.before) for each in trials if not each.right_before):
        still = any(each.said == said and not each.right_after for each in trials)
        as_what = f'was heard as "{" ".join(heard)}"' if heard else "was not caught"
        lines.append(f'"{" ".join(said)}" {as_what} before{"; it still is not sure" if still else ""}.')
    unsure = [each.said for each in trials if not each.right_after]
    return (*lines, *_advice(unsure, [each.said for each in trials if each.right_after]))


def _always(trials: Sequence[Trial], said: SaidWords, which: str) -> bool:
    return all(getattr(each, which) for each in trials if each.said == said)


def _named(phrases: object) -> list[str]:
    return list(dict.fromkeys(" ".join(each) for each in phrases))  # type: ignore[attr-defined]


def _advice(unsure: Sequence[SaidWords], sure: Sequence[SaidWords]) -> list[str]:
    """What to say in place of what is unsure, of what is heard well."""
    words, well = {word for each in unsure for word in each}, {word for each in sure for word in each}
    lines = []
    noughts = [word for word in ("oh", "zero", "nought") if word in words]
    better = next((word for word in ("nought", "zero") if word in well and word not in words), None)
    if noughts and better:
        lines.append(f"Say '{better}' rather than '{noughts[0]}'.")
    if words & {*TEENS, *TENS}:
        lines.append("Say 'one three' rather than 'thirteen', and 'three nought' rather than 'thirty'.")
    rest = sorted(words - {"oh", "zero", "nought", *TEENS, *TENS}) if not lines else []
    if unsure and rest:
        lines.append(f"Listen to the read-back where there is {_listed(rest[:4])} in it.")
    return lines


def _listed(words: Sequence[str]) -> str:
    quoted = [f"'{word}'" for word in words]
    return quoted[0] if len(quoted) == 1 else f"{', '.join(quoted[:-1])} or {quoted[-1]}"
