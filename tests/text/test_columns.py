"""Columns of text: as wide as the terminal, and nothing cut that need not be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.text.columns import paragraph, table, within

HEADS = ("step", "figure", "when", "as said", "limits", "verdict")
WIDEST = (4, 22, 9, 14, 18)
ROW = (
    "8",
    "gib clearance of the long slide",
    "as set",
    "2 thou",
    "1.5 to 3 thou",
    "in limits; accepted because it is old",
)


@pytest.mark.parametrize(("terminal", "widest"), [(20, 60), (80, 80), (100, 100), (300, 110)])
def test_lines_are_as_wide_as_the_terminal_but_not_too_narrow_or_too_long_to_read(terminal: int, widest: int) -> None:
    with within(terminal):
        lines = [*table(HEADS, [ROW], WIDEST), *paragraph("word " * 60, 4)]
    assert max(map(len, lines)) <= widest
    assert "-" * widest in lines


def test_words_stay_whole_where_another_column_can_give_way() -> None:
    with within(80):
        shown = "\n".join(table(HEADS, [ROW], WIDEST))
    for word in " ".join(ROW).split():
        assert word in shown


@given(st.lists(st.text("xyz ", min_size=1, max_size=40), min_size=6, max_size=6), st.integers(40, 140))
def test_nothing_that_stands_in_a_table_is_lost(row: list[str], terminal: int) -> None:
    with within(terminal):
        shown = "".join(table(HEADS, [row], WIDEST))
    for letter in "xyz":
        assert shown.count(letter) == "".join(row).count(letter)
