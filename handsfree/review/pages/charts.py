"""Small charts as inline SVG: what was measured against its limits, in one job and over many.

A chart is a piece of markup that needs nothing but the colours of the page it stands in (classes, see ``sheet.css``).
Everything said or typed is escaped; each chart carries its contents in words for those who can't see it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from html import escape

from handsfree.measure.limits import Decision, Limits
from handsfree.procedure.parts import AS_FOUND, AS_LEFT, OCCASIONS

NO_LIMITS = Limits()

_WIDTH = 420
_LEFT, _RIGHT = 72, 322
"""The plot's edges; to its left the rows' names, to its right what was read."""
_TOP, _ROW, _FOOT = 24, 26, 26
_TREND_HEIGHT = 180


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

    @property
    def words(self) -> str:
        said = [f"{self.when}, {self.occasion}: {self.text}" if self.when else f"{self.occasion}: {self.text}"]
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

    @property
    def words(self) -> str:
        target = f", target {self.target}" if self.target else ""
        return f"No limits{target}." if self.text == "none" else f"Limits: {self.text}{target}."


def figure_chart(key: str, title: str, bounds: Bounds, marks: Sequence[PlottedReading]) -> str:
    """The readings of one characteristic on a scale with its limits, a row for each occasion.

    ``key`` is unique in the page and made of letters, digits and hyphens; ``marks`` are oldest first.
    """
    rows = [occasion for occasion in OCCASIONS if any(mark.occasion == occasion for mark in marks)]
    rows += sorted({mark.occasion for mark in marks} - set(rows))
    floor = _TOP + _ROW * len(rows)
    scale = _Scale(_domain(bounds.limits, marks), _LEFT, _RIGHT)
    parts = [*_zone_across(key, bounds, scale, floor)]
    for place, occasion in enumerate(rows):
        middle = _TOP + _ROW * place + _ROW / 2
        here = [mark for mark in marks if mark.occasion == occasion]
        parts.append(f'<path class="row" d="M{_LEFT} {middle}H{_RIGHT}"/>')
        parts.append(_text(0, middle + 4, occasion))
        parts += _stacked(here, scale, middle)
        newest = next((mark for mark in reversed(here) if mark.stands), here[-1])
        parts.append(_text(_RIGHT + 8, middle + 4, newest.text, _colour(newest)))
    return _svg(key, title, bounds, marks, parts, height=floor + _FOOT)


def trend_chart(key: str, title: str, bounds: Bounds, marks: Sequence[PlottedReading]) -> str:
    """The readings of one characteristic over jobs, oldest on the left, one column for each ``Mark.when``."""
    columns = list(dict.fromkeys(mark.when for mark in marks))
    top, floor = 14, _TREND_HEIGHT - 24
    left, right = 56, _WIDTH - 14
    scale = _Scale(_domain(bounds.limits, marks), floor, top)
    across = _Scale((Fraction(-1, 2), Fraction(len(columns)) - Fraction(1, 2)), left, right)
    parts = [*_zone_up(key, bounds, scale, (left, right), (top, floor))]
    latest = {mark.when: mark for mark in marks if mark.stands}
    spots = [(across(Fraction(columns.index(when))), scale(mark.value)) for when, mark in latest.items()]
    if len(spots) > 1:
        parts.append(f'<path class="trace" d="M{" L".join(f"{x} {y}" for x, y in spots)}"/>')
    parts += [_mark(mark, across(Fraction(columns.index(mark.when))), scale(mark.value)) for mark in marks]
    ends = dict.fromkeys((columns[0], columns[-1])) if columns else {}
    for when, anchor, x in zip(ends, ("start", "end"), (left, right), strict=False):
        parts.append(_text(x, _TREND_HEIGHT - 6, when, anchor=anchor))
    return _svg(key, title, bounds, marks, parts, height=_TREND_HEIGHT)


class _Scale:
    """Values to places between two edges, in tenths of a unit of the drawing."""

    def __init__(self, domain: tuple[Fraction, Fraction], begin: float, end: float) -> None:
        self.low, self.high = domain
        self.begin, self.end = begin, end

    def __call__(self, value: Fraction) -> float:
        share = float((value - self.low) / (self.high - self.low))
        return round(self.begin + min(max(share, 0.0), 1.0) * (self.end - self.begin), 1)


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


def _zone_across(key: str, bounds: Bounds, scale: _Scale, floor: float) -> list[str]:
    """The zone of the limits as an upright band, with what is too near a limit to be decided hatched."""
    limits = bounds.limits
    parts = []
    if limits.low is not None or limits.high is not None:
        left = scale(limits.low) if limits.low is not None else _LEFT
        right = scale(limits.high) if limits.high is not None else _RIGHT
        parts.append(_box("zone", left, _TOP, right - left, floor - _TOP))
    for bound, text, anchor in ((limits.low, bounds.low, "end"), (limits.high, bounds.high, "start")):
        if bound is None:
            continue
        x, u = scale(bound), limits.uncertainty
        if u:
            near = scale(bound - u)
            parts.append(_box("near", near, _TOP, scale(bound + u) - near, floor - _TOP, key=key))
        parts.append(f'<path class="limit" d="M{x} {_TOP}V{floor + 4}"/>')
        one_sided = limits.low is None or limits.high is None
        parts.append(_text(x, floor + 17, text, anchor="middle" if one_sided else anchor))
    if limits.target is not None:
        x = scale(limits.target)
        parts.append(f'<path class="target" d="M{x} {_TOP - 4}V{floor}"/>')
        parts.append(_text(x, _TOP - 9, f"target {bounds.target}", anchor="middle"))
    parts.append(f'<path class="axis" d="M{_LEFT} {floor}H{_RIGHT}"/>')
    return parts


def _zone_up(
    key: str, bounds: Bounds, scale: _Scale, sides: tuple[float, float], ends: tuple[float, float]
) -> list[str]:
    limits, (left, right), (top, floor) = bounds.limits, sides, ends
    parts = []
    if limits.low is not None or limits.high is not None:
        upper = scale(limits.high) if limits.high is not None else top
        lower = scale(limits.low) if limits.low is not None else floor
        parts.append(_box("zone", left, upper, right - left, lower - upper))
    for bound, text, shift in ((limits.low, bounds.low, 10), (limits.high, bounds.high, 0)):
        if bound is None:
            continue
        y, u = scale(bound), limits.uncertainty
        if u:
            near = scale(bound + u)
            parts.append(_box("near", left, near, right - left, scale(bound - u) - near, key=key))
        parts.append(f'<path class="limit" d="M{left - 4} {y}H{right}"/>')
        parts.append(_text(left - 8, y + shift, text, anchor="end"))
    if limits.target is not None:
        parts.append(f'<path class="target" d="M{left} {scale(limits.target)}H{right}"/>')
    parts.append(f'<path class="axis" d="M{left} {floor}H{right}M{left} {top}V{floor}"/>')
    return parts


def _stacked(marks: Sequence[PlottedReading], scale: _Scale, middle: float) -> list[str]:
    """Marks of one row; equal readings stand a little above each other, so that each is seen."""
    seen: Counter[float] = Counter()
    parts = []
    # What no longer stands is drawn first, below what does.
    for mark in sorted(marks, key=lambda mark: mark.stands):
        x = scale(mark.value)
        parts.append(_mark(mark, x, middle - 3 * min(seen[x], 3)))
        seen[x] += 1
    return parts


def _mark(mark: PlottedReading, x: float, y: float) -> str:
    """A diamond as found, a circle as set, a square as left; a cross for what no longer stands."""
    if not mark.stands:
        shape = f'<path class="gone" d="M{x - 3.5} {y - 3.5}l7 7m0 -7l-7 7"/>'
    elif mark.occasion == AS_FOUND:
        shape = f'<path class="{_colour(mark)} hollow" d="M{x} {y - 6}l6 6l-6 6l-6 -6z"/>'
    elif mark.occasion == AS_LEFT:
        shape = f'<path class="{_colour(mark)} solid" d="M{x - 5} {y - 5}h10v10h-10z"/>'
    else:
        shape = f'<circle class="{_colour(mark)} hollow" cx="{x}" cy="{y}" r="5"/>'
    return f"<g><title>{escape(mark.words)}</title>{shape}</g>"


_COLOURS = {Decision.IN.value: "in", Decision.OUT.value: "out", Decision.UNDECIDED.value: "undecided"}


def _colour(mark: PlottedReading) -> str:
    return _COLOURS.get(mark.decision, "plain") if mark.stands else "gone"


def _box(name: str, x: float, y: float, width: float, height: float, *, key: str = "") -> str:
    fill = f' fill="url(#{key}-near)"' if key else ""
    size = f'width="{round(max(width, 0), 1)}" height="{round(max(height, 0), 1)}"'
    return f'<rect class="{name}" x="{x}" y="{y}" {size}{fill}/>'


def _text(x: float, y: float, text: str, colour: str = "", *, anchor: str = "start") -> str:
    colour = f' class="{colour}"' if colour else ""
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}"{colour}>{escape(text)}</text>'


def _svg(
    key: str, title: str, bounds: Bounds, marks: Sequence[PlottedReading], parts: Sequence[str], *, height: float
) -> str:
    words = " ".join([bounds.words, *(f"{mark.words[0].upper()}{mark.words[1:]}." for mark in marks)])
    hatch = (
        f'<defs><pattern id="{key}-near" width="5" height="5" patternUnits="userSpaceOnUse">'
        '<path class="hatch" d="M0 5L5 0"/></pattern></defs>'
    )
    return (
        f'<svg class="chart" role="img" viewBox="0 0 {_WIDTH} {height}" aria-labelledby="{key}-title {key}-words">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-words">{escape(words)}</desc>'
        f"{hatch if bounds.limits.uncertainty else ''}{''.join(parts)}</svg>"
    )
