"""Taking apart: what came off, where it lies, which marks were made, what it measured."""

from __future__ import annotations

from handsfree.guide.figures.proposed import Proposed, measured_as_found
from handsfree.guide.handlers.figures import readings
from handsfree.guide.session import Turn
from handsfree.job.disassembly import figures_as_found, removals
from handsfree.job.events import (
    JobFinished,
    MarkMade,
    PartsRemoved,
    PutInTray,
    StepDone,
)
from handsfree.measure.formatting import written
from handsfree.measure.units import unit
from handsfree.phrases.intents import Intent, Kind
from handsfree.procedure.parts import AS_FOUND
from handsfree.text.numerals import whole_words
from handsfree.text.prose import counted, listed, sentence, sentences
from handsfree.wording.disassembly import mark_words, removed_words, written_text

_LARGEST = 10**12
"""From here on a procedure file takes no number, and none is meant."""
LIKELY_PHRASES = ("removed two screws, and their size", "removed the cover", "tray three", "mark made at the bottom",
           "end play four thou", "note")  # fmt: skip


def write_removal(turn: Turn, intent: Intent) -> None:
    """Something came off: written down and read back."""
    said = intent.removal
    if said is None:
        return
    if said.thickness is not None and said.thickness.ambiguous_unit is not None:
        word = said.thickness.ambiguous_unit.removesuffix("s").capitalize()
        turn.say(f"{word}s can mean two things. Say it with thou or millimetres. Not written.")
        return
    if said.thickness is not None and not 0 < said.thickness.value < _LARGEST:
        turn.say(f"{written(said.thickness)} can't be a thickness. Not written.")
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
    turn.say(sentence(removed_words(event)), must_hear=True)


def write_tray(turn: Turn, intent: Intent) -> None:
    """What was removed since the last tray lies in this one; with nothing new, the last tray was said wrongly."""
    new = tuple(removal.id for removal in removals(turn.state) if removal.id not in turn.state.trays)
    ids = new or tuple(removal.id for removal in removals(turn.state) if removal.id in turn.state.last_trayed)
    if not ids or intent.tray is None:
        turn.say("Nothing is removed yet. No tray written.")
        return
    turn.record(PutInTray, tray=intent.tray, ids=ids)
    what = _short([removal for removal in removals(turn.state) if removal.id in ids])
    turn.say(f"{'' if new else 'Moved. '}Tray {whole_words(intent.tray)}: {what}.", must_hear=True)


def _short(events: list[PartsRemoved]) -> str:
    return listed([counted(removal.count, removal.what) for removal in events])


def tell_what_is_in_tray(turn: Turn, intent: Intent) -> None:
    in_it = [removal for removal in removals(turn.state) if turn.state.trays.get(removal.id) == intent.tray]
    name = "No tray" if intent.tray is None else f"Tray {whole_words(intent.tray)}"
    turn.say(f"{name}: {_short(in_it) if in_it else 'nothing'}.")


def write_mark(turn: Turn, intent: Intent) -> None:
    """A mark was made; it is spoken when the parts meet again."""
    said = intent.marking
    if said is None:
        return
    event = turn.record(
        MarkMade, id=turn.state.next_id, what=said.what, place=said.place, parts=said.parts, sounds=turn.sound()
    )
    assert isinstance(event, MarkMade)
    turn.say(sentence(mark_words(event)), must_hear=True)


def log_as_found(turn: Turn, intent: Intent) -> None:
    """A figure as found, of whatever was named."""
    figure, name = intent.figure, intent.characteristic
    if figure is None or name is None:
        return
    if figure.unit is None and figure.ambiguous_unit is None:
        turn.say(f"{sentence(name)} Say it with its unit. Not logged.")
        return
    if abs(figure.value) >= _LARGEST:
        turn.say(f"{sentence(name)} {written(figure)} is too large. Not logged.")
        return
    before = next((reading.unit for reading in figures_as_found(turn.state) if reading.characteristic == name), None)
    if before is not None and figure.unit is not None and unit(before).kind != unit(figure.unit).kind:
        turn.say(f"{sentence(f'{name} was measured in {unit(before).many} before')} Not logged.")
        return
    # An ambiguous word is asked back by ``propose``; what it may mean are lengths.
    measured = measured_as_found(name, figure.unit or "thou")
    proposed = Proposed(turn.current_step, measured, figure, AS_FOUND)
    readings.propose(turn, proposed, readings.other_figures(turn, intent))


def tell_what_is_off(turn: Turn, _: Intent) -> None:
    """How much is off, and what has no tray."""
    removed = removals(turn.state)
    without_tray = [removal for removal in removed if removal.id not in turn.state.trays]
    said = [f"{counted(len(removed), 'thing')} off"]
    said += [f"last, {removed_words(removed[-1])}"] if removed else []
    said += [f"without a tray: {_short(without_tray)}"] if without_tray else []
    turn.say(sentences(said))


def tell_what_can_be_said(turn: Turn, _: Intent) -> None:
    turn.say(f"You can say: {listed(LIKELY_PHRASES, 'or')}.")


def finish_taking_apart(turn: Turn, _: Intent) -> None:
    """Everything is off; what has no tray is asked about first."""
    without_tray = [removal for removal in removals(turn.state) if removal.id not in turn.state.trays]
    points = (f"without a tray: {_short(without_tray)}",) if without_tray else ()

    def end(turn: Turn) -> None:
        turn.record(StepDone)
        turn.record(JobFinished, open_points=points)
        turn.session.machine.move("finish")
        turn.say("Taken apart. The procedure to put it back can be drafted now.")
        turn.end("finished")

    if not points:
        end(turn)
        return

    prompt = f"{sentence(points[0])} Finish anyway? Yes or no."
    turn.confirm(prompt, end, "Not finished. Still at the bench.", also=[Kind.FINISH])
