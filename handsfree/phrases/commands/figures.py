"""Figures: writing them down, what was written, what is done about one out of limits, and answers to questions."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, all_slots, fixed, named, one_of, slot, with_slots
from handsfree.phrases.commands.reasons import GIVEN_REASON, REASON
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Kind
from handsfree.procedure.parts import OCCASIONS

_GROUP = "Writing"
_ANSWERING = "Answering"


def writing(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Writing figures down and hearing what was written, in the order of the cheat sheet."""
    characteristic, of_what = vocabulary.characteristic, vocabulary.of_what
    return (
        with_slots(Kind.LOG, _GROUP, "write a figure down",
               seq(either("log", "write down", "put down"),
                   *of_what, maybe(slot("occasion", one_of(OCCASIONS))), vocabulary.reading, to=all_slots)
               if characteristic is None else
               either(seq(either("log", "write down", "put down"),
                          *of_what, maybe(slot("occasion", one_of(OCCASIONS))), vocabulary.reading, to=all_slots),
                      seq(characteristic, "measures", vocabulary.reading, to=all_slots))),
        with_slots(Kind.CORRECT, _GROUP, "the last figure was wrong, this is right",
               either("wrong", "correction", seq(either("wrong", "no"), either("it is", "make it", "make that")),
                      "make it", "make that"),
               vocabulary.reading),
        fixed(Kind.TAKE_BACK, _GROUP, "withdraw the last entry",
              "take back", "take that back", "strike the last entry"),
        with_slots(Kind.READ_BACK, _GROUP, "hear the last entry, or one characteristic's",
               "read back", *of_what),
        with_slots(Kind.READINGS, _GROUP, "repeated readings: how many, mean, range, standard deviation",
               "readings", *((maybe(seq("of", characteristic)),) if characteristic else ())),
        with_slots(Kind.LAST_TIME, _GROUP, "hear what it measured in an earlier job",
               either(seq("last time", *of_what, to=all_slots),
                      seq("what did i set last time", to=dict),
                      *((seq("what was", characteristic, "last time", to=all_slots),) if characteristic else ()))),
    )  # fmt: skip


def outcomes() -> tuple[Command, ...]:
    """What is done about a figure that is out of limits."""
    return (
        fixed(Kind.SET_AGAIN, _GROUP, "a figure out of limits: it will be set again",
              "set again", "i will set it again"),
        with_slots(Kind.ACCEPT, _GROUP, "a figure out of limits: accept it, with the reason",
               either(seq("accept it", REASON), seq("accept", GIVEN_REASON))),
        fixed(Kind.LEAVE_OPEN, _GROUP, "a figure out of limits: decide later",
              "leave open", "leave it open"),
    )  # fmt: skip


def answers(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Answers to questions: yes, no, a figure, one of the answers about the item."""
    reading, characteristic = vocabulary.reading, vocabulary.characteristic
    figure = either(reading, seq(characteristic, maybe("is"), reading, to=all_slots)) if characteristic else reading
    about_item = dict.fromkeys(vocabulary.answers)
    return (
        fixed(Kind.YES, _ANSWERING, "yes",
              "yes", "it does"),
        fixed(Kind.NO, _ANSWERING, "no",
              "no", "it does not"),
        with_slots(Kind.FIGURE, _ANSWERING, "a figure, when one is asked for",
               figure),
        *((with_slots(Kind.ANSWER, _ANSWERING, "an answer about the item, when it is asked for",
                  named("answer", ((each, each) for each in about_item), "ANSWER")),) if about_item else ()),
        fixed(Kind.CANCEL, _ANSWERING, "drop the question",
              "drop it"),
    )  # fmt: skip
