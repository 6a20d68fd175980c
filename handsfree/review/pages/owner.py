"""The owner's part of the report: one page in the owner's words, whatever the job was.

What does not fit stands in the technical record, and the page says how much. What is unsafe, serious or worst is told
first. Remarks of the bench (reasons, what was done knowingly) are left out unless they are asked for.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from typing import Generic, TypeVar

from handsfree.guide.view.result import Result
from handsfree.job.counter.charges import Charge
from handsfree.job.facts import FACTS, SEVERITIES
from handsfree.job.stated import parsed
from handsfree.measure.figure import figure_from_text
from handsfree.measure.limits import Decision
from handsfree.procedure.model import Procedure
from handsfree.procedure.parts import AS_FOUND
from handsfree.review.findings import INTERNAL, OUT_OF_LIMITS, Finding, FindingKind, result_of_findings
from handsfree.review.pages.room import TITLE_BLOCK, WIDTH, Item, Room, filled
from handsfree.review.pages.shared import LONGEST, LONGEST_SHOWN_NAME, capital, shortened
from handsfree.review.record_lines import FactLine, FigureLine, JobRecord, ProcedureLine, StepLine
from handsfree.review.text.whole import HEADINGS
from handsfree.text.prose import counted
from handsfree.wording.readings import decision_words

LONGEST_SAID = 600
"""Letters that the workshop may say on the page in its own words."""
FEW_STEPS = 3
"""So many steps that were not done are told one by one; more are counted."""
FEW_GRAVE = 3
"""So many findings that are serious or unsafe are told at length; more have a line each, so that none goes overleaf."""
LONGEST_LINE = 80
"""Letters that are one line."""
MOST_OF_A_KIND = 4
"""Figures of a kind that are named under what is to be watched."""

_FOUND = ("complaint", "condition", "finding")
_DONE = ("part replaced", "material")
_SAID = "for the owner"
_OF_FIGURES = OUT_OF_LIMITS | {FindingKind.UNDECIDED}
_OF_FACTS = {FindingKind.UNSAFE, FindingKind.SERIOUS}
_WORST_FIRST = (Decision.OUT.value, Decision.UNDECIDED.value)

_T = TypeVar("_T")
Boxes = Sequence[tuple[str, str, Sequence[str]]]
"""Those of the title block: width, label, texts."""


@dataclass(frozen=True)
class Listed(Generic[_T]):
    """What of a list has room on the page, and how many more there are."""

    shown: tuple[_T, ...] = ()
    more: int = 0


@dataclass(frozen=True)
class Row:
    """What was measured at one place: as it was found, and as it is left."""

    found: FigureLine | None
    left: FigureLine | None
    repeated: int
    """How many readings ``left`` is the worst of."""

    @property
    def last(self) -> FigureLine:
        line = self.left or self.found
        assert line is not None
        return line

    @property
    def name(self) -> str:
        return shortened(self.last.name, LONGEST_SHOWN_NAME, end=True)

    @property
    def verdict(self) -> str:
        """What the last figure proves, and what was decided about it."""
        line = self.last
        as_found = self.left is None and line.decision != Decision.NO_LIMITS.value
        decided = decision_words(line)
        words = [decided.replace(line.decision, f"{line.decision} as found", 1) if as_found else decided]
        words += [line.outcome] if line.outcome and line.outcome != line.state else []
        words += ["provisional"] if line.state == "provisional" else []
        words += [f"worst of {self.repeated} readings"] if self.repeated > 1 else []
        return "; ".join(filter(None, words))


@dataclass(frozen=True)
class OwnerPart:
    """The page. ``density`` is how close it is set: "roomy", "usual" or "tight"."""

    result: Result
    said: Listed[FactLine]
    """What the workshop has to say, in its own words."""
    found: Listed[FactLine]
    longest_found: int
    """Letters of each."""
    grave_more: int
    """How many of those that have no room were serious or unsafe."""
    done: Listed[str]
    fitted: Listed[FactLine]
    """Parts and materials that were used."""
    rows: Listed[Row]
    watch: Listed[str]
    charges: Listed[Charge]
    density: str
    untyped: bool
    """Whether something on it is only as far as it was understood."""

    @property
    def grave(self) -> bool:
        """Whether something serious or unsafe was found."""
        return any(map(_is_grave, self.found.shown))


def owner_part(
    record: JobRecord,
    procedures: Mapping[str, Procedure],
    *,
    boxes: Boxes,
    say: str = "",
    remarks: bool = False,
    charges: Sequence[Charge] = (),
) -> OwnerPart:
    """The owner's page of a job; ``boxes`` are those of its title block, ``say`` what the workshop has to say besides
    what was noted, ``remarks`` whether those of the bench are told."""
    rows = measured_rows(record.figures)
    points = list(_points(record, rows))
    facts = [line for line in record.facts if line.state == "standing"]
    said = [line for line in facts if line.about == _SAID]
    found = sorted((line for line in facts if line.about in _FOUND), key=_weight)
    fitted = [line for line in facts if line.about in _DONE]
    longest = LONGEST if sum(map(_is_grave, found)) <= FEW_GRAVE else LONGEST_LINE
    done = list(_done(record, procedures))
    watch = _watch(points, record, rows, remarks)
    worst = sorted(range(len(rows)), key=lambda at: _badness(rows[at].last))
    ranks = {at: rank for rank, at in enumerate(worst)}
    sections = {
        "said": [_told(2, at, _fact_text(line)) for at, line in enumerate(said)],
        "found": [_told(_found_priority(at, line), at, _fact_text(line, longest)) for at, line in enumerate(found)],
        "done": [_told(1 if at < 2 else 3 if at < 5 else 7, at, text) for at, text in enumerate(done)],
        "fitted": [_told(5 if at < 3 else 9, at, _fact_text(line)) for at, line in enumerate(fitted)],
        "rows": [_tabled(ranks[at], row) for at, row in enumerate(rows)],
        "watch": [_told(0 if must else 4 if at < 5 else 8, at, text) for at, (must, text) in enumerate(watch)],
        "charges": [_priced(at, each) for at, each in enumerate(charges)],
    }
    untyped = any(line.to_type for line in (*said, *found, *fitted))
    density, kept = filled(sections, lambda room: _fixed(boxes, len(say), untyped, room))

    def listed(name: str, items: Sequence[_T]) -> Listed[_T]:
        return Listed(tuple(items[at] for at in kept[name]), len(items) - len(kept[name]))

    on_page = [*listed("said", said).shown, *listed("found", found).shown, *listed("fitted", fitted).shown]
    return OwnerPart(
        result=result_of_findings(points, finished=record.head.finished is not None, measured=bool(rows)),
        said=listed("said", said),
        found=listed("found", found),
        longest_found=longest,
        grave_more=sum(map(_is_grave, found)) - sum(map(_is_grave, listed("found", found).shown)),
        done=listed("done", done),
        fitted=listed("fitted", fitted),
        rows=listed("rows", rows),
        watch=listed("watch", [text for _, text in watch]),
        charges=listed("charges", charges),
        density=density,
        untyped=any(line.to_type for line in on_page),
    )


# what was measured
def measured_rows(figures: Sequence[FigureLine]) -> list[Row]:
    """A row for each characteristic of a procedure at each place, in the order of measuring: what was found while
    taking apart stands beside what the procedure that it is judged by has left."""
    found: dict[tuple[str, str], list[FigureLine]] = defaultdict(list)
    left: dict[tuple[str, str], list[FigureLine]] = defaultdict(list)
    keys: dict[tuple[str, str], None] = {}
    for line in figures:
        if line.stands:
            key = line.judged_by or line.procedure, line.judged_as or line.name
            keys[key] = None
            (found if line.occasion == AS_FOUND else left)[key].append(line)
    return [_row(found[key], left[key]) for key in keys]


def _row(found: Sequence[FigureLine], left: Sequence[FigureLine]) -> Row:
    """What was found as bad as it was; what is left as the worst of the last readings, which may be repeated."""
    last = [line for line in left if line.occasion == left[-1].occasion]
    return Row(_worst(found), _worst(last), len(last) or 1)


def _worst(lines: Sequence[FigureLine]) -> FigureLine | None:
    """The newest of equals."""
    return min(reversed(lines), key=_badness, default=None)


def _badness(line: FigureLine) -> tuple[int, Fraction]:
    """The least for the worst: by what it proves, then by how far it is out, measured by the width of the limits."""
    kind = _WORST_FIRST.index(line.decision) if line.decision in _WORST_FIRST else len(_WORST_FIRST)
    return kind, -_how_far(line)


def _how_far(line: FigureLine) -> Fraction:
    beyond = parsed(line.beyond) if line.beyond else None
    if beyond is None or beyond.unit != line.unit:
        return Fraction(0)
    ends = [abs(figure_from_text(end, line.unit).value) for end in (line.low, line.high) if end]
    width = max(ends) - min(ends) if len(ends) == 2 else next(iter(ends), Fraction(0))
    return beyond.value / width if width else beyond.value


def _row_priority(rank: int, row: Row) -> int:
    if row.last.decision == Decision.OUT.value:
        return -2 if rank < 2 else 0 if rank < 4 else 1 if rank < 12 else 6
    return 5 if rank < 6 else 10


# what was found and done
def _weight(line: FactLine) -> tuple[int, int]:
    """What is unsafe or serious first, then the complaint and the rest as they are told."""
    worst_first = SEVERITIES[::-1]
    severity = worst_first.index(line.severity) if line.severity in worst_first else len(worst_first)
    return (severity if _is_grave(line) else len(worst_first)), tuple(FACTS).index(line.about)


def _is_grave(line: FactLine) -> bool:
    return line.severity in ("serious", "unsafe")


def _found_priority(at: int, line: FactLine) -> int:
    if _is_grave(line):
        return -1
    return 2 if line.about == "complaint" else 5 if at < 4 else 9


def _fact_text(line: FactLine, most: int = LONGEST) -> str:
    return f"{line.severity or line.about}: {shortened(line.text, most)}"


def _done(record: JobRecord, procedures: Mapping[str, Procedure]) -> Iterator[str]:
    """What was done in each procedure, in the words that it has for the owner; where it has none, in a sentence."""
    for line in record.procedures:
        steps = [step for step in record.steps if step.procedure == line.procedure]
        procedure = procedures.get(line.procedure)
        said = list(dict.fromkeys(_said_of(procedure, steps))) if procedure else []
        yield from (shortened(each) for each in said)
        if not said:
            yield _in_a_sentence(line, steps)


def _said_of(procedure: Procedure, steps: Sequence[StepLine]) -> Iterator[str]:
    states = {step.step: step.state for step in steps}
    if procedure.for_the_owner and all(state in ("done", "not needed") for state in states.values()):
        yield from procedure.for_the_owner
    for step in procedure.steps:
        if step.for_the_owner and states.get(step.id) == "done":
            yield step.for_the_owner


def _in_a_sentence(line: ProcedureLine, steps: Sequence[StepLine]) -> str:
    title = shortened(line.title, LONGEST_SHOWN_NAME)
    count = Counter(step.state for step in steps)
    of = len(steps) - count["not needed"]
    if line.apart or not of:
        return f"{title}."
    return f"{title}: done." if count["done"] == of else f"{title}: {count['done']} of {of} steps done."


# what is to be watched
def _points(record: JobRecord, rows: Sequence[Row]) -> Iterator[Finding]:
    """What the owner should know of. Of what was measured at one place, the last figure: what was wrong as found and is
    in limits now is no longer a point."""
    figures = {line.id: line for line in record.figures}
    last = {row.last.id for row in rows}
    for finding in record.findings:
        of_figure = finding.kind in _OF_FIGURES and finding.entry in figures
        if finding.kind not in INTERNAL and not (of_figure and finding.entry not in last):
            yield finding


def _watch(points: Sequence[Finding], record: JobRecord, rows: Sequence[Row], remarks: bool) -> list[tuple[bool, str]]:
    """The points in words, each with whether it must not be left out. What was found stands above them already, and so
    do figures: they are named once more, those of a kind together, the worst first."""
    told: list[tuple[bool, str]] = []
    titles = {line.procedure: line.title for line in record.procedures}
    by_entry = {row.last.id: row for row in rows}
    for (kind, procedure), group in groupby(points, key=lambda point: (point.kind, point.procedure)):
        alike = list(group)
        if kind in _OF_FACTS:
            continue
        of_figures = [by_entry[point.entry] for point in alike if point.entry in by_entry]
        if kind in _OF_FIGURES and len(of_figures) == len(alike):
            told.append((True, _named(kind, of_figures, remarks)))
        elif kind is FindingKind.NOT_DONE and len(alike) > FEW_STEPS:
            title = shortened(titles.get(procedure, ""), LONGEST_SHOWN_NAME)
            told.append((False, f"{capital(counted(len(alike), 'step'))} of “{title}” not done"))
        else:
            words = (capital(point.text if remarks else _without_remarks(point)) for point in alike)
            told += [(kind is FindingKind.DANGER, shortened(each)) for each in dict.fromkeys(words)]
    return told


def _named(kind: FindingKind, rows: Sequence[Row], remarks: bool) -> str:
    """ "Out of limits, accepted: end float, shake"."""
    worst = sorted(rows, key=lambda row: _badness(row.last))
    names = []
    for row in worst[:MOST_OF_A_KIND]:
        reason = f" ({row.last.reason})" if remarks and row.last.reason else ""
        names.append(shortened(row.last.name, LONGEST_SHOWN_NAME // 2, end=True) + reason)
    more = f" and {len(rows) - MOST_OF_A_KIND} more" if len(rows) > MOST_OF_A_KIND else ""
    joint = "; " if any("," in name for name in names) else ", "
    return f"{HEADINGS[kind]}: {joint.join(names)}{more}"


def _without_remarks(point: Finding) -> str:
    """Without reasons, and without what was done knowingly."""
    if point.kind is FindingKind.SKIPPED:
        return point.text.replace(f" ({point.say})", "", 1)
    return point.text.replace(", knowingly", "")


# how much has room
_HEADINGS = 100.0
"""Points of the headings in the margin."""
_SHARES = (0.24, 0.1, 0.1, 0.17, 0.13, 0.26)
"""Of the width of the table, as the style has it: name, as found, as left, limits, U, verdict."""


def _told(priority: int, rank: int, text: str) -> Item:
    return Item(priority, rank, ((len(text), WIDTH - _HEADINGS - 20),), 0.15)


def _priced(rank: int, charge: Charge) -> Item:
    return Item(3, rank, ((len(charge.what), WIDTH / 2),), 0.35)


def _tabled(rank: int, row: Row) -> Item:
    figures = [line.shown if line else "" for line in (row.found, row.left)]
    cells = (row.name, *figures, row.last.limits, row.last.uncertainty or "", row.verdict)
    widths = [(len(text), WIDTH * share) for text, share in zip(cells, _SHARES, strict=True)]
    return Item(_row_priority(rank, row), rank, tuple(widths), 0.35)


def _fixed(boxes: Boxes, said: int, untyped: bool, room: Room) -> float:
    """The lines of title block, result, headings and signature, of ``said`` letters in the workshop's own words, and of
    the footnote on what is ``untyped``."""
    block = Room(TITLE_BLOCK)
    wide = [block.wrapped(len(", ".join(texts)), WIDTH / 2 - 12) for width, _, texts in boxes if width == "wide"]
    deep = [max(wide[at : at + 2]) for at in range(0, len(wide), 2)]
    title = 70 + sum(16 + 12.5 * lines for lines in (*deep, *[1] * any(width != "wide" for width, _, _ in boxes)))
    own = 1.0 + room.wrapped(said, WIDTH - _HEADINGS) if said else 0
    return title / room.line + own + 4.0 + 4.2 + (1.8 if untyped else 0)
