"""Small charts as inline SVG: what was measured against its limits, in one job and over many.

A chart is a piece of markup that needs nothing but the colours of the page it stands in (see ``text/printed.css``).
What lies across is in per cent of its width and what is written in pixels, so that it fills a page of any width with
letters of one size. Everything said or typed is escaped; each chart carries its contents in words for those who can't
see it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from html import escape
from itertools import groupby, pairwise
from math import ceil, floor, log10

from handsfree.measure.figure import Figure
from handsfree.measure.formatting import number_written
from handsfree.measure.limits import Decision, Limits
from handsfree.measure.units import UNITS
from handsfree.procedure.parts import AS_FOUND, AS_LEFT, OCCASIONS

NO_LIMITS = Limits()

_LINE, _ROW, _MARGIN = 15, 40, 6
"""Pixels: a line of letters, a row of marks, and the space around."""
_MIDDLE = 25
"""Pixels from the top of a row to its marks: above them is said what is told beside the row where there is room."""
_TREND_HEIGHT = 190
_NARROWEST = 310
"""Pixels of a plot on a small screen: what is written must have room there."""
_LETTER = 6.2
"""Pixels of a letter, about."""
_GAP = 10
"""Pixels between a plot and what is written beside it."""
_SIDE = 24
"""Pixels at both sides of a plot on a small screen, where nothing stands beside it but the names of limits."""
_TICKS = 5
"""Numbers on an axis, at the most."""


@dataclass(frozen=True, kw_only=True)
class PlottedReading:
    """One reading: its value in the chart's unit, how it is shown, and what it proved."""

    value: Fraction
    text: str
    occasion: str
    decision: str
    stands: bool = True
    gone: str = ""
    """Why it no longer stands."""
    when: str = ""
    """The day or the job, where marks are of several jobs."""
    place: str = ""
    """Where it was taken, where a chart shows several places."""

    @property
    def row(self) -> str:
        return ", ".join(filter(None, (self.place, self.occasion)))

    @property
    def words(self) -> str:
        said = [f"{self.when}, {self.row}: {self.text}" if self.when else f"{self.row}: {self.text}"]
        said += [self.decision] if self.decision != Decision.NO_LIMITS.value else []
        said += [] if self.stands else [self.gone or "withdrawn"]
        return ", ".join(said)


@dataclass(frozen=True)
class Bounds:
    """Limits to draw, with the texts that stand beside them."""

    limits: Limits = NO_LIMITS
    low: str = ""
    high: str = ""
    target: str = ""
    text: str = "none"
    """All of it in words: "1.5 to 3 thou"."""
    unit: str = ""
    """The key of the unit that values are in; empty: numbers alone."""

    @property
    def words(self) -> str:
        target = f", target {self.target}" if self.target else ""
        return f"No limits{target}." if self.text == "none" else f"Limits: {self.text}{target}."


def figure_chart(key: str, title: str, bounds: Bounds, marks: Sequence[PlottedReading]) -> str:
    """The readings of one characteristic on a scale with its limits, a row for each place and occasion.

    ``key`` is unique in the page and made of letters, digits and hyphens; ``marks`` are oldest first.
    """
    places = list(dict.fromkeys(mark.place for mark in marks))
    rows = sorted(
        dict.fromkeys((mark.place, mark.occasion) for mark in marks),
        key=lambda row: (places.index(row[0]), *_rank(row[1])),
    )
    scale = _Scale(_domain(bounds.limits, marks), 0, 100)
    raised = _target_is_raised(bounds, scale)
    named = bool(_bounds_written(bounds)) or bounds.limits.target is not None
    top = _MARGIN + _LINE * (named + raised)
    foot = top + _ROW * len(rows)
    plot = [*_zone_across(key, bounds, scale, (top, foot), raised)]
    names: list[tuple[float, list[str], str]] = []
    said: list[tuple[float, list[str], str]] = []
    for number, row in enumerate(rows):
        middle = float(top + _ROW * number + _MIDDLE)
        here = [mark for mark in marks if (mark.place, mark.occasion) == row]
        plot.append(_line("row", "0%", middle, "100%", middle))
        plot += _stacked(here, scale, middle)
        newest = next((mark for mark in reversed(here) if mark.stands), here[-1])
        proved = newest.decision if newest.decision != Decision.NO_LIMITS.value else ""
        read = [newest.text, proved if newest.stands else newest.gone or "withdrawn"]
        names.append((middle, [each for each in row if each], ""))
        said.append((middle, [each for each in read if each], _colour(newest)))
    plot += _axis_across(bounds.unit, scale, foot)
    left, right = (
        _room([usual, *(text for _, texts, _ in column for text in texts)])
        for usual, column in (("as found", names), (Decision.OUT.value, said))
    )
    parts = [*plot]
    for middle, texts, _ in names:
        parts += _two_lines("0%", middle, texts, shift=-left)
        parts.append(_text("0%", middle - _LINE, ", ".join(texts), "over", shift=-_SIDE))
    for middle, texts, colour in said:
        parts += _two_lines("100%", middle, texts, colour, shift=_GAP)
        parts.append(_text("100%", middle - _LINE, ", ".join(texts), f"over {colour}", anchor="end", shift=_SIDE))
    parts.append(_text("100%", foot + _LINE + 1, _symbol(bounds.unit), "beside", shift=_GAP))
    return _svg(key, title, bounds, marks, parts, height=foot + _LINE + _MARGIN, beside=("across", left, right))


