"""A procedure file looked over before it is used at the bench: what is wrong, and what would be better."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

from handsfree.measure.figure import Figure
from handsfree.measure.threads import ThreadError, fastener_size
from handsfree.measure.wording import written
from handsfree.procedure.consistency import Location
from handsfree.procedure.loader import load
from handsfree.procedure.model import Procedure, Step
from handsfree.procedure.problems import Problem, ProcedureError, Severity
from handsfree.procedure.shipped import find, shipped_dir, shipped_names

__all__ = ["check", "find", "shipped_dir", "shipped_names"]

SHORT_ACT = 15
"""Words; a longer act is hard to keep in mind."""
LONGEST_ACT = 25
"""Words; a longer one is no prompt."""

Finding = tuple[Location, str, Severity]
Check = Callable[[Procedure], Iterator[Finding]]

_RISKS = (
    (
        re.compile(
            r"\b(solvents?|acetone|naphtha|benzine|petrol|paraffin|thinners?|toluene|xylene|ether|methanol|alcohol|"
            r"isopropanol|isopropyl|white spirit|surgical spirit|methylated spirits?)\b",
            re.IGNORECASE,
        ),
        "fumes and naked flame",
    ),
    (re.compile(r"\b(springs?|sprung)\b(?! washers?)", re.IGNORECASE), "what a spring under load can do"),
    (re.compile(r"\b(mercury|radium|asbestos|beryllium)\b", re.IGNORECASE), "the poison"),
    (re.compile(r"\b(mains|capacitors?|high voltage)\b", re.IGNORECASE), "the electric shock"),
)
_NUMBER_WORD = re.compile(
    r"nought|zero|oh|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|twenty|thirty|forty|fifty|"
    r"sixty|seventy|eighty|ninety|hundred|thousand|point|minus|half|quarter"
)
_SAYABLE = re.compile(r"[^\W_]|[\s.,;:!?'’\"“”()-]")


def check(path: str | Path) -> list[Problem]:
    """Everything that is wrong with a file, or, where it can be used, what would make it better; in file order."""
    try:
        loaded = load(path)
    except ProcedureError as error:
        return list(error.problems)
    found = [
        Problem(loaded.path, *loaded.mark(place), message, severity)
        for each in CHECKS
        for place, message, severity in each(loaded.procedure)
    ]
    return sorted(found, key=lambda problem: (problem.line, problem.column))


def _advice(place: Location, message: str) -> Finding:
    return place, message, Severity.ADVICE


def long_acts(procedure: Procedure) -> Iterator[Finding]:
    for at, step in enumerate(procedure.steps):
        words = len(step.act.split())
        if words > SHORT_ACT:
            yield (
                ("steps", at, "do"),
                f'"do" has {words} words; keep it within {SHORT_ACT} and put the rest under "details"',
                Severity.ERROR if words > LONGEST_ACT else Severity.ADVICE,
            )


def unsayable(procedure: Procedure) -> Iterator[Finding]:
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


def questions(procedure: Procedure) -> Iterator[Finding]:
    for at, step in enumerate(procedure.steps):
        if step.check and not step.check.endswith("?"):
            yield _advice(("steps", at, "check"), '"check" is no question; ask one that "yes" or "no" answers')


def tools(procedure: Procedure) -> Iterator[Finding]:
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
                    f'the limits of "{each.name}" are {written(Figure(room, None, each.unit))} apart, and the tool '
                    f"can tell {written(Figure(2 * each.uncertainty, None, each.unit))} at best; take a finer tool",
                )


def number_names(procedure: Procedure) -> Iterator[Finding]:
    for at, step in enumerate(procedure.steps):
        for number, each in enumerate(step.characteristics):
            for said in (each.name, *each.also):
                if _NUMBER_WORD.fullmatch(said.split()[-1]):
                    yield _advice(
                        ("steps", at, "measure", number),
                        f'"{said}" ends with a word that begins a number, and a figure follows it; choose another',
                    )


def risks(procedure: Procedure) -> Iterator[Finding]:
    for at, step in enumerate(procedure.steps):
        if procedure.dangers_at(step.id):
            continue
        text = " ".join(filter(None, (step.act, step.details, *(each.which for each in step.lubricants))))
        for words, risk in _RISKS:
            named = words.search(text)
            if named:
                yield _advice(
                    ("steps", at, "do"),
                    f'"{named[0].lower()}" is named and nothing warns of {risk}; add it under "dangers"',
                )


def look_alikes(procedure: Procedure) -> Iterator[Finding]:
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


def sizes(procedure: Procedure) -> Iterator[Finding]:
    for at, step in enumerate(procedure.steps):
        for number, fastener in enumerate(step.fasteners):
            try:
                fastener_size(fastener.size)
            except ThreadError as error:
                yield _advice(("steps", at, "fasteners", number, "size"), str(error))


CHECKS: tuple[Check, ...] = (long_acts, unsayable, questions, tools, number_names, risks, look_alikes, sizes)
