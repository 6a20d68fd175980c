"""Taking apart: what came off, where it lies, which marks were made, what it measured."""

from __future__ import annotations

from collections.abc import Sequence

from handsfree.guide.effects import Change
from handsfree.guide.figures.proposed import Proposed, measured_as_found
from handsfree.guide.handlers import session_control
from handsfree.guide.handlers.figures import readings
from handsfree.guide.handlers.job.notes import begin_naming
from handsfree.guide.session import Turn
from handsfree.job.disassembly import figures_as_found, removals
from handsfree.job.events import (
    MarkMade,
    PartsRemoved,
    PutInTray,
    StepDone,
    StepEntered,
    TextTyped,
)
from handsfree.job.state import JobState, every_entry, with_names
from handsfree.measure.figure import Figure
from handsfree.measure.formatting import spoken
from handsfree.measure.units import UNITS, in_use, meanings, unit
from handsfree.phrases.disassembly.not_caught import Sort, not_known, removal_meant
from handsfree.phrases.disassembly.removal import HOW_MANY, PART_NUMBERED
from handsfree.phrases.disassembly.words import kinds_of
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.typed_figures import words_of_typed
from handsfree.procedure.parts import AS_FOUND
from handsfree.procedure.words import Kinds
from handsfree.text.numerals import a, whole_words
from handsfree.text.prose import counted, listed, plural, sentence, sentences
from handsfree.wording.disassembly import few_words, mark_words, removed_words, written_text

_LARGEST = 10**12
"""From here on a procedure file takes no number, and none is meant."""
LIKELY_PHRASES = ("removed two screws and their size", "removed the cover", "tray three", "mark made at the bottom",
           "end play four thou", "note")  # fmt: skip


def announce(turn: Turn) -> None:
    """Begin taking apart, or go on with it: what still stands of the other procedures is said first."""
    standing = turn.session.standing_dangers()
    off = removals(turn.state)
    if turn.state.step is None:
        turn.record(StepEntered)
    told = f"{_how_many(off)} off; last, {removed_words(off[-1])}" if off else ""
    begun = turn.state.purpose == "stripping" or turn.session.left or off
    how = "say what comes off, and its tray" + ("" if begun else "; or change to, and a procedure")
    said = sentences((turn.procedure.title, told, how))
    turn.say(" ".join((*standing, said)), must_hear=bool(standing))


def end_taking_apart(turn: Turn, _: Intent) -> None:
    """Nothing more comes off for now: back to the procedure that was worked before, if there was one."""
    off = removals(turn.state)
    if turn.state.status(turn.current_step.id) != "done":
        turn.record(StepDone)
    back = turn.session.left
    how = "" if back else "Say change to, and a procedure, or finish the job."
    told = sentences((f"taken apart, {_how_many(off)} off", *_without_tray(turn)))
    turn.say(f"{told} {how}".strip())
    if back:
        turn.effects.append(Change(back, turn.now))


def _how_many(off: Sequence[PartsRemoved]) -> str:
    count = sum(each.count for each in off)
    return counted(count, "thing") if count else "nothing"


def _without_tray(turn: Turn) -> tuple[str, ...]:
    """What has no tray, in one point; none where everything has."""
    loose = [removal for removal in removals(turn.state) if removal.id not in turn.state.trays]
    return (f"without a tray: {_short(loose)}",) if loose else ()


def write_removal(turn: Turn, intent: Intent) -> None:
    """Something came off: written down and read back."""
    said = intent.removal
    assert said is not None
    turn.session.removal_lost = True
    if said.count == HOW_MANY:
        turn.say(f"How many {plural(said.what)}? Say removed, and how many. Not written.")
        return
    if said.thickness is not None and said.thickness.ambiguous_unit is not None:
        word = said.thickness.ambiguous_unit.removesuffix("s").capitalize()
        turn.say(f"{word}s can mean two things. Say it with thou or millimetres. Not written.")
        return
    if said.thickness is not None and unit(said.thickness.unit or "thou").kind != "length":
        turn.say(f"{sentence(f'{spoken(said.thickness)} is no thickness')} Not written.")
        return
    if said.thickness is not None and not 0 < said.thickness.value < _LARGEST:
        refused = f"{spoken(said.thickness)} can't be a thickness"
        turn.say(f"{sentence(refused)} Not written.")
        return
    event = turn.record(
        PartsRemoved,
        id=turn.state.next_id,
        sort=said.sort,
        what=said.what,
        count=said.count,
        size=said.size,
        head=said.head,
        finish=said.finish,
        left_hand=said.left_hand,
        place=said.place,
        way=said.way,
        thickness=None if said.thickness is None else f"{written_text(said.thickness)} {said.thickness.unit}",
        sounds=turn.sound(),
    )
    assert isinstance(event, PartsRemoved)
    turn.session.removal_lost = False
    turn.say(sentence(removed_words(with_names(event, turn.state.names))), must_hear=True)


