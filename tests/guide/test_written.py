"""What the guide writes carries what it was understood from: the words, the recogniser, the sound where it counts."""

from __future__ import annotations

import numpy as np
import pytest

from handsfree.guide.effects import Record, Say
from handsfree.job.events import NoteKept, ReadingLogged, ReadingSettled, StepSkipped
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded
from tests.support.conversation import Conversation, conversation

SOUND = np.full(1600, 0.1, np.float32)


def sounds(talk: Conversation) -> list[int]:
    """How many sounds go with each event of what happened last."""
    return [len(effect.sounds) for effect in talk.effects if isinstance(effect, Record)]


@pytest.mark.parametrize(
    "line", ["next", "log clearance four thou", "timer bath ten minutes", "note", "go to step three"]
)
def test_an_event_has_the_words_it_was_heard_from_and_who_heard_them(small: Loaded, line: str) -> None:
    talk = conversation(small, *(["next"] if line.startswith("log") else []))
    talk.say(line, recogniser="builtin")
    assert talk.written or line == "note"
    for event in talk.written:
        assert (event.heard, event.recogniser) == (line, "builtin"), event


def test_what_nobody_said_has_no_words(small: Loaded) -> None:
    talk = conversation(small, "next", "log clearance four thou")
    (token,) = [effect.token for effect in talk.effects if isinstance(effect, Say)]
    talk.happens(talk.guide.spoken(token, completed=True, now=talk.now))
    (settled,) = talk.written
    assert isinstance(settled, ReadingSettled)
    assert (settled.heard, settled.recogniser) == (None, None)


def test_the_sound_of_a_figure_is_kept_with_it(small: Loaded) -> None:
    talk = conversation(small, "next")
    talk.say("log clearance four thou", recogniser="builtin", sound=SOUND)
    assert [type(event) for event in talk.written] == [ReadingLogged]
    assert sounds(talk) == [1]


def test_the_sound_of_a_reason_in_free_words_is_kept_and_that_of_a_known_one_is_not(small: Loaded) -> None:
    talk = conversation(small, "next")
    talk.say("skip this step", recogniser="builtin", sound=SOUND)
    talk.say("the lacquer is on order", recogniser="builtin", sound=SOUND, free_text="The lacquer is on order.")
    (skipped,) = [event for event in talk.written if isinstance(event, StepSkipped)]
    assert skipped.reason == "The lacquer is on order"
    assert sounds(talk)[0] == 1
    known = conversation(small, "next")
    known.say("skip this step because not needed", recogniser="builtin", sound=SOUND)
    (skipped,) = [event for event in known.written if isinstance(event, StepSkipped)]
    assert sounds(known)[0] == 0


CORRECTED = (
    "Latch clearance, as set, five thou, nought point one two seven millimetres. Undecided. "
    "Corrected from four thou, at once."
)


@pytest.mark.parametrize(
    ("lines", "asked", "answer"),
    [
        ((), "history", "Nothing is logged for that."),
        (("log clearance four thou",), "history", "As it was first written."),
        (("log clearance four thou", "wrong it is five thou"), "history", CORRECTED),
        (("log clearance four thou", "wrong it is five thou", "timer bath ten minutes"), "history of clearance",
         CORRECTED),
        (("log clearance four thou", "wrong it is five thou"), "history of stop gap",
         "Nothing is logged for that."),
    ],
)  # fmt: skip
def test_what_became_of_an_entry_is_told_of_the_last_one_or_of_a_characteristic(
    small: Loaded, lines: tuple[str, ...], asked: str, answer: str
) -> None:
    (said,) = conversation(small, "next", *lines).say(asked)
    assert said == answer


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("the pawl is bent", "Note kept: The pawl is bent."),
        (" ".join(["bent"] * 13), f"Note kept: Bent {' '.join(['bent'] * 11)}, and so on."),
        ("", "Note kept as sound."),
    ],
)
def test_a_note_is_read_back_as_far_as_it_was_understood(small: Loaded, text: str, said: str) -> None:
    talk = conversation(small, "next", "note")
    heard = Utterance((), Hearing.NONE, (), free_text=text, recogniser="builtin", sound=SOUND)
    talk.happens(talk.guide.hear(heard, talk.now))
    assert talk.say("end of note") == [said]
    (kept,) = [event for event in talk.written if isinstance(event, NoteKept)]
    assert (kept.text, sounds(talk)[-1]) == (text, 1)


def test_a_note_of_nothing_is_none(small: Loaded) -> None:
    talk = conversation(small, "next", "note")
    assert talk.say("end of note") == ["Nothing noted."]
    assert talk.written == []
