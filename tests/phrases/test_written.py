"""From text as a recogniser writes it to the grammar's phrases."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from handsfree.hearing.builtin.trie import SOUNDS_LIKE
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.written import phrases_written

LANGUAGE = Language(Vocabulary(characteristics={"backlash": "backlash", "stop clearance": "stop clearance"}))


def written(text: str) -> list[str]:
    return [" ".join(words) for words in phrases_written(text, LANGUAGE.automaton, SOUNDS_LIKE)]


@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ("Next.", "next"),
        ("Log backlash 4 thou.", "log backlash four thou"),
        ("Lock backlash for though", "log backlash four thou"),
        ("Log stop clearance, 0.05 mm.", "log stop clearance zero point zero five millimetres"),
        (".102", "point one zero two"),
        ("12.5 V", "twelve point five volts"),
        ("5, 6, 1.", "five six one"),
        ("1,200 RPM", "one thousand two hundred r p m"),
        ("Five hundred.", "five hundred"),
        ("Log backlash 50,000.", "log backlash fifty thou"),
    ],
)
def test_what_is_written_is_found_as_it_is_said(text: str, phrase: str) -> None:
    meant = LANGUAGE.meaning(plain_words(phrase))
    assert meant is not None
    assert meant in [LANGUAGE.meaning(tuple(each.split())) for each in written(text)]


@pytest.mark.parametrize(
    "text", ["", "...", "Could you pass me the small screwdriver?", "12345678", "4 screws and a spring", "½"]
)
def test_what_is_no_command_gives_nothing(text: str) -> None:
    assert written(text) == []


@pytest.mark.parametrize(
    ("figures", "said"), [("1250", "twelve fifty"), ("125", "one twenty five"), ("9999", "ninety nine ninety nine")]
)
def test_a_numeral_may_have_been_said_in_pairs(figures: str, said: str) -> None:
    # As num2words says a year: num2words(1250, to="year") is "twelve fifty".
    assert f"{said} grams" in written(f"{figures} grams")


@given(st.integers(1, 9999))
def test_a_numeral_is_read_as_num2words_says_it(value: int) -> None:
    # num2words: a library that spells numbers out, in the British way too.
    said = num2words(value, lang="en_GB").replace("-", " ").replace(",", "")
    found = written(f"{value} grams")
    assert f"{said} grams" in found
    for each in found:
        (intent,) = LANGUAGE.interpret(tuple(each.split()))[:1]
        assert intent.figure is None or intent.figure.value == value


@given(st.text(max_size=40))
def test_any_text_gives_phrases_of_the_grammar_or_none(text: str) -> None:
    for words in phrases_written(text, LANGUAGE.automaton, SOUNDS_LIKE):
        assert LANGUAGE.automaton.accepts(words)