def name_something_new(turn: Turn, intent: Intent) -> None:
    """A part that came off, or a place, for which there is no name: it gets the next number, and what it is is told as
    a note."""
    numbered = _next_number(turn.state, intent.name or PART_NUMBERED)
    if intent.name == PART_NUMBERED:
        turn.record(PartsRemoved, id=turn.state.next_id, sort="part", what=numbered, sounds=turn.sound())
        turn.session.removal_lost = False
    begin_naming(turn, numbered, sentence(numbered))


def _next_number(state: JobState, of: str) -> str:
    """The first number that no part, or no place, of the job has."""
    used = set(state.names)
    for entry in every_entry(state):
        event = entry.event
        used |= {str(getattr(event, slot, None)) for slot in ("what", "place", "names")}
    return next(name for n in range(1, len(used) + 2) if (name := f"{of} {whole_words(n)}") not in used)


def give_name(turn: Turn, intent: Intent) -> None:
    """What had only a number has a name from now on."""
    numbered, name = intent.text or "", intent.name or ""
    told = [
        entry.event.id
        for entry in every_entry(turn.state)
        if entry.stands and numbered in (getattr(entry.event, "names", None), getattr(entry.event, "what", None))
    ]
    if not told:
        known = turn.state.names.get(numbered)
        turn.say(f"{sentence(numbered)} It is the {known} already." if known else f"There is no {numbered}.")
        return
    turn.record(TextTyped, id=told[-1], text=name)
    turn.say(f"{numbered.capitalize()} is the {name}.", must_hear=True)


_NO_SUCH: dict[Sort, str] = {
    "part": "No such part: {}. Say new part, or note. Not written.",
    "place": "No such place: {}. Say new place, or note. Not written.",
    "measure": "Nothing measured here is called {}. Say note. Not logged.",
    "more": "Not understood: {}. Say it without. Not written.",
    "article": "Say removed the {}, or how many. Not written.",
    "count": "How many {}? Say removed, and how many. Not written.",
    "thickness": "How thick? Say removed, the {} and its thickness. Not written.",
}


def not_caught(turn: Turn) -> None:
    """What was said was not understood: a word that is no name here is told, once."""
    words = _words_said(turn)
    found = not_known(turn.session.language, words)
    turn.session.removal_lost = turn.session.removal_lost or removal_meant(words)
    if found is not None and found.words not in turn.session.not_known:
        turn.session.not_known.add(found.words)
        turn.say(_NO_SUCH[found.sort].format(found.words))


def listen_for_lost(turn: Turn) -> None:
    """What was taken for talk may have been a removal: what follows must not be taken for it."""
    turn.session.removal_lost = turn.session.removal_lost or removal_meant(_words_said(turn))


def _words_said(turn: Turn) -> tuple[str, ...]:
    said = turn.utterance
    return () if said is None else words_of_typed(said.free_text) or said.words


def write_tray(turn: Turn, intent: Intent) -> None:
    """What was removed since the last tray lies in this one; with nothing new, the last tray was said wrongly. Where
    something that came off last was not understood, nothing else is taken for it."""
    new = tuple(removal.id for removal in removals(turn.state) if removal.id not in turn.state.trays)
    if turn.session.removal_lost:
        turn.session.removal_lost = False
        if not new:
            turn.say("What came off last is not written. Say it again, then its tray.")
            return
        what = _short([removal for removal in removals(turn.state) if removal.id in new])
        prompt = f"What came off last is not written. Only {what} for tray {whole_words(intent.tray or 0)}? Yes or no."
        turn.confirm(prompt, lambda turn: write_tray(turn, intent), "No tray written.")
        return
    ids = new or tuple(removal.id for removal in removals(turn.state) if removal.id in turn.state.last_trayed)
    if not ids or intent.tray is None:
        turn.say("Nothing is removed yet. No tray written.")
        return
    turn.record(PutInTray, tray=intent.tray, ids=ids)
    what = _short([removal for removal in removals(turn.state) if removal.id in ids])
    turn.say(f"{'' if new else 'Moved. '}Tray {whole_words(intent.tray)}: {what}.", must_hear=True)


