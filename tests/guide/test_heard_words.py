"""What the screen shows of something that was said, and how a question can be answered."""

from __future__ import annotations

import pytest

from handsfree.guide.view.understood import Understood, heard_words
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, Utterance

LANGUAGE = Language(Vocabulary(characteristics={"end play": "end play"}, units={"end play": "thou"}))
LOGGED = "log, end play, 4 thou"


def heard(line: str, hearing: Hearing = Hearing.CLEAR, free_text: str = "") -> Utterance:
    words = tuple(line.split())
    return Utterance(words, hearing, LANGUAGE.interpret(words) if words else (), free_text=free_text)


@pytest.mark.parametrize(
    ("utterance", "answered", "tone", "words", "made"),
    [
        (heard("log end play four thou"), True, "heard", "log end play four thou", LOGGED),
        (heard("log end play four thou"), True, "question", "log end play four thou", LOGGED),
        (heard("log end play four thou"), False, None, "log end play four thou", f"not taken now: {LOGGED}"),
        (heard("log end play four thou", Hearing.DOUBTFUL), True, "question", "log end play four thou",
         f"in doubt, asked back: {LOGGED}?"),
        (heard("log end play four thou", Hearing.DOUBTFUL), True, "heard", "log end play four thou", LOGGED),
        (heard("log end play four thou", Hearing.DOUBTFUL), False, "heard", "log end play four thou",
         f"not taken now: {LOGGED}"),
        (heard("log end play four thou", Hearing.NEAR), True, None, "log end play four thou",
         "not caught: say it again"),
        (heard("log end play four thou"), True, "not caught", "log end play four thou", "not caught: say it again"),
        (heard("log the end"), True, None, "log the end", "not caught: say it again"),
        (heard("", Hearing.NEAR, " so I said "), True, None, "so I said", "not caught: say it again"),
        (heard("go to step four"), True, "heard", "go to step four", "go to, step 4"),
        (heard("log four mils"), True, "heard", "log four mils", "log, 4 mils"),
    ],
)  # fmt: skip
def test_what_was_said_is_shown_with_what_became_of_it(
    utterance: Utterance, answered: bool, tone: str | None, words: str, made: str
) -> None:
    assert heard_words(utterance, dictation=False, answered=answered, tone=tone) == Understood(words, made)


@pytest.mark.parametrize(("text", "words"), [(" the pawl is bent ", "the pawl is bent"), ("  ", "a sound")])
def test_talk_is_shown_only_while_a_note_is_taken(text: str, words: str) -> None:
    talk = heard("", Hearing.NONE, text)
    assert heard_words(talk, dictation=False, answered=False) is None
    assert heard_words(talk, dictation=True, answered=False) == Understood(words, "free speech, kept")
