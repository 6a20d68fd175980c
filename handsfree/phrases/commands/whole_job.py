"""The job as a whole: facts about it, counts of parts, the sign-off; and the review at the bench."""

from __future__ import annotations

from handsfree.job.counted_parts import COUNTED, DISPOSITIONS
from handsfree.job.facts import FACTS, SEVERITIES, Fact
from handsfree.phrases.commands.command import Command, all_slots, fixed, named, one_of, slot, with_slots
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import Node, either, maybe, says, seq
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.numbers import COUNTING
from handsfree.phrases.quantities.spelling import CODE, INITIALS
from handsfree.text.prose import plural

_GROUP = "The job as a whole"
_REVIEWING = "The review at the bench"


def _about(*facts: Fact) -> Node:
    return slot("name", either(*(says(words, fact.name) for fact in facts for words in fact.phrases)))


_SPELLED = _about(*(fact for fact in FACTS.values() if fact.spelled))
_GRADED = _about(*(fact for fact in FACTS.values() if fact.graded))
_FREE = _about(*(fact for fact in FACTS.values() if fact.free))

_TOLD = slot(
    "name",
    either(
        *(says(fact.said, fact.name) for fact in FACTS.values()),
        *(says(fact.many, fact.name) for fact in FACTS.values() if not fact.only_one),
        says("condition", "condition"),
    ),
)

_PARTS = either(
    seq(slot("name", either(*(says(f"one {part}", part) for part in COUNTED))), to=lambda part: part | {"count": 1}),
    seq(slot("count", COUNTING), slot("name", either(*(says(plural(part), part) for part in COUNTED))), to=all_slots),
)


def _single_parts(vocabulary: Vocabulary) -> tuple[Node, ...]:
    """ "the front cover is back", of what came off in the job."""
    if not vocabulary.out:
        return ()
    part = named("name", ((each, each) for each in vocabulary.out), "PART")
    way = slot("way", one_of(way for way in DISPOSITIONS if way != "out"))
    return (seq("the", part, "is", way, to=lambda part, way: {**part, **way, "count": 1}),)


def _person(vocabulary: Vocabulary) -> tuple[Node, ...]:
    return (named("name", vocabulary.people.items(), "NAME"),) if vocabulary.people else ()


def whole_job(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """What is logged about the job as a whole, in the order of the cheat sheet."""
    return (
        with_slots(Kind.CODE, _GROUP, "spell a number or initials; a new one replaces the old",
               _SPELLED, slot("text", CODE)),
        with_slots(Kind.MORE_CODE, _GROUP, "the rest of a long number",
               "add to it", slot("text", CODE)),
        with_slots(Kind.FACT, _GROUP, "keep what is said next about the job, as sound and as text",
               either(_FREE, seq(slot("text", one_of(SEVERITIES)), _GRADED, to=all_slots))),
        fixed(Kind.LUBRICANT_USED, _GROUP, "this step's lubricant was used",
              "lubricant used", "grease used"),
        with_slots(Kind.TELL_FACT, _GROUP, "hear what was said of the job: the complaint, the findings",
               either(seq(either("what is the", "what are the", "read back the"), _TOLD, to=all_slots),
                      seq("what was left with it", to=lambda: {"name": "accessory"}))),
        with_slots(Kind.WORKER, _GROUP, "who is at the bench from now on: a name known in this workshop, or spelled",
               "this is", either(*_person(vocabulary), slot("text", INITIALS))),
        fixed(Kind.WAITING_CHECKS, _GROUP, "which steps wait for the check of another person",
              "what waits for a check", "which checks are waiting"),
        fixed(Kind.SIGN_OFF, _GROUP, "sign the job with the name given at the start",
              "sign off", "sign the job off"),
        with_slots(Kind.COUNT_PARTS, _GROUP, "count parts out, back, or replaced",
               either(seq(maybe("log"), _PARTS, slot("way", one_of(DISPOSITIONS)), to=all_slots),
                      *_single_parts(vocabulary))),
        fixed(Kind.TALLY, _GROUP, "which parts are still out",
              "parts tally", "what is still out"),
    )  # fmt: skip


def reviewing(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Going through the review by voice, in the order of the cheat sheet."""
    characteristic = vocabulary.characteristic
    return (
        fixed(Kind.REVIEW, _REVIEWING, "hear what wants attention, then each point",
              "review the job", "hear the review"),
        fixed(Kind.PLAY, _REVIEWING, "hear the sound of this point, or of the last entry",
              "play it", "play the sound"),
        fixed(Kind.CONFIRM, _REVIEWING, "this point may stand",
              "let it stand", "it may stand"),
        with_slots(Kind.HISTORY, _REVIEWING, "what became of a figure before it was what it is",
               "history", maybe(seq("of", characteristic)) if characteristic else ""),
        fixed(Kind.END_REVIEW, _REVIEWING, "the review is over",
              "end of review", "end review"),
    )  # fmt: skip
