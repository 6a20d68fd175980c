"""Parts in words: the tally of what came out, what is back and what is still out; and what is to be ordered."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from handsfree.job.counted_parts import COUNTED, THREADED
from handsfree.job.counter.orders import PartOrder
from handsfree.job.events import PartsCounted, PartWanted
from handsfree.job.state import JobState, every_entry
from handsfree.job.tally import Tally, taken_off, tally, unreconciled
from handsfree.measure.threads import spoken_size
from handsfree.phrases.disassembly.removal import PART_NUMBERED
from handsfree.procedure.model import Fastener, Procedure, Step
from handsfree.text.prose import counted, listed, number_or_no, plural, sentences

_NUMBERED = re.compile(rf"{PART_NUMBERED} [a-z ]+")
"""What a part is called that was taken off without a name."""


def counted_parts(count: int, part: str) -> str:
    """ "eight screws"; of what has a number for a name, that alone: "part two"."""
    return part if count == 1 and _NUMBERED.fullmatch(part) else counted(count, part)


def balance(each: Tally) -> str:
    """ "one screw still out", "all screws back"."""
    if not each.still_out:
        all_ = each.part if each.part not in COUNTED and each.out == 1 else f"all {plural(each.part)}"
        return f"{all_} accounted for"
    if each.still_out < 0:
        return f"{counted_parts(-each.still_out, each.part)} more in than came out"
    return f"{counted_parts(each.still_out, each.part)} still out"


def sums(each: Tally) -> str:
    """ "eight screws out and seven back: one screw still out"; where none is back, "eight screws still out"."""
    if _is_plain(each):
        return balance(each)
    said = [f"{counted_parts(each.out, each.part)} out"]
    said += [
        f"{number_or_no(count)} {way}" for count, way in ((each.back, "back"), (each.replaced, "replaced")) if count
    ]
    return f"{listed(said)}: {balance(each)}"


def in_few_words(counts: Sequence[Tally]) -> list[str]:
    """The same of several, for the ear: those of which none is back are told together, "two screws and one cover still
    out"."""
    plain = [counted_parts(each.still_out, each.part) for each in counts if _is_plain(each)]
    together = [f"{listed(plain)} still out"] if plain else []
    return together + [sums(each) for each in counts if not _is_plain(each)]


def _is_plain(each: Tally) -> bool:
    return each.out > 0 and not each.back and not each.replaced


def before_cover(procedure: Procedure, state: JobState, index: int) -> str:
    """What to ask about before the step that closes a cover; empty where the counts come out even.

    Fasteners that this step and the open ones after it need are still out, and rightly so.
    """
    wanted = sum(
        part.count for step in procedure.steps[index:] if state.status(step.id) == "open" for part in step.fasteners
    )
    later: Counter[str] = Counter()
    for step in procedure.steps[index:]:
        if state.status(step.id) == "open":
            later += Counter(_named_in_act(step, taken_off(state)))
    uneven = [each for each in unreconciled(state) if not 0 < each.still_out <= later[each.part]]
    fasteners = [each for each in uneven if each.part in THREADED]
    if wanted and sum(each.still_out for each in fasteners) == wanted:
        uneven = [each for each in uneven if each not in fasteners]
        fasteners = []
    needed = f"{counted(wanted, 'fastener')} needed from here on" if wanted and fasteners else ""
    return sentences((*(sums(each) for each in uneven), needed))


def of_the_step(step: Step, state: JobState, part: str, way: str) -> str:
    """What the procedure lists at a step, where the parts of this name that were counted there are another number;
    nothing where they are as many, or the step lists none of them."""
    wanted = sum(fastener.count for fastener in step.fasteners if _name(fastener) == part)
    counted_here = sum(
        entry.event.count
        for entry in state.entries.values()
        if isinstance(entry.event, PartsCounted)
        and entry.stands
        and (entry.event.step, entry.event.part, entry.event.way) == (step.id, part, way)
    )
    return f"this step lists {counted_parts(wanted, part)}" if wanted and wanted != counted_here else ""


_FITS = re.compile(r"(re)?fit|put|place|insert|enter|mount|install|hang|screw", re.IGNORECASE)
"""How an act begins that puts its parts back."""


def put_back(step: Step, state: JobState) -> tuple[tuple[str, int], ...] | None:
    """What a step puts back of what was taken off in the job and is still out, by kinds of part: its fasteners, but for
    those that were counted at it by voice, and the parts that its act fits. None: nothing."""
    off = taken_off(state)
    if not off:
        return None
    wanted: Counter[str] = Counter(_named_in_act(step, off))
    for fastener in step.fasteners:
        wanted[_name(fastener)] += fastener.count
    for entry in every_entry(state):
        event = entry.event
        if isinstance(event, PartsCounted) and entry.stands and event.step == step.id and event.way != "out":
            wanted[event.part] -= event.count
    out = {each.part: each.still_out for each in tally(state) if each.part in off}
    back = {part: min(count, out.get(part, 0)) for part, count in wanted.items()}
    return tuple((part, count) for part, count in back.items() if count > 0) or None


def _named_in_act(step: Step, names: Sequence[str]) -> Iterator[str]:
    """Those of the parts that the act of a step fits, the longest names first: a front cover is no cover."""
    if not _FITS.match(step.act):
        return
    act = f" {' '.join(re.findall(r'[a-z]+', step.act.lower().partition(' with its ')[0]))} "
    for name in sorted(names, key=len, reverse=True):
        for said in (name, plural(name)):
            if f" {said} " in act:
                act = act.replace(f" {said} ", " , ")
                yield name


def _name(fastener: Fastener) -> str:
    """What kind of part a fastener is counted as: a screw, unless its own words name another."""
    words = re.findall(r"[a-z]+", f"{fastener.size} {fastener.head or ''}".lower())
    return next((word for word in words if word in COUNTED), "screw")


def part_words(what: str, count: int, size: str | None) -> str:
    """Parts to order: "two gib screws, M two by five"."""
    return ", ".join(filter(None, (counted(count, what), spoken_size(size) if size else "")))


def wanted_words(event: PartWanted, stage: str | None = None) -> str:
    """The same with how far it is: "to order: two gib screws"."""
    return f"{stage or 'to order'}: {part_words(event.what, event.count, event.size)}"


def waiting_words(orders: Sequence[PartOrder]) -> str:
    """What a job waits for, for the ear; empty: nothing."""
    if not orders:
        return ""
    said = [part_words(order.what, order.count, order.size) for order in orders[:2]]
    more = len(orders) - 2
    said += [counted(more, "more part")] if more > 0 else []
    return f"waits for {listed(said)}"
