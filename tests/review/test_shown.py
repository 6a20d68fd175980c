"""How things are written on a page where room is short: names and points cut, times, what was told by its name."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import datetime, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.review.pages.shared import by_name, capital, clock, day, fact_name, moment, page_foot, shortened, span
from handsfree.review.record_lines import FactLine


@pytest.fixture
def east(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Two hours and a half before Greenwich."""
    monkeypatch.setenv("TZ", "XXX-02:30")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(
    ("text", "most", "shown"),
    [
        ("the gib is cracked", 18, "the gib is cracked"),
        ("the gib is cracked", 17, "the gib is…"),
        ("the gib is cracked", 12, "the gib is…"),
        ("the gib is cracked", 10, "the gib…"),
        # In the middle of a word only where the words are too long for it.
        ("the countershaft", 12, "the counter…"),
        ("countershaft", 8, "counter…"),
        ("a countershaft of brass", 16, "a countershaft…"),
        ("", 5, ""),
    ],
)
def test_what_is_too_long_is_cut_between_words(text: str, most: int, shown: str) -> None:
    assert shortened(text, most) == shown


@pytest.mark.parametrize(
    ("text", "most", "shown"),
    [
        ("end float of the spindle, front bearing", 39, "end float of the spindle, front bearing"),
        ("end float of the spindle, front bearing", 30, "end float of the… bearing"),
        ("clearanceoftheveryfrontbearingsupport", 15, "clearanc… pport"),
    ],
)
def test_of_names_that_end_differently_the_end_is_kept(text: str, most: int, shown: str) -> None:
    assert shortened(text, most, end=True) == shown


@given(st.text(alphabet="ab ", max_size=60), st.integers(9, 40), st.booleans())
def test_what_is_shortened_is_never_too_long_and_what_fits_is_as_it_was(text: str, most: int, end: bool) -> None:
    shown = shortened(text, most, end=end)
    assert len(shown) <= most
    assert (shown == text) is (len(text) <= most)


@pytest.mark.parametrize(
    ("seconds", "written"),
    [
        (0, "0 s"),
        (59.4, "59 s"),
        (60, "1 min"),
        (89, "1 min"),
        (91, "2 min"),
        (59 * 60 + 29, "59 min"),
        (3600, "1 h 00 min"),
        (3600 + 300, "1 h 05 min"),
        (26 * 3600, "26 h 00 min"),
    ],
)
def test_a_time_is_written_as_short_as_it_says_enough(seconds: float, written: str) -> None:
    assert span(seconds) == written


@pytest.mark.usefixtures("east")
def test_times_are_those_of_the_clock_on_the_wall() -> None:
    at = datetime(2026, 11, 25, 22, 45, 7, tzinfo=timezone.utc)
    for given_as in (at, at.isoformat()):
        assert (moment(given_as), day(given_as), clock(given_as)) == ("2026-11-26 01:15", "2026-11-26", "01:15:07")


def told(about: str, text: str, severity: str | None = None) -> FactLine:
    return FactLine(
        id="f", at="", about=about, text=text, severity=severity, amount=None, to_type=False, state="standing",
        clip=None, by=None,
    )  # fmt: skip


def test_what_was_told_stands_under_its_name_once_and_each_severity_for_itself() -> None:
    lines = [told("finding", "a"), told("complaint", "b"), told("finding", "c", "unsafe"), told("finding", "d")]
    assert [(name, [line.text for line in of]) for name, of in by_name(lines)] == [
        (("finding", None), ["a", "d"]),
        (("complaint", None), ["b"]),
        (("finding", "unsafe"), ["c"]),
    ]


def test_a_fact_is_called_as_everywhere_and_one_of_a_later_version_by_its_own_name() -> None:
    assert (fact_name("promised"), fact_name("weather")) == ("promised day", "weather")


def test_a_capital_letter_leaves_the_rest_as_it_is() -> None:
    assert [capital(text) for text in ("mm of play", "M2 × 5", "")] == ["Mm of play", "M2 × 5", ""]


def test_the_foot_of_a_page_has_room_beside_its_number() -> None:
    foot = page_foot("Job 2026-11-25-1, serial number " + "A" * 200)
    assert foot.count("A") == 90 - len("Job 2026-11-25-1, serial number ")
    assert 'content: "Job 2026-11-25-1, serial number AAA' in foot
    assert "a&b".replace("&", " ") in page_foot("a&b")
