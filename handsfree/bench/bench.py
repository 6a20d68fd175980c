"""One job at the bench: carries out the guide's effects, in order. Everything happens on the caller's thread."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.bench.looking_back import seen_before
from handsfree.bench.side_by_side import JobAtBench, Opener
from handsfree.guide.effects import (
    Adjust,
    Change,
    ChangeJob,
    Effect,
    End,
    Listen,
    LookBack,
    Play,
    Prepare,
    Record,
    Say,
    Signal,
)
from handsfree.guide.guide import Guide
from handsfree.guide.session import Session, WorkedProcedure
from handsfree.guide.view.understood import Understood, heard_words
from handsfree.job.errors import LogError
from handsfree.job.events import FactNoted, JobOpened, NoteKept, NoteStretch, ProcedureTakenUp
from handsfree.job.log.forget import drop_held
from handsfree.job.log.store import JobLog, Store
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.problems import ProcedureError
from handsfree.speaking.speaker import Speaker, Tone

LOG_LOST = "The log cannot be written. The last entry is not logged. Nothing is lost that was read back before."

LOG_GONE = "The log is gone from its place. This job is saved in another folder."

NOT_THE_GUIDES = -1
"""Token of speech that the guide does not know of."""

_TONES = {"heard": Tone.HEARD, "question": Tone.QUESTION, "not caught": Tone.NOT_CAUGHT}

Line = Literal["heard", "doubtful", "ignored", "says", "not caught", "trouble"]
Show = Callable[[Line, str], None]

Changer = Callable[[Session, Change, str], tuple[WorkedProcedure, ProcedureTakenUp]]
"""Gets another procedure ready for the job (its number last) of a session; LogError, ProcedureError."""


def _no_ear(_: Language) -> None:
    pass


class Voice(Protocol):
    """How a loop speaks: it alone knows when speech has ended."""

    def start(self, say: Say) -> None:
        """Begin to say it; ``Bench.ended_speaking`` is told when it is over."""

    def start_sound(self, samples: NDArray[np.float32], token: int) -> None:
        """The same with a sound that was kept (16 kHz)."""


class Bench:
    """A job that is being worked. ``mode`` is what to listen for, ``over`` why the job stopped here, once it has."""

    def __init__(  # noqa: PLR0913 - what a bench is wired to, most of it by keyword
        self,
        guide: Guide,
        store: Store,
        speaker: Speaker,
        show: Show,
        log: JobLog | None = None,
        *,
        changer: Changer | None = None,
        opener: Opener | None = None,
        relearn: Callable[[Language], None] = _no_ear,
    ) -> None:
        """``changer`` gets another procedure ready when the job changes to it, ``opener`` another job (None where that
        can't be done); ``relearn`` is called with what can be said from then on."""
        self.here = JobAtBench(guide, log)
        """The job that is worked."""
        self.aside: dict[str, JobAtBench] = {}
        """The jobs that were left for another one, by their numbers, the one left last at the end."""
        self.store = store
        self.speaker = speaker
        self.show = show
        self.mode: Literal["commands", "dictation"] = "commands"
        self.over: Literal["paused", "finished"] | None = None
        self.speaking: int | None = None
        """Token of what is being said."""
        self.heard: Understood | None = None
        """What was heard last and what was made of it."""
        self.said = ""
        self.microphone_lost = False
        self._changer = changer
        self._opener = opener
        self._relearn = relearn
        self._voice: Voice
        self._watchers: list[Callable[[], None]] = []
        self._to_say: deque[tuple[JobAtBench, Say | Play]] = deque()
        self._saying = self.here
        """The job of which something is being said."""
        self._now: datetime | None = None
        self._unwritten = 0
        """Events of this turn that are not on disk yet."""

    @property
    def guide(self) -> Guide:
        """The conversation about the job that is worked."""
        return self.here.guide

    @property
    def log(self) -> JobLog | None:
        """The log of the job that is worked."""
        return self.here.log

    @property
    def silent(self) -> bool:
        """Nothing is being said, nor waiting to be."""
        return self.speaking is None and not self._to_say

    # who speaks, shows and watches
    def speak_through(self, voice: Voice) -> None:
        """The loop that plays this bench lends it its voice, before anything happens."""
        self._voice = voice

    def show_through(self, show: Show) -> None:
        """What happens is shown in another place from now on."""
        self.show = show

    def tell(self, watcher: Callable[[], None]) -> None:
        """Call ``watcher`` from now on when anything has changed that can be seen; it must return at once."""
        self._watchers.append(watcher)

    def changed(self) -> None:
        """Something has changed that can be seen."""
        for watcher in self._watchers:
            watcher()

    # what happens
    def open(self, opened: JobOpened) -> None:
        self._carry_out(self.guide.open(opened))
        self.changed()

    def resume(self, now: datetime, taken_up: ProcedureTakenUp | None = None) -> None:
        seen = self.log.last_seen() if self.log is not None else None
        self._carry_out(self.guide.resume(now, taken_up, seen))
        self.changed()

    def note_time(self, now: datetime) -> None:
        """It is so late at the bench: where a timer runs, that has to be known when the job is taken up again."""
        self._now = now
        for job in (self.here, *self.aside.values()):
            if job.log is not None and job.guide.session.state.timers:
                job.log.note_time(now)

    def next_due(self) -> datetime | None:
        """When ``tick`` has something to do next, in this job or in one that stands aside."""
        due = [job.guide.next_due() for job in (self.here, *self.aside.values())]
        return min((at for at in due if at is not None), default=None)

    def hear(self, utterance: Utterance, now: datetime) -> None:
        """Something was said. What is still being said is cut off when there is something to answer."""
        self.note_time(now)
        self._show_heard(utterance)
        called = any(intent.kind is Kind.COME_BACK for intent in utterance.intents)
        if utterance.hearing in (Hearing.CLEAR, Hearing.DOUBTFUL) and (called or not self.standing_by):
            self.cut_off(now)
        dictation = self.mode == "dictation"
        if self._bell_of_another(utterance, now):
            return
        effects = self.guide.hear(utterance, now)
        tone = next((effect.tone for effect in effects if isinstance(effect, Signal)), None)
        self.heard = heard_words(utterance, dictation=dictation, answered=bool(effects), tone=tone) or self.heard
        self._carry_out(effects)
        self.changed()

    def tick(self, now: datetime) -> None:
        self.note_time(now)
        effects = self.guide.tick(now)
        self._carry_out(effects)
        for job in list(self.aside.values()):
            more = job.guide.tick(now)
            self._carry_out(more, job)
            effects += more
        if effects:
            self.changed()

    def _bell_of_another(self, utterance: Utterance, now: datetime) -> bool:
        """Whether "got it" was said where only a job that stands aside rings: that bell is meant."""
        said = utterance.hearing is Hearing.CLEAR and any(one.kind is Kind.ACKNOWLEDGE for one in utterance.intents)
        ringing = [job for job in self.aside.values() if job.guide.session.state.ringing]
        if not said or self.mode != "commands" or self.standing_by or self.guide.session.state.ringing or not ringing:
            return False
        for job in ringing:
            self._carry_out(job.guide.acknowledge(now), job)
        self.changed()
        return True

    def ended_speaking(self, token: int, completed: bool, now: datetime) -> None:
        """The voice has ended, or was cut off."""
        if self.speaking != token:
            return
        self.speaking = None
        # What was said of a job is settled in that job, whichever is worked by now.
        self._carry_out(self._saying.guide.spoken(token, completed, now), self._saying)
        self._say_next()
        self.changed()

    def cut_off(self, now: datetime) -> None:
        """Silence at once; the guide is told what was not heard."""
        waiting = [(job, say.token) for job, say in self._to_say]
        self._to_say.clear()
        if self.speaking is not None:
            token, self.speaking = self.speaking, None
            self.speaker.stop()
            self._carry_out(self._saying.guide.spoken(token, False, now), self._saying)
        for job, token in waiting:
            self._carry_out(job.guide.spoken(token, False, now), job)

    def announce(self, text: str) -> None:
        """Say something that is not the guide's, after what is being said."""
        self._to_say.append((self.here, Say(text, NOT_THE_GUIDES)))
        self._say_next()
        self.changed()

    # what follows
    def _carry_out(self, effects: Sequence[Effect], job: JobAtBench | None = None) -> None:
        """Carry out what the guide of a job (None: of the one that is worked) wants done."""
        job = job or self.here
        self._unwritten = sum(isinstance(effect, Record) for effect in effects)
        for effect in effects:
            match effect:
                case Record():
                    self._write(effect, job)
                    self._unwritten -= 1
                case Say() | Play():
                    self._to_say.append((job, effect))
                    self._say_next()
                case Signal():
                    self.speaker.tone(_TONES[effect.tone])
                    if effect.tone == "not caught":
                        self.show("not caught", "")
                case Listen():
                    self.mode = effect.mode
                case Adjust():
                    self.announce(getattr(self.speaker, effect.how)())
                case Prepare():
                    self.speaker.prepare(effect.texts)
                case Change() | ChangeJob() | LookBack():
                    self._fetch(effect)
                case End():
                    self._end(effect)

    def _fetch(self, effect: Change | ChangeJob | LookBack) -> None:
        """What is wanted from elsewhere: another procedure, another job, earlier jobs on the item."""
        match effect:
            case Change():
                self._change(effect)
            case ChangeJob():
                self._change_job(effect)
            case LookBack():
                self._look_back(effect)

    def _change(self, effect: Change) -> None:
        """Work another procedure from now on; where it can't be had, the present one goes on."""
        if self._changer is None or self.log is None:
            self.announce("Procedures can't be changed here.")
            return
        try:
            worked, taken_up = self._changer(self.guide.session, effect, self.log.job)
        except (LogError, ProcedureError) as error:
            self.show("trouble", str(error))
            self.announce(f"{effect.name.replace('-', ' ').capitalize()} can't be taken up. The job goes on here.")
            return
        self._relearn(worked.language)
        self._carry_out(self.guide.change(effect.at, taken_up, worked))

    def _change_job(self, effect: ChangeJob) -> None:
        """Work another job from now on; where it can't be had, this one goes on."""
        left = self.here
        if left.log is not None and left.log.job == effect.job:
            self.announce("This is that job.")
            return
        there, taken_up = self.aside.get(effect.job), None
        if there is None:
            try:
                if self._opener is None:
                    raise LogError("only one job can be worked here")
                opened = self._opener(effect.job, effect.at)
            except (LogError, ProcedureError) as error:
                self.show("trouble", str(error))
                self.announce("That job can't be taken up here. This one goes on.")
                return
            there, taken_up = JobAtBench(opened.guide, opened.log), opened.taken_up
        worker = left.guide.session.state.worker
        self._carry_out(left.guide.leave(effect.at), left)
        if left.log is not None:
            self.aside[left.log.job] = left
        self._come_to(there, effect.job, effect.at, worker, taken_up)

    def _come_to(
        self, there: JobAtBench, job: str, now: datetime, worker: str | None, taken_up: ProcedureTakenUp | None = None
    ) -> None:
        self.aside.pop(job, None)
        self.here = there
        there.guide.session.worker = worker
        self._relearn(there.guide.session.language)
        self._carry_out(there.guide.go_on(now, taken_up), there)

    def _end(self, effect: End) -> None:
        """The job stops here. When it is finished, the one that was left last is the one at the bench again."""
        if effect.why == "paused" or not self.aside or self._now is None:
            for job in self.aside.values():
                warning = job.guide.runs_on(self._now) if self._now is not None else ""
                if warning:
                    self.announce(warning)
            self.over = effect.why
            return
        finished, worker = self.here, self.here.guide.session.state.worker
        last = next(reversed(self.aside))
        self._come_to(self.aside[last], last, self._now, worker)
        self._close(finished)

    def _look_back(self, effect: LookBack) -> None:
        """Tell what is known of the item; nothing, where the log can't be read for it."""
        terms, job = self.guide.session.workshop.terms, self.log.job if self.log is not None else None
        try:
            before = seen_before(self.store, effect.item, effect.serial, None, terms, without=job)
        except LogError as error:
            self.show("trouble", str(error))
            return
        self._carry_out(self.guide.tell_before(effect.at, before))

    def _say_next(self) -> None:
        if self.speaking is None and self._to_say:
            self._saying, say = self._to_say.popleft()
            if isinstance(say, Play):
                self._play(say)
                return
            self.speaking = say.token
            self.look_after_log()
            self.said = say.text
            self.show("says", say.text)
            # A voice may wait until the words are out; but what is not on disk must not be seen either.
            if not self._unwritten:
                self.changed()
            self._voice.start(say)

    def look_after_log(self) -> None:
        """LogGone where the log is no longer in its place: then nothing more may be said of it."""
        if self.log is not None:
            self.log.look()

    def _play(self, play: Play) -> None:
        try:
            samples = self.store.read_clip(play.clip)
        except LogError as error:
            self.show("trouble", str(error))
            self._to_say.appendleft((self._saying, Say("Its sound is not there.", play.token)))
            self._say_next()
            return
        self.speaking = play.token
        self.show("says", f"(sound of {len(samples) / SAMPLE_RATE:.1f} seconds)")
        self._voice.start_sound(samples, play.token)

    def _write(self, effect: Record, job: JobAtBench) -> None:
        event = effect.event
        if isinstance(event, JobOpened):
            job.log = self.store.open_job(event, len(job.guide.session.procedure.steps))
            return
        if job.log is None:
            raise LogError("no job is open, so nothing can be logged")
        sounds = [*(self.store.read_clip(clip) for clip in effect.clips), *effect.sounds]
        sound = np.concatenate(sounds) if sounds else np.empty(0, np.float32)
        if len(sound):
            event = event.model_copy(update={"clip": job.log.keep_clip(sound)})
        if isinstance(event, NoteStretch):
            job.clips += [event.clip] if event.clip else []
        elif isinstance(event, (NoteKept, FactNoted)) and event.clip:
            held = dict.fromkeys((*effect.clips, *job.clips))
            event = event.model_copy(update={"holds": tuple(clip for clip in held if clip != event.clip)})
            job.clips.clear()
        job.log.append(event)

    @property
    def standing_by(self) -> bool:
        """Nothing that is said now is for the bench, but the call to come back."""
        return self.guide.session.machine.state == "standing by"

    def _show_heard(self, utterance: Utterance) -> None:
        if self.standing_by and not any(intent.kind is Kind.COME_BACK for intent in utterance.intents):
            # What visitors say is not even shown.
            return
        free = f"“{utterance.free_text.strip()}”" if utterance.free_text.strip() else "(a noise)"
        if utterance.hearing is Hearing.CLEAR:
            self.show("heard", utterance.text)
        elif utterance.hearing is Hearing.DOUBTFUL:
            self.show("doubtful", utterance.text)
        else:
            self.show("heard" if self.mode == "dictation" else "ignored", free)

    def close(self) -> None:
        for job in (self.here, *self.aside.values()):
            self._close(job)

    def _close(self, job: JobAtBench) -> None:
        if job.log is not None:
            with suppress(LogError):
                drop_held(self.store, job.log.job)
            job.log.close()
