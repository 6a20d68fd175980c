"""Notes in free speech, and timers."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, filled, plain, slot, together
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.figures import duration

NOTES = "Writing"
TIMERS = "Timers"


def notes() -> tuple[Command, ...]:
    """Beginning and ending a note."""
    return (
        plain(Kind.NOTE, NOTES, "keep what is said next, as sound and as text",
              "note", "make a note"),
        plain(Kind.END_NOTE, NOTES, "the note is finished",
              "end of note", "end note"),
    )  # fmt: skip


def timers(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Starting, stopping and hearing timers, in the order of the cheat sheet."""
    timer, length = vocabulary.timer, slot("figure", duration)
    return (
        filled(Kind.TIMER_START, TIMERS, "start a timer",
               either(seq(maybe("start"), "timer", timer, length, to=together),
                      seq(maybe("start"), timer, "timer", length, to=together),
                      seq(maybe("start"), "timer", length),
                      seq("start", maybe("the"), "timer", to=dict))),
        filled(Kind.TIMER_STOP, TIMERS, "stop a timer",
               "stop", either(seq("timer", timer), seq(timer, "timer"), "timer", "the timer")),
        plain(Kind.ACKNOWLEDGE, TIMERS, "heard that the time is up: it need not be said again",
              "got it", "time noted"),
        filled(Kind.TIMER_LEFT, TIMERS, "how long a timer has left",
               "how long is left", maybe(seq("on", timer))),
    )  # fmt: skip
