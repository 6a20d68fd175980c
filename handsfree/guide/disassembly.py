"""The guide while an item is taken apart."""

from __future__ import annotations

from collections.abc import Mapping

from handsfree.guide.effects import Effect
from handsfree.guide.guide import Guide
from handsfree.guide.handlers import asking
from handsfree.guide.handlers.job import disassembly
from handsfree.guide.handlers.table import HANDLERS
from handsfree.guide.session import Handler, Turn
from handsfree.job.events import JobOpened, StepEntered
from handsfree.phrases.intents import Kind
from handsfree.procedure.model import Step
from handsfree.text.prose import sentence


class DisassemblyGuide(Guide):
    """The guide while taking apart: one step, in which everything that comes off is said."""

    handlers: Mapping[Kind, Handler] = {
        **HANDLERS,
        Kind.REMOVED: disassembly.write_removal,
        Kind.PUT_IN_TRAY: disassembly.write_tray,
        Kind.IN_TRAY: disassembly.tell_what_is_in_tray,
        Kind.MARKED: disassembly.write_mark,
        Kind.LOG: disassembly.log_as_found,
        Kind.WHERE: disassembly.tell_what_is_off,
        Kind.LEFT: disassembly.tell_what_is_off,
        Kind.HELP: disassembly.tell_what_can_be_said,
        Kind.REPEAT: asking.say_again,
        Kind.FINISH: disassembly.finish_taking_apart,
    }

    def likely_phrases(self, step: Step) -> tuple[str, ...]:
        """What comes off is said in the same few phrases all along."""
        return disassembly.LIKELY_PHRASES

    def open(self, opened: JobOpened) -> list[Effect]:
        turn = Turn(self.session, opened.at)
        turn.take(opened)
        turn.arrive()
        turn.record(StepEntered)
        turn.say(f"{sentence(self.session.procedure.title)} Say what comes off, and its tray.")
        return turn.effects
