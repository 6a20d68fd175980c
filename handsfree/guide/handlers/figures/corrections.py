"""Correcting and taking back what was logged, and reading it back."""

from __future__ import annotations

from handsfree.guide.figures.proposed import Proposed, measured_as_found
from handsfree.guide.handlers.figures import readings
from handsfree.guide.handlers.job import parts
from handsfree.guide.session import Turn
from handsfree.job.events import (
    EntryWithdrawn,
    PartsCounted,
    ReadingLogged,
)
from handsfree.job.readings import standing_readings
from handsfree.job.state import Entry
from handsfree.phrases.intents import Intent
from handsfree.procedure.workshop import equipped
from handsfree.wording.entries import at_step, entry_words


def correct(turn: Turn, intent: Intent) -> None:
    """The last figure was wrong; this is the right one."""
    correct_entry(turn, intent, turn.state.last_entry())


def correct_entry(turn: Turn, intent: Intent, entry: Entry | None) -> None:
    """A figure or a count was wrong; this is the right one.

    The limits and the tool that count are those of the procedure that the figure belongs to.
    """
    if entry is not None and isinstance(entry.event, PartsCounted):
        figure = intent.figure
        if figure is None or figure.unit is not None or figure.value.denominator != 1 or figure.value < 0:
            turn.say("The last entry is a count of parts. Nothing changed.")
            return
        count = entry.event
        parts.write_count(turn, count.part, int(figure.value), count.way, corrects=count.id)
        return
    if entry is None or not isinstance(entry.event, ReadingLogged) or intent.figure is None:
        turn.say("The last entry is not a figure. Nothing changed." if entry else "Nothing is logged yet.")
        return
    old = entry.event
    home = turn.state.home_of(old.id)
    known = turn.session.at_hand_for(home)
    if known is None:
        turn.say("This figure belongs to another procedure of the job. Take that up to correct it.")
        return
    procedure, tools = known
    step = next(step for step in procedure.steps if step.id == old.step)
    measured = next((m for m in step.characteristics if m.name == old.characteristic), None)
    measured = equipped(measured or measured_as_found(old.characteristic, old.unit), tools, old.tool)
    proposed = Proposed(step, measured, intent.figure, old.occasion, corrects=old.id, home=home)
    readings.propose(turn, readings.as_said(turn, proposed, intent), readings.other_figures(turn, intent))


def take_back(turn: Turn, _: Intent) -> None:
    """Withdraw the newest entry that stands."""
    entry = turn.state.last_entry()
    if entry is None:
        turn.say("Nothing to take back.")
        return
    turn.record(EntryWithdrawn, id=entry.event.id, step=entry.event.step)
    turn.say(f"Taken back. {entry_words(entry)}")


def tell_entry(turn: Turn, intent: Intent) -> None:
    """The newest entry, or the newest figure of a characteristic: that of the place of the step in view, else that of
    every place."""
    name = intent.characteristic
    if name is None:
        last = turn.state.last_entry()
        told = [] if last is None else [last]
    else:
        readings = (each for each in standing_readings(turn.state) if each.event.characteristic == name)
        newest = {each.event.place: each.entry for each in readings}
        told = [newest[turn.step.place]] if turn.step.place in newest else list(newest.values())
    if not told:
        turn.say(f"Nothing is logged{f' for {name}' if name else ' yet'}.")
        return
    turn.say(" ".join(f"{at_step(turn.procedure, entry)}{entry_words(entry)}" for entry in told), carefully=True)
