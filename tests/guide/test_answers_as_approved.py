"""What is answered to each kind of command at each kind of place in a job, and what of it is written: word for word as
it was read and found right."""

from __future__ import annotations

import re
from datetime import timedelta
from functools import cache

import pytest

from handsfree.bench.setting_up import language_of, session_of
from handsfree.guide.effects import Say, Signal
from handsfree.guide.guide import Guide
from handsfree.job.opening import opened_with
from handsfree.phrases.intents import Kind
from handsfree.procedure.file.loader import Loaded, parse_procedure
from tests.support.approved import assert_approved
from tests.support.conversation import Conversation
from tests.support.everything import TEXT
from tests.support.played import MORNING

LINES = (
    "next", "step done", "look ahead", "back", "go to step two", "go to step five", "redo the step", "redo step one",
    "skip this step", "skip this step because not fitted", "where am i", "how far am i", "what can i do now",
    "what was left out", "change to cleaning", "which procedures", "which jobs are open", "repeat", "more",
    "fasteners", "lubricant", "cautions", "dangers", "why", "which limits", "which tray", "what tools", "which marks",
    "which variant", "ask me again", "help", "last heard", "log clearance four thou", "log clearance four",
    "log clearance nine thou", "log clearance five thou", "log clearance four hundred thou", "log as found seven thou",
    "log stop gap point four millimetres", "four thou", "wrong it is five thou", "wrong", "take back", "read back",
    "last time", "note", "end of note", "set again", "accept it", "accept within wear", "leave open", "readings",
    "error of four thou", "what is four thou plus half a thou", "serial number alfa four", "serious finding",
    "add to it bravo", "material used", "grease used", "sign off", "this is mike niner", "what waits for a check",
    "what is the complaint", "left with it a case", "promised friday", "may cost up to eighty", "hand it over",
    "order a spring", "order two gib screws", "the part has arrived", "what is on order", "eight screws out",
    "three screws back", "parts tally", "review the job", "play it", "it may stand", "history", "end review",
    "begin taking apart", "yes", "no", "zero", "drop it", "start the timer", "timer bath ten minutes",
    "stop the timer", "how long is left", "got it", "stand by", "back at the bench", "pause the job",
    "finish the job", "slower", "faster", "louder", "softer", "short answers", "full answers",
)  # fmt: skip
TAKEN_UP = "(taken up again)"
LATER = MORNING + timedelta(days=1)
PLACES = {
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


@cache
def procedure() -> Loaded:
    return parse_procedure(TEXT.encode(), "gate-latch.yaml")


def at(*lines: str) -> Conversation:
    """At the bench where these lines were said; after ``TAKEN_UP`` at another sitting."""
    loaded = procedure()
    language = language_of(loaded.procedure, procedures={"cleaning": "cleaning"})
    talk = Conversation(Guide(session_of(loaded.procedure, language=language)))
    talk.happens(talk.guide.open(opened_with(loaded, MORNING, item="Bench gauge no. 7")))
    for line in lines:
        if line == TAKEN_UP:
            talk = Conversation(Guide(session_of(loaded.procedure, talk.state, language=language)), now=LATER)
            talk.happens(talk.guide.resume(LATER))
        else:
            talk.say(line)
    return talk


def answered(talk: Conversation, line: str) -> str:
    """What comes of a line, in one line: tones, words, other effects, and what is written."""
    talk.say(line)
    told = []
    for effect in talk.effects:
        if isinstance(effect, Signal):
            told.append(f"({effect.tone})")
        elif isinstance(effect, Say):
            told.append(effect.text + (" [must be heard]" if effect.must_hear else ""))
        elif type(effect).__name__ not in ("Record", "Prepare"):
            told.append(f"<{type(effect).__name__}>")
    written = [f"{event.kind} {event.step or '-'}" for event in talk.written]
    after = talk.session.machine.state, talk.state.step
    return f"{line}: {' '.join(told)} | {', '.join(written)} | {after[0]}, {after[1]}"


def test_every_kind_of_command_is_among_them() -> None:
    language = language_of(procedure().procedure, procedures={"cleaning": "cleaning"})
    said = {intent.kind for line in LINES for intent in language.interpret_text(line)}
    only_elsewhere = {
        Kind.GO_TO_JOB, Kind.END_APART, Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.IN_TRAY, Kind.MARKED, Kind.NEW_WORD,
        Kind.GIVE_NAME, Kind.ANSWER,
    }  # fmt: skip
    assert set(Kind) - said == only_elsewhere


@pytest.mark.parametrize("place", PLACES)
def test_what_is_answered(place: str) -> None:
    told = [answered(at(*PLACES[place]), line) for line in LINES]
    assert_approved(f"answers/{re.sub('[ ,]+', '-', place)}.txt", "\n".join(told) + "\n")
