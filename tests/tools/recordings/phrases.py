"""What is said in the recordings, and what each phrase means.

The meanings are written by hand, not taken from the interpreter, so that they can check it.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Phrase:
    """Words as a person says them. ``meaning`` holds the slots that apply; empty for talk."""

    words: str
    meaning: dict[str, str] = field(default_factory=dict)


def _plain(*pairs: str) -> list[Phrase]:
    """Commands without slots, each written "words" where the intent has the same name, or "words = intent"."""
    phrases = []
    for pair in pairs:
        words, _, intent = pair.partition(" = ")
        phrases.append(Phrase(words, {"intent": intent or words}))
    return phrases


def _log(words: str, characteristic: str | None, value: str, unit: str | None = None) -> Phrase:
    meaning = {"intent": "log", "characteristic": characteristic, "value": value, "unit": unit}
    return Phrase(words, {key: text for key, text in meaning.items() if text is not None})


def _figure(words: str, value: str, unit: str | None = None, intent: str = "figure") -> Phrase:
    return Phrase(words, {"intent": intent, "value": value} | ({"unit": unit} if unit else {}))


_GIB, _STOP, _TRAVEL, _PLAY = "gib clearance", "stop clearance", "slide travel", "end play"

MOVING = (
    *_plain("next", "step done = done", "what comes after = look ahead", "back = look back"),
    Phrase("go to step nine", {"intent": "go to", "step": "9"}),
    Phrase("redo step six", {"intent": "redo", "step": "6"}),
    *_plain("redo this step = redo"),
    Phrase("skip part missing", {"intent": "skip", "reason": "part missing"}),
    *_plain("skip this step = skip", "where am i = where", "what is left = left"),
)
ASKING = tuple(
    _plain(
        "repeat", "say again = repeat", "details", "fasteners", "lubricant", "cautions", "why", "help", "last heard"
    )
)  # fmt: skip
WRITING = (
    _log("log gib clearance two thou", _GIB, "2", "thou"),
    _log("log clearance four thou", _GIB, "4", "thou"),
    _log("log clearance four and a half thou", _GIB, "4.5", "thou"),
    _log("log stop clearance fifteen thou", _STOP, "15", "thou"),
    _log("log stop gap fifty thou", _STOP, "50", "thou"),
    _log("log travel thirty one point one two millimetres", _TRAVEL, "31.12", "mm"),
    _log("log travel point one zero two millimetres", _TRAVEL, "0.102", "mm"),
    _log("log slide travel nought point one millimetres", _TRAVEL, "0.1", "mm"),
    _log("log end play one and a half thou", _PLAY, "1.5", "thou"),
    _log("log play point oh oh four inches", _PLAY, "0.004", "inch"),
    _log("log two thou", None, "2", "thou"),
    _log("log four point five", None, "4.5"),
    _figure("wrong it is five thou", "5", "thou", "correct"),
    _figure("correction five thou", "5", "thou", "correct"),
    *_plain("take back", "read back"),
    Phrase("read back clearance", {"intent": "read back", "characteristic": _GIB}),
    *_plain("note", "end of note = end note", "set again", "accept it = accept", "leave open"),
)
ANSWERS = (
    *_plain("yes", "no"),
    _figure("four thou", "4", "thou"),
    _figure("one point oh five", "1.05"),
    _figure("one two five", "125"),
    _figure("double oh four", "4"),
    _figure("point double oh four", "0.004"),
    _figure("one twenty five", "125"),
    _figure("two hundred and five", "205"),
    _figure("fifteen", "15"),
    _figure("fifty", "50"),
    _figure("thirteen", "13"),
    _figure("thirty", "30"),
)
BENCH = (
    Phrase("timer bath ten minutes", {"intent": "timer start", "name": "bath", "value": "10", "unit": "min"}),
    Phrase(
        "start timer grease five minutes",
        {"intent": "timer start", "name": "grease", "value": "5", "unit": "min"},
    ),
    Phrase("stop timer bath", {"intent": "timer stop", "name": "bath"}),
    *_plain("how long is left = timer left", "stand by", "back at the bench", "pause the job = pause"),
    *_plain("finish the job = finish", "slower", "faster", "louder", "quieter"),
)

COMMANDS: tuple[Phrase, ...] = (*MOVING, *ASKING, *WRITING, *ANSWERS, *BENCH)
"""Every command that is recorded."""

TALK = (
    "could you pass me the kettle please",
    "the next bus goes at ten past four",
    "i told him that it was fine yesterday",
    "and now the shipping news for this afternoon",
    "four of us went out for a walk on sunday",
    "i don't know where i left my glasses",
    "did you read the note on the back of the door",
    "she said yes but i am not so sure",
    "it was about fifteen years ago i think",
    "we had to wait thirty minutes in the rain",
    "is there any more tea in the pot",
    "no no that was the other customer",
    "the parcel should be here on thursday morning",
    "turn the radio down a bit would you",
    "what a lovely old machine that is",
    "he wants it back by the end of the month",
    "traffic is slow on the bridge this morning",
    "i will be with you in a minute",
    "where on earth did that little screw go",
    "come on you silly thing go in",
    "that will be twelve pounds fifty altogether",
    "my brother has a clock just like this one",
    "have you been open long today",
    "the weather tomorrow will be dry with light winds",
    "we could log on to the computer later",
    "hold on i have to answer the telephone",
    "she played the piano for two hours",
    "next week we are closed from monday to wednesday",
    "that is a clear case of too much grease",
    "help yourself to a biscuit",
)
"""What visitors, the radio and the repairer say that is not meant for the bench."""
