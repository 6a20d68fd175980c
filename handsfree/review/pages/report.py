"""The report of a job as one HTML page that needs nothing else: style, charts and sound are inside it."""

from __future__ import annotations

import base64
from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from markupsafe import Markup

from handsfree.job.counter.charges import Charge, total_of
from handsfree.job.facts import FACTS, Fact
from handsfree.job.log.beside.attached import picture_type
from handsfree.measure.figure import figure_from_text
from handsfree.measure.formatting import number_written
from handsfree.procedure.model import Procedure
from handsfree.procedure.settings.report_parts import USUAL_PARTS
from handsfree.review.findings import Finding
from handsfree.review.history import bounds_of
from handsfree.review.pages.charts import Bounds, PlottedReading, figure_chart
from handsfree.review.pages.owner import owner_part
from handsfree.review.pages.shared import LONGEST_SHOWN_NAME, capital, day, moment, render, shortened, span
from handsfree.review.record import measured
from handsfree.review.record_lines import (
    AttachedLine,
    CheckLine,
    FigureLine,
    Head,
    JobRecord,
    MaterialLine,
    NoteLine,
    ProcedureLine,
    StepLine,
)
from handsfree.review.text.whole import HEADINGS, RULE, uncertainties

MOST_IN_BOX = 4
"""Procedures, or people, that the title block names."""


@dataclass(frozen=True)
class Integrity:
    """What is known of the log at the time of writing: sentences, and hashes with what they are of."""

    sentences: tuple[str, ...] = ()
    hashes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class _Group:
    """The readings of one characteristic against the same limits, at all its places."""

    title: str
    chart: Markup
    lines: tuple[FigureLine, ...]


@dataclass(frozen=True, kw_only=True)
class _Part:
    """What the technical record tells of one procedure."""

    title: str
    """Empty where it is the only one: the head of the page names it."""
    line: ProcedureLine
    groups: list[_Group]
    checks: list[CheckLine]
    steps: list[StepLine]
    notes: list[NoteLine]
    materials: list[MaterialLine]


def report_page(  # noqa: PLR0913 - what a page is made of, all of it but the first two by keyword
    record: JobRecord,
    procedures: Mapping[str, Procedure],
    *,
    integrity: Integrity,
    written_at: datetime,
    version: str,
    sound: Callable[[str], bytes | None] = lambda _: None,
    picture: Callable[[str], bytes | None] = lambda _: None,
    charges: Sequence[Charge] = (),
    currency: str = "",
    say: str = "",
    parts: Collection[str] = USUAL_PARTS,
) -> str:
    """The page of the whole job; ``procedures`` are those it was worked by, by name. ``sound`` gives the FLAC file of a
    clip by its hash, ``picture`` the content of an attached file, or None to leave it out; ``say`` is what the workshop
    has to say to the owner; ``parts`` are those of ``procedure.settings.report_parts``."""
    whole = _boxes(record)
    boxes = [(width, label, _within(text)) for width, label, text in whole]
    owner = owner_part(
        record,
        procedures,
        boxes=boxes,
        say=say,
        remarks="remarks" in parts,
        charges=charges if "charges" in parts else (),
    )
    sounds: defaultdict[str | None, str] = defaultdict(str)
    for clip in dict.fromkeys(line.clip for line in record.time_line if line.clip):
        content = sound(clip) if "sounds" in parts else None
        if content:
            sounds[clip] = f"data:audio/flac;base64,{base64.b64encode(content).decode()}"
    time_line = [line for line in record.time_line if line.kind != "note stretch"] if "time line" in parts else []
    return render(
        "report.html",
        foot=_foot(record.head),
        head=record.head,
        boxes=boxes,
        whole=[(label, texts) for _, label, texts in whole if _within(texts) != texts],
        with_parts=parts,
        owner=owner,
        say=say,
        total=total_of(charges),
        currency=currency,
        charges=charges if "charges" in parts else (),
        attention=_by_kind(record.findings),
        parts_of_job=_parts(record, procedures),
        titles={line.procedure: line.title for line in record.procedures} if len(record.procedures) > 1 else {},
        told=[line for line in record.facts if _is_told(FACTS[line.about])],
        parts=record.parts,
        attached=[(line, _picture(line, picture), _belongs(line, record)) for line in record.attached],
        removals=record.removals,
        marks=record.marks,
        corrections=record.corrections,
        rule=_rule(record.figures),
        integrity=integrity.sentences,
        hashes=integrity.hashes,
        days=[(day_, list(lines)) for day_, lines in groupby(time_line, key=lambda line: day(line.at))],
        several=len({line.by for line in record.time_line}) > 1,
        sounds=sounds,
        untyped=any(line.to_type for line in record.facts) or any(line.to_type for line in record.notes),
        closing=f"Written {moment(written_at)} by Handsfree {version} from the job's log alone.",
    )


def _within(texts: Sequence[str]) -> list[str]:
    """The texts of a box of the title block, as far as there is room for them; the record has the whole of them."""
    shown = [shortened(each, LONGEST_SHOWN_NAME) for each in texts[:MOST_IN_BOX]]
    return [*shown, f"and {len(texts) - MOST_IN_BOX} more"] if len(texts) > MOST_IN_BOX else shown


