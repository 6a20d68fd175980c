"""What a chart shows lies where it measures: marks on the scale, the zone between the limits, the doubt about them."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.measure.limits import Limits
from handsfree.procedure.parts import OCCASIONS
from handsfree.review.pages.charts import Bounds, PlottedReading, figure_chart, legend, trend_chart


def plotted(value: object, **slots: Any) -> PlottedReading:
    usual = {"text": f"{value} thou", "occasion": "as set", "decision": "in limits"}
    return PlottedReading(value=Fraction(str(value)), **{**usual, **slots})


def bounds(low: object, high: object, u: object = 0, target: object = None) -> Bounds:
    numbers = [None if each is None else Fraction(str(each)) for each in (low, high, target)]
    return Bounds(Limits(*numbers, Fraction(str(u))), str(low), str(high), str(target), "some")


class Drawing:
    """A chart, read back. What is in per cent and what is in pixels are both numbers here."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)

    def boxes(self, name: str) -> list[tuple[float, float, float, float]]:
        """Left, top, right, bottom of each."""
        found = []
        for box in self.root.iter("rect"):
            if box.get("class") == name:
                x, y, width, height = (number(box.get(key)) for key in ("x", "y", "width", "height"))
                found.append((x, y, x + width, y + height))
        return found

    def lines(self, name: str) -> list[list[float]]:
        """Both ends of each: x, y, x, y."""
        lines = [line for line in self.root.iter("line") if line.get("class") == name]
        return [[number(line.get(key)) for key in ("x1", "y1", "x2", "y2")] for line in lines]

    @property
    def marks(self) -> list[tuple[str, str, tuple[float, float]]]:
        """The words of each mark, its form, and its middle."""
        found = []
        for mark in self.root.iter("svg"):
            title = mark.find("g/title")
            if title is not None:
                (shape,) = mark.findall("g/*[@class]")
                form = shape.get("d") or shape.tag
                found.append((title.text or "", form, (number(mark.get("x")), number(mark.get("y")))))
        return found

    @property
    def centres(self) -> list[tuple[float, float]]:
        return [middle for _, _, middle in self.marks]

    @property
    def bounds_told(self) -> list[tuple[float, float]]:
        """Where limits are written, from above downwards."""
        told = [text for text in self.root.iter("text") if text.get("class") == "bound"]
        return sorted(((number(text.get("x")), number(text.get("y"))) for text in told), key=lambda place: place[1])

    @property
    def texts(self) -> list[str]:
        return [text.text or "" for text in self.written if not _is_over(text)]

    @property
    def written(self) -> list[ElementTree.Element]:
        return list(self.root.iter("text"))

    def text(self, words: str) -> tuple[float, float]:
        """Where it is written."""
        (found,) = [text for text in self.written if text.text == words and not _is_over(text)]
        return number(found.get("x")), number(found.get("y"))


def _is_over(text: ElementTree.Element) -> bool:
    """Whether it stands over a row, and is seen on a small screen only."""
    return "over" in (text.get("class") or "").split()


def number(text: str | None) -> float:
    return float((text or "nan").removesuffix("%"))


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
    assert near - limit > 5
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
    assert [tuple(trace[:2]), tuple(trace[2:])] == [drawing.centres[0], drawing.centres[2]]
    assert "l7 7m0 -7l-7 7" in drawing.marks[1][1], "a cross for what no longer stands"


def test_the_line_of_a_trend_joins_what_was_left_in_each_job_whatever_was_found() -> None:
    marks = [
        plotted(9, when="one", occasion="as found"), plotted(3, when="one", occasion="as left"),
        plotted(4, when="one"), plotted(8, when="two", occasion="as found"), plotted(2, when="three"),
        plotted(5, when="three"),
    ]  # fmt: skip
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 5), marks))
    middles = dict(zip([words for words, _, _ in drawing.marks], drawing.centres, strict=True))
    (trace,) = drawing.lines("trace")
    left_first, left_last = "one, as left: 3 thou, in limits", "three, as set: 5 thou, in limits"
    assert [tuple(trace[:2]), tuple(trace[2:])] == [middles[left_first], middles[left_last]]


@pytest.mark.parametrize("count", [1, 2, 7, 30])
def test_every_job_of_a_trend_is_named_below_its_column(count: int) -> None:
    jobs = [f"2026-02-{day + 1:02}-1" for day in range(count)]
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 5), [plotted(3, when=job) for job in jobs]))
    named = {text.text: number(box.get("x")) for box in drawing.root.iter("svg") for text in box.findall("text")}
    assert [named[job] for job in jobs] == [x for x, _ in drawing.centres]
    below = min(y for x, y, _, _ in drawing.lines("axis"))
    assert below < min(y for _, y in drawing.centres)


