"""The language of taking apart: one procedure of one step, in which everything that comes off is said."""

from __future__ import annotations

from handsfree.phrases.commands.command import Command
from handsfree.phrases.commands.table import commands
from handsfree.phrases.disassembly.commands import stripping_commands
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language

LEFT_OUT = frozenset(
    {
        Kind.NEXT, Kind.DONE, Kind.LOOK_AHEAD, Kind.LOOK_BACK, Kind.GO_TO, Kind.REDO, Kind.SKIP, Kind.DETAILS,
        Kind.FASTENERS, Kind.LUBRICANT, Kind.CAUTIONS, Kind.WHY, Kind.LIMITS, Kind.LOG, Kind.SET_AGAIN, Kind.ACCEPT,
        Kind.LEAVE_OPEN, Kind.READ_BACK, Kind.CAN_DO, Kind.LEFT_OUT, Kind.TRAY, Kind.TOOLS, Kind.MARKS, Kind.VARIANT,
    }
)  # fmt: skip
"""Commands that need a procedure's steps, and those that are said otherwise here."""


class StrippingLanguage(Language):
    """What can be said while taking apart; ``vocabulary.words`` are known besides those of every workshop."""

    def _commands(self) -> tuple[Command, ...]:
        usual = tuple(command for command in commands(self.vocabulary) if command.kind not in LEFT_OUT)
        return (*stripping_commands(self.vocabulary), *usual)
