"""Asking: everything that is answered from the procedure and the log and changes nothing, and bench sums."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, fixed, slot, with_slots
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Kind

_GROUP = "Asking"


def asking() -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    return (
        fixed(Kind.REPEAT, _GROUP, "hear the last words again",
              "repeat", "say again", "say that again"),
        fixed(Kind.DETAILS, _GROUP, "more about this step",
              "details", "more", "tell me more"),
        fixed(Kind.FASTENERS, _GROUP, "the fasteners of this step, with their sizes",
              "fasteners", "screws", "which screws", "what size are the screws"),
        fixed(Kind.LUBRICANT, _GROUP, "which lubricant, where, how much",
              "lubricant", "which oil", "which grease"),
        fixed(Kind.CAUTIONS, _GROUP, "dangers and cautions",
              "cautions", "dangers", "what to watch"),
        fixed(Kind.WHY, _GROUP, "the reason for this step",
              "why", "what for"),
        fixed(Kind.LIMITS, _GROUP, "the limits of what this step measures, once more",
              "what are the limits", "which limits"),
        fixed(Kind.TRAY, _GROUP, "where the parts of this step lie",
              "which tray", "where are the parts"),
        fixed(Kind.TOOLS, _GROUP, "the tools of this step",
              "which tools", "what tools"),
        fixed(Kind.MARKS, _GROUP, "the alignment marks of this step",
              "which marks", "where are the marks"),
        fixed(Kind.VARIANT, _GROUP, "what is known of this item",
              "which variant", "which pattern is it"),
        fixed(Kind.ASK_AGAIN, _GROUP, "put the last question about the item again",
              "ask me again"),
        fixed(Kind.HELP, _GROUP, "what can be said now",
              "help", "which phrases"),
        fixed(Kind.LAST_HEARD, _GROUP, "what was heard last",
              "last heard", "what did you hear"),
    )  # fmt: skip


def bench_sums(vocabulary: Vocabulary) -> tuple[Command, ...]:
    """Bench sums."""
    return (with_slots(Kind.SUM, "Sums", "a sum; nothing is logged", slot("sum", vocabulary.sum)),)
