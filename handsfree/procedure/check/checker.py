"""A procedure file looked over before it is used at the bench: what is wrong, and what would be better."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from handsfree.measure.formatting import written
from handsfree.measure.rounding import computed_figure
from handsfree.measure.threads import ThreadError, fastener_size
from handsfree.measure.units import WEIGHED, unit
from handsfree.procedure.check import usage
from handsfree.procedure.check.gap_marks import gaps
from handsfree.procedure.dangers import DANGER_KINDS
from handsfree.procedure.file.loader import bytes_of, read_what_can_be
from handsfree.procedure.file.partial import readable_part
from handsfree.procedure.file.problems import Problem, ProblemSeverity, ProcedureError
from handsfree.procedure.location import Location
from handsfree.procedure.model import Procedure, Step
from handsfree.procedure.shipped import find, shipped_dir, shipped_names

__all__ = ["check", "find", "shipped_dir", "shipped_names"]

SHORT_ACT = 15
"""Words; a longer act is hard to keep in mind."""
LONGEST_ACT = 25
"""Words; a longer one is no prompt."""

CheckFinding = tuple[Location, str, ProblemSeverity]
Check = Callable[[Procedure], Iterator[CheckFinding]]

_UNSPELLABLE = re.compile(r"^[^aeiouy]{2,}$|(.)\1\1|[^aeiouy']{6,}")
"""No vowel, three of a letter, or a heap of consonants."""
_TWO_ACTS = re.compile(r"\bthen\b|;|[.!?]\s+\w", re.IGNORECASE)
_NUMBER_WORD = re.compile(
    r"nought|zero|oh|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|twenty|thirty|forty|fifty|"
    r"sixty|seventy|eighty|ninety|hundred|thousand|point|minus|half|quarter"
)
_SHOWS_FORCE = re.compile(r"\b(spring|tension|pull|push|force)\b", re.IGNORECASE)
_SAYABLE = re.compile(r"[^\W_]|[\s.,;:!?'’\"“”()-]")


def check(path: str | Path, further: Sequence[Check] = ()) -> list[Problem]:
    """Everything that is wrong with a file and what would make it better, in one run and in file order; ``further`` are
    checks that need more than the procedure."""
    path = Path(path)
    try:
        reading = read_what_can_be(bytes_of(path), path)
    except ProcedureError as error:
        return list(error.problems)
    problems = list(reading.problems)
    wrong = {(problem.line, problem.column) for problem in problems}
    procedure, checks = reading.procedure, CHECKS
    if problems or procedure is None:
        procedure = readable_part(reading.expanded)
        # What is missing for a mistake in it must not be told as missing.
        checks = tuple(look for look in CHECKS if look not in OF_THE_WHOLE)
    findings = [] if procedure is None else [look(procedure) for look in (*checks, *further)]
    for each_check in findings:
        for place, message, severity in each_check:
            mark = reading.tree.mark(reading.expanded.place(place))
            if mark not in wrong:
                problems.append(Problem(path, *mark, message, severity))
    problems += [
        Problem(path, line, column, f"a gap for the writer: {wanted}", ProblemSeverity.ADVICE)
        for line, column, wanted in gaps(reading.text)
    ]
    # A step that is done at several places is written once, and so are its problems.
    return sorted(dict.fromkeys(problems), key=lambda problem: (problem.line, problem.column))


def _advice(place: Location, message: str) -> CheckFinding:
    return place, message, ProblemSeverity.ADVICE


def long_acts(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        words = len(step.act.split())
        if words > SHORT_ACT:
            yield (
                ("steps", at, "do"),
                f'"do" has {words} words; keep it within {SHORT_ACT} and put the rest under "details"',
                ProblemSeverity.ERROR if words > LONGEST_ACT else ProblemSeverity.ADVICE,
            )


def unsayable(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        for place, text in _spoken(step):
            signs = list(dict.fromkeys(_SAYABLE.sub("", text)))
            if signs:
                yield _advice(("steps", at, *place), f"a voice can't say {' '.join(signs)}; write it in words")


def _spoken(step: Step) -> Iterator[tuple[Location, str]]:
    for key, text in (("do", step.act), ("why", step.reason), ("check", step.check), ("details", step.details)):
        if text:
            yield (key,), text
    for number, caution in enumerate(step.cautions):
        yield ("cautions", number), caution
    for number, danger in enumerate(step.dangers):
        yield ("dangers", number, "say"), danger.say
    for number, lubricant in enumerate(step.lubricants):
        for key, part in (("which", lubricant.which), ("where", lubricant.where), ("how much", lubricant.how_much)):
            if part:
                yield ("lubricant", number, key), part


def questions(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        if step.check and not step.check.endswith("?"):
            yield _advice(("steps", at, "check"), '"check" is no question; ask one that "yes" or "no" answers')
        if step.check_by_another and not step.check:
            yield _advice(("steps", at, "check by another"), 'there is no "check" that another could answer; write one')


def _tools(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        for number, each in enumerate(step.characteristics):
            place: Location = ("steps", at, "measure", number)
            if each.tool is None:
                yield _advice(
                    place, f'"{each.name}" has no tool; name it, with its resolution, so that a verdict can be given'
                )
            if each.low is None or each.high is None or not each.uncertainty:
                continue
            room = each.high.value - each.low.value
            if room <= 2 * each.uncertainty:
                yield _advice(
                    place,
                    f'the limits of "{each.name}" are {written(computed_figure(room, each.unit))} apart, and the tool '
                    f"can tell {written(computed_figure(2 * each.uncertainty, each.unit))} at best; take a finer tool",
                )


def weights(procedure: Procedure) -> Iterator[CheckFinding]:
    """What is marked in grams and shows a force: the unit of the figure settles which of the two is meant."""
    for at, step in enumerate(procedure.steps):
        for number, each in enumerate(step.characteristics):
            place: Location = ("steps", at, "measure", number)
            weight = WEIGHED.get(each.unit)
            if weight is not None and each.tool and _SHOWS_FORCE.search(each.tool.name):
                yield _advice(
                    place,
                    f'the {each.tool.name} shows a force, and "{each.name}" is a mass in {unit(each.unit).many}; write '
                    f'"unit: {weight}" if a pull or a push is meant',
                )
            sizes = (each.tool.resolution, each.tool.uncertainty, *(each.tool.range or ())) if each.tool else ()
            masses = {size.unit for size in sizes if size is not None and size.unit in WEIGHED}
            if masses and each.tool and unit(each.unit).kind == "force":
                marked = " and ".join(unit(key).many for key in sorted(masses))
                yield _advice(place, f"the {each.tool.name} is marked in {marked}; they are taken as force here")


def number_names(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        for number, each in enumerate(step.characteristics):
            for said in (each.name, *each.also):
                if _NUMBER_WORD.fullmatch(said.split()[-1]):
                    yield _advice(
                        ("steps", at, "measure", number),
                        f'"{said}" ends with a word that begins a number, and a figure follows it; choose another',
                    )


def risks(procedure: Procedure) -> Iterator[CheckFinding]:
    numbers = {step.id: number for number, step in enumerate(procedure.steps)}
    warned_until = -1
    for at, step in enumerate(procedure.steps):
        ends = [at if danger.until is None else numbers[danger.until] for danger in step.dangers]
        warned_until = max((warned_until, *ends))
        if at <= warned_until:
            continue
        text = " ".join(filter(None, (step.act, step.details, *(each.which for each in step.lubricants))))
        for name, kind in DANGER_KINDS.items():
            named = kind.named_by.search(text)
            if named:
                hint = f'add it under "dangers" (kind: {name})'
                yield _advice(
                    ("steps", at, "do"), f'"{named[0].lower()}" is named and nothing warns of {kind.lack}; {hint}'
                )


def two_acts(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        if _TWO_ACTS.search(step.act):
            yield _advice(("steps", at, "do"), '"do" holds two acts, one after the other; make two steps of them')


def spelling(procedure: Procedure) -> Iterator[CheckFinding]:
    for at, step in enumerate(procedure.steps):
        for number, each in enumerate(step.characteristics):
            for said in (each.name, *each.also):
                odd = [word for word in said.split() if _UNSPELLABLE.search(word)]
                if odd:
                    yield _advice(
                        ("steps", at, "measure", number),
                        f'"{odd[0]}" is no word that a recogniser can spell out in sounds; use one that is spoken as '
                        "it is written",
                    )


def _plain(check: Callable[[Procedure], usage.Advice]) -> Check:
    def found(procedure: Procedure) -> Iterator[CheckFinding]:
        return (_advice(place, message) for place, message in check(procedure))

    return found


def look_alikes(procedure: Procedure) -> Iterator[CheckFinding]:
    lengths: dict[str, set[str | None]] = {}
    for step in procedure.steps:
        for fastener in step.fasteners:
            lengths.setdefault(fastener.thread, set()).add(fastener.length)
    for at, step in enumerate(procedure.steps):
        for number, fastener in enumerate(step.fasteners):
            if len(lengths[fastener.thread]) > 1 and fastener.where is None:
                yield _advice(
                    ("steps", at, "fasteners", number),
                    f'{fastener.size} is one of several lengths of {fastener.thread}; say "where" it goes',
                )


def sizes(procedure: Procedure) -> Iterator[CheckFinding]:
    """Also of what stands in the table and is used nowhere: it is going to be."""
    for name, fastener in procedure.fastener_table.items():
        try:
            fastener_size(fastener.size)
        except ThreadError as error:
            yield _advice(("fasteners", name, "size"), str(error))
    for at, step in enumerate(procedure.steps):
        for number, fastener in enumerate(step.fasteners):
            try:
                fastener_size(fastener.size)
            except ThreadError as error:
                yield _advice(("steps", at, "fasteners", number, "size"), str(error))


OF_THE_WHOLE: tuple[Check, ...] = (
    risks, *map(_plain, (usage.tables, usage.questions_used, usage.places_used, usage.unreachable, usage.unmatched)),
)  # fmt: skip
"""Those that ask whether something is anywhere in the procedure: they need all of it."""
CHECKS: tuple[Check, ...] = (
    long_acts, two_acts, unsayable, questions, _tools, weights, number_names, spelling, look_alikes, sizes,
    *OF_THE_WHOLE, _plain(usage.sounding_alike),
)  # fmt: skip
