"""What a chart shows lies where it measures: marks on the scale, the zone between the limits, the doubt about them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.limits import Limits
from handsfree.review.pages.charts import Bounds, PlottedReading, figure_chart, trend_chart


def plotted(value: object, **slots: Any) -> PlottedReading:
    usual = {"text": f"{value} thou", "occasion": "as set", "decision": "in limits"}
    return PlottedReading(value=Fraction(str(value)), **{**usual, **slots})


def bounds(low: object, high: object, u: object = 0, target: object = None) -> Bounds:
    numbers = [None if each is None else Fraction(str(each)) for each in (low, high, target)]
    return Bounds(Limits(*numbers, Fraction(str(u))), str(low), str(high), str(target), "some")


class Drawing:
    """A chart, read back."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)

    def boxes(self, name: str) -> list[tuple[float, float, float, float]]:
        """Left, top, right, bottom of each."""
        found = []
        for box in self.root.iter("rect"):
            if box.get("class") == name:
                x, y, width, height = (float(box.get(key, "nan")) for key in ("x", "y", "width", "height"))
                found.append((x, y, x + width, y + height))
        return found

    def lines(self, name: str) -> list[list[float]]:
        """The numbers in the path of each."""
        paths = [path.get("d", "") for path in self.root.iter("path") if path.get("class") == name]
        return [[float(number) for number in re.findall(r"[\d.]+", path)] for path in paths]

    @property
    def centres(self) -> list[tuple[float, float]]:
        return [(float(c.get("cx", "nan")), float(c.get("cy", "nan"))) for c in self.root.iter("circle")]

    @property
    def texts(self) -> list[str]:
        return [text.text or "" for text in self.root.iter("text")]


def test_the_zone_lies_between_the_limits_and_the_doubt_on_both_sides_of_each() -> None:
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5, "0.25", 3), [plotted(3), plotted(9)]))
    (zone,) = drawing.boxes("zone")
    low, high = (line[0] for line in drawing.lines("limit"))
    assert (zone[0], zone[2]) == (low, pytest.approx(high, abs=0.2))
    for limit, near in zip((low, high), drawing.boxes("near"), strict=True):
        assert (near[0] + near[2]) / 2 == pytest.approx(limit, abs=0.2)
        assert (near[1], near[3]) == (zone[1], zone[3])
        # A quarter either side, where three lie between the limits.
        assert (near[2] - near[0]) / (high - low) == pytest.approx(0.5 / 3, rel=0.02)
    (target,) = drawing.lines("target")
    assert target[0] == drawing.centres[0][0]


def test_a_limit_on_one_side_has_its_zone_from_the_edge_and_does_not_force_nought_into_the_scale() -> None:
    least = Drawing(figure_chart("k", "Length", bounds("31.0", None), [plotted("31.1"), plotted("31.4")]))
    (zone,) = least.boxes("zone")
    (row,) = least.lines("row")
    limit = least.lines("limit")[0][0]
    assert zone[0] == limit and zone[2] == row[2]
    near, far = (x for x, _ in least.centres)
    # A tenth over the limit is seen as a quarter of what four tenths are.
    assert (near - limit) / (far - limit) == pytest.approx(1 / 4, abs=0.02)
    assert near - limit > 20
    most = Drawing(figure_chart("k", "Gap", bounds(None, 5), [plotted(0), plotted(4)]))
    (zone,) = most.boxes("zone")
    assert zone[0] == most.centres[0][0] < most.centres[1][0] < zone[2]
    assert most.boxes("near") == []


def test_a_scale_begins_at_nought_only_where_nothing_is_below_it() -> None:
    below = Drawing(figure_chart("k", "Gap", bounds(None, 5), [plotted(-1)]))
    assert below.centres[0][0] > below.boxes("zone")[0][0]
    both = Drawing(figure_chart("k", "Gap", bounds(0, 5), [plotted(3)]))
    (zone,) = both.boxes("zone")
    (row,) = both.lines("row")
    assert zone[0] > row[0]


