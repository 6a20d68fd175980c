"""Notes in free speech, and timers."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, all_slots, fixed, slot, with_slots
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.figures import DURATION

_NOTES = "Writing"
_TIMERS = "Timers"


def notes() -> tuple[Command, ...]:
    """Beginning and ending a note."""
    return (
        fixed(Kind.NOTE, _NOTES, "keep what is said next, as sound and as text",
              "note", "make a note"),
        fixed(Kind.END_NOTE, _NOTES, "the note is finished",
              "end of note", "end note"),
    )  # fmt: skip


def timers(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Starting, stopping and hearing timers, in the order of the cheat sheet."""
    timer, length = vocabulary.timer, slot("figure", DURATION)
    return (
        with_slots(Kind.TIMER_START, _TIMERS, "start a timer",
               either(seq(maybe("start"), "timer", timer, length, to=all_slots),
                      seq(maybe("start"), timer, "timer", length, to=all_slots),
                      seq(maybe("start"), "timer", length),
                      seq("start", maybe("the"), "timer", to=dict))),
        with_slots(Kind.TIMER_STOP, _TIMERS, "stop a timer",
               "stop", either(seq("timer", timer), seq(timer, "timer"), "timer", "the timer")),
        fixed(Kind.ACKNOWLEDGE, _TIMERS, "heard that the time is up: it need not be said again",
              "got it", "time noted"),
        with_slots(Kind.TIMER_LEFT, _TIMERS, "how long a timer has left",
               "how long is left", maybe(seq("on", timer))),
    )  # fmt: skip
