"""Moving through the procedure: next, done, looking, going, redoing, skipping, and what is left."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, filled, named, plain
from handsfree.phrases.commands.reasons import reason
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Kind
from handsfree.text.numerals import cardinal

GROUP = "Moving"
MOST_STEPS = 99
"""All step numbers can be said in every procedure: one that is not there is refused, not heard as another."""

_step = named("step", ((cardinal(number), number) for number in range(1, MOST_STEPS + 1)), "NUMBER")


def moving(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    return (
        plain(Kind.NEXT, GROUP, "this step is done, go on",
              "next", "next step", "go on", "step done next"),
        plain(Kind.DONE, GROUP, "this step is done, stay here",
              "done", "step done", "that is done"),
        plain(Kind.LOOK_AHEAD, GROUP, "hear the step that follows; logs nothing",
              "what comes after", "what comes next", "look ahead"),
        plain(Kind.LOOK_BACK, GROUP, "look at the step before; logs nothing",
              "back", "look back", "step before"),
        filled(Kind.GO_TO, GROUP, "go to a step",
               "go to step", _step),
        filled(Kind.REDO, GROUP, "do a step again: what rests on it has to be proved again",
               "redo", either("this step", "the step", seq("step", _step))),
        filled(Kind.SKIP, GROUP, "leave a step out, with the reason",
               either("skip", "skip this step", "leave it out"), maybe(reason)),
        plain(Kind.WHERE, GROUP, "which step this is",
              "where am i", "which step"),
        plain(Kind.LEFT, GROUP, "what is left to do",
              "what is left", "what is left to do", "how far am i"),
        plain(Kind.CAN_DO, GROUP, "the steps with nothing in their way",
              "what can be done now", "what can i do now"),
        plain(Kind.LEFT_OUT, GROUP, "what was left out, and what of it can still be done",
              "what was left out", "what did i leave out"),
        *_changing(vocabulary),
    )  # fmt: skip


def _changing(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Changing the procedure within the job, where there are any to change to."""
    if not vocabulary.procedures:
        return ()
    name = named("name", vocabulary.procedures.items(), "PROCEDURE")
    return (
        filled(Kind.CHANGE_PROCEDURE, GROUP, "work another procedure on the same item",
               either("change to", "change procedure to"), name),
        plain(Kind.PROCEDURES, GROUP, "which procedures there are to change to",
              "which procedures"),
    )  # fmt: skip
