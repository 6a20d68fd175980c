"""Variants of an item: what is asked once, what the serial number decides, and what depends on the answers."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from handsfree.procedure import values

YES_OR_NO = ("yes", "no")
Condition = Mapping[str, tuple[str, ...]]
"""For each question the answers that fit; nothing: always."""

_RANGES = (
    (re.compile(r"up to (\d+)"), (None, 1)),
    (re.compile(r"(?:from (\d+)|(\d+) and up|(\d+) on)"), (1, None)),
    (re.compile(r"(?:from )?(\d+) to (\d+)"), (1, 2)),
)
_FORM = 'write it as "up to 4000", "4001 to 6000" or "from 6001"'


@dataclass(frozen=True)
class SerialRange:
    """Serial numbers from ``low`` to ``high``, both included; None: no such bound."""

    low: int | None
    high: int | None

    def holds(self, number: int) -> bool:
        return (self.low is None or number >= self.low) and (self.high is None or number <= self.high)

    def meets(self, other: SerialRange) -> bool:
        """Whether some number is in both."""
        return not _before(self.high, other.low) and not _before(other.high, self.low)


def _before(high: int | None, low: int | None) -> bool:
    return high is not None and low is not None and high < low


def serial_range(value: object) -> SerialRange:
    """A range as the file says it; ValueError with how to write it."""
    if isinstance(value, SerialRange):
        return value
    said = values.text(value)
    for form, bounds in _RANGES:
        found = form.fullmatch(said.lower())
        if found:
            numbers = [int(number) for number in found.groups() if number is not None]
            low, high = (None if place is None else numbers[place - 1] for place in bounds)
            if low is not None and high is not None and low > high:
                raise ValueError(f'"{said}" is the wrong way round; write the smaller number first')
            return SerialRange(low, high)
    raise ValueError(f'"{said}" is no range of serial numbers; {_FORM}')


def serial_number(text: str | None) -> int | None:
    """The number in a serial number: its last run of digits. None where there is none."""
    runs = re.findall(r"\d+", text or "")
    return int(runs[-1]) if runs else None


def answer_text(value: object) -> str:
    """An answer as it is said; true and false stand for yes and no."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return values.spoken_name(value)


def condition(value: object) -> dict[str, tuple[str, ...]]:
    """``only if``: a group of questions, each with the answer or answers that fit."""
    if not isinstance(value, Mapping) or not value:
        raise ValueError(f'must name a question and its answer, such as "collar: yes", not {values.kind_of(value)}')
    return {
        values.spoken_name(name): tuple(
            answer_text(each) for each in (said if isinstance(said, (list, tuple)) else (said,))
        )
        for name, said in value.items()
    }


def holds(wanted: Condition, answers: Mapping[str, str]) -> bool | None:
    """Whether a condition is met by the answers; None where that needs an answer which is not there yet."""
    undecided = False
    for name, fitting in wanted.items():
        given = answers.get(name)
        if given is None:
            undecided = True
        elif given not in fitting:
            return False
    return None if undecided else True


def exclude_each_other(one: Condition, other: Condition) -> bool:
    """Whether no answers can meet both."""
    return any(name in other and not set(fitting) & set(other[name]) for name, fitting in one.items())
