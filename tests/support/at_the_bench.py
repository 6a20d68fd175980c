"""Kinds of place in a job at the bench, and everything that comes of something there in one line, to be approved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import numpy as np

from handsfree.bench.setting_up import language_of, session_of
from handsfree.guide.effects import Effect, Record, Say, Signal
from handsfree.guide.guide import Guide
from handsfree.guide.view.snapshot import view_of
from handsfree.job.opening import opened_with
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.language import Language
from handsfree.procedure.file.loader import Loaded, parse_procedure
from handsfree.procedure.words import KnownWords
from tests.support.conversation import Conversation
from tests.support.everything import TEXT
from tests.support.played import MORNING

TAKEN_UP = "(taken up again)"
LATER = MORNING + timedelta(days=1)
SOUND = np.full(1600, 0.1, np.float32)
AT_THE_BENCH: Mapping[str, Sequence[str]] = {
    "at the beginning": (),
    "at the figure": ("next",),
    "out of limits": ("next", "log clearance nine thou"),
    "with a figure": ("next", "log clearance four thou"),
    "at the wait, with a timer": ("go to step three", "timer bath ten minutes"),
    "in a note": ("next", "note"),
    "after a note": ("next", "note", "the pawl is bent", "end of note"),
    "at the check, with parts out": ("yes", "go to step five", "yes", "eight screws out", "order a spring"),
    "standing by": ("next", "stand by"),
    "in the review": ("next", "log clearance nine thou", "leave open", "review the job"),
    "asked for a reason": ("next", "skip this step"),
    "asked whether to finish": ("next", "finish the job"),
    "taken up again": ("next", "log clearance four thou", "pause the job", TAKEN_UP),
    "at a point of the review": ("next", "log clearance nine thou", "leave open", "review the job", "next"),
    "asked what it has to do with a figure": ("next", "log clearance four hundred thou"),
}
"""What was said before, by the place to which it led."""
TAKING_APART: Mapping[str, Sequence[str]] = {
    "nothing off": (),
    "screws off": ("removed two screws m two by five cheese head from the bed",),
    "all in trays": ("removed two screws m two by five", "tray one", "removed two feed dogs from the bed", "tray two"),
    "a part without a name": ("new part", "the little crank", "end of note", "removed the cover"),
    "taken apart again": ("removed the cover", "tray one", "end play four thou", "pause the job", TAKEN_UP),
}
_WORDS = KnownWords(parts=("feed dogs",), places=("bed",), fasteners=("hook screw",), measured={"foot lift": ()})


@cache
def procedure() -> Loaded:
    return parse_procedure(TEXT.encode(), "gate-latch.yaml")


@cache
def language() -> Language:
    return language_of(procedure().procedure, procedures={"cleaning": "cleaning"})


@cache
def stripping_language() -> Language:
    return StrippingLanguage(Vocabulary(words=_WORDS, procedures={"cleaning": "cleaning"}))


@cache
def _stripping() -> Loaded:
    return stripping_procedure("Bench gauge")


def at(*lines: str, apart: bool = False) -> Conversation:
    """At the bench where these lines were said; after ``TAKEN_UP`` at another sitting."""
    loaded, spoken = (_stripping(), stripping_language()) if apart else (procedure(), language())
    talk = Conversation(Guide(session_of(loaded.procedure, language=spoken, apart=apart)))
    purpose = "stripping" if apart else "repair"
    talk.happens(talk.guide.open(opened_with(loaded, MORNING, item="Bench gauge no. 7", purpose=purpose)))
    for line in lines:
        if line == TAKEN_UP:
            talk = Conversation(
                Guide(session_of(loaded.procedure, talk.state, language=spoken, apart=apart)), now=LATER
            )
            talk.happens(talk.guide.resume(LATER))
        else:
            heard(talk, line)
    return talk


def heard(talk: Conversation, line: str) -> None:
    """A line as it comes from the microphone, two and a half seconds long."""
    talk.say(line, recogniser="builtin", start=10.0, end=12.5, sound=SOUND)


def told(effects: Sequence[Effect], line: str = "") -> str:
    """Effects in one line: tones, words, what else is wanted, and after a stroke what is written; ``line`` is what
    they came of."""
    words = [_told(effect) for effect in effects if not isinstance(effect, Record)]
    written = [_written(effect, line) for effect in effects if isinstance(effect, Record)]
    return f"{' '.join(words)} | {'; '.join(written)}"


def _told(effect: Effect) -> str:
    if isinstance(effect, Signal):
        return f"({effect.tone})"
    if isinstance(effect, Say):
        marks = (" [must be heard]" if effect.must_hear else "", " [carefully]" if effect.carefully else "")
        return f"{effect.text}{''.join(marks)}"
    slots = {each.name: getattr(effect, each.name) for each in fields(effect) if each.name not in ("at", "token")}
    return f"<{' '.join((type(effect).__name__, *(_plain(value) for value in slots.values()))).strip()}>"


def _written(record: Record, line: str) -> str:
    """The event with what it holds, as far as that is not as usual; and how many sounds go with it."""
    slots = record.event.model_dump(exclude_defaults=True)
    usual = (("heard", line), ("recogniser", "builtin"))
    holds = [
        f"{name}={_plain(value)}"
        for name, value in slots.items()
        if name not in _LEFT_OUT and (name, value) not in usual
    ]
    kept = [f"{len(record.sounds)} sound"] if record.sounds else []
    kept += [f"{len(record.clips)} clips"] if record.clips else []
    return " ".join((record.event.kind, record.event.step or "-", *holds, *kept))


_LEFT_OUT = ("kind", "at", "step", "procedure_text", "procedure_sha256")


def seen(talk: Conversation) -> list[str]:
    """Everything that the view holds, a line each."""
    return list(_lines("", view_of(talk.guide, talk.now, microphone="open", said="what was said")))


def _lines(name: str, value: Any) -> Iterator[str]:
    """A value and all that it is made of; nothing of what is empty."""
    if is_dataclass(value):
        for each in fields(value):
            yield from _lines(f"{name}.{each.name}".lstrip("."), getattr(value, each.name))
    elif isinstance(value, tuple):
        for number, each in enumerate(value):
            yield from _lines(f"{name}[{number}]", each)
    elif value not in (None, "", False):
        yield f"{name}: {value}"


def _plain(value: Any) -> str:
    if isinstance(value, datetime):
        return f"{value - MORNING}"
    if isinstance(value, tuple | list):
        return " / ".join(map(_plain, value))
    return "" if value is None else str(value)
