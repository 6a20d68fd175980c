"""What is answered to each kind of command at each kind of place in a job, and what of it is written: word for word as
it was read and found right."""

from __future__ import annotations

import re

import pytest

from handsfree.phrases.intents import Kind
from tests.support.approved import assert_approved
from tests.support.at_the_bench import AT_THE_BENCH, TAKING_APART, at, heard, language, told
from tests.support.conversation import Conversation

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
APART_LINES = (
    "removed two screws m two by five cheese head from the bed", "removed the feed dogs", "removed two feed dogs",
    "removed the screws", "removed one shim ten thou", "removed one shim four tenths", "removed one shim four ounces",
    "removed one shim minus ten thou", "removed the bobbin case", "removed two hook screws left hand thread",
    "removed two zinc plated split pins closed end right", "tray three", "what is in tray one", "what is in tray nine",
    "what has no tray", "new part", "new place", "part one is the crank", "part nine is the crank",
    "mark made at the bottom", "two lines at place one", "two dots across small key and valve", "one dot at the frob",
    "end play four thou", "end play four", "end play four grams", "end play four degrees", "end play ten tenths",
    "foot lift four thou", "foot lift a million million million thou", "frob nine thou", "where am i", "how far am i",
    "repeat", "begin taking apart", "end of taking apart", "finish the job", "take back", "read back",
    "wrong it is five thou", "note", "material used", "pause the job", "stand by", "change to cleaning",
    "which procedures", "eight screws out", "parts tally", "help", "drop it", "history", "review the job",
    "serial number alfa four", "next", "timer bath ten minutes",
)  # fmt: skip


def answered(talk: Conversation, line: str) -> str:
    """What comes of a line, in one line: tones, words, other effects, what is written, and where that leads."""
    heard(talk, line)
    return f"{line}: {told(talk.effects, line)} | {talk.session.machine.state}, {talk.state.step}"


def test_every_kind_of_command_is_among_them() -> None:
    said = {intent.kind for line in LINES for intent in language().interpret_text(line)}
    elsewhere = {intent.kind for line in APART_LINES for intent in at(apart=True).session.language.interpret_text(line)}
    assert set(Kind) - said - elsewhere == {Kind.GO_TO_JOB, Kind.ANSWER}


@pytest.mark.parametrize("place", AT_THE_BENCH)
def test_what_is_answered(place: str) -> None:
    _assert_approved(place, [answered(at(*AT_THE_BENCH[place]), line) for line in LINES])


@pytest.mark.parametrize("place", TAKING_APART)
def test_what_is_answered_while_taking_apart(place: str) -> None:
    _assert_approved(f"apart {place}", [answered(at(*TAKING_APART[place], apart=True), line) for line in APART_LINES])


def _assert_approved(place: str, lines: list[str]) -> None:
    assert_approved(f"answers/{re.sub('[ ,]+', '-', place)}.txt", "\n".join(lines) + "\n")
