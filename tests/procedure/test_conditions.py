"""What depends on an answer or on the serial number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.procedure.variants import (
    SerialRange,
    answer_text,
    condition,
    exclude_each_other,
    holds,
    serial_number,
    serial_range,
)


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("up to 4000", None, 4000),
        ("4001 to 6000", 4001, 6000),
        ("from 4001 to 6000", 4001, 6000),
        ("From 6001", 6001, None),
        ("6001 and up", 6001, None),
        ("6001 on", 6001, None),
        ("5 to 5", 5, 5),
    ],
)
def test_a_range_of_serial_numbers_as_it_is_written(said: str, low: int | None, high: int | None) -> None:
    assert serial_range(said) == SerialRange(low, high)
    assert serial_range(SerialRange(low, high)) == SerialRange(low, high)


@pytest.mark.parametrize(
    ("said", "why"),
    [("6000 to 4001", "the wrong way round; write the smaller number first"), ("4000", "is no range of serial numbers"),
     ("up to four", "is no range of serial numbers")],
)  # fmt: skip
def test_what_is_no_range_of_serial_numbers_is_refused(said: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        serial_range(said)


_BOUND = st.none() | st.integers(1, 9)


def _range(one: int | None, other: int | None) -> SerialRange:
    swapped = one is not None and other is not None and one > other
    return SerialRange(other, one) if swapped else SerialRange(one, other)


@given(_BOUND, _BOUND, _BOUND, _BOUND)
def test_two_ranges_meet_where_some_number_is_in_both(
    a: int | None, b: int | None, c: int | None, d: int | None
) -> None:
    one, other = _range(a, b), _range(c, d)
    assert one.meets(other) == any(one.holds(number) and other.holds(number) for number in range(-1, 12))


def test_the_bounds_of_a_range_are_in_it() -> None:
    held = [number for number in range(10) if SerialRange(3, 5).holds(number)]
    assert held == [3, 4, 5]


@pytest.mark.parametrize(
    ("text", "number"),
    [("4711", 4711), ("B 12-0815", 815), ("SN7/44a", 44), ("no number", None), ("", None), (None, None)],
)
def test_the_number_in_a_serial_number_is_its_last_run_of_digits(text: str | None, number: int | None) -> None:
    assert serial_number(text) == number


def test_a_condition_names_questions_and_the_answers_that_fit() -> None:
    assert condition({"Collar": True, "pattern": ["early", "late"]}) == {
        "collar": ("yes",),
        "pattern": ("early", "late"),
    }
    assert (answer_text(False), answer_text("Late")) == ("no", "late")
    for wrong in ("collar", {}, ["collar"]):
        with pytest.raises(ValueError, match='must name a question and its answer, such as "collar: yes"'):
            condition(wrong)


@pytest.mark.parametrize(
    ("answers", "met"),
    [
        ({"collar": "yes", "pattern": "late"}, True),
        ({"collar": "no", "pattern": "late"}, False),
        ({"collar": "yes"}, None),
        # One answer that does not fit settles it, whatever the other will be.
        ({"pattern": "middle"}, False),
        ({"collar": "no"}, False),
        ({}, None),
    ],
)
def test_a_condition_is_met_or_not_or_waits_for_an_answer(answers: dict[str, str], met: bool | None) -> None:
    assert holds({"collar": ("yes",), "pattern": ("early", "late")}, answers) is met


def test_no_condition_is_always_met() -> None:
    assert holds({}, {}) is True


@pytest.mark.parametrize(
    ("one", "other", "excluded"),
    [
        ({"collar": ("yes",)}, {"collar": ("no",)}, True),
        ({"collar": ("yes",)}, {"collar": ("yes",)}, False),
        ({"pattern": ("early", "late")}, {"pattern": ("late", "middle")}, False),
        ({"collar": ("yes",)}, {"pattern": ("late",)}, False),
        ({"collar": ("yes",), "pattern": ("early",)}, {"collar": ("yes",), "pattern": ("late",)}, True),
        ({}, {"collar": ("no",)}, False),
    ],
)
def test_two_conditions_exclude_each_other_where_no_answers_meet_both(
    one: dict[str, tuple[str, ...]], other: dict[str, tuple[str, ...]], excluded: bool
) -> None:
    assert exclude_each_other(one, other) is excluded
    assert exclude_each_other(other, one) is excluded
