"""How much has room on a printed page: reckoned in lines, the most important first, and nothing of it by halves."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.review.pages.room import DENSITIES, HEIGHT, LETTER, SPACING, TITLE_BLOCK, Item, Room, filled
from handsfree.text.printed import style_sheet

TIGHT = Room(DENSITIES["tight"])


def lines_of(count: int, *, priority: int = 1, rank: int = 0, letters: int = 10) -> Item:
    """An item of so many lines in each density."""
    return Item(priority, rank, ((letters, 500.0),), count - 1.0)


def fixed(lines: float):
    return lambda room: lines


@pytest.mark.parametrize(
    ("letters", "width", "lines"),
    # At ten points a letter is 4.5 points wide: 100 points hold 22, of which one is lost to the words' ends.
    [(0, 100, 1), (1, 100, 1), (21, 100, 1), (22, 100, 2), (42, 100, 2), (43, 100, 3), (5, 1, 5)],
)
def test_text_wraps_where_its_column_ends(letters: int, width: float, lines: int) -> None:
    assert Room(10).wrapped(letters, width) == lines


def test_a_page_holds_as_many_lines_as_its_height_has() -> None:
    assert Room(10).line == 10 * SPACING
    assert Room(10).lines == pytest.approx(HEIGHT / (10 * SPACING))


def test_an_item_is_as_deep_as_the_deepest_of_its_cells() -> None:
    room = Room(10)
    width = 21 * 10 * LETTER + 10
    item = Item(1, 0, ((5, width), (50, width), (25, width)), 0.5)
    assert item.cost(room) == 0.5 + room.wrapped(50, width)
    assert room.wrapped(50, width) > room.wrapped(25, width) > 1


def test_a_page_is_set_as_roomily_as_all_of_it_allows() -> None:
    for count, density in ((10, "roomy"), (50, "usual"), (55, "tight")):
        chosen, kept = filled({"a": [lines_of(1)] * count}, fixed(2))
        assert (chosen, len(kept["a"])) == (density, count)


def test_a_page_that_is_full_to_its_last_line_is_still_set_so() -> None:
    room = Room(DENSITIES["roomy"])
    items = [lines_of(4), lines_of(4)]
    # Each section that holds something has its heading.
    rest = room.lines - 1 - sum(item.cost(room) for item in items)
    assert filled({"a": items, "b": []}, fixed(rest))[0] == "roomy"
    assert filled({"a": items, "b": []}, fixed(rest + 0.01))[0] == "usual"


def test_what_just_fills_what_is_left_stays() -> None:
    # A section that is cut short has a line of its own, 1.2 deep, which says so.
    items = [Item(1, 0, ((1, 100.0),), 6.8), lines_of(60, rank=1)]
    _, kept = filled({"rows": items}, lambda room: room.lines - 10)
    assert (items[0].cost(TIGHT), kept["rows"]) == (10 - 1 - 1.2, (0,))


def test_letters_are_as_high_as_the_style_has_them() -> None:
    style = re.sub(r"\s+", " ", style_sheet())
    for name, height in DENSITIES.items():
        assert f".{name} {{ font-size: {height:g}pt" in style
    assert f"body {{ font-size: {TITLE_BLOCK:g}pt" in style


def test_what_matters_most_stays_and_what_is_too_long_makes_room_for_what_is_short() -> None:
    room = int(TIGHT.lines)
    sections = {
        "told": [lines_of(room // 2, priority=2), lines_of(room, priority=3), lines_of(3, priority=4)],
        "rows": [lines_of(room // 4, priority=1, rank=rank) for rank in range(3)],
    }
    density, kept = filled(sections, fixed(2))
    assert density == "tight"
    assert kept["rows"] == (0, 1, 2)
    assert kept["told"] == (2,), "nothing is cut in two"


def test_among_equals_the_first_by_rank_stay() -> None:
    items = [lines_of(20, rank=rank) for rank in (3, 1, 2, 0)]
    _, kept = filled({"rows": items}, fixed(5))
    assert kept["rows"] == (1, 3)


@given(
    st.lists(st.tuples(st.integers(1, 4), st.integers(0, 5), st.integers(0, 3000)), max_size=40),
    st.floats(0, 40),
)
def test_what_is_on_the_page_has_room_whatever_there_is(told: list[tuple[int, int, int]], lines: float) -> None:
    items = [Item(priority, rank, ((letters, 300.0),), 0.3) for priority, rank, letters in told]
    sections = {"a": items[::2], "b": items[1::2]}
    density, kept = filled(sections, fixed(lines))
    room = Room(DENSITIES[density])
    shown = sum(sections[name][at].cost(room) for name, places in kept.items() for at in places)
    whole = all(len(kept[name]) == len(sections[name]) for name in sections)
    assert shown == 0 or shown + lines <= room.lines
    assert whole or density == "tight"
    assert all(list(places) == sorted(set(places)) for places in kept.values())
