"""Asking: everything that is answered from the procedure and the log and changes nothing, and bench sums."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command, filled, plain, slot
from handsfree.phrases.intents import Kind
from handsfree.phrases.quantities.sums import asked

GROUP = "Asking"


def asking() -> tuple[Command, ...]:
    """The commands of this subject, in the order of the cheat sheet."""
    return (
        plain(Kind.REPEAT, GROUP, "hear the last words again",
              "repeat", "say again", "say that again"),
        plain(Kind.DETAILS, GROUP, "more about this step",
              "details", "more", "tell me more"),
        plain(Kind.FASTENERS, GROUP, "the fasteners of this step, with their sizes",
              "fasteners", "screws", "which screws", "what size are the screws"),
        plain(Kind.LUBRICANT, GROUP, "which lubricant, where, how much",
              "lubricant", "which oil", "which grease"),
        plain(Kind.CAUTIONS, GROUP, "dangers and cautions",
              "cautions", "dangers", "what to watch"),
        plain(Kind.WHY, GROUP, "the reason for this step",
              "why", "what for"),
        plain(Kind.TRAY, GROUP, "where the parts of this step lie",
              "which tray", "where are the parts"),
        plain(Kind.TOOLS, GROUP, "the tools of this step",
              "which tools", "what tools"),
        plain(Kind.MARKS, GROUP, "the alignment marks of this step",
              "which marks", "where are the marks"),
        plain(Kind.VARIANT, GROUP, "what is known of this item",
              "which variant", "which pattern is it"),
        plain(Kind.ASK_AGAIN, GROUP, "put the last question about the item again",
              "ask me again"),
        plain(Kind.HELP, GROUP, "what can be said now",
              "help", "what can i say"),
        plain(Kind.LAST_HEARD, GROUP, "what was heard last",
              "last heard", "what did you hear"),
    )  # fmt: skip


def sums() -> tuple[Command, ...]:
    """Bench sums."""
    return (filled(Kind.SUM, "Sums", "a sum; nothing is logged", slot("sum", asked)),)