def test_a_trend_of_one_job_has_no_line() -> None:
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 5), [plotted(3, when="one")]))
    assert drawing.lines("trace") == []
    assert "one" in drawing.texts


def test_each_occasion_has_a_row_and_the_newest_that_stands_is_written_beside_it() -> None:
    marks = [
        plotted(9, occasion="as left"), plotted(3), plotted(4), plotted(7, stands=False),
        plotted(1, occasion="as found", decision="out of limits"),
    ]  # fmt: skip
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), marks))
    assert [text for text in drawing.texts if text.startswith("as ")] == ["as found", "as set", "as left"]
    assert [text for text in drawing.texts if text.endswith(" thou")] == ["1 thou", "4 thou", "9 thou"]
    assert drawing.texts.index("out of limits") == drawing.texts.index("1 thou") + 1, "the verdict in words as well"
    rows = [line[1] for line in drawing.lines("row")]
    assert rows == sorted(rows) and len(rows) == 3


def test_the_occasion_is_told_by_the_form_of_a_mark() -> None:
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), [plotted(3, occasion=each) for each in OCCASIONS]))
    forms = {words.partition(":")[0]: form for words, form, _ in drawing.marks}
    assert set(forms) == set(OCCASIONS)
    diamond, circle, square = (forms[each] for each in ("as found", "as set", "as left"))
    assert (circle, diamond.count("l"), square.count("h")) == ("circle", 3, 2)
    # The legend has the same forms beside their words.
    told = [(form.findall(".//*[@class]")[-1], "".join(form.itertext()).strip()) for form in ElementTree.fromstring(
        f"<p>{legend(OCCASIONS)}</p>")]  # fmt: skip
    assert [(shape.get("d") or shape.tag, words) for shape, words in told[:3]] == [
        (diamond, "as found"), (circle, "as set"), (square, "as left"),
    ]  # fmt: skip
    assert told[3][1] == "no longer standing"


def test_several_places_stand_below_each_other_on_one_scale() -> None:
    marks = [plotted(3, place="right"), plotted(3, place="left"), plotted(9, place="right", occasion="as found")]
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), marks))
    assert [t for t in drawing.texts if t in ("left", "right")] == ["right", "right", "left"]
    (found, set_), left = drawing.centres[0:2], drawing.centres[2]
    assert found[1] < set_[1] < left[1]
    assert set_[0] == left[0] < found[0]
    assert [words for words, _, _ in drawing.marks][2] == "left, as set: 3 thou, in limits"


def test_equal_readings_are_stacked_and_counted() -> None:
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), [plotted(3)] * 3 + [plotted(4)]))
    assert len({y for _, y in drawing.centres[:3]}) == 3
    assert len({x for x, _ in drawing.centres}) == 2
    assert [text for text in drawing.texts if text.startswith("×")] == ["×3"]
    over_jobs = Drawing(trend_chart("k", "Gap", bounds(2, 5), [plotted(3, when="one")] * 2 + [plotted(4, when="two")]))
    assert [text for text in over_jobs.texts if text.startswith("×")] == ["×2"]


@given(st.integers(-(10**6), 10**6), st.integers(1, 10**6), st.integers(0, 5))
def test_an_axis_has_round_numbers_where_they_measure_and_its_unit(low: int, span: int, decimals: int) -> None:
    ends = [Fraction(each, 10**decimals) for each in (low, low + span)]
    marks = [PlottedReading(value=end, text="x", occasion="as set", decision="in limits") for end in ends]
    drawing = Drawing(figure_chart("k", "Gap", Bounds(unit="mm"), marks))
    axis, *ticks = drawing.lines("axis")
    written = [text for text in drawing.root.iter("text") if number(text.get("y")) > axis[1]]
    *numbers, unit = written
    assert unit.text == "mm"
    assert 1 < len(numbers) <= 5
    (first, _), (last, _) = drawing.centres
    for text, tick in zip(numbers, ticks, strict=True):
        assert number(text.get("x")) == tick[0]
        share = (Fraction(text.text or "") - ends[0]) / (ends[1] - ends[0])
        assert tick[0] == pytest.approx(first + float(share) * (last - first), abs=0.05)
    steps = {Fraction(b.text or "") - Fraction(a.text or "") for a, b in itertools.pairwise(numbers)}
    assert len(steps) == 1
    assert re.fullmatch(r"0*[125]0*", str(steps.pop() * 10**6)), "steps of 1, 2 or 5 in a power of ten"


