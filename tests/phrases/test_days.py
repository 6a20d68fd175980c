"""Days as they are said at a counter."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.phrases.quantities.days import DAY, SpokenDay, typed_day
from handsfree.text.calendar import WEEKDAYS, day_words

TODAY = date(2026, 11, 26)  # a Thursday
DAYS = st.dates(date(2000, 1, 1), date(2100, 12, 31))


def _meant(words: str, today: date = TODAY) -> date | None:
    (said,) = DAY.meanings(words.split())
    assert isinstance(said, SpokenDay)
    return said.after(today)


@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("today", "2026-11-26"),
        ("tomorrow", "2026-11-27"),
        ("friday", "2026-11-27"),
        ("thursday", "2026-12-03"),
        ("friday week", "2026-12-04"),
        ("in two weeks", "2026-12-10"),
        ("in ten days", "2026-12-06"),
        ("the fourth of december", "2026-12-04"),
        ("december the fourth", "2026-12-04"),
        ("the fourth", "2026-12-04"),
        ("the twenty eighth", "2026-11-28"),
        ("the twenty sixth of november", "2026-11-26"),
        ("the first of march", "2027-03-01"),
    ],
)
def test_a_day_that_is_said_is_the_next_of_its_name(words: str, day: str) -> None:
    # By the calendar of 2026, as `cal 2026` prints it: 26 November is a Thursday.
    assert _meant(words) == date.fromisoformat(day)


def test_a_day_that_no_year_has_is_no_day() -> None:
    assert _meant("the thirty first of november") is None
    assert _meant("the twenty ninth of february", date(2026, 3, 1)) is None
    assert _meant("the twenty ninth of february", date(2027, 3, 1)) == date(2028, 2, 29)


@given(today=DAYS, ahead=st.integers(0, 364))
def test_a_day_read_back_is_understood_as_the_same_day(today: date, ahead: int) -> None:
    day = today + timedelta(days=ahead)
    words = day_words(day).lower().split()[1:]
    assert _meant(" ".join(words), today) == day
    assert day_words(day).lower().startswith(WEEKDAYS[day.weekday()])


@given(today=DAYS, weekday=st.integers(0, 6))
def test_a_weekday_is_within_the_week_that_follows(today: date, weekday: int) -> None:
    day = _meant(WEEKDAYS[weekday], today)
    assert day is not None and 1 <= (day - today).days <= 7 and day.weekday() == weekday


@given(today=DAYS, seed=st.integers())
def test_whatever_can_be_said_is_never_before_today(today: date, seed: int) -> None:
    day = _meant(" ".join(DAY.sample(random.Random(seed))), today)
    assert day is None or today <= day <= today + timedelta(days=366)


@pytest.mark.parametrize(
    "text", ["2026-12-04", "4 December", "4th of december", "December 4", "the 4th", "Friday week"]
)
def test_a_day_may_be_typed_in_the_usual_ways(text: str) -> None:
    assert typed_day(text, TODAY) == date(2026, 12, 4)


@pytest.mark.parametrize("text", ["21 December", "21st december", "December 21st", "the 21st of December"])
def test_a_day_of_two_words_may_be_typed_too(text: str) -> None:
    assert typed_day(text, TODAY) == date(2026, 12, 21)


@pytest.mark.parametrize("text", ["", "soon", "2026-13-01", "next friday", "32 december", "4/12"])
def test_what_is_no_day_or_could_be_two_is_none(text: str) -> None:
    assert typed_day(text, TODAY) is None
