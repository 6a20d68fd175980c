"""A conversation with the guide alone, without bench or disk: lines go in, and what comes of them is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import Any

from handsfree.bench.setting_up import session_of
from handsfree.guide.effects import Effect, Record, Say
from handsfree.guide.guide import Guide
from handsfree.guide.session import Session
from handsfree.job.events import Event
from handsfree.job.opening import opened_with
from handsfree.job.state import JobState
from handsfree.phrases.intents import Intent
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded
from tests.support.played import MORNING


@lru_cache(maxsize=1024)
def _meant(language: Language, words: tuple[str, ...]) -> tuple[Intent, ...]:
    """The same line is said at many places."""
    return language.interpret(words)


@dataclass
class Conversation:
    """What was said to a guide, and what it did."""

    guide: Guide
    effects: list[Effect] = field(default_factory=list)
    """Of what happened last."""
    now: datetime = MORNING

    @property
    def session(self) -> Session:
        return self.guide.session

    @property
    def state(self) -> JobState:
        return self.guide.session.state

    @property
    def said(self) -> list[str]:
        return [effect.text for effect in self.effects if isinstance(effect, Say)]

    @property
    def written(self) -> list[Event]:
        return [effect.event for effect in self.effects if isinstance(effect, Record)]

    def happens(self, effects: Sequence[Effect]) -> list[str]:
        """What is spoken when this comes of something."""
        self.effects = list(effects)
        return self.said

    def say(self, line: str, hearing: Hearing = Hearing.CLEAR, **heard: Any) -> list[str]:
        """What is answered to a line."""
        words = tuple(line.split())
        meant = _meant(self.session.language, words)
        return self.happens(self.guide.hear(Utterance(words, hearing, meant, **heard), self.now))


def conversation(loaded: Loaded, *lines: str, **given: Any) -> Conversation:
    """A new job on a procedure, in which these lines were said; ``given`` is for its opening."""
    talk = Conversation(Guide(session_of(loaded.procedure)))
    talk.happens(talk.guide.open(opened_with(loaded, MORNING, **given)))
    for line in lines:
        talk.say(line)
    return talk