def _room(texts: Iterable[str]) -> int:
    """Pixels beside a plot for the longest of these, some of which are usual: so plots below each other are as wide."""
    return round(max(map(len, texts)) * _LETTER) + _GAP


def trend_chart(key: str, title: str, bounds: Bounds, marks: Sequence[PlottedReading]) -> str:
    """The readings of one characteristic over jobs, oldest on the left, one column for each ``when`` of a mark; a line
    joins what was left in each."""
    columns = list(dict.fromkeys(mark.when for mark in marks))
    top, foot = _MARGIN + _LINE, _TREND_HEIGHT
    scale = _Scale(_domain(bounds.limits, marks), foot, top)
    ends = (Fraction(-1, 2), max(len(columns), 1) - Fraction(1, 2))
    across = _Scale(ends, 0, 100)
    places = {when: across(Fraction(number)) for number, when in enumerate(columns)}
    parts = [*_zone_up(key, bounds, scale, (top, foot)), *_axis_up(bounds.unit, scale, (top, foot))]
    left = [(places[mark.when], scale(mark.value)) for mark in _left_in_each(marks, columns)]
    for (x, y), (next_x, next_y) in pairwise(left):
        parts.append(_line("trace", f"{x}%", y, f"{next_x}%", next_y))
    for _, here in groupby(sorted(marks, key=lambda mark: columns.index(mark.when)), key=lambda mark: mark.when):
        parts += _counted(list(here), places, scale)
    longest = max(map(len, columns), default=0)
    numbers = _room(["0.00", *(_number(value, decimals, bounds.unit) for value, decimals in scale.ticks())])
    beside = _room(["at least 0", *(text for _, text in _told_beside(bounds))])
    slanted = len(columns) * longest * _LETTER > _NARROWEST - numbers - beside
    for when, x in places.items():
        turned = ' transform="rotate(-55)"' if slanted else ""
        anchor = "end" if slanted else "middle"
        text = f'<text text-anchor="{anchor}"{turned}>{escape(when)}</text>'
        parts.append(f'<svg x="{x}%" y="{foot + _LINE}" overflow="visible">{text}</svg>')
    height = foot + _LINE + _MARGIN + (round(longest * _LETTER * 0.82) if slanted else 0)
    return _svg(key, title, bounds, marks, parts, height=height, beside=("up", numbers, beside))


def _left_in_each(marks: Sequence[PlottedReading], columns: Sequence[str]) -> Iterator[PlottedReading]:
    """What each job left, in the order of the columns: its newest reading that stands and was not as found."""
    newest = {mark.when: mark for mark in marks if mark.stands and mark.occasion != AS_FOUND}
    last = {mark.when: mark for mark in marks if mark.stands and mark.occasion == AS_LEFT}
    return ((last.get(when) or newest[when]) for when in columns if when in newest)