def test_limits_and_target_are_written_at_their_ticks() -> None:
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5, 0, 3), [plotted(3), plotted(40)]))
    low, high = drawing.lines("limit")
    (target,) = drawing.lines("target")
    for words, line in (("at least 2", low), ("at most 5", high), ("target 3", target)):
        assert drawing.text(words)[0] == line[0]
    assert drawing.text("target 3")[1] < drawing.text("at least 2")[1], "above, where there is no room between"
    wide = Drawing(figure_chart("k", "Gap", bounds(2, 5, 0, "3.5"), [plotted(3)]))
    assert wide.text("target 3.5")[1] == wide.text("at least 2")[1]


@given(st.integers(0, 40), st.integers(0, 40))
def test_what_is_written_beside_a_trend_is_never_over_another(width: int, above: int) -> None:
    limits = bounds(100, 100 + width, 0, 100 + min(above, width))
    drawing = Drawing(trend_chart("k", "Gap", limits, [plotted(40, when="one"), plotted(400, when="two")]))
    heights = sorted(drawing.text(text)[1] for text in drawing.texts if text.startswith(("at ", "target")))
    assert all(lower - upper >= 14 for upper, lower in itertools.pairwise(heights))


def test_what_is_kept_in_hundredths_is_written_in_the_unit_itself() -> None:
    marks = [plotted(2, text="0.02 mm"), plotted(4, text="0.04 mm")]
    drawing = Drawing(figure_chart("k", "Play", Bounds(unit="hundredth mm"), marks))
    assert {"0.020", "0.025", "0.040", "mm"} <= set(drawing.texts)


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


def test_the_unit_of_a_trend_stands_above_its_scale() -> None:
    marks = [plotted(3, when="one"), plotted(5, when="two")]
    drawing = Drawing(trend_chart("k", "Gap", replace(bounds(2, 6), unit="thou"), marks))
    written = {text.text: number(text.get("y")) for text in drawing.root.iter("text")}
    top = min(min(line[1], line[3]) for line in drawing.lines("axis"))
    assert written["thou"] < top
    assert all(top <= y for text, y in written.items() if text in ("3", "4", "5"))


def test_the_target_of_a_trend_is_a_line_with_its_words_beside_it() -> None:
    marks = [plotted(3, when="one"), plotted(5, when="two")]
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 6, target=4), marks))
    ((_, y, _, _),) = drawing.lines("target")
    (limit, _) = sorted(line[1] for line in drawing.lines("limit"))
    written = {text.text: number(text.get("y")) for text in drawing.root.iter("text")}
    assert limit < y and written["target 4"] == pytest.approx(y + 4)


@pytest.mark.parametrize(("low", "high"), [(2, 5), (2, None), (None, 5), (None, None)])
def test_the_zone_of_a_trend_reaches_to_its_edge_where_a_limit_is_wanting(low: object, high: object) -> None:
    marks = [plotted(3, when="one"), plotted(4, when="two")]
    drawing = Drawing(trend_chart("k", "Gap", bounds(low, high), marks))
    upright, across, *_ = drawing.lines("axis")
    top, foot = upright[1], upright[3]
    limits = [line[1] for line in drawing.lines("limit")]
    if low is None and high is None:
        assert (drawing.boxes("zone"), limits) == ([], [])
        return
    ((left, upper, right, lower),) = drawing.boxes("zone")
    assert (left, right) == (across[0], across[2])
    assert upper == (top if high is None else min(limits))
    assert lower == pytest.approx(foot if low is None else max(limits), abs=0.2)
    assert len(limits) == (low is not None) + (high is not None)
    # The line of a limit reaches beyond its zone, to its words.
    for line, words in zip(sorted(drawing.lines("limit"), key=lambda line: line[1]), drawing.bounds_told, strict=True):
        assert right < line[2] < words[0]
        assert words[1] == pytest.approx(line[1] + 4)
    assert all(mark > upper for _, mark in drawing.centres)


def test_a_trend_stands_between_an_upright_axis_and_one_below_it() -> None:
    drawing = Drawing(trend_chart("k", "Gap", bounds(2, 5), [plotted(3, when="one"), plotted(4, when="two")]))
    upright, across, *ticks = drawing.lines("axis")
    assert upright[0] == upright[2] == across[0] < across[2]
    assert upright[3] == across[1] == across[3] > upright[1]
    columns = [x for x, _ in drawing.centres]
    assert across[0] < min(columns) and max(columns) < across[2]
    assert all(tick[2] == upright[0] > tick[0] and tick[1] == tick[3] for tick in ticks)
    written = {text.text: (number(text.get("x")), number(text.get("y"))) for text in drawing.root.iter("text")}
    for tick, name in zip(ticks, ("2", "3", "4", "5"), strict=True):
        assert written[name][0] < tick[0]
        assert written[name][1] == pytest.approx(tick[1] + 4)