def _picture(line: AttachedLine, content_of: Callable[[str], bytes | None]) -> str | None:
    """A picture as the page holds it in itself; None for a file that is only named. What the log says of its type is
    not believed: its first bytes are looked at again."""
    content = content_of(line.sha256) if line.shown_as and line.state == "standing" else None
    kind = picture_type(content) if content else None
    return f"data:{kind};base64,{base64.b64encode(content or b'').decode()}" if kind else None


def _belongs(line: AttachedLine, record: JobRecord) -> str:
    """What an attached file belongs to, in the words of the time line; empty: the job as a whole."""
    said = [figure.name for figure in record.figures if figure.id == line.to]
    said += [note.text for note in record.notes if note.id == line.to]
    said += [f"{FACTS[fact.about].said}: {fact.text}" for fact in record.facts if fact.id == line.to]
    return said[0] if said else line.to or ""


def _is_told(fact: Fact) -> bool:
    """Whether a fact is told on the first page: the head of it has what identifies the item, and how to reach the owner
    is for the workshop."""
    return not (fact.identifies or fact.personal or fact.charged)


def _boxes(record: JobRecord) -> list[tuple[str, str, list[str]]]:
    """What stands in the boxes of the title block: width, label, texts."""
    head = record.head
    work = [f"{each.title}, revision {each.revision}" for each in record.procedures]
    took, width = span(head.seconds_at_bench), "wide" if head.workers else ""
    ended = ("Finished", head.finished) if head.finished else ("Last entry", head.last)
    return [
        ("wide", "Item", [head.item]),
        ("wide", "Serial number", [head.serial or "not given"]),
        ("wide", "Owner", [head.owner or "not given"]),
        ("wide", "Work", work),
        *(
            [("wide", "At the bench", list(head.workers)), ("wide", "Time at the bench", [took])]
            if head.workers
            else []
        ),
        (width, "Taken in", [moment(head.opened)]),
        (width, ended[0], [moment(ended[1])]),
        *([] if head.workers else [("last", "Time at the bench", [took])]),
    ]


def _foot(head: Head) -> str:
    """Which job and item a page is of."""
    return f"Job {head.job}" + (f", serial number {head.serial}" if head.serial else "")


def _parts(record: JobRecord, procedures: Mapping[str, Procedure]) -> list[_Part]:
    several = len(record.procedures) > 1
    first, parts = 1, []
    for line in record.procedures:
        name = line.procedure
        groups = _groups([each for each in record.figures if each.procedure == name], procedures[name], first)
        first += len(groups)
        parts.append(
            _Part(
                title=line.title if several else "",
                line=line,
                groups=groups,
                checks=[each for each in record.checks if each.procedure == name],
                steps=[each for each in record.steps if each.procedure == name and not line.apart],
                notes=[each for each in record.notes if each.procedure == name],
                materials=[each for each in record.materials if each.procedure == name],
            )
        )
    return parts


def _by_kind(found: Sequence[Finding]) -> list[tuple[str, list[Finding]]]:
    kinds = sorted({finding.kind for finding in found})
    return [(HEADINGS[kind], [finding for finding in found if finding.kind is kind]) for kind in kinds]


def _groups(figures: Sequence[FigureLine], procedure: Procedure, first: int) -> list[_Group]:
    together: dict[tuple[str, str, str], list[FigureLine]] = {}
    for line in figures:
        together.setdefault((line.characteristic, line.unit, line.limits), []).append(line)
    groups = []
    for number, ((name, _, limits), lines) in enumerate(together.items(), first):
        title = f"{capital(name)}, {'no limits' if limits == 'none' else limits}"
        marks = [mark for line in lines if (mark := mark_of(line)) is not None]
        chart = (
            figure_chart(f"figure-{number}", title, bounds_in_procedure(procedure, lines[0]), marks) if marks else ""
        )
        groups.append(_Group(title, Markup(chart), tuple(lines)))
    return groups


def mark_of(line: FigureLine, when: str = "") -> PlottedReading | None:
    """The figure as a mark on a chart; None where its text is no number (a damaged log)."""
    try:
        value = figure_from_text(line.value, line.unit).value
    except (ValueError, ArithmeticError):
        return None
    return PlottedReading(
        value=value,
        text=line.shown,
        occasion=line.occasion,
        decision=line.decision,
        stands=line.stands,
        gone=line.state,
        when=when,
        place=line.place or "",
    )


def bounds_in_procedure(procedure: Procedure, line: FigureLine) -> Bounds:
    """The limits that a figure was judged by, from the procedure it was taken in; where that has them no more, as they
    were shown then."""
    asked = measured(procedure, line.step, line.characteristic)
    if asked is None or asked.unit != line.unit:
        return bounds_of(line.limits, line.unit, line.uncertainty)
    low, high, target = (number_written(bound) if bound else "" for bound in (asked.low, asked.high, asked.target))
    return Bounds(asked.limits, low, high, target, line.limits, line.unit)


def _rule(figures: Sequence[FigureLine]) -> list[str]:
    judged = [line for line in figures if line.decision != "no limits"]
    if not judged:
        return ["No figure was judged against limits."]
    return [RULE] + [f"{line}." for line in uncertainties(judged)]