def _rank(occasion: str) -> tuple[int, str]:
    return (OCCASIONS.index(occasion) if occasion in OCCASIONS else len(OCCASIONS), occasion)


class _Scale:
    """Values to places between two edges, in hundredths of a unit of the drawing."""

    def __init__(self, domain: tuple[Fraction, Fraction], begin: float, end: float) -> None:
        self.low, self.high = domain
        self.begin, self.end = begin, end

    def __call__(self, value: Fraction) -> float:
        share = float((value - self.low) / (self.high - self.low))
        return round(self.begin + min(max(share, 0.0), 1.0) * (self.end - self.begin), 2)

    def ticks(self) -> list[tuple[Fraction, int]]:
        """Round numbers along it, each with its decimals: steps of 1, 2 or 5 in a power of ten."""
        lowest = floor(log10((self.high - self.low) / _TICKS)) - 1
        for power in range(lowest, lowest + 4):
            for many in (1, 2, 5):
                step = many * Fraction(10) ** power
                numbers = range(ceil(self.low / step), floor(self.high / step) + 1)
                if len(numbers) <= _TICKS:
                    return [(step * number, max(0, -power)) for number in numbers]
        raise AssertionError("steps of a tenth of the scale and more fit")


def _domain(limits: Limits, marks: Iterable[PlottedReading]) -> tuple[Fraction, Fraction]:
    """What the scale has to hold: limits, target and readings, with some room at both ends."""
    values = [bound for bound in (limits.low, limits.high, limits.target) if bound is not None]
    values += [bound + limits.uncertainty for bound in (limits.high,) if bound is not None]
    values += [bound - limits.uncertainty for bound in (limits.low,) if bound is not None]
    values += [mark.value for mark in marks]
    low, high = (min(values), max(values)) if values else (Fraction(0), Fraction(1))
    room = (high - low) / 8 or abs(high) / 8 or Fraction(1)
    # A scale of what can't be less than nought need not go below it; it need not reach down to it either.
    return (max(low - room, Fraction(0)) if low >= 0 and limits.low is None else low - room), high + room


def _bounds_written(bounds: Bounds) -> list[tuple[Fraction, str, str]]:
    """Each limit with what stands at it, and to which side of it that is written."""
    told = (bounds.limits.low, f"at least {bounds.low}", "end"), (bounds.limits.high, f"at most {bounds.high}", "start")
    return [(bound, text, anchor) for bound, text, anchor in told if bound is not None]


def _target_is_raised(bounds: Bounds, scale: _Scale) -> bool:
    """Whether the target's name has no room beside those of the limits, which stand outside of them."""
    target = bounds.limits.target
    if target is None:
        return False
    half = len(f"target {bounds.target}") * _LETTER / 2 / _NARROWEST * 100
    return any(abs(scale(target) - scale(bound)) < half + 1 for bound, _, _ in _bounds_written(bounds))


def _zone_across(key: str, bounds: Bounds, scale: _Scale, ends: tuple[float, float], raised: bool) -> Iterator[str]:
    """The zone of the limits as an upright band, with what is too near a limit to be decided hatched."""
    limits, (top, foot) = bounds.limits, ends
    if limits.low is not None or limits.high is not None:
        left = scale(limits.low) if limits.low is not None else 0
        right = scale(limits.high) if limits.high is not None else 100
        yield _box("zone", (left, right, "%"), (top, foot, ""))
    for bound, text, anchor in _bounds_written(bounds):
        x, u = scale(bound), limits.uncertainty
        if u:
            yield _box("near", (scale(bound - u), scale(bound + u), "%"), (top, foot, ""), key=key)
        yield _line("limit", f"{x}%", top - 4, f"{x}%", foot + 6)
        yield _text(f"{x}%", top - _MARGIN, text, "bound", anchor=anchor)
    if limits.target is not None:
        x = scale(limits.target)
        yield _line("target", f"{x}%", top, f"{x}%", foot)
        yield _text(f"{x}%", top - _MARGIN - _LINE * raised, f"target {bounds.target}", anchor="middle")


