"""Days in words: weekdays, months, and the numbers of days."""

from __future__ import annotations

from datetime import date

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
_FIRST = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh",
    "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth", "eighteenth", "nineteenth",
)  # fmt: skip
ORDINALS = (
    *_FIRST, "twentieth", *(f"twenty {ones}" for ones in _FIRST[:9]), "thirtieth", "thirty first",
)  # fmt: skip
"""The days of a month, from the first to the thirty-first."""


def day_words(day: date) -> str:
    """ "Friday the fourth of December"."""
    return f"{WEEKDAYS[day.weekday()].capitalize()} the {ORDINALS[day.day - 1]} of {MONTHS[day.month - 1].capitalize()}"


def from_today(day: date, today: date) -> str:
    """ "overdue 2 days", "today", "tomorrow", "in 3 days"."""
    ahead = (day - today).days
    if ahead < 0:
        return f"overdue {-ahead} day{'' if ahead == -1 else 's'}"
    return "today" if ahead == 0 else "tomorrow" if ahead == 1 else f"in {ahead} days"


def day_from(text: str) -> date | None:
    """The day of an ISO 8601 date ("2026-12-04"); None where it is none."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None
