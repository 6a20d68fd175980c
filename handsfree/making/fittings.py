"""What a job took apart, in the pieces in which it is put back, and what is known of their order.

Known is only what was said or follows from it: the part that something came off, the parts that carry a mark, the part
whose figure was taken, what came from the same place, and what came out only after fasteners were out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from handsfree.job.events import Event, MarkMade, NoteKept, PartsRemoved, ReadingLogged
from handsfree.job.state import JobState
from handsfree.text.prose import plural


@dataclass(eq=False)
class Before:
    """Another fitting that has to be in place before, and how that is known."""

    fitting: Fitting
    why: str


@dataclass(eq=False)
class Fitting:
    """One step of putting back: a part, or what goes with none, with its fasteners; all in the order of removal."""

    part: PartsRemoved | None = None
    fasteners: list[PartsRemoved] = field(default_factory=list)
    marks: list[MarkMade] = field(default_factory=list)
    found: list[ReadingLogged] = field(default_factory=list)
    notes: list[NoteKept] = field(default_factory=list)
    needs: list[Before] = field(default_factory=list)
    """What must be in before it goes in."""
    rests_on: list[Before] = field(default_factory=list)
    """What its figures stand or fall with."""

    @property
    def removed(self) -> list[PartsRemoved]:
        return [*self.fasteners, *([self.part] if self.part else [])]


def fittings(state: JobState) -> tuple[list[Fitting], Fitting]:
    """The steps in the order of taking apart, and what was said when everything was off.

    Fasteners belong to the part that comes off next. A mark is made before parts are parted, and a figure is taken of
    what is still together: both belong to the next removal, but a mark across named parts to the first of these that
    comes off. A note is about the last removal.
    """
    found, before = _in_pieces(state)
    for at, fitting in enumerate(found):
        _place_marks(at, found)
        fitting.rests_on += _figures_of(at, found)
    for at, fitting in enumerate(found):
        for each in (*_named_places(at, found), *_out_only_then(at, found), *_same_place(at, found)):
            if all(each.fitting is not known.fitting for known in fitting.needs):
                fitting.needs.append(each)
    return found, before


def _hold_another(ahead: Fitting, off: PartsRemoved, parts: Sequence[PartsRemoved]) -> bool:
    """Whether fasteners were said to be from a part that came off after ``off``, the next one: they are not its own,
    unless they fasten it to that."""
    named = {part_of(each) for each in ahead.fasteners} - {off.what}
    later = [each.what for each in parts[parts.index(off) + 1 :]] if off in parts else []
    return bool(named & set(later)) and all(part_of(each) for each in ahead.fasteners)


def part_of(removed: PartsRemoved) -> str:
    """The part that it was said to have come from; empty where that was none, or nothing was said."""
    return (removed.place or "").removeprefix("the ")


def _standing(state: JobState) -> Iterator[Event]:
    return (entry.event for entry in state.entries.values() if entry.stands)


def _in_pieces(state: JobState) -> tuple[list[Fitting], Fitting]:
    pieces: list[Fitting] = []
    ahead = Fitting()

    def close() -> None:
        nonlocal ahead
        pieces.append(ahead)
        ahead = Fitting()

    parts = [each for each in _standing(state) if isinstance(each, PartsRemoved) and each.sort == "part"]
    for event in _standing(state):
        match event:
            case PartsRemoved(sort="fastener"):
                ahead.fasteners.append(event)
            case PartsRemoved():
                if ahead.fasteners and (event.sort == "shim" or _hold_another(ahead, event, parts)):
                    close()  # it came off by itself, after what these held
                ahead.part = event
                close()
            case MarkMade():
                ahead.marks.append(event)
            case ReadingLogged():
                if ahead.fasteners:
                    # Taken with these out already: it is to be had again before they go in.
                    close()
                ahead.found.append(event)
            case NoteKept():
                (pieces[-1] if pieces and not ahead.fasteners else ahead).notes.append(event)
    if ahead.fasteners:
        close()
    if pieces:
        # Made when nothing more came off: it is met when the last thing off goes back.
        pieces[-1].marks += ahead.marks
        ahead.marks = []
    return pieces, ahead


def _named(name: str, found: Sequence[Fitting], start: int) -> int | None:
    """Where the part of this name came off, from ``start`` on."""
    there = (at for at in range(start, len(found)) if (part := found[at].part) is not None and part.what == name)
    return next(there, None)


def _place_marks(at: int, found: Sequence[Fitting]) -> None:
    """A mark is met when the last of the parts that carry it goes back, which is the first that came off."""
    here = found[at]
    for mark in tuple(here.marks):
        carriers = sorted({there for name in mark.parts if (there := _named(name, found, at)) is not None})
        if not carriers:
            continue
        first, *others = carriers
        if first != at:
            here.marks.remove(mark)
            found[first].marks.append(mark)
        found[first].needs += [Before(found[other], "the mark is across both") for other in others]


def _figures_of(at: int, found: Sequence[Fitting]) -> Iterator[Before]:
    """The parts whose figures were taken: "pinion end play" is the pinion's."""
    for reading in found[at].found:
        for other in found[at + 1 :]:
            if other.part is not None and reading.characteristic.startswith(f"{other.part.what} "):
                yield Before(other, f"the {reading.characteristic} is taken of it")
                break


def _named_places(at: int, found: Sequence[Fitting]) -> Iterator[Before]:
    """What came off a part that came off later can only go back on it."""
    for removed in found[at].removed:
        name = part_of(removed)
        other, own = _named(name, found, at + 1), found[at].part
        if other is not None and (own is None or own.what != name):
            what = removed.what if removed.count == 1 else plural(removed.what)
            yield Before(found[other], f"the {what} came from the {name}")


def _out_only_then(at: int, found: Sequence[Fitting]) -> Iterator[Before]:
    """A shim that came out with the fasteners, and figures taken with them out, come before they go in again."""
    here, after = found[at], found[at + 1] if at + 1 < len(found) else None
    if after is None:
        return
    if here.part is not None:
        if after.part is not None and after.part.sort == "shim" and not after.fasteners:
            yield Before(after, f"the {after.part.what} came out once it was off")
        return
    if after.part is not None and after.part.sort == "shim":
        yield Before(after, f"the {after.part.what} came out once these were out")
    elif after.found:
        yield Before(after, f"the {after.found[0].characteristic} was measured with these out")


def _same_place(at: int, found: Sequence[Fitting]) -> Iterator[Before]:
    """What came from the same place later lay further in."""
    parts = {f"the {each.part.what}" for each in found if each.part is not None}
    for place in dict.fromkeys(each.place for each in found[at].removed if each.place and each.place not in parts):
        for other in found[at + 1 :]:
            if any(each.place == place for each in other.removed):
                yield Before(other, f"it came from {place} too, and later")
                break