def _axis_across(unit: str, scale: _Scale, foot: float) -> Iterator[str]:
    yield _line("axis", "0%", foot, "100%", foot)
    for value, decimals in scale.ticks():
        x = scale(value)
        yield _line("axis", f"{x}%", foot, f"{x}%", foot + 4)
        yield _text(f"{x}%", foot + _LINE + 1, _number(value, decimals, unit), anchor="middle")


def _zone_up(key: str, bounds: Bounds, scale: _Scale, ends: tuple[float, float]) -> Iterator[str]:
    limits, (top, foot) = bounds.limits, ends
    if limits.low is not None or limits.high is not None:
        upper = scale(limits.high) if limits.high is not None else top
        lower = scale(limits.low) if limits.low is not None else foot
        yield _box("zone", (0, 100, "%"), (upper, lower, ""))
    for bound, _, _ in _bounds_written(bounds):
        if limits.uncertainty:
            near = scale(bound + limits.uncertainty), scale(bound - limits.uncertainty), ""
            yield _box("near", (0, 100, "%"), near, key=key)
        yield _line("limit", "0%", scale(bound), "100.6%", scale(bound))
    if limits.target is not None:
        y = scale(limits.target)
        yield _line("target", "0%", y, "100.6%", y)
    free = float(foot + _LINE)
    for bound, text in sorted(_told_beside(bounds)):
        # From below upwards, and none over another.
        free = min(scale(bound) + 4, free - _LINE)
        yield _text("101%", free, text, "bound" if text.startswith("at ") else "", shift=3)


def _told_beside(bounds: Bounds) -> list[tuple[Fraction, str]]:
    """What is written at the end of each line of a trend, with where."""
    told = [(bound, text) for bound, text, _ in _bounds_written(bounds)]
    return told + ([(bounds.limits.target, f"target {bounds.target}")] if bounds.limits.target is not None else [])


def _axis_up(unit: str, scale: _Scale, ends: tuple[float, float]) -> Iterator[str]:
    top, foot = ends
    yield _line("axis", "0%", top, "0%", foot)
    yield _line("axis", "0%", foot, "100%", foot)
    for value, decimals in scale.ticks():
        y = scale(value)
        yield _line("axis", "-0.6%", y, "0%", y)
        yield _text("-0.7%", y + 4, _number(value, decimals, unit), anchor="end", shift=-3)
    yield _text("0%", top - _MARGIN, _symbol(unit), anchor="middle")


def _number(value: Fraction, decimals: int, unit: str) -> str:
    """A number on an axis; what is kept in hundredths of a unit is written in that unit, as figures are."""
    return number_written(Figure(value, decimals, unit or None))


def _symbol(unit: str) -> str:
    return UNITS[UNITS[unit].part_of or unit].symbol if unit in UNITS and unit != "count" else ""


def _stacked(marks: Sequence[PlottedReading], scale: _Scale, middle: float) -> list[str]:
    """Marks of one row; equal readings stand a little above each other, and beside them how many there are."""
    seen: Counter[Fraction] = Counter()
    parts = []
    # What no longer stands is drawn first, below what does.
    for mark in sorted(marks, key=lambda mark: mark.stands):
        parts.append(_mark(mark, scale(mark.value), middle - 3 * min(seen[mark.value], 2)))
        seen[mark.value] += 1
    parts += [_count(count, scale(value), middle - 6) for value, count in seen.items() if count > 1]
    return parts


def _counted(marks: Sequence[PlottedReading], places: dict[str, float], scale: _Scale) -> list[str]:
    """Marks of one job in a trend; equal ones stand beside each other, and above them how many there are."""
    seen: Counter[Fraction] = Counter()
    parts = []
    for mark in sorted(marks, key=lambda mark: mark.stands):
        shift = 4 * min(seen[mark.value], 2)
        parts.append(_mark(mark, places[mark.when], scale(mark.value), shift))
        seen[mark.value] += 1
    x = places[marks[0].when]
    return parts + [_count(count, x, scale(value) - 6) for value, count in seen.items() if count > 1]


def _count(count: int, x: float, y: float) -> str:
    return f'<text class="count" x="{x}%" y="{y}" dx="15">×{count}</text>'


