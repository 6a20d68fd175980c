"""The guide: takes what was said and the time, and answers with effects. It knows no sound, clock or disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from handsfree.guide.effects import Change, Effect
from handsfree.guide.handlers import asking, last_time, moving, notes, procedures, session_control, variants
from handsfree.guide.handlers.table import FIGURE_ASKS_ITSELF, HANDLERS, HARMLESS, Handler
from handsfree.guide.machine import BenchState
from handsfree.guide.question import Question
from handsfree.guide.turn import Turn
from handsfree.job.events import ClockSetBack, JobOpened, JobResumed, ProcedureTakenUp, ReadingSettled
from handsfree.job.state import JobState
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.model import Procedure, Step, Tool
from handsfree.text.prose import counted, sentence
from handsfree.wording import readings
from handsfree.wording.points import Reviewer

ANSWER_TIME = timedelta(seconds=20)
"""A question that is not answered in this time after it was put writes nothing."""

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


@dataclass(frozen=True)
class _Spoken:
    text: str
    must_hear: bool
    settles: tuple[str, ...]


class Guide:
    """The whole behaviour at the bench. One instance plays one job; its state can be had again from the events."""

    handlers: Mapping[Kind, Handler] = HANDLERS

    def __init__(
        self,
        procedure: Procedure,
        language: Language,
        state: JobState | None = None,
        tools: Mapping[str, Tool] | None = None,
    ) -> None:
        self._whole = procedure
        self._given: tuple[dict[str, str], Procedure] = ({}, procedure)
        self.tools = tools or {}
        self.language = language
        self.state = state or JobState()
        self.machine = BenchState("resuming" if self.state.opened else "at step")
        self.question: Question | None = None
        self.note: notes.Note | None = None
        self.earlier: Sequence[last_time.Earlier] = ()
        """What stood at the end of earlier jobs."""
        self.looking: int | None = None
        self.last_said = ""
        self.heard_before = ""
        self.others: Mapping[str, Procedure] = {}
        """The other procedures of the job by name: their dangers last too."""
        self.equip: Callable[[Procedure], Mapping[str, Tool]] = lambda _: self.tools
        """The tools at hand for another procedure of the job."""
        self.reviewer: Reviewer | None = None
        """Makes the review that is stepped through by voice."""
        self.worker: str | None = None
        """Who is at the bench, for the sign-off."""
        self.rings: dict[str, tuple[datetime, int]] = {}
        """When each timer that ran out is told again, and how often it was told."""
        self._spoken: dict[int, _Spoken] = {}
        self._cut: list[_Spoken] = []
        self._tokens = 0

    # where the job stands
    @property
    def procedure(self) -> Procedure:
        """The procedure as it is for this item, as far as its questions are answered."""
        answers, given = self._given
        if answers != self.state.answers:
            answers, given = self._given = dict(self.state.answers), self._whole.given(self.state.answers)
        return given

    @property
    def current(self) -> int:
        """Index of the step at which the job stands."""
        ids = [step.id for step in self.procedure.steps]
        return ids.index(self.state.step) if self.state.step in ids else 0

    @property
    def here(self) -> int:
        """Index of the step in view."""
        return self.current if self.looking is None else self.looking

    def of_the_job(self, name: str) -> tuple[Procedure, Mapping[str, Tool]] | None:
        """A procedure of the job as it is for this item, with the tools at hand for it; None where it is not known."""
        if name == self.state.working:
            return self.procedure, self.tools
        other = self.others.get(name)
        if other is None:
            return None
        return other.given(self.state.of(name).answers), self.equip(other)

    def expects(self) -> Expectation:
        """What is likely to be said next."""
        question, measured = self.question, self.procedure.steps[self.here].characteristics
        answers = frozenset(question.answers) if question is not None else frozenset()
        if self._check_is_open():
            answers |= {Kind.YES, Kind.NO}
        units = {each.name: each.unit for each in measured}
        return Expectation(units, answers, {each.name: each.limits for each in measured})

    def likely_phrases(self, step: Step) -> tuple[str, ...]:
        """What is most likely wanted at a step, in the words to say, six at most."""
        return tuple(asking.phrases_for(step, self.state))

    # bookkeeping for turns
    def remember(self, text: str, *, must_hear: bool, settles: tuple[str, ...]) -> int:
        """Keep what is being said until it has ended or was cut off; its token."""
        self._tokens += 1
        self._spoken[self._tokens] = _Spoken(text, must_hear, settles)
        return self._tokens

    def cut_off(self) -> tuple[list[str], tuple[str, ...]]:
        """What was cut off and still has to be heard, with the readings it settles."""
        standing = [
            cut for cut in self._cut
            if not cut.settles or any(self._stands(entry) for entry in cut.settles)
        ]  # fmt: skip
        self._cut.clear()
        return [cut.text for cut in standing], tuple(entry for cut in standing for entry in cut.settles)

    def _stands(self, entry: str) -> bool:
        found = self.state.entry(entry)
        return found is not None and found.stands

    # what can happen
    def take_over(self, before: Guide) -> None:
        """Go on in place of the guide of another procedure of the same job: what it was saying, timers, who works."""
        self._tokens, self._spoken, self._cut = before._tokens, before._spoken, before._cut
        self.rings, self.worker, self.reviewer = before.rings, before.worker, before.reviewer
        self.heard_before = before.heard_before

    def change(self, now: datetime, taken_up: ProcedureTakenUp) -> list[Effect]:
        """Begin, or go on, with this guide's procedure in a job in which another one was worked until now."""
        turn = self._turn(now)
        turn.take(taken_up)
        self.machine.move("agree")
        procedures.taken_up(turn)
        turn.prepare(*USUAL)
        return turn.effects

    def open(self, opened: JobOpened) -> list[Effect]:
        """Begin a new job: record ``opened`` and announce the first step."""
        turn = Turn(self, opened.at)
        turn.take(opened)
        steps = sentence(counted(len(self.procedure.steps), "step"))
        decided = variants.decide_by_serial(turn, opened.serial)
        moving.enter(turn, 0, f"{self.procedure.title}. {steps} {decided}".strip())
        turn.prepare(*USUAL)
        return turn.effects

    def resume(self, now: datetime, taken_up: ProcedureTakenUp | None = None) -> list[Effect]:
        """Take an unfinished job up again: nothing moves before it is agreed to.

        ``taken_up`` is for a job in which another procedure was worked last.
        """
        turn = self._turn(now)
        left = self.state.paused
        turn.record(JobResumed, step=self.state.step)
        if taken_up is not None:
            turn.take(taken_up)
        if self.state.step is None and (taken_up is not None or (self.state.working and not left)):
            # Taken in before the bench, or worked by another procedure: this one has not been begun.
            self.machine.move("agree")
            procedures.taken_up(turn)
        else:
            session_control.ask_to_resume(turn)
        turn.prepare(*USUAL)
        return turn.effects

    def _turn(self, now: datetime, utterance: Utterance | None = None) -> Turn:
        """A turn; a clock that was set back is noted, so that times in the log can be understood."""
        turn = Turn(self, now, utterance)
        last = self.state.last
        if last is not None and last - now >= CLOCK_PLAY:
            turn.take(ClockSetBack(at=now, seconds=(last - now).total_seconds()))
        return turn

    def hear(self, utterance: Utterance, now: datetime) -> list[Effect]:
        """What follows from an utterance."""
        turn = self._turn(now, utterance)
        state = self.machine.state
        if state in ("paused", "finished"):
            return []
        if state == "standing by":
            called = any(intent.kind is Kind.COME_BACK for intent in utterance.intents)
            if called and utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL):
                turn.signal("heard")
                session_control.come_back(turn, utterance.intents[0])
            return turn.effects
        if self.note is not None:
            notes.hear_note(turn, self.note)
            return turn.effects
        if self.question is not None and self.question.free is not None:
            self._hear_reason(turn, self.question)
            return turn.effects
        if utterance.hearing is Hearing.NONE:
            return []
        if utterance.hearing is Hearing.NEAR or not utterance.intents:
            turn.signal("not caught")
            return turn.effects
        self._take(turn, utterance)
        if utterance.then:
            self._take_second(turn, utterance)
        if not any(intent.kind is Kind.LAST_HEARD for intent in utterance.intents):
            self.heard_before = utterance.text
        return turn.effects

    def _take_second(self, turn: Turn, utterance: Utterance) -> None:
        """The second of two commands in one breath, unless the first has asked something or the bench has left."""
        said = readings.command(utterance.then[0])
        left = any(isinstance(effect, Change) for effect in turn.effects)
        if self.question is not None or self.machine.state != "at step" or left:
            turn.say(f"Not done: {said}.")
        else:
            turn.utterance = replace(utterance, intents=utterance.then, then=(), alternatives=())
            self._take(turn, turn.utterance)

    def _hear_reason(self, turn: Turn, question: Question) -> None:
        said = turn.utterance
        if said is None or (said.hearing is Hearing.NONE and not said.free_text):
            return
        if any(intent.kind is Kind.CANCEL for intent in said.intents):
            self._cancel(turn)
        elif question.free is not None:
            turn.signal("heard")
            question.free(turn)
            self._go_back(turn, question)

    def _take(self, turn: Turn, utterance: Utterance) -> None:
        question = self.question
        fitting = (said for said in utterance.intents if question is not None and said.kind in question.answers)
        intent = next(fitting, utterance.intents[0])
        doubtful = utterance.hearing is Hearing.DOUBTFUL
        if question is not None and intent.kind in question.answers:
            if doubtful and intent.kind not in FIGURE_ASKS_ITSELF:
                self._put_again(turn, question, "Not sure.")
            else:
                turn.signal("heard")
                question.answers[intent.kind](turn, intent)
                self._go_back(turn, question)
            return
        if intent.kind is Kind.CANCEL:
            self._cancel(turn)
        elif intent.kind in (Kind.YES, Kind.NO) and question is None and not self._check_is_open():
            return  # a yes that nobody asked for is talk
        elif intent.kind is Kind.FIGURE or intent.kind not in self.handlers:
            # A bare figure is no command: without a question it is not written anywhere.
            turn.signal("not caught")
        elif question is not None and question.firm and intent.kind not in HARMLESS | {Kind.PAUSE, Kind.STAND_BY}:
            self._put_again(turn, question, "First:")
        elif question is not None and intent.kind in (Kind.YES, Kind.NO):
            self._put_again(turn, question)
        elif doubtful and intent.kind not in HARMLESS | FIGURE_ASKS_ITSELF:
            self._ask_once_more(turn, intent)
        else:
            turn.signal("heard")
            if question is not None and not question.firm and intent.kind not in HARMLESS:
                turn.settle()
                turn.lead = question.on_drop
            self.handlers[intent.kind](turn, intent)

    def _go_back(self, turn: Turn, question: Question) -> None:
        """After ``question`` to what it came up in, or, if another has followed from it, after that one."""
        if question.after is None or self.question is question:
            return
        if self.question is not None:
            self.question.after = self.question.after or question.after
        elif self.machine.may("ask"):
            question.after(turn)

    def _check_is_open(self) -> bool:
        step = self.procedure.steps[self.current]
        return step.check is not None and self.state.check(step.id) is None

    def _put_again(self, turn: Turn, question: Question, lead: str = "") -> None:
        """The question once more; its time runs on, or a radio could keep it alive."""
        turn.signal("question")
        turn.say(f"{lead} {question.prompt}".strip())

    def _cancel(self, turn: Turn) -> None:
        if self.question is None or self.question.firm:
            turn.signal("not caught")
            return
        question = self.question
        turn.settle()
        turn.say("Dropped. Nothing written.")
        self._go_back(turn, question)

    def _ask_once_more(self, turn: Turn, intent: Intent) -> None:
        """A command that would change the log or the place and was heard doubtfully: only the same again is taken."""

        def again(turn: Turn, said: Intent) -> None:
            turn.settle()
            if said == intent:
                self.handlers[said.kind](turn, said)
            else:
                turn.say("Not the same as before. Nothing done.")

        turn.ask(Question("Not sure. Say it again.", {intent.kind: again}, on_expiry="No answer. Nothing done."))

    def spoken(self, token: int, completed: bool, now: datetime) -> list[Effect]:
        """Speech has ended by itself or was cut off: a read-back heard to its end settles its figure."""
        turn = self._turn(now)
        spoken = self._spoken.pop(token, None)
        if spoken is None:
            return []
        if self.question is not None and self.question.token == token:
            self.question.spoken_at = now
        if self.note is not None and self.note.last < now:
            self.note.last = now
        if not completed and spoken.must_hear:
            self._cut.append(spoken)
        elif completed:
            for entry in spoken.settles:
                reading = self.state.entry(entry)
                if reading is not None and reading.withdrawn is None and not reading.settled:
                    turn.record(ReadingSettled, id=entry, step=reading.event.step)
        return turn.effects

    def tick(self, now: datetime) -> list[Effect]:
        """What the passing of time brings: a question that expires, a note that falls silent, a timer that rings."""
        turn = self._turn(now)
        if self.machine.state in ("paused", "finished"):
            return []
        due = self.question_due()
        if self.question is not None and due is not None and due <= now:
            question = self.question
            turn.settle()
            turn.say(question.on_expiry)
            self._go_back(turn, question)
        if self.note is not None and now - self.note.last >= notes.NOTE_SILENCE:
            notes.end_note(turn, self.note)
        notes.ring(turn)
        return turn.effects

    def question_due(self) -> datetime | None:
        """When the question is dropped; None while it is being put, and for one that waits as long as it takes."""
        if self.question is None or self.question.spoken_at is None or not self.question.on_expiry:
            return None
        return self.question.spoken_at + ANSWER_TIME

    def next_due(self) -> datetime | None:
        """When ``tick`` has something to do next."""
        times = [timer.ends for timer in self.state.timers.values()]
        times += [
            self.rings[name][0] if name in self.rings else rung.since for name, rung in self.state.ringing.items()
        ]
        due = self.question_due()
        if due is not None:
            times.append(due)
        if self.note is not None:
            times.append(self.note.last + notes.NOTE_SILENCE)
        return min(times, default=None)
