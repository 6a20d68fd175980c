"""Moving through the procedure: next, done, looking, going, redoing, skipping, and what is left."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, fixed, named, with_slots
from handsfree.phrases.commands.reasons import GIVEN_REASON, REASON
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Kind
from handsfree.text.numerals import cardinal

_GROUP = "Moving"
MOST_STEPS = 99
"""All step numbers can be said in every procedure: one that is not there is refused, not heard as another."""

_step = named("step", ((cardinal(number), number) for number in range(1, MOST_STEPS + 1)), "NUMBER")


def moving(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    return (
        fixed(Kind.NEXT, _GROUP, "this step is done, go on",
              "next", "next step"),
        fixed(Kind.DONE, _GROUP, "this step is done, stay here",
              "step done", "this step is done"),
        fixed(Kind.LOOK_AHEAD, _GROUP, "hear the step that follows; logs nothing",
              "what comes after", "what comes next", "look ahead"),
        fixed(Kind.LOOK_BACK, _GROUP, "look at the step before; logs nothing",
              "back", "look back", "step before"),
        with_slots(Kind.GO_TO, _GROUP, "go to a step",
               "go to step", _step),
        with_slots(Kind.REDO, _GROUP, "do a step again: what rests on it has to be proved again",
               "redo", either("this step", "the step", seq("step", _step))),
        with_slots(Kind.SKIP, _GROUP, "leave a step out, with the reason",
               either(seq("skip this step", REASON), seq("skip", GIVEN_REASON))),
        fixed(Kind.WHERE, _GROUP, "which step this is",
              "where am i", "which step"),
        fixed(Kind.LEFT, _GROUP, "what is left to do",
              "what is left", "what is left to do", "how far am i"),
        fixed(Kind.CAN_DO, _GROUP, "the steps with nothing in their way",
              "what can be done now", "what can i do now"),
        fixed(Kind.LEFT_OUT, _GROUP, "what was left out, and what of it can still be done",
              "what was left out", "what did i leave out"),
        *_changing(vocabulary),
        fixed(Kind.OPEN_JOBS, _GROUP, "which jobs stand open, with their numbers",
              "which jobs are open", "what is on the bench"),
        *_other_jobs(vocabulary),
        fixed(Kind.TAKE_APART, _GROUP, "say what comes off; the procedure waits where it is",
              "begin taking apart", "go on taking apart"),
    )  # fmt: skip


def _other_jobs(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Going to another job, where there are any to go to."""
    if not vocabulary.jobs:
        return ()
    called = named("name", ((words, words) for words in vocabulary.jobs), "JOB")
    return (
        with_slots(Kind.GO_TO_JOB, _GROUP, "leave this job as it is and work another one",
               "go to", either(seq("job", _step), seq(maybe("the"), called))),
    )  # fmt: skip


def _changing(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Changing the procedure within the job, where there are any to change to."""
    if not vocabulary.procedures:
        return ()
    name = named("name", vocabulary.procedures.items(), "PROCEDURE")
    return (
        with_slots(Kind.CHANGE_PROCEDURE, _GROUP, "work another procedure on the same item",
               either("change to", "change procedure to"), name),
        fixed(Kind.PROCEDURES, _GROUP, "which procedures there are to change to",
              "which procedures"),
    )  # fmt: skip
