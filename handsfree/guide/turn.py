"""One turn of the guide: what was said, when, and the effects that follow."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from handsfree.guide.effects import Effect, End, Listen, Prepare, Record, Say, Signal
from handsfree.job.events import Event, ProcedureTakenUp
from handsfree.phrases.utterance import Utterance

if TYPE_CHECKING:
    from handsfree.guide.guide import Guide
    from handsfree.guide.question import Question
    from handsfree.job.state import JobState
    from handsfree.procedure.model import Procedure, Step


@dataclass
class Turn:
    """Gathers effects. Recording also takes the event into the guide's state at once: effects are carried out in
    order, so it is on disk before anything that follows is heard."""

    guide: Guide
    now: datetime
    utterance: Utterance | None = None
    effects: list[Effect] = field(default_factory=list)
    lead: str = ""
    """Said before the next sentence of this turn."""

    # what is at hand
    @property
    def state(self) -> JobState:
        return self.guide.state

    @property
    def procedure(self) -> Procedure:
        return self.guide.procedure

    @property
    def here(self) -> int:
        """Index of the step in view: the one looked at, else the one the job stands at."""
        return self.guide.here

    @property
    def step(self) -> Step:
        """The step in view, which questions are about."""
        return self.procedure.steps[self.here]

    @property
    def current_step(self) -> Step:
        """The step at which the job stands, to which what is logged belongs."""
        return self.procedure.steps[self.guide.current]

    # effects
    def record(self, event_type: type[Any], *, sounds: tuple[Any, ...] | None = None, **fields: Any) -> Event:
        """Write an event of this moment, with the words and (for what they carry) the sound it came from."""
        said = self.utterance
        if "step" not in fields:
            fields["step"] = self.current_step.id
        if said is not None and said.words:
            fields.setdefault("heard", said.text)
        if said is not None:
            fields.setdefault("recogniser", said.recogniser)
        event: Event = event_type(at=self.now, **fields)
        self.take(event, sounds or ())
        return event

    def take(self, event: Event, sounds: tuple[Any, ...] = ()) -> None:
        """Write an event that is ready made."""
        self.guide.state.apply(event)
        self.effects.append(Record(event, sounds))

    @contextmanager
    def belonging_to(self, procedure: str) -> Iterator[None]:
        """What is recorded meanwhile belongs to another procedure of the job; its step has to be given."""
        home = self.state.working
        if procedure != home:
            self.take(ProcedureTakenUp.again(self.state.procedures[procedure], self.now))
        yield
        if procedure != home:
            self.take(ProcedureTakenUp.again(self.state.procedures[home], self.now))

    def sound(self) -> tuple[Any, ...]:
        """The sound of this utterance, to be kept."""
        return () if self.utterance is None or self.utterance.sound is None else (self.utterance.sound,)

    def say(self, text: str, *, must_hear: bool = False, settles: str | None = None, tail: str = "") -> int:
        """Speak. What must be heard (a danger, a figure) is said again if it is cut off, without its ``tail``;
        ``settles`` names the reading that stands once this has been heard to its end."""
        again, settled_too = self.guide.cut_off()
        text = " ".join(filter(None, (*again, self.lead, text)))
        self.lead = ""
        settles_all = (*settled_too, *((settles,) if settles else ()))
        token = self.guide.remember(text, must_hear=must_hear or bool(again), settles=settles_all)
        self.guide.last_said = text = f"{text} {tail}".strip()
        self.effects.append(Say(text, token))
        return token

    def signal(self, tone: Any) -> None:
        self.effects.append(Signal(tone))

    def listen(self, mode: Any) -> None:
        self.effects.append(Listen(mode))

    def prepare(self, *texts: str) -> None:
        self.effects.append(Prepare(tuple(text for text in texts if text)))

    def end(self, why: Any) -> None:
        self.effects.append(End(why))

    # questions
    def ask(self, question: Question, *, lead: str = "", must_hear: bool = False, settles: str | None = None) -> None:
        """Put a question after ``lead``, in the same breath; ``must_hear`` and ``settles`` are about the lead."""
        self.guide.question = question
        if self.guide.machine.may("ask"):
            self.guide.machine.move("ask")
        self.signal("question")
        question.token = self.say(
            lead, must_hear=must_hear or settles is not None, settles=settles, tail=question.prompt
        )
        if question.free is not None:
            self.listen("dictation")

    def settle(self) -> None:
        """The question is answered or dropped."""
        question, self.guide.question = self.guide.question, None
        if question is not None and question.free is not None:
            self.listen("commands")
        if self.guide.machine.state == "asking":
            self.guide.machine.move("settle")