@pytest.mark.parametrize("names", [("one", "two"), ("1", "2026-11-25-12", "2026-11-26-1", "2026-11-27-3")])
def test_nothing_of_a_chart_lies_outside_of_it(names: tuple[str, ...]) -> None:
    marks = [plotted(3 * number, when=name) for number, name in enumerate(names)]
    for svg in (trend_chart("k", "Gap", bounds(2, 5, "0.5", 3), marks), figure_chart("k", "Gap", bounds(2, 5), marks)):
        drawing = Drawing(svg)
        height = number(drawing.root.get("height"))
        lines = [
            y
            for name in ("axis", "limit", "target", "row", "trace")
            for line in drawing.lines(name)
            for y in line[1::2]
        ]
        written = [number(text.get("y")) for text in drawing.root.iter("text") if text.get("y")]
        heights = [*lines, *written, *(y for _, y in drawing.centres)]
        assert 0 <= min(heights) <= max(heights) <= height


def test_the_names_of_jobs_are_slanted_where_the_longest_has_no_room() -> None:
    def slanted(*names: str) -> bool:
        return "rotate" in trend_chart("k", "Gap", bounds(2, 5), [plotted(3, when=name) for name in names])

    assert not slanted("1", "2", "3", "4")
    assert slanted("1", "2", "2026-11-25-12", "4")


def test_what_was_read_stands_beside_its_row_alone_or_above_its_verdict() -> None:
    judged = Drawing(figure_chart("k", "Gap", bounds(2, 5), [plotted(3)]))
    (row,) = judged.lines("row")
    upper, lower = judged.text("3 thou"), judged.text("in limits")
    assert (upper[1] + lower[1]) / 2 == pytest.approx(row[1] + 4)
    assert upper[1] < lower[1] and upper[0] == lower[0] == row[2]
    beside = [text for text in judged.written if text.text in ("3 thou", "in limits")]
    assert [text.get("text-anchor") for text in beside] == ["start", "start"]
    assert all(number(text.get("dx")) > 0 for text in beside), "to the right of the plot"
    alone = Drawing(figure_chart("k", "Gap", Bounds(), [plotted(3, decision="no limits")]))
    assert alone.text("3 thou")[1] == alone.lines("row")[0][1] + 4
    assert "" not in alone.texts and "no limits" not in alone.texts
    gone = Drawing(figure_chart("k", "Gap", bounds(2, 5), [plotted(3, stands=False, gone="taken back")]))
    assert gone.text("taken back")[1] > gone.text("3 thou")[1]


def test_where_there_is_no_room_beside_a_row_it_is_named_above_it_with_what_was_read() -> None:
    marks = [
        plotted(9, occasion="as found", decision="out of limits", place="left"), plotted(3, occasion="as left"),
        plotted(4, occasion="as set", stands=False, gone="taken back"),
    ]  # fmt: skip
    drawing = Drawing(figure_chart("k", "Gap", bounds(2, 5), marks))
    over = [text for text in drawing.written if _is_over(text)]
    names, read = (over[: len(over) // 2], over[len(over) // 2 :])
    assert [text.text for text in names] == ["left, as found", "as set", "as left"]
    assert [text.text for text in read] == ["9 thou, out of limits", "4 thou, taken back", "3 thou, in limits"]
    rows = [line[1] for line in drawing.lines("row")]
    tops = [drawing.lines("limit")[0][1], *rows]
    for name, what, row, above in zip(names, read, rows, tops, strict=False):
        assert name.get("y") == what.get("y")
        # Above the marks, which are some six pixels high, and not over those of the row before.
        assert above + 6 < number(name.get("y")) < row - 6
        assert (name.get("text-anchor"), what.get("text-anchor")) == ("start", "end")


@pytest.mark.parametrize("place", ["left", "the far end of the slide"])
def test_a_plot_leaves_room_for_the_longest_of_what_stands_beside_it(place: str) -> None:
    svg = figure_chart(
        "k", "Gap", bounds(2, 5), [plotted(3, place=place, stands=False, gone="its step was done again")]
    )
    left, right = map(int, re.findall(r"--room-(?:left|right): (\d+)px", svg))
    # Six pixels a letter are what a condensed face of twelve takes.
    assert left >= 6 * max(len(place), len("as found")) and right >= 6 * len("its step was done again")
    assert f'dx="-{left}"' in svg, "names begin at the left edge"
    few = trend_chart("k", "Gap", Bounds(), [plotted(3, when="one"), plotted(4, when="two")])
    assert "--room-left" in few and "--room-right" in few
