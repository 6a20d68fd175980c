"""The job as a whole: facts about it, counts of parts, the sign-off; and the review at the bench."""

from __future__ import annotations

from handsfree.job.counted_parts import COUNTED, WAYS
from handsfree.job.facts import FACTS, SEVERITIES, Fact
from handsfree.phrases.commands.command import Command, filled, one_of, plain, slot, together
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.grammar import Node, either, maybe, says, seq
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.numbers import counting
from handsfree.phrases.quantities.spelling import code
from handsfree.text.prose import plural

GROUP = "The job as a whole"
REVIEWING = "The review at the bench"


def _about(*facts: Fact) -> Node:
    return slot("name", either(*(says(fact.said, fact.name) for fact in facts)))


_SPELLED = _about(*(fact for fact in FACTS.values() if fact.spelled))
_GRADED = _about(*(fact for fact in FACTS.values() if fact.graded))
_FREE = _about(*(fact for fact in FACTS.values() if not fact.spelled and not fact.graded))

_PARTS = either(
    seq(slot("name", either(*(says(f"one {part}", part) for part in COUNTED))), to=lambda part: part | {"count": 1}),
    seq(slot("count", counting), slot("name", either(*(says(plural(part), part) for part in COUNTED))), to=together),
)


def whole_job() -> tuple[Command, ...]:
    """What is logged about the job as a whole, in the order of the cheat sheet."""
    return (
        filled(Kind.CODE, GROUP, "spell a number or initials; a new one replaces the old",
               _SPELLED, slot("text", code)),
        filled(Kind.MORE_CODE, GROUP, "the rest of a long number",
               "add", slot("text", code)),
        filled(Kind.FACT, GROUP, "keep what is said next about the job, as sound and as text",
               either(_FREE, seq(slot("text", one_of(SEVERITIES)), _GRADED, to=together))),
        plain(Kind.LUBRICANT_USED, GROUP, "this step's lubricant was used",
              "lubricant used", "grease used"),
        plain(Kind.SIGN_OFF, GROUP, "sign the job with the name given at the start",
              "sign off", "sign the job off"),
        filled(Kind.COUNT_PARTS, GROUP, "count parts out, back, or replaced",
               maybe("log"), _PARTS, slot("way", one_of(WAYS))),
        plain(Kind.TALLY, GROUP, "which parts are still out",
              "parts tally", "what is still out"),
    )  # fmt: skip


def review(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Going through the review by voice, in the order of the cheat sheet."""
    characteristic = vocabulary.characteristic
    return (
        plain(Kind.REVIEW, REVIEWING, "hear what wants attention, then each point",
              "review", "review the job"),
        plain(Kind.PLAY, REVIEWING, "hear the sound of this point, or of the last entry",
              "play it", "play the sound"),
        plain(Kind.CONFIRM, REVIEWING, "this point may stand",
              "confirm", "confirmed"),
        filled(Kind.HISTORY, REVIEWING, "what became of a figure before it was what it is",
               "history", maybe(seq("of", characteristic)) if characteristic else ""),
        plain(Kind.END_REVIEW, REVIEWING, "the review is over",
              "end of review", "end review"),
    )  # fmt: skip
