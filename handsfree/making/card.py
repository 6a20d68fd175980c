"""A procedure on paper: the bench card with its steps, what to lay out, and what lies in which tray."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import groupby

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from handsfree.measure.formatting import figure_shown, range_written, size_written
from handsfree.procedure.check.gap_marks import gaps
from handsfree.procedure.model import Characteristic, Fastener, Lubricant, Procedure, Step
from handsfree.procedure.parts import AS_SET
from handsfree.text.printed import style_sheet
from handsfree.text.prose import duration
from handsfree.wording.dangers import lasting

BLANK = "_" * 12
"""Where something is to be written by hand."""


@dataclass(frozen=True)
class Tray:
    """What lies in one tray; ``name`` None: what has none."""

    name: str | None
    steps: tuple[tuple[int, str], ...]
    fasteners: tuple[str, ...]


@dataclass(frozen=True)
class Section:
    """Steps under one heading, numbered as they are spoken."""

    heading: str | None
    steps: Sequence[tuple[int, Step]] = field(default=())


def card_html(procedure: Procedure) -> str:
    """The card as one HTML file that needs nothing beside it; everything from the procedure is escaped."""
    environment = Environment(
        loader=PackageLoader("handsfree.making", "."),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {
        "fastener": fastener_words,
        "lubricant": lubricant_words,
        "figure": characteristic_text,
        "condition": condition_words,
        "duration": duration,
        "lasting": partial(lasting, procedure),
        "or_blank": or_blank,
    }
    return environment.get_template("card.html.j2").render(
        procedure=procedure,
        css=Markup(style_sheet()),
        sections=list(sections(procedure)),
        trays=trays(procedure),
        tools=tool_lines(procedure),
        lubricants=list(dict.fromkeys(lubricant.which for step in procedure.steps for lubricant in step.lubricants)),
    )


def sections(procedure: Procedure) -> Iterator[Section]:
    """The steps by group and place, in their order."""
    numbered = enumerate(procedure.steps, 1)
    for (group, place), steps in groupby(
        numbered, key=lambda each: (each[1].group, each[1].place if each[1].group else None)
    ):
        heading = ", ".join(filter(None, (group, place)))
        yield Section(heading or None, list(steps))


def trays(procedure: Procedure) -> list[Tray]:
    """Every tray in the order of its first use, then what has none."""
    found: dict[str | None, list[tuple[int, Step]]] = {}
    for number, step in enumerate(procedure.steps, 1):
        if step.tray is not None or step.fasteners:
            found.setdefault(step.tray, []).append((number, step))
    names = [name for name in found if name is not None] + ([None] if None in found else [])
    return [
        Tray(
            name,
            tuple((number, step.act) for number, step in found[name]),
            tuple(_together([(fastener, step.place) for _, step in found[name] for fastener in step.fasteners])),
        )
        for name in names
    ]


def _together(fasteners: Sequence[tuple[Fastener, str | None]]) -> Iterator[str]:
    """Like ones counted together; those that depend on an answer stand for themselves. What is named twice at one place
    is taken off in one step and put back in another, and lies there once."""
    counts: dict[tuple[str, ...], dict[object, int]] = {}
    for at, (each, place) in enumerate(fasteners):
        there = counts.setdefault((*_kind(each), condition_words(each.only_if)), {})
        where = (each.where, place) if each.where else at
        there[where] = max(there.get(where, 0), each.count)
    for kind, found in counts.items():
        yield f"{sum(found.values())} off: {', '.join(filter(None, kind))}"


def _kind(fastener: Fastener) -> tuple[str, ...]:
    left = "left-hand thread" if fastener.left_hand else ""
    return or_blank(size_written(fastener.size)), fastener.head or "", fastener.finish or "", left


def tool_lines(procedure: Procedure) -> list[str]:
    """Every tool by name, once, with what it can tell apart where that is known."""
    found: dict[str, str] = {}
    for step in procedure.steps:
        for tool in (*step.tools, *(each.tool for each in step.characteristics if each.tool)):
            if or_blank(tool.name) == BLANK:
                continue
            resolution = figure_shown(tool.resolution) if tool.resolution and tool.resolution.unit else ""
            found[tool.name] = found.get(tool.name) or resolution
    return [f"{name} ({resolution})" if resolution else name for name, resolution in found.items()]


def or_blank(text: str) -> str:
    """The text, or a line to write on where the procedure has a gap."""
    return BLANK if any(gaps(text)) else text


def fastener_words(fastener: Fastener) -> str:
    """ "2 off: M2 × 5, cheese head, the gib"."""
    where = or_blank(fastener.where or "")
    said = (*_kind(fastener), where, fastener.tighten or "", condition_words(fastener.only_if))
    return f"{fastener.count} off: {', '.join(filter(None, said))}"


def lubricant_words(lubricant: Lubricant) -> str:
    said = (lubricant.which, lubricant.where, lubricant.how_much, condition_words(lubricant.only_if))
    return ", ".join(filter(None, said))


def characteristic_text(measured: Characteristic) -> str:
    """ "gib clearance: 1.5 to 3 thou, target 2 thou"."""
    bounded = measured.low is not None or measured.high is not None
    said = [range_written(measured.low, measured.high)] if bounded else []
    said += [f"target {figure_shown(measured.target)}"] if measured.target is not None else []
    said += [f"with {or_blank(measured.tool.name)}"] if measured.tool else []
    said += [measured.occasion] if measured.occasion != AS_SET else []
    said += [words] if (words := condition_words(measured.only_if)) else []
    return f"{measured.name}: {', '.join(said)}" if said else measured.name


def condition_words(condition: Mapping[str, tuple[str, ...]]) -> str:
    """ "if collar is yes"; nothing where it always holds."""
    return " and ".join(f"if {name} is {' or '.join(answers)}" for name, answers in condition.items())
