"""The conversation at the bench: what lasts from turn to turn, one turn, and the question that waits for its answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, get_args

from handsfree.guide.effects import Effect, End, Listen, Prepare, Record, Say, Signal
from handsfree.guide.figures.earlier import EarlierFigure
from handsfree.guide.machine import BenchState
from handsfree.guide.note import Note
from handsfree.guide.speech import Speech
from handsfree.job.catalogue.summaries import JobSummary
from handsfree.job.events import Event, ProcedureTakenUp, WorkerChanged
from handsfree.job.state import EntryEvent, JobState
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Utterance
from handsfree.procedure.model import Procedure, Step, Tool
from handsfree.procedure.workshop import Workshop, tools_at_hand
from handsfree.text.prose import sentence
from handsfree.wording import dangers
from handsfree.wording.attendance import WaitingCheck
from handsfree.wording.points import PointShown, Reviewer

ANSWER_TIME = timedelta(seconds=20)
"""A question that is not answered in this time after it was put writes nothing."""


@dataclass
class Question:
    """What was asked, which kinds of intent answer it, and what is said when nobody does.

    ``free`` takes an answer in free speech (a reason); the bench then listens in dictation. ``spoken_at`` is when the
    prompt ended: only then the time runs, since an answer cannot be given while the question is still being put.
    """

    prompt: str
    answers: Mapping[Kind, Handler] = field(default_factory=dict)
    free: Callable[[Turn], None] | None = None
    otherwise: str = "Nothing written."
    """How things stand when nobody answers, and when it is dropped by name."""
    waits: bool = False
    """Whether it waits as long as it takes."""
    on_drop: str = ""
    """What is said first when another command puts the question aside."""
    firm: bool = False
    """Whether other commands have to wait until it is answered."""
    unwritten: bool = False
    """Whether it is about something that was heard and is not written: taking back drops that, and nothing else."""
    doubtful: Intent | None = None
    """What it was answered with, heard doubtfully: the same again is taken."""
    spoken_at: datetime | None = None
    token: int = -1
    after: Callable[[Turn], None] | None = None
    """Goes back to what the question came up in (the review), when it was answered, dropped by name or expired."""
    point: Callable[[JobState], PointShown] | None = None
    """While a review is gone through: where it stands."""

    @property
    def due(self) -> datetime | None:
        """When it is dropped; None while it is being put, and for one that waits as long as it takes."""
        return None if self.spoken_at is None or self.waits else self.spoken_at + ANSWER_TIME


@dataclass(frozen=True)
class WorkedProcedure:
    """A procedure to be worked, with what goes with it at the bench."""

    procedure: Procedure
    """As it is written, for every item."""
    language: Language
    """What can be said while it is worked."""
    earlier: Sequence[EarlierFigure] = ()
    """What stood at the end of earlier jobs."""
    apart: bool = False
    """Whether it is taking apart: everything that comes off is said at its one step."""


ChecksOfJobs = Callable[[datetime], Sequence[tuple[JobSummary, WaitingCheck]]]


@dataclass
class Session:
    """What lasts from turn to turn while a job is at the bench, whichever of its procedures is worked."""

    worked: WorkedProcedure
    reviewer: Reviewer
    """Makes the review that is stepped through by voice."""
    state: JobState = field(default_factory=JobState)
    others: dict[str, Procedure] = field(default_factory=dict)
    """The other procedures of the job, by name, as they are for this item: their dangers last too."""
    workshop: Workshop = field(default_factory=Workshop)
    worker: str | None = None
    """Who is at the bench when the job is begun or taken up again; from then on the state says."""
    open_jobs: Callable[[], Sequence[JobSummary]] = tuple
    """The jobs that stand open, this one among them, the one worked on last first."""
    checks_of_open_jobs: ChecksOfJobs = lambda _: ()
    """The checks of another person that any of them waits for at this time."""

    def __post_init__(self) -> None:
        self.machine = BenchState("resuming" if self.state.opened else "at step")
        self.question: Question | None = None
        self.note: Note | None = None
        self.briefly = self.workshop.brief
        """Whether only the act of a step and a verdict in a word are told; dangers and figures always whole."""
        self.last_said = ""
        self.heard_before = ""
        self.not_named = False
        """Whether the item has to be named before the first entry: another one was at the bench before."""
        self.rings: dict[str, tuple[datetime, int]] = {}
        """When each timer that ran out is told again, and how often it was told."""
        self.speech = Speech()
        self.removal_lost = False
        """While taking apart: whether what was said to be removed last was not understood."""
        self.not_known: set[str] = set()
        """Words that were told to be unknown: each is told once."""
        self._take_up(self.worked)

    def _take_up(self, worked: WorkedProcedure) -> None:
        self.worked = worked
        self.looking: int | None = None
        """Index of a step that is only looked at; None: the one at which the job stands is in view."""
        self.tools = tools_at_hand(worked.procedure, self.workshop)
        """The tools at hand by name."""
        self._for_this_item: tuple[dict[str, str], Procedure] = ({}, worked.procedure)

    def change_to(self, name: str, worked: WorkedProcedure) -> None:
        """Leave the present procedure and work another one of the job, before that is recorded."""
        if self.state.working:
            # The one worked last stands last.
            self.others.pop(self.state.working, None)
            self.others[self.state.working] = self.procedure
        self.others.pop(name, None)
        self._take_up(worked)

    @property
    def language(self) -> Language:
        """What can be said now."""
        return self.worked.language

    @property
    def procedure(self) -> Procedure:
        """The procedure as it is for this item, as far as its questions are answered."""
        answers, procedure = self._for_this_item
        if answers != self.state.answers:
            answers, procedure = dict(self.state.answers), self.worked.procedure.given(self.state.answers)
            self._for_this_item = answers, procedure
        return procedure

    @property
    def procedures(self) -> dict[str, Procedure]:
        """All procedures of the job as they are for this item, by name, in the order of their first use."""
        known = {**self.others, self.state.working: self.procedure}
        return {name: known[name] for name in self.state.procedures if name in known}

    def at_hand_for(self, name: str) -> tuple[Procedure, Mapping[str, Tool]] | None:
        """A procedure of the job as it is for this item, with the tools at hand for it; None where it is not known."""
        if name == self.state.working:
            return self.procedure, self.tools
        other = self.others.get(name)
        return None if other is None else (other, tools_at_hand(other, self.workshop))

    @property
    def left(self) -> str | None:
        """The name of the procedure that was worked before taking apart was begun; None where there was none."""
        return next((name for name in reversed(self.others) if not self.state.takes_apart(name)), None)

    @property
    def current(self) -> int:
        """Index of the step at which the job stands."""
        ids = [step.id for step in self.procedure.steps]
        return ids.index(self.state.step) if self.state.step in ids else 0

    @property
    def here(self) -> int:
        """Index of the step in view."""
        return self.current if self.looking is None else self.looking

    @property
    def check_is_open(self) -> bool:
        """Whether the step at which the job stands has a check that is not answered."""
        step = self.procedure.steps[self.current]
        return step.check is not None and self.state.check(step.id) is None

    def standing_dangers(self, *, but: int | None = None) -> list[str]:
        """The dangers that stand, of every procedure of the job, as they are said; without those of the step of index
        ``but``."""
        return dangers.standing(self.procedure, self.state, self.others, but=but)

    def stands(self, entry: str) -> bool:
        """Whether an entry, by its identifier, is there and was not taken back."""
        logged = self.state.entry(entry)
        return logged is not None and logged.stands


def item_words(session: Session) -> str:
    """Which item is at the bench, as one of several: "Bench lathe, long bed." """
    return sentence(session.state.fact("item") or session.procedure.item)


@dataclass
class Turn:
    """Gathers effects. Recording also takes the event into the job's state at once: effects are carried out in
    order, so it is on disk before anything that follows is heard."""

    session: Session
    now: datetime
    utterance: Utterance | None = None
    effects: list[Effect] = field(default_factory=list)
    lead: str = ""
    """Said before the next sentence of this turn."""

    # what is at hand
    @property
    def state(self) -> JobState:
        return self.session.state

    @property
    def procedure(self) -> Procedure:
        return self.session.procedure

    @property
    def here(self) -> int:
        """Index of the step in view: the one looked at, else the one the job stands at."""
        return self.session.here

    @property
    def step(self) -> Step:
        """The step in view, which questions are about."""
        return self.procedure.steps[self.here]

    @property
    def current_step(self) -> Step:
        """The step at which the job stands, to which what is logged belongs."""
        return self.procedure.steps[self.session.current]

    def arrive(self) -> None:
        """Write who is at the bench, where that was said when the job was taken up."""
        if self.session.worker is not None:
            self.record(WorkerChanged, name=self.session.worker, step=None)

    # effects
    def record(
        self,
        event_type: type[Any],
        *,
        sounds: tuple[Any, ...] | None = None,
        clips: tuple[str, ...] = (),
        **fields: Any,
    ) -> Event:
        """Write an event of this moment, with the words and (for what they carry) the sound it came from; ``clips`` as
        of ``Record``."""
        said = self.utterance
        if "step" not in fields:
            fields["step"] = self.current_step.id
        if said is not None and said.words:
            fields.setdefault("heard", said.text)
        if said is not None:
            fields.setdefault("recogniser", said.recogniser)
        event: Event = event_type(at=self.now, **fields)
        if self.session.not_named and isinstance(event, get_args(EntryEvent)):
            self.session.not_named = False
            self.lead = " ".join(filter(None, (item_words(self.session), self.lead)))
        self.take(event, sounds or (), clips)
        return event

    def take(self, event: Event, sounds: tuple[Any, ...] = (), clips: tuple[str, ...] = ()) -> None:
        """Write an event that is ready made."""
        self.state.apply(event)
        self.effects.append(Record(event, sounds, clips))

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

    def say(
        self,
        text: str,
        *,
        must_hear: bool = False,
        settles: str | None = None,
        tail: str = "",
        carefully: bool = False,
    ) -> int:
        """Speak. What must be heard (a danger, a figure) is said again if it is cut off, without its ``tail``;
        ``settles`` names the reading that stands once this has been heard to its end; ``carefully`` as of ``Say``."""
        session = self.session
        again = session.speech.to_say_again(session.stands)
        text = " ".join(filter(None, (again.text, self.lead, text)))
        self.lead = ""
        settles_all = (*again.settles, *((settles,) if settles else ()))
        must_hear = must_hear or again.must_hear
        token = session.speech.begin(text, must_hear=must_hear, settles=settles_all)
        session.last_said = text = f"{text} {tail}".strip()
        self.effects.append(Say(text, token, carefully, must_hear or bool(settles_all)))
        return token

    def say_lead(self) -> None:
        """Say what was to be said first, before another procedure or another job is taken up."""
        if self.lead:
            self.say("")

    def name_says(self, name: str, *, since: int) -> None:
        """Put ``name`` before everything that is said from effect ``since`` on."""
        for at, effect in enumerate(self.effects[since:], since):
            if isinstance(effect, Say):
                self.effects[at] = replace(effect, text=f"{name} {effect.text}")

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
        self.wait_for(question)
        self.signal("question")
        question.token = self.say(
            lead, must_hear=must_hear or settles is not None, settles=settles, tail=question.prompt
        )
        if question.free is not None:
            self.listen("dictation")

    def wait_for(self, question: Question) -> None:
        """Wait for the answer to a question without putting it: it is plain from what was said."""
        self.session.question = question
        if self.session.machine.may("ask"):
            self.session.machine.move("ask")

    def confirm(  # noqa: PLR0913 - what goes without saying is left out, by keyword
        self,
        prompt: str,
        yes: Callable[[Turn], None],
        no: str,
        *,
        also: Sequence[Kind] = (),
        otherwise: str = "Nothing written.",
        waits: bool = False,
        lead: str = "",
        must_hear: bool = False,
    ) -> None:
        """Ask before something is done: ``yes`` does it (as does any kind of ``also``), ``no`` is said when it is not.

        ``lead``, ``must_hear``, ``otherwise`` and ``waits`` as for a question.
        """

        def agree(turn: Turn, _: Intent) -> None:
            turn.settle()
            yes(turn)

        def decline(turn: Turn, _: Intent) -> None:
            turn.settle()
            turn.say(no)

        answers = {**dict.fromkeys((Kind.YES, *also), agree), Kind.NO: decline}
        self.ask(Question(prompt, answers, otherwise=otherwise, waits=waits), lead=lead, must_hear=must_hear)

    def settle(self) -> None:
        """The question is answered or dropped."""
        question, self.session.question = self.session.question, None
        if question is not None and question.free is not None:
            self.listen("commands")
        if self.session.machine.state == "asking":
            self.session.machine.move("settle")


Handler = Callable[[Turn, Intent], None]
"""What follows from a command, or from the answer to a question."""