def _short(events: list[PartsRemoved]) -> str:
    return listed([few_words(removal) for removal in events])


def tell_what_is_in_tray(turn: Turn, intent: Intent) -> None:
    """What lies in a tray, screws with their sizes: look-alikes lie together."""
    in_it = [removal for removal in removals(turn.state) if turn.state.trays.get(removal.id) == intent.tray]
    name = "No tray" if intent.tray is None else f"Tray {whole_words(intent.tray)}"
    turn.say(sentences((name, *(few_words(removal, size=True) for removal in in_it))) if in_it else f"{name}: nothing.")


def write_mark(turn: Turn, intent: Intent) -> None:
    """A mark was made; it is spoken when the parts meet again."""
    said = intent.marking
    assert said is not None
    event = turn.record(
        MarkMade, id=turn.state.next_id, what=said.what, place=said.place, parts=said.parts, sounds=turn.sound()
    )
    assert isinstance(event, MarkMade)
    turn.say(sentence(mark_words(event)), must_hear=True)


def log_as_found(turn: Turn, intent: Intent) -> None:
    """A figure as found, of whatever was named."""
    figure, name = intent.figure, intent.characteristic
    assert figure is not None
    assert name is not None
    if figure.unit is None and figure.ambiguous_unit is None:
        turn.say(f"{sentence(name)} Say it with its unit. Not logged.")
        return
    if abs(figure.value) >= _LARGEST:
        turn.say(f"{sentence(name)} That figure is too large. Not logged.")
        return
    before = next((reading.unit for reading in figures_as_found(turn.state) if reading.characteristic == name), None)
    kinds = (unit(before).kind,) if before else kinds_of(name, turn.session.language.vocabulary.words)
    measured_in = _measured_in(figure, kinds)
    if measured_in is None:
        as_before = f"was measured in {unit(before).many} before" if before else f"is {listed([*map(a, kinds)], 'or')}"
        turn.say(f"{sentence(f'{name} {as_before}')} Not logged.")
        return
    proposed = Proposed(turn.current_step, measured_as_found(name, measured_in), figure, AS_FOUND)
    readings.propose(turn, readings.as_said(turn, proposed, intent), readings.other_figures(turn, intent))


def _measured_in(figure: Figure, kinds: Kinds) -> str | None:
    """The unit in which a figure is logged, of one of ``kinds`` (none: of any); None where it is of none of them. Where
    the unit's word may mean several, those are asked about."""
    if not kinds:
        return in_use(figure, "thou").unit or "thou"
    for kind in kinds:
        own = next(key for key, known in UNITS.items() if known.kind == kind)
        meant = in_use(figure, own)
        if meant.unit is not None and unit(meant.unit).kind == kind:
            return meant.unit
        if meant.ambiguous_unit and any(unit(key).kind == kind for key in meanings(meant.ambiguous_unit)):
            return own
    return None


def tell_what_is_off(turn: Turn, _: Intent) -> None:
    """How much is off, and what has no tray."""
    removed = removals(turn.state)
    said = [f"{_how_many(removed)} off"]
    said += [f"last, {removed_words(removed[-1])}"] if removed else []
    turn.say(sentences((*said, *_without_tray(turn))))


def tell_what_can_be_said(turn: Turn, _: Intent) -> None:
    turn.say(f"You can say: {listed(LIKELY_PHRASES, 'or')}.")


def finish_taking_apart(turn: Turn, intent: Intent) -> None:
    """Everything is off; what has no tray is asked about first. Where the job was worked by procedures too, it ends
    as any other does."""
    if turn.state.purpose != "stripping":
        if turn.state.status(turn.current_step.id) != "done":
            turn.record(StepDone)
        session_control.finish_job(turn, intent)
        return
    points = _without_tray(turn)
    said = "Taken apart. The procedure to put it back can be drafted now."
    session_control.finish_with(turn, points, sentences(points), said, step_too=True, also=[Kind.FINISH])
