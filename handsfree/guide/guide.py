"""The guide: takes what was said and the time, and answers with effects. It knows no sound, clock or disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from handsfree.guide.effects import Change, ChangeJob, Effect, LookBack
from handsfree.guide.figures.plausibility import implausible
from handsfree.guide.handlers import asking, attendance, other_jobs, session_control
from handsfree.guide.handlers.job import disassembly, notes, timers
from handsfree.guide.handlers.steps import moving, procedures, variants
from handsfree.guide.handlers.table import HANDLERS, WHILE_TAKING_APART
from handsfree.guide.session import Handler, Question, Session, Turn, WorkedProcedure, item_words
from handsfree.job.counter.before import EarlierJob
from handsfree.job.events import ClockSetBack, JobOpened, JobResumed, ProcedureTakenUp, ReadingSettled
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.intents import Changes, Intent, Kind
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.model import Step
from handsfree.procedure.parts import AS_FOUND
from handsfree.text.prose import counted, sentence
from handsfree.wording import readings
from handsfree.wording.counter.before import before_spoken

CLOCK_PLAY = timedelta(seconds=1)
"""A clock that shows so much less than before was set back."""

USUAL = (
    "Check passed.",
    "Check failed. It is in the log.",
    "Staying here.",
    "Set it again, then log it.",
    "Not sure. Say it again.",
    "Say the figure again.",
    "Noting. Say end of note.",
    "Standing by. Say back at the bench.",
    moving.LAST_STEP,
)
"""Replies that come often: rendered ahead, so that they start without waiting."""


class Guide:
    """The whole behaviour at the bench. One instance plays one job; its state can be had again from the events."""

    def __init__(self, session: Session) -> None:
        self.session = session

    @property
    def handlers(self) -> Mapping[Kind, Handler]:
        """What answers to each command now."""
        return WHILE_TAKING_APART if self.session.worked.apart else HANDLERS

    def expects(self) -> Expectation:
        """What is likely to be said next."""
        session = self.session
        measured = session.procedure.steps[session.here].characteristics
        answers = frozenset(session.question.answers) if session.question is not None else frozenset()
        if session.check_is_open:
            answers |= {Kind.YES, Kind.NO}
        step, tools = session.procedure.steps[session.here], session.tools
        return Expectation(
            {characteristic.name: characteristic.unit for characteristic in measured},
            answers,
            {characteristic.name: characteristic.limits for characteristic in measured},
            frozenset(characteristic.name for characteristic in measured if characteristic.occasion == AS_FOUND),
            lambda intent: implausible(step, tools, intent),
        )

    def likely_phrases(self, step: Step) -> tuple[str, ...]:
        """What is most likely wanted at a step, in the words to say, six at most."""
        if self.session.worked.apart:
            return disassembly.LIKELY_PHRASES
        return tuple(asking.phrases_for(step, self.session.state))

    # what can happen
    def change(self, now: datetime, taken_up: ProcedureTakenUp, worked: WorkedProcedure) -> list[Effect]:
        """Begin, or go on, with another procedure in the job in which one was worked until now."""
        turn = self._turn(now)
        self.session.change_to(taken_up.procedure_name, worked)
        turn.take(taken_up)
        procedures.taken_up(turn)
        turn.prepare(*USUAL)
        return turn.effects

    def tell_before(self, now: datetime, before: Sequence[EarlierJob]) -> list[Effect]:
        """The item was here before, or was not: what is worth knowing of that is said at once."""
        turn = self._turn(now)
        said = before_spoken(before, now.date())
        if said:
            turn.say(said)
        return turn.effects

    def open(self, opened: JobOpened) -> list[Effect]:
        """Begin a new job: record ``opened`` and announce the first step."""
        turn = Turn(self.session, opened.at)
        turn.take(opened)
        turn.arrive()
        if self.session.worked.apart:
            disassembly.announce(turn)
            return turn.effects
        steps = sentence(counted(len(self.session.procedure.steps), "step"))
        decided = variants.decide_by_serial(turn, opened.serial)
        lead = f"{self.session.procedure.title}. {steps} {decided}".strip()
        moving.enter(turn, 0, f"{lead} {attendance.who_is_here(turn)}".strip())
        if opened.serial and opened.purpose == "repair":
            turn.effects.append(LookBack(opened.item, opened.serial, opened.at))
        turn.prepare(*USUAL)
        return turn.effects

    def resume(
        self, now: datetime, taken_up: ProcedureTakenUp | None = None, seen: datetime | None = None
    ) -> list[Effect]:
        """Take an unfinished job up again: nothing moves before it is agreed to.

        ``taken_up`` is for a job in which another procedure was worked last; ``seen`` is what time it is at least, by
        the clock as it was when the job was left.
        """
        turn = self._turn(now, seen=seen)
        left = self.session.state.paused
        turn.record(JobResumed, step=self.session.state.step)
        turn.lead = notes.keep_what_was_cut_off(turn)
        turn.arrive()
        if taken_up is not None:
            # It was made ready a moment before.
            turn.take(taken_up.model_copy(update={"at": now}))
        if self.session.worked.apart:
            # Nothing moves there, so nothing has to be agreed to.
            self.session.machine.move("agree")
            disassembly.announce(turn)
        elif self.session.state.step is None and (taken_up is not None or (self.session.state.working and not left)):
            # Taken in before the bench, or worked by another procedure: this one has not been begun.
            self.session.machine.move("agree")
            procedures.taken_up(turn)
        else:
            session_control.ask_to_resume(turn)
        turn.prepare(*USUAL)
        return turn.effects

    def leave(self, now: datetime) -> list[Effect]:
        """Another job is worked from now on; the timers of this one run on."""
        turn = self._turn(now)
        other_jobs.leave(turn)
        return turn.effects

    def go_on(self, now: datetime, taken_up: ProcedureTakenUp | None = None) -> list[Effect]:
        """This job is worked from now on, and another one stands aside; ``taken_up`` as of ``resume``."""
        turn = self._turn(now)
        other_jobs.go_on(turn, taken_up)
        turn.prepare(*USUAL)
        return turn.effects

    def runs_on(self, now: datetime) -> str:
        """What runs on in this job, which stands aside, when nobody is at the bench any more; empty: nothing."""
        return other_jobs.running_on(self._turn(now))

    def acknowledge(self, now: datetime) -> list[Effect]:
        """The bell of a job that stands aside was heard."""
        turn = self._turn(now)
        timers.acknowledge(turn, Intent(Kind.ACKNOWLEDGE))
        turn.name_says(item_words(self.session), since=0)
        return turn.effects

    def _turn(self, now: datetime, utterance: Utterance | None = None, seen: datetime | None = None) -> Turn:
        """A turn; a clock that was set back is noted, so that times in the log can be understood."""
        turn = Turn(self.session, now, utterance)
        last = max((at for at in (self.session.state.last, seen) if at is not None), default=now)
        if last - now >= CLOCK_PLAY:
            turn.take(ClockSetBack(at=now, seconds=(last - now).total_seconds()))
            rings = self.session.rings.items()
            self.session.rings = {name: (due - (last - now), times) for name, (due, times) in rings}
        return turn

    def hear(self, utterance: Utterance, now: datetime) -> list[Effect]:
        """What follows from an utterance."""
        turn = self._turn(now, utterance)
        state = self.session.machine.state
        if state in ("paused", "finished", "aside"):
            return []
        if state == "standing by":
            called = any(intent.kind is Kind.COME_BACK for intent in utterance.intents)
            if called and utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL):
                turn.signal("heard")
                session_control.come_back(turn, utterance.intents[0])
            return turn.effects
        if self.session.note is not None:
            notes.hear_note(turn, self.session.note)
            return turn.effects
        if self.session.question is not None and self.session.question.free is not None:
            self._hear_reason(turn, utterance, self.session.question, self.session.question.free)
            return turn.effects
        if utterance.hearing in (Hearing.NONE, Hearing.NEAR) or not utterance.intents:
            self._not_caught(turn, utterance)
            return turn.effects
        self._take(turn, utterance)
        if utterance.then:
            self._take_second(turn, utterance)
        if not any(intent.kind is Kind.LAST_HEARD for intent in utterance.intents):
            self.session.heard_before = utterance.text
        return turn.effects

    def _not_caught(self, turn: Turn, utterance: Utterance) -> None:
        """Talk has no answer; what was meant for the bench and can't be used has the soft tone, and why where that is
        known."""
        apart = self.session.worked.apart
        if utterance.hearing is Hearing.NONE:
            if apart:
                disassembly.listen_for_lost(turn)
            return
        turn.signal("not caught")
        if utterance.unreadable:
            turn.say(sentence(utterance.unreadable))
        elif apart:
            disassembly.not_caught(turn)

    def _take_second(self, turn: Turn, utterance: Utterance) -> None:
        """The second of two commands in one breath, unless the first has asked something or the bench has left."""
        said = readings.command(utterance.then[0])
        left = any(isinstance(effect, (Change, ChangeJob)) for effect in turn.effects)
        if self.session.question is not None or self.session.machine.state != "at step" or left:
            turn.say(f"Not done: {said}.")
        else:
            turn.utterance = replace(utterance, intents=utterance.then, then=(), alternatives=())
            self._take(turn, turn.utterance)

    def _hear_reason(self, turn: Turn, said: Utterance, question: Question, take: Callable[[Turn], None]) -> None:
        if said.hearing is Hearing.NONE and not said.free_text:
            return
        if any(intent.kind is Kind.CANCEL for intent in said.intents):
            self._cancel(turn)
        else:
            turn.signal("heard")
            take(turn)
            self._go_back(turn, question)

    def _take(self, turn: Turn, utterance: Utterance) -> None:
        question = self.session.question
        fitting = (said for said in utterance.intents if question is not None and said.kind in question.answers)
        intent = next(fitting, utterance.intents[0])
        doubtful, changes = utterance.hearing is Hearing.DOUBTFUL, intent.kind.changes
        if question is not None and intent.kind in question.answers:
            if doubtful and not intent.kind.takes_figure and question.doubtful != intent:
                # To some voices a word stays doubtful however often it is said: what is heard twice running was meant.
                question.doubtful = intent
                self._put_again(turn, question, "Not sure.")
            else:
                turn.signal("heard")
                question.answers[intent.kind](turn, intent)
                self._go_back(turn, question)
            return
        heard_last = question is not None and question.unwritten
        if intent.kind is Kind.CANCEL or (intent.kind is Kind.TAKE_BACK and heard_last):
            self._cancel(turn)
        elif intent.kind in (Kind.YES, Kind.NO) and question is None and not self.session.check_is_open:
            return  # a yes that nobody asked for is talk
        elif intent.kind is Kind.FIGURE or intent.kind not in self.handlers:
            # A bare figure is no command: without a question it is not written anywhere.
            turn.signal("not caught")
        elif question is not None and question.firm and changes not in (Changes.NOTHING, Changes.ATTENDANCE):
            self._put_again(turn, question, "First:")
        elif question is not None and intent.kind in (Kind.YES, Kind.NO):
            self._put_again(turn, question)
        elif doubtful and changes is not Changes.NOTHING and not intent.kind.takes_figure:
            self._ask_once_more(turn, intent)
        else:
            turn.signal("heard")
            if question is not None and not question.firm and changes is not Changes.NOTHING:
                turn.settle()
                turn.lead = question.on_drop
            self.handlers[intent.kind](turn, intent)

    def _go_back(self, turn: Turn, question: Question) -> None:
        """After ``question`` to what it came up in, or, if another has followed from it, after that one."""
        if question.after is None or self.session.question is question:
            return
        if self.session.question is not None:
            self.session.question.after = self.session.question.after or question.after
        elif self.session.machine.may("ask") or self.session.machine.state == "resuming":
            question.after(turn)

    def _put_again(self, turn: Turn, question: Question, lead: str = "") -> None:
        """The question once more; its time runs on, or a radio could keep it alive."""
        turn.signal("question")
        turn.say(question.prompt if question.prompt.startswith(lead) else f"{lead} {question.prompt}")

    def _cancel(self, turn: Turn) -> None:
        if self.session.question is None or self.session.question.firm:
            turn.signal("not caught")
            return
        question = self.session.question
        turn.settle()
        turn.say(f"Dropped. {question.otherwise}")
        self._go_back(turn, question)

    def _ask_once_more(self, turn: Turn, intent: Intent) -> None:
        """A command that would change the log or the place and was heard doubtfully: only the same again is taken."""

        def again(turn: Turn, said: Intent) -> None:
            turn.settle()
            if said == intent:
                self.handlers[said.kind](turn, said)
            else:
                turn.say("Not the same as before. Nothing done.")

        firm = self.session.question
        question = Question(
            "Not sure. Say it again.",
            {intent.kind: again},
            otherwise="Nothing done.",
            unwritten=True,
            doubtful=intent,
        )
        if firm is not None and firm.firm:
            question.after = lambda turn: turn.ask(firm)
        turn.ask(question)

    def spoken(self, token: int, completed: bool, now: datetime) -> list[Effect]:
        """Speech has ended by itself or was cut off: a read-back heard to its end settles its figure."""
        turn, session = self._turn(now), self.session
        spoken = session.speech.ended(token, completed=completed)
        if spoken is None:
            return []
        if session.question is not None and session.question.token == token:
            session.question.spoken_at = now
        if session.note is not None and session.note.last < now:
            session.note.last = now
        if completed:
            for id_ in spoken.settles:
                entry = session.state.entry(id_)
                if entry is not None and entry.withdrawn is None and not entry.settled:
                    turn.record(ReadingSettled, id=id_, step=entry.event.step)
        return turn.effects

    def tick(self, now: datetime) -> list[Effect]:
        """What the passing of time brings: a question that expires, a note that falls silent, a timer that rings."""
        turn, session = self._turn(now), self.session
        if session.machine.state in ("paused", "finished"):
            return []
        if session.machine.state == "aside":
            other_jobs.ring_aside(turn)
            return turn.effects
        question = session.question
        if question is not None and question.due is not None and question.due <= now:
            turn.settle()
            turn.say(f"No answer. {question.otherwise}")
            self._go_back(turn, question)
        if session.note is not None and session.note.ends <= now:
            notes.end_note(turn, session.note)
        timers.ring(turn)
        return turn.effects

    def next_due(self) -> datetime | None:
        """When ``tick`` has something to do next."""
        session = self.session
        times = [timer.ends for timer in session.state.timers.values()]
        times += [
            session.rings[name][0] if name in session.rings else ringing.since
            for name, ringing in session.state.ringing.items()
        ]
        if session.question is not None and session.question.due is not None:
            times.append(session.question.due)
        if session.note is not None:
            times.append(session.note.ends)
        return min(times, default=None)
