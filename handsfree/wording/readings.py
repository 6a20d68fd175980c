"""A reading in words, for the ear and for the eye: read back, spelled out, judged, and what became of it."""

from __future__ import annotations

from datetime import date
from typing import Protocol

from handsfree.job.events import ReadingLogged
from handsfree.job.state import Entry
from handsfree.job.stated import in_own_unit, kept, parsed, stated, step_of_reading
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import confusable_digits, in_decimals, number_words, spoken, spoken_with_other
from handsfree.measure.limits import Decision, Verdict
from handsfree.phrases.intents import Intent
from handsfree.procedure.parts import AS_SET
from handsfree.text.calendar import MONTHS
from handsfree.text.numerals import digit_words
from handsfree.text.prose import sentences, was_or_were

_OF_A_RULE = (2, 4, 8, 16, 32, 64)


def command(intent: Intent) -> str:
    """A command in a few words."""
    figure = spoken(intent.figure) if intent.figure is not None else None
    return " ".join(filter(None, (intent.kind.value, intent.characteristic, figure)))


def verdict_words(verdict: Verdict, beyond: Figure | None, *, briefly: bool = False) -> str:
    """The verdict in a few words, with how far beyond the limit it is unless ``briefly``; nothing where there are no
    limits."""
    if briefly and verdict.decision is not Decision.NO_LIMITS:
        return str(verdict.decision.value)
    if verdict.decision is Decision.IN:
        return "in limits"
    if verdict.decision is Decision.OUT:
        return f"out of limits, {f'{spoken(beyond)} ' if beyond is not None else ''}{_way(verdict.side)}"
    if verdict.decision is Decision.UNDECIDED:
        return f"undecided, {_too_near(verdict.side)}"
    return ""


def read_back(characteristic: str, said: str, occasion: str, verdict: str) -> str:
    """A reading read back: name, what was said, verdict."""
    when = "" if occasion == AS_SET else f", {occasion}"
    return sentences((f"{characteristic}{when}, {said}", verdict))


def with_digits(said: str, figure: Figure) -> str:
    """A figure's words, and the figure digit by digit after them where it is easily misheard."""
    digits = confusable_digits(figure)
    return f"{said}, {digits}" if digits else said


def digit_by_digit(figure: Figure) -> str:
    """A figure digit by digit, so that it cannot be misheard a second time: "one five", "point nought five"; the
    fractions of a rule (five thirty seconds) as they are said."""
    if figure.decimals is None and figure.value.denominator in _OF_A_RULE:
        return number_words(figure.value, None)
    return digit_words(figure.text)


def uncertainty_written(shown: str | None, assumed: str | None) -> str:
    """An uncertainty and how it was come by: "0.25 thou (assumed: half the resolution)"; empty where there is none."""
    return f"{shown} (assumed: {assumed})" if shown and assumed else shown or ""


def reading_written(event: ReadingLogged) -> str:
    """The logged reading for the eye: "end float, as set: 9 thou, out of limits, 4 thou over"."""
    words = f"{measured_words(event)}: {event.shown}"
    return words if event.decision == Decision.NO_LIMITS.value else f"{words}, {decision_words(event)}"


def reading_words(event: ReadingLogged) -> str:
    """The logged reading for the ear: as it was stated, and in the unit of what is measured, or of the other system;
    the two ends where it lies between them."""
    if event.upper is not None:
        return _between(event, event.upper)
    said = stated(event)
    feel = f", {event.feel}" if event.feel else ""
    if said is not None and said.unit != event.unit:
        return f"{spoken(said)}, about {spoken(in_own_unit(event))}{feel}"
    own = said or kept(event.value, event.unit)
    return spoken_with_other(own, step_of_reading(event)) + feel


def _between(event: ReadingLogged, upper: str) -> str:
    low, high = kept(event.value, event.unit), kept(upper, event.unit)
    return f"between {number_words(low.value, low.decimals)} and {spoken(high)}"


def figure_name(characteristic: str, place: str | None) -> str:
    """What is measured, with the place where it is measured at several: "gap, left". Figures of two places are two."""
    return f"{characteristic}, {place}" if place else characteristic


def measured_words(event: ReadingLogged) -> str:
    """What was measured, where and when: "gap, left, as set"."""
    return f"{figure_name(event.characteristic, event.place)}, {event.occasion}"


class Decided(Protocol):
    """A reading as it is in the log, or as a line of a record."""

    @property
    def decision(self) -> str: ...
    @property
    def beyond(self) -> str | None: ...
    @property
    def side(self) -> str | None: ...


def decision_words(event: Decided) -> str:
    """What the figure proves, with how far it is beyond the limit: "out of limits, 2 thou over"."""
    decision = Decision(event.decision)
    if decision is Decision.OUT and event.beyond:
        return f"{decision.value}, {margin_words(event)}"
    if decision is Decision.UNDECIDED:
        edge = _edge(event.side)
        return f"{decision.value}, {_from_limit(event)} {edge}: nearer than the tool can tell"
    return str(decision.value)


def margin_words(event: Decided) -> str:
    """Why a figure does not pass, in few words: "2 thou over"; nothing where it passes."""
    decision = Decision(event.decision)
    if decision is Decision.OUT and event.beyond:
        return f"{in_decimals(event.beyond)} {_way(event.side)}"
    return _too_near(event.side) if decision is Decision.UNDECIDED else ""


def _way(side: str | None) -> str:
    return "over" if side == "high" else "under"


def _edge(side: str | None) -> str:
    return f"the {'upper' if side == 'high' else 'lower'} limit"


def _too_near(side: str | None) -> str:
    return f"too near {_edge(side)} for the tool"


def _from_limit(event: Decided) -> str:
    beyond = event.beyond
    figure = parsed(beyond) if beyond else None
    if beyond is None or figure is None:
        return "too near"
    if figure.value == 0:
        return "on"
    return f"{in_decimals(beyond).lstrip('-')} {'inside' if figure.value < 0 else 'beyond'}"


def was_due(tool: str, due: date, today: date) -> str:
    """ "micrometer three was due in March", with the year where that is another."""
    year = "" if due.year == today.year else f" {due.year}"
    return f"{tool} {was_or_were(tool)} due in {MONTHS[due.month - 1].capitalize()}{year}"


def tool_written(tool: str, identity: str | None, calibrated: str | None, overdue: str | None) -> str:
    """A tool that a figure was taken with, as far as it is known: "micrometer, M-3, calibrated 2025-03-31"."""
    said = [tool, *([identity] if identity else [])]
    said += [f"calibrated {calibrated}"] if calibrated else []
    said += [f"{was_or_were(tool)} due {overdue}"] if overdue else []
    return ", ".join(said)


def outcome_words(entry: Entry) -> str:
    """What was done about it, or nothing: "accepted: owner agrees"."""
    if entry.outcome is None:
        return ""
    return f"{entry.outcome}: {entry.reason}" if entry.reason else entry.outcome


def stated_figure(event: ReadingLogged) -> str:
    """The figure for the ear, as it was stated; the two ends where it lies between them."""
    if event.upper is not None:
        return _between(event, event.upper)
    figure = stated(event)
    return spoken(figure) if figure is not None else event.as_said