def _mark(mark: PlottedReading, x: float, y: float, shift: float = 0) -> str:
    """A diamond as found, a circle as set, a square as left; a cross for what no longer stands."""
    return (
        f'<svg x="{x}%" y="{y}" overflow="visible"><g transform="translate({shift})">'
        f"<title>{escape(mark.words)}</title>{_form(mark)}</g></svg>"
    )


def _form(mark: PlottedReading) -> str:
    colour = _colour(mark)
    if not mark.stands:
        return '<path class="gone" d="M-3.5 -3.5l7 7m0 -7l-7 7"/>'
    if mark.occasion == AS_FOUND:
        return f'<path class="{colour} hollow" d="M0 -6l6 6l-6 6l-6 -6z"/>'
    if mark.occasion == AS_LEFT:
        return f'<path class="{colour} solid" d="M-5 -5h10v10h-10z"/>'
    return f'<circle class="{colour} hollow" r="5"/>'


_COLOURS = {Decision.IN.value: "in", Decision.OUT.value: "out", Decision.UNDECIDED.value: "undecided"}


def _colour(mark: PlottedReading) -> str:
    return _COLOURS.get(mark.decision, "plain") if mark.stands else "gone"


def _box(name: str, across: tuple[float, float, str], up: tuple[float, float, str], *, key: str = "") -> str:
    fill = f' fill="url(#{key}-near)"' if key else ""
    (left, right, of_width), (top, foot, _) = across, up
    size = f'width="{round(max(right - left, 0), 2)}{of_width}" height="{round(max(foot - top, 0), 2)}"'
    return f'<rect class="{name}" x="{left}{of_width}" y="{top}" {size}{fill}/>'


def _line(name: str, x1: str, y1: float, x2: str, y2: float) -> str:
    return f'<line class="{name}" x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}"/>'


def _two_lines(x: str, middle: float, texts: Sequence[str], colour: str = "", *, shift: int = 0) -> list[str]:
    """One text beside a row, or two above each other."""
    first, names = middle + 4 - _LINE / 2 * (len(texts) - 1), f"beside {colour}".rstrip()
    return [_text(x, first + _LINE * number, text, names, shift=shift) for number, text in enumerate(texts)]


def _text(x: str, y: float, text: str, names: str = "", *, anchor: str = "start", shift: int = 0) -> str:
    """``names`` are its classes; ``shift``: pixels to the right of ``x``."""
    more = f' class="{names.rstrip()}"' if names else ""
    more += f' dx="{shift}"' if shift else ""
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}"{more}>{escape(text)}</text>' if text else ""


def legend(occasions: Iterable[str]) -> str:
    """The forms of the marks with their words, and that of what no longer stands, as inline drawings."""
    drawn = [PlottedReading(value=Fraction(0), text="", occasion=each, decision="") for each in occasions]
    drawn.append(PlottedReading(value=Fraction(0), text="", occasion="", decision="", stands=False))
    return " ".join(
        '<span class="form"><svg class="chart key" width="14" height="14" aria-hidden="true">'
        f'<g transform="translate(7 7)">{_form(mark)}</g></svg> '
        f"{escape(mark.occasion) if mark.stands else 'no longer standing'}</span>"
        for mark in drawn
    )


def _svg(
    key: str,
    title: str,
    bounds: Bounds,
    marks: Sequence[PlottedReading],
    parts: Sequence[str],
    *,
    height: float,
    beside: tuple[str, int, int],
) -> str:
    """The drawing is as wide as the plot; what is written beside it (so many pixels on its left, and on its right)
    stands outside of it, where ``.chart`` of ``text/printed.css`` leaves room."""
    name, left, right = beside
    words = " ".join([bounds.words, *(f"{mark.words[0].upper()}{mark.words[1:]}." for mark in marks)])
    hatch = (
        f'<defs><pattern id="{key}-near" width="5" height="5" patternUnits="userSpaceOnUse">'
        '<path class="hatch" d="M0 5L5 0"/></pattern></defs>'
    )
    return (
        f'<svg class="chart {name}" style="--room-left: {left}px; --room-right: {right}px" role="img" width="100%" '
        f'height="{height}" aria-labelledby="{key}-title {key}-words">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-words">{escape(words)}</desc>'
        f"{hatch if bounds.limits.uncertainty else ''}{''.join(parts)}</svg>"
    )
