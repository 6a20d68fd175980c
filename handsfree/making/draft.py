"""A procedure for putting back what a job took apart: the reverse order, with everything that was said on the way."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from handsfree.job.events import PartsRemoved
from handsfree.job.log.clips import clip_path
from handsfree.job.state import JobState
from handsfree.making.disassembly_list import slug
from handsfree.making.fittings import Before, Fitting, fittings
from handsfree.making.yaml_lines import braces, scalar
from handsfree.measure.figure import Figure, figure_from_text
from handsfree.measure.formatting import spoken
from handsfree.measure.units import convert
from handsfree.phrases.disassembly.commands import the
from handsfree.phrases.disassembly.words import BUILT_IN
from handsfree.procedure.check.checker import SHORT_ACT
from handsfree.procedure.check.gap_marks import gap
from handsfree.procedure.dangers import DANGER_KINDS
from handsfree.procedure.values import figure_with_unit
from handsfree.text.numerals import whole_words
from handsfree.text.prose import plural, sentence
from handsfree.wording.disassembly import written_text

_MOST_WORDS = 8
"""Of a thickness in an act."""
_MOST_NAMED = 2
"""Sorts of fasteners in an act; more are no longer heard but looked up."""


@dataclass
class Draft:
    """The text of a procedure file, and how many gaps are marked in it."""

    text: str
    gaps: int


def drafted(state: JobState, job: str) -> Draft:
    """Write the procedure. ``state`` must be that of a job that took something apart; ValueError if nothing is off."""
    found, before = fittings(state)
    if not found:
        raise ValueError("nothing was taken apart in it, so there is nothing to put back")
    return _Writer(state, job).write(list(reversed(found)), before)


class _Writer:
    def __init__(self, state: JobState, job: str) -> None:
        self._state = state
        self._job = job
        self._ids: set[str] = set()
        self._steps: dict[Fitting, str] = {}
        self._units: dict[str, str] = {}
        self._marks: dict[str, str] = {}
        self._gaps = 0

    def write(self, fittings: Sequence[Fitting], before: Fitting) -> Draft:
        opened = self._state.opened
        item = opened.item if opened and opened.item else "item"
        day = f"{opened.at:%Y-%m-%d}" if opened else ""
        lines = [
            f"# Drafted from job {self._job}, in which this was taken apart on {day}.",
            "# The word GAP marks what only you can know; handsfree check lists every one. Dangers, lubricants and",
            "# limits were not spoken of while taking apart. The maker's data, local rules and licensed practice come",
            "# first.",
            "",
            f"title: {scalar(f'Putting back: {item}')}",
            f"item: {scalar(item)}",
            "revision: 1",
            "",
            "steps:",
            *self._lay_out(fittings, before),
        ]
        for fitting in fittings:
            lines += ["", *self._step(fitting)]
        lines += ["", f"  # {self._gap('what proves the work? add a check or a figure to the last step')}", ""]
        return Draft("\n".join(lines), self._gaps)

    def _gap(self, what: str) -> str:
        self._gaps += 1
        return gap(what)

    def _id(self, words: str) -> str:
        name = base = slug(words)
        number = 1
        while name in self._ids:
            number += 1
            name = f"{base}-{number}"
        self._ids.add(name)
        return name

    def _lay_out(self, fittings: Sequence[Fitting], before: Fitting) -> Iterator[str]:
        """The first step: what must be at hand, and the marks that will be met."""
        yield f"  - id: {self._id('lay out')}"
        yield "    do: Lay the trays out and find the marks."
        made = [mark for fitting in (*fittings, before) for mark in fitting.marks]
        if made:
            yield "    marks:"
        for mark in made:
            name, number = mark.what, 1
            while name in self._marks.values():
                number += 1
                name = f"{mark.what}, number {whole_words(number)}"
            self._marks[mark.id] = name
            joint = "across" if len(mark.parts) > 1 else "on" if mark.parts else "at"
            where = f"{joint} {mark.place}" if mark.place else ""
            said: dict[str, str | bool] = {"name": name, "where": where or self._gap("where is this mark?")}
            yield f"      - {braces(said | {'made already': True})}"
        yield from self._notes(before)
        yield from self._measures(before)

    def _step(self, fitting: Fitting) -> Iterator[str]:
        act = _act(fitting)
        # The first to go back waits for nothing that came off; what hangs on the one before it waits for all.
        last, before = next(reversed(self._steps.items()), (None, ""))
        order = ""
        if last is not None and all(removed.fitting is not last for removed in fitting.needs):
            order = f", what {'else ' if fitting.needs else ''}must be in before it (needs: {before}?)"
        if fitting.part is not None or order:
            wanted = f"lubricant, cautions, why{order}: fill in what there is, then take this line out"
            yield f"  # {self._gap(wanted)}"
        self._steps[fitting] = self._id(act.removeprefix("Put ").removeprefix("the "))
        yield f"  - id: {self._steps[fitting]}"
        yield f"    do: {scalar(act)}"
        yield from self._earlier("needs", fitting.needs)
        yield from self._earlier("rests on", fitting.rests_on)
        trays = list(dict.fromkeys(self._tray(removed) for removed in fitting.removed))
        known = [tray for tray in trays if tray]
        if known:
            yield f"    tray: {scalar(' and '.join(known))}"
        if None in trays:
            yield f"    # {self._gap('tray: part of this had none')}"
        if fitting.fasteners:
            yield "    fasteners:"
            for removed in reversed(fitting.fasteners):
                yield f"      - {braces(self._fastener(removed, fitting))}"
        yield from self._dangers(act)
        met = [self._marks[mark.id] for mark in fitting.marks]
        if met:
            yield f"    meets: [{', '.join(scalar(name, True) for name in met)}]"
        cautions = []
        if fitting.part and fitting.part.thickness and not _thickness_in_act(fitting.part):
            cautions.append(sentence(f"thickness {spoken(figure_with_unit(fitting.part.thickness))}"))
        cautions += [sentence(f"{the(removed.what)} sits {removed.way}") for removed in fitting.removed if removed.way]
        if fitting.part and fitting.part.place and fitting.part.sort == "part":
            cautions.append(sentence(f"it came from {fitting.part.place}"))
        if cautions:
            yield "    cautions:"
            yield from (f"      - {scalar(caution)}" for caution in cautions)
        yield from self._notes(fitting)
        yield from self._measures(fitting)

    def _earlier(self, key: str, others: Sequence[Before]) -> Iterator[str]:
        """Steps above that this one hangs on, each with how that is known."""
        if others:
            yield f"    {key}:"
        for other in {each.fitting: each for each in reversed(others)}.values():
            yield f"      - {self._steps[other.fitting]} # {other.why}"

    def _tray(self, removed: PartsRemoved) -> str | None:
        tray = self._state.trays.get(removed.id)
        return whole_words(tray) if tray else None

    def _fastener(self, removed: PartsRemoved, fitting: Fitting) -> dict[str, str | bool]:
        part = fitting.part
        where = removed.place or (the(part.what) if part else self._gap("where do they go?"))
        head = removed.head if removed.what == "screw" else " ".join(filter(None, (removed.head, removed.what)))
        said: dict[str, str | bool] = {"count": str(removed.count)}
        said["size"] = removed.size or self._gap("thread and length?")
        said |= {key: text for key, text in (("head", head), ("finish", removed.finish), ("where", where)) if text}
        return said | ({"left-hand thread": True} if removed.left_hand else {})

    def _dangers(self, act: str) -> Iterator[str]:
        for kind, danger in DANGER_KINDS.items():
            if danger.named_by.search(act):
                yield f"    dangers: {kind} # {self._gap('is it so? and until which step?')}"
                return

    def _notes(self, fitting: Fitting) -> Iterator[str]:
        for note in fitting.notes:
            sound = f"; its sound: {clip_path(Path(), note.clip).as_posix()}" if note.clip else ""
            yield f"    # A note of job {self._job}{sound}"
        texts = [sentence(note.text) for note in fitting.notes if note.text]
        if texts:
            yield f"    details: {scalar(' '.join(texts))}"

    def _measures(self, fitting: Fitting) -> Iterator[str]:
        newest = {reading.characteristic: reading for reading in fitting.found}
        rests = "" if fitting.rests_on or fitting not in self._steps else ', and what the figure hangs on ("rests on")'
        if newest:
            yield "    measure:"
        for name, reading in newest.items():
            figure, unit = figure_from_text(reading.value), reading.unit
            usual = self._units.setdefault(name, unit)
            if usual != unit:  # one name has one unit
                figure, unit = _in(figure, unit, usual), usual
            yield f"      - name: {scalar(name)}"
            yield f"        unit: {scalar(unit)}"
            yield f"        target: {scalar(written_text(figure))} # as found in job {self._job}: the first proposal"
            for older in fitting.found:
                if older.characteristic == name and older is not reading:
                    yield f"        # found before that: {older.as_said}"
            yield f"        # {self._gap(f'limits{rests}')}"
            yield f"        tool: {scalar(self._gap('which tool, and what can it tell apart?'))}"


def _in(figure: Figure, source: str, target: str) -> Figure:
    value = convert(figure.value, source, target)
    # As many decimals as the figure needs: a thou in metres is not nought.
    places = next((n for n in range(3, 6) if abs(round(value, n) - value) * 100 <= abs(value)), 6)
    return Figure(round(value, places), places, target)


def _act(fitting: Fitting) -> str:
    """With as much in it as is still one breath: fasteners have their own lines in the step."""
    part = fitting.part
    if part is None:
        what = [_counted(each) for each in reversed(fitting.fasteners)]
        named = [_listed(what)] if len(what) <= _MOST_NAMED else []
        places = {each.place for each in fitting.fasteners}
        back = f" {_where(*places)}" if len(places) == 1 and None not in places else ""
        return _one_breath(
            *(f"Put {each} back{back}." for each in (*named, "the fasteners")), "Put the fasteners back."
        )
    act = _act_of(part, thickness=_thickness_in_act(part))
    held = list(dict.fromkeys(plural(each.what) if each.count > 1 else each.what for each in fitting.fasteners))
    if not held:
        return f"{act}."
    named = [f"{act} with its {_listed(held)}."] if len(held) <= _MOST_NAMED else []
    return _one_breath(*named, f"{act} with its fasteners.", f"{act}.")


def _one_breath(*acts: str) -> str:
    """The first of ``acts`` that the checker takes for one breath, else the last."""
    return next((act for act in acts if len(act.split()) <= SHORT_ACT), acts[-1])


def _where(place: str | None) -> str:
    """ "at the top", "in the frame"."""
    known = place is not None and place.removeprefix("the ") in BUILT_IN.places
    return f"{'at' if known else 'in'} {place}"


def _act_of(part: PartsRemoved, *, thickness: bool) -> str:
    of = f" of {spoken(figure_with_unit(part.thickness))}" if thickness and part.thickness else ""
    where = f" {_where(part.place)}" if part.sort == "shim" and part.place else ""
    return f"Fit {_counted(part)}{of}{where}"


def _thickness_in_act(part: PartsRemoved) -> bool:
    """Whether the thickness is short enough to be kept in the head with the act."""
    if part.thickness is None or len(spoken(figure_with_unit(part.thickness)).split()) > _MOST_WORDS:
        return False
    return len(_act_of(part, thickness=True).split()) <= SHORT_ACT


def _counted(removed: PartsRemoved) -> str:
    if removed.count == 1:
        return the(removed.what)
    return f"the {whole_words(removed.count)} {plural(removed.what)}"


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
