"""Figures: writing them down, what was written, what is done about one out of limits, and answers to questions."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, filled, named, one_of, plain, slot, together
from handsfree.phrases.commands.reasons import reason
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import either, maybe, seq
from handsfree.phrases.intents import Kind
from handsfree.procedure.parts import OCCASIONS

GROUP = "Writing"
ANSWERING = "Answering"


def writing(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Writing figures down and hearing what was written, in the order of the cheat sheet."""
    characteristic, of_what = vocabulary.characteristic, vocabulary.of_what
    return (
        filled(Kind.LOG, GROUP, "write a figure down",
               either("log", "write down", "put down"),
               *of_what, maybe(slot("occasion", one_of(OCCASIONS))), vocabulary.reading),
        filled(Kind.CORRECT, GROUP, "the last figure was wrong, this is right",
               either("wrong", "correction", seq(either("wrong", "no"), either("it is", "make it", "make that")),
                      "make it", "make that"),
               vocabulary.reading),
        plain(Kind.TAKE_BACK, GROUP, "withdraw the last entry",
              "take back", "take it back", "take that back", "strike the last entry"),
        filled(Kind.READ_BACK, GROUP, "hear the last entry, or one characteristic's",
               "read back", *of_what),
        filled(Kind.READINGS, GROUP, "repeated readings: how many, mean, range, standard deviation",
               "readings", *((maybe(seq("of", characteristic)),) if characteristic else ())),
        filled(Kind.LAST_TIME, GROUP, "hear what it measured in an earlier job",
               either(seq("last time", *of_what, to=together),
                      seq("what did i set last time", to=dict),
                      *((seq("what was", characteristic, "last time", to=together),) if characteristic else ()))),
    )  # fmt: skip


def outcomes() -> tuple[Command, ...]:
    """What is done about a figure that is out of limits."""
    return (
        plain(Kind.SET_AGAIN, GROUP, "a figure out of limits: it will be set again",
              "set again", "i will set it again"),
        filled(Kind.ACCEPT, GROUP, "a figure out of limits: accept it, with the reason",
               either("accept", "accept it"), maybe(reason)),
        plain(Kind.LEAVE_OPEN, GROUP, "a figure out of limits: decide later",
              "leave open", "leave it open"),
    )  # fmt: skip


def answers(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Answers to questions: yes, no, a figure, one of the answers about the item."""
    reading, characteristic = vocabulary.reading, vocabulary.characteristic
    figure = either(reading, seq(characteristic, maybe("is"), reading, to=together)) if characteristic else reading
    about_item = dict.fromkeys(vocabulary.answers)
    return (
        plain(Kind.YES, ANSWERING, "yes",
              "yes", "it does", "that is so"),
        plain(Kind.NO, ANSWERING, "no",
              "no", "it does not"),
        filled(Kind.FIGURE, ANSWERING, "a figure, when one is asked for",
               figure),
        *((filled(Kind.ANSWER, ANSWERING, "an answer about the item, when it is asked for",
                  named("answer", ((each, each) for each in about_item), "ANSWER")),) if about_item else ()),
        plain(Kind.CANCEL, ANSWERING, "drop the question",
              "never mind", "drop it"),
    )  # fmt: skip
