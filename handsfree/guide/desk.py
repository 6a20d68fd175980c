"""A job at the desk, before and after the bench: what is told of it, typed, corrected, taken back, signed, reopened.

Pure, like the guide: what follows is a list of events, to be written in order.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from handsfree.guide.effects import Record
from handsfree.guide.errors import DeskError
from handsfree.guide.handlers.figures.corrections import correct_entry
from handsfree.guide.handlers.job.facts import replaced_fact
from handsfree.guide.session import Session, Turn
from handsfree.job.attendance import SIGNED_OFF
from handsfree.job.counted_parts import Disposition
from handsfree.job.counter.orders import part_text
from handsfree.job.events import (
    EntryWithdrawn,
    Event,
    FactNoted,
    FileAttached,
    HandedOver,
    JobReopened,
    NoteKept,
    PartFollowed,
    PartsCounted,
    PartsRemoved,
    PartWanted,
    ReadingLogged,
    ReadingSettled,
    TextTyped,
    WorkerChanged,
)
from handsfree.job.facts import FACTS, Fact, Severity
from handsfree.job.state import Entry, JobState, every_entry
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.quantities.days import typed_day
from handsfree.procedure.values import thing
from handsfree.wording.attendance import sign_off_refused
from handsfree.wording.entries import entry_words

_NAMED = 8
"""So many of the entries that stand are named where none was meant that there is."""


@dataclass
class Desk:
    """One job at the desk. What is done is taken into ``state`` at once; ``events`` are still to be written."""

    state: JobState
    now: datetime
    events: list[Event] = field(default_factory=list)
    by_another: bool = False
    """Whether a procedure of the job wants the sign-off by another person than those who did the work."""

    def _record(self, event: Event) -> None:
        # What is done at the desk is not the work of whoever was left at the bench (by a crash).
        if self.state.worker is not None and not self.events and not isinstance(event, WorkerChanged):
            self._record(WorkerChanged(at=self.now))
        self.state.apply(event)
        self.events.append(event)

    def entry(self, id_: str) -> Entry:
        """The entry of this name, of whichever procedure of the job; DeskError where none of it stands."""
        entry = self.state.entry(id_)
        if entry is None or not entry.stands:
            standing = [other.event.id for other in every_entry(self.state) if other.stands]
            names = ", ".join(standing[-_NAMED:]) or "none"
            raise DeskError(
                f"no entry {id_} stands in this job; the newest that do: {names} (handsfree review --entries)"
            )
        return entry

    def note_fact(self, about: str, text: str, severity: Severity | None = None) -> None:
        """Something about the job as a whole; of what there is only one of, it replaces the one before. DeskError where
        there is nothing in the text, or no day or no amount where one is wanted."""
        _needs_words(text)
        text, amount = _stated(FACTS[about], text.strip(), self.now)
        self._record(
            FactNoted(
                at=self.now,
                id=self.state.next_id,
                about=about,
                text=text,
                severity=severity,
                amount=amount,
                corrects=replaced_fact(self.state, about),
            )
        )

    def keep_note(self, text: str) -> None:
        """A note that was never spoken: typed from the start. DeskError where there is nothing in it."""
        _needs_words(text)
        id_ = self.state.next_id
        self._record(NoteKept(at=self.now, id=id_, text=text, seconds=0.0))
        self._record(TextTyped(at=self.now, id=id_, text=text))

    def count_parts(self, count: int, part: str, way: Disposition) -> None:
        """Parts (in the singular) that came out, went back or were replaced."""
        self._record(PartsCounted(at=self.now, id=self.state.next_id, part=part, count=count, way=way))

    def attach(
        self, *, name: str, sha256: str, size: int, shown_as: str | None, to: str | None = None, text: str | None = None
    ) -> str:
        """A file that is kept beside the log, for the job or for an entry of it; the name of its own entry. DeskError
        where there is no such entry."""
        if to is not None:
            self.entry(to)
        id_ = self.state.next_id
        self._record(
            FileAttached(at=self.now, id=id_, name=name, sha256=sha256, bytes=size, shown_as=shown_as, to=to, text=text)
        )
        return id_

    def order(self, what: str, count: int, size: str | None) -> str:
        """A part (in the singular) that the job waits for; the name of its entry. DeskError without a name of it."""
        _needs_words(what)
        id_ = self.state.next_id
        self._record(PartWanted(at=self.now, id=id_, what=what.strip(), count=count, size=size))
        return id_

    def follow_order(self, id_: str, stage: Literal["ordered", "arrived"]) -> str:
        """What was wanted is ordered, or has arrived; its words. DeskError where the entry is no part to order."""
        entry = self.entry(id_)
        if not isinstance(entry.event, PartWanted):
            raise DeskError(f"entry {id_} is no part to order: {entry_words(entry)}")
        self._record(PartFollowed(at=self.now, id=id_, stage=stage))
        return part_text(entry.event.what, entry.event.count, entry.event.size)

    def type_text(self, id_: str, text: str) -> None:
        """What was said in a note or a fact, in writing, or what something that came off is called; the sound stays.
        DeskError where the entry is neither."""
        _needs_words(text)
        entry = self.entry(id_)
        if isinstance(entry.event, PartsRemoved) or getattr(entry.event, "names", None):
            # It is a name, and stands where the number stood.
            text = thing(text)
        elif not isinstance(entry.event, (NoteKept, FactNoted)):
            raise DeskError(f"entry {id_} is no note and no fact; to change a figure use handsfree job correct")
        if isinstance(entry.event, FactNoted) and FACTS[entry.event.about].personal:
            # What is personal stands in facts only, which the log keeps apart.
            self.note_fact(entry.event.about, text)
            return
        self._record(TextTyped(at=self.now, id=id_, text=text))

    def take_back(self, id_: str) -> str:
        """Withdraw an entry; its words. It stays in the history."""
        entry = self.entry(id_)
        self._record(EntryWithdrawn(at=self.now, id=id_, step=entry.event.step))
        return entry_words(entry)

    def correct(self, id_: str, figure: str, session_for: Callable[[str], Session]) -> str:
        """Replace a figure by another, as it would be said: judged anew, and the old one stays in the history.

        ``session_for`` makes the session, on the same state, about a procedure of the job by its name. Its read-back is
        returned. DeskError where the entry or the new text is no figure, or where it would be asked back at the bench.
        """
        entry = self.entry(id_)
        if not isinstance(entry.event, ReadingLogged):
            raise DeskError(f"entry {id_} is no figure: {entry_words(entry)}")
        home = self.state.home_of(id_)
        session = session_for(home)
        meanings = session.language.interpret_text(f"correction {figure}")
        said = [meaning for meaning in meanings if meaning.kind is Kind.CORRECT]
        if not said:
            raise DeskError(f'"{figure}" is no figure as it would be said, such as "4 thou" or "point one"')
        turn = Turn(session, self.now)
        with turn.belonging_to(home):
            correct_entry(turn, Intent(Kind.CORRECT, figure=said[0].figure), entry)
            written = self.state.last_entry()
            if written is None or getattr(written.event, "corrects", None) != id_:
                raise DeskError(f"{figure} was not written; at the bench the answer would be: {session.last_said}")
            # It has been read back, to its end.
            turn.record(ReadingSettled, id=written.event.id, step=written.event.step)
        self.events += [effect.event for effect in turn.effects if isinstance(effect, Record)]
        return session.last_said

    def sign_off(self, name: str) -> None:
        """Sign the job by name; DeskError where there is none, and where only another may sign."""
        _needs_words(name)
        refused = sign_off_refused(self.state, name.strip()) if self.by_another else ""
        if refused:
            raise DeskError(refused.rstrip("."))
        self._record(WorkerChanged(at=self.now, name=name.strip()))
        self.note_fact(SIGNED_OFF, name)
        self._record(WorkerChanged(at=self.now))

    def hand_over(self, kept: str | None = None) -> None:
        """The owner has the item again, with what was left with it; ``kept`` is what of it did not go. DeskError where
        it was handed over already."""
        if self.state.handed_over is not None:
            raise DeskError(f"the item was handed over on {self.state.handed_over.at.astimezone():%Y-%m-%d}")
        back = () if kept else tuple(entry.event.id for entry in self.state.facts("accessory"))
        self._record(HandedOver(at=self.now, given_back=back, kept=kept))

    def reopen(self, reason: str) -> None:
        """Open a job again that is finished or handed over; DeskError where it is neither, or no reason is given."""
        _needs_words(reason)
        if self.state.finished is None and self.state.handed_over is None:
            raise DeskError("the job is not finished and not handed over: it needs no opening again")
        self._record(JobReopened(at=self.now, reason=reason))


_AMOUNT = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,2})?)(?:[ ,]+(.*))?", re.DOTALL)


_CHARGE = re.compile(r"(.*\S)\s+([0-9]{1,9}(?:\.[0-9]{1,2})?)", re.DOTALL)


def _stated(fact: Fact, text: str, now: datetime) -> tuple[str, str | None]:
    """A fact as it is kept: a day as ISO 8601 has it; an amount of money with what was said besides."""
    if fact.dated:
        day = typed_day(text, now.date())
        if day is None:
            raise DeskError(f'"{text}" is no day; write it like {now.date().isoformat()}, "4 december" or friday')
        return day.isoformat(), None
    if fact.charged:
        line = _CHARGE.fullmatch(text)
        if line is None:
            raise DeskError(f'"{text}" is no line of an invoice; write what for, and then how much: "gib screws 9.00"')
        return line[1], line[2]
    if fact.priced:
        found = _AMOUNT.fullmatch(text)
        if found is None:
            raise DeskError(f'"{text}" is no amount; write it like 80, 79.50 or "120 by telephone"')
        return ", ".join(filter(None, found.groups())), found[1]
    return text, None


def _needs_words(text: str) -> None:
    if not text.strip():
        raise DeskError("there is nothing in one of the texts; nothing was written")
