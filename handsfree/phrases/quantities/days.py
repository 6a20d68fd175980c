"""Days as they are said at a counter: "friday", "the fourth of december", "in two weeks"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from handsfree.phrases.grammar import Named, Node, either, maybe, says, seq
from handsfree.text.calendar import MONTHS, ORDINALS, WEEKDAYS, day_from
from handsfree.text.numerals import cardinal

_MOST_WEEKS, _MOST_DAYS = 12, 14


@dataclass(frozen=True)
class SpokenDay:
    """A day as it was said; which one is meant depends on when that was."""

    days: int | None = None
    """So many days from then on."""
    weekday: int | None = None
    """From Monday (nought); the next one that is not today."""
    weeks: int = 0
    """So many weeks after that."""
    day: int | None = None
    month: int | None = None

    def after(self, today: date) -> date | None:
        """The day that is meant, from ``today`` on; None where there is no such day within a year."""
        if self.days is not None:
            return today + timedelta(days=self.days)
        if self.weekday is not None:
            ahead = (self.weekday - today.weekday() - 1) % 7 + 1
            return today + timedelta(days=ahead, weeks=self.weeks)
        wanted = (today + timedelta(days=ahead) for ahead in range(366))
        return next((day for day in wanted if day.day == self.day and self.month in (None, day.month)), None)


def _day_of_month() -> Node:
    day = either(*(says(words, number) for number, words in enumerate(ORDINALS, 1)))
    month = either(*(says(words, number) for number, words in enumerate(MONTHS, 1)))
    return either(
        seq("the", day, maybe(seq("of", month)), to=lambda d, m=None: SpokenDay(day=d, month=m)),
        seq(month, maybe("the"), day, to=lambda m, d: SpokenDay(day=d, month=m)),
    )


DAY: Node = Named(
    either(
        says("today", SpokenDay(days=0)),
        says("tomorrow", SpokenDay(days=1)),
        *(says(name, SpokenDay(weekday=number)) for number, name in enumerate(WEEKDAYS)),
        *(says(f"{name} week", SpokenDay(weekday=number, weeks=1)) for number, name in enumerate(WEEKDAYS)),
        says("in a week", SpokenDay(days=7)),
        *(says(f"in {cardinal(n)} weeks", SpokenDay(days=7 * n)) for n in range(2, _MOST_WEEKS + 1)),
        *(says(f"in {cardinal(n)} days", SpokenDay(days=n)) for n in range(2, _MOST_DAYS + 1)),
        _day_of_month(),
    ),
    "DAY",
)
"""The value is a ``SpokenDay``. "Next friday" is left out: to some it is another one than to others."""

_NUMBERED = re.compile(r"\b(3[01]|[12][0-9]|0?[1-9])(?:st|nd|rd|th)?\b")


def typed_day(text: str, today: date) -> date | None:
    """A day as it is typed: "2026-12-04", "4 December", or as it would be said; None where it is none."""
    found = day_from(text)
    if found is not None:
        return found
    words = text.casefold().replace("-", " ").replace(",", " ")
    said = _NUMBERED.sub(lambda number: ORDINALS[int(number[1]) - 1], words).split()
    for way in (said, ["the", *said], ["the", *said[:1], "of", *said[1:]], ["the", *said[:2], "of", *said[2:]]):
        meant = [day for day in DAY.meanings(way) if isinstance(day, SpokenDay)]
        if meant:
            return meant[0].after(today)
    return None
