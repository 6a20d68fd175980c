"""What a tool reads and what a set holds, as a workshop writes it down."""

from __future__ import annotations

import pytest

from handsfree.measure.formatting import written
from handsfree.procedure.tool_values import range_of, set_of, stated_set


@pytest.mark.parametrize(
    ("said", "low", "high"),
    [
        ("0 to 25 mm", "0 mm", "25 mm"),
        ("0 mm to 1 inch", "0 mm", "1 in"),
        (["0.5", "25 mm"], "0.5 mm", "25 mm"),
        (("0", "25"), "0", "25"),
        ("-10 to 10 thou", "-10 thou", "10 thou"),
    ],
)
def test_a_tool_reads_from_one_figure_to_another(said: object, low: str, high: str) -> None:
    assert tuple(map(written, range_of(said))) == (low, high)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("25 mm", 'must be written as "0 to 25 mm", not "25 mm"'),
        (["0", "5", "9"], 'must be written as "0 to 25 mm", not a list'),
        (7, 'must be written as "0 to 25 mm", not 7'),
        ("25 to 0 mm", r"the wrong way round \(25, then 0\)"),
        ("5 to 5 mm", "the wrong way round"),
        ("1 inch to 25 mm", "the wrong way round"),
        ("0 g to 25 mm", "must have one unit for both ends"),
    ],
)
def test_a_range_that_cannot_be_is_refused(said: object, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        range_of(said)


@pytest.mark.parametrize(
    ("said", "pieces"),
    [
        ("1, 1.5, 2 thou", ["1 thou", "1.5 thou", "2 thou"]),
        ("1 1.5 2 thou", ["1 thou", "1.5 thou", "2 thou"]),
        ("4 x 0.1, 2 x 0.2 mm", ["0.1 mm"] * 4 + ["0.2 mm"] * 2),
        ("2×0.05 mm", ["0.05 mm"] * 2),
        ("1 1/2 thou", ["1 1/2 thou"]),
        (["0.05 mm", "0.1 mm"], ["0.05 mm", "0.1 mm"]),
        (["3 x 0.1 mm"], ["0.1 mm"] * 3),
        ("5 thou, 1 mm", ["5 thou", "1 mm"]),
    ],
)
def test_a_set_holds_each_piece_as_often_as_it_is_there(said: object, pieces: list[str]) -> None:
    assert [written(piece) for piece in set_of(said)] == pieces


def test_the_unit_of_a_set_may_go_without_saying_only_where_it_is_known() -> None:
    assert [written(piece) for piece in set_of("1, 2", needs_unit=False)] == ["1", "2"]
    assert [written(piece) for piece in set_of(3, needs_unit=False)] == ["3"]
    for read in (set_of, stated_set):
        with pytest.raises(ValueError, match="has no unit; write it after the last piece"):
            read("1, 2")


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("81 x 0.1 mm", "has 81 pieces; 80 is the most"),
        ("0, 1 mm", "has a piece of 0; every piece is thicker than nought"),
        ("-1, 1 mm", "has a piece of -1;"),
        ("a few mm", "must be a number"),
    ],
)
def test_a_set_that_cannot_be_is_refused(said: object, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        set_of(said)


def test_eighty_pieces_are_a_set() -> None:
    assert len(set_of("80 x 0.1 mm")) == 80
    assert set_of([]) == ()