@given(st.lists(st.integers(-50, 50), min_size=2, max_size=6, unique=True))
def test_greater_readings_lie_further_right_in_a_figure_and_higher_in_a_trend(values: list[int]) -> None:
    across = Drawing(figure_chart("k", "Gap", bounds(2, 5), [plotted(value) for value in values]))
    places = {value: x for value, (x, _) in zip(values, across.centres, strict=True)}
    assert [places[value] for value in sorted(values)] == sorted(places.values())
    upright = Drawing(
        trend_chart("k", "Gap", bounds(2, 5), [plotted(value, when=f"j{n}") for n, value in enumerate(values)])
    )
    heights = {value: -y for value, (_, y) in zip(values, upright.centres, strict=True)}
    assert [heights[value] for value in sorted(values)] == sorted(heights.values())
    columns = [x for x, _ in upright.centres]
    assert columns == sorted(columns) and len(set(columns)) == len(values)


def test_a_trend_has_its_zone_between_the_limits_and_a_line_through_what_stands() -> None:
    marks = [plotted(3, when="one"), plotted(8, when="two", stands=False), plotted(4, when="three")]
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 5, "0.25", 3), marks))
    (zone,) = drawing.boxes("zone")
    low, high = (line[1] for line in drawing.lines("limit"))
    assert (zone[1], zone[3]) == (high, pytest.approx(low, abs=0.2))
    for limit, near in zip((low, high), drawing.boxes("near"), strict=True):
        assert (near[1] + near[3]) / 2 == pytest.approx(limit, abs=0.2)
    (trace,) = drawing.lines("trace")
    assert [tuple(trace[:2]), tuple(trace[2:])] == drawing.centres
    assert len(drawing.lines("gone")) == 1
    assert drawing.texts[-2:] == ["one", "three"]


def test_a_trend_of_one_job_has_no_line() -> None:
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 5), [plotted(3, when="one")]))
    assert drawing.lines("trace") == []
    assert drawing.texts[-1] == "one"


def test_each_occasion_has_a_row_and_the_newest_that_stands_is_written_beside_it() -> None:
    marks = [
        plotted(9, occasion="as left"), plotted(3), plotted(4), plotted(7, stands=False),
        plotted(1, occasion="as found"),
    ]  # fmt: skip
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), marks))
    assert [text for text in drawing.texts if text.startswith("as ")] == ["as found", "as set", "as left"]
    assert [text for text in drawing.texts if text.endswith(" thou")] == ["1 thou", "4 thou", "9 thou"]
    rows = [line[1] for line in drawing.lines("row")]
    assert rows == sorted(rows) and len(rows) == 3


def test_equal_readings_are_all_seen() -> None:
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), [plotted(3)] * 3))
    assert len({y for _, y in drawing.centres}) == 3
    assert len({x for x, _ in drawing.centres}) == 1


def test_a_chart_without_limits_has_no_zone_and_one_without_readings_is_drawn_too() -> None:
    without = Drawing(figure_chart("k", "Gap", Bounds(), [plotted(3)]))
    assert (without.boxes("zone"), without.lines("limit")) == ([], [])
    assert Drawing(trend_chart("k", "Gap", Bounds(), [])).centres == []


def test_a_chart_is_told_in_words() -> None:
    marks = [plotted(9, decision="out of limits"), plotted(3, stands=False, gone="taken back", when="J1"),
             plotted(4, decision="no limits", stands=False)]  # fmt: skip
    words = Drawing(figure_chart("k", "Gap", bounds(2, 5, 0, 3), marks)).root.find("desc")
    assert words is not None
    assert words.text == (
        "Limits: some, target 3. As set: 9 thou, out of limits. J1, as set: 3 thou, in limits, taken back. "
        "As set: 4 thou, withdrawn."
    )
    assert Bounds().words == "No limits."
