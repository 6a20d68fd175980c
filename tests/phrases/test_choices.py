"""Choosing one of several, by its number or by a name that no other has."""

from __future__ import annotations

import pytest

from handsfree.phrases.commands.choices import ChoiceLanguage
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language

JOBS = ChoiceLanguage("job", ["2026-11-25-4", "2026-11-26-1", "2026-11-26-2"], {"lathe": "2026-11-26-1"})


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("one", "2026-11-25-4"), ("job one", "2026-11-25-4"), ("number two", "2026-11-26-1"),
        ("three", "2026-11-26-2"), ("lathe", "2026-11-26-1"), ("the lathe", "2026-11-26-1"),
    ],
)  # fmt: skip
def test_one_of_them_is_chosen_by_its_number_or_its_name(said: str, key: str) -> None:
    (intent,) = JOBS.interpret_text(said)
    assert (intent.kind, intent.answer) == (Kind.ANSWER, key)


@pytest.mark.parametrize("said", ["four", "zero", "the two", "job lathe", "step one", "next", "yes"])
def test_what_names_none_of_them_chooses_none(said: str) -> None:
    assert JOBS.interpret_text(said) == ()


def test_they_are_heard_again_on_request_and_need_no_names() -> None:
    plain = ChoiceLanguage("job", ["a"], {})
    for language in (JOBS, plain):
        for said in ("repeat", "say again", "say that again"):
            assert [intent.kind for intent in language.interpret_text(said)] == [Kind.REPEAT]
    assert [intent.answer for intent in plain.interpret_text("one")] == ["a"]
    assert plain.interpret_text("the lathe") == ()
    assert {command.group for command in plain.commands} == {"Choosing"}
    assert "lathe" in JOBS.automaton.words and "lathe" not in plain.automaton.words


def test_what_came_off_may_be_said_to_be_back_by_its_name() -> None:
    language = Language(Vocabulary(out=["front cover"]))
    (intent,) = language.interpret_text("the front cover is back")
    assert (intent.kind, intent.name, intent.way, intent.count) == (Kind.COUNT_PARTS, "front cover", "back", 1)
    assert Language().interpret_text("the front cover is back") == ()
    assert language.interpret_text("the front cover is out") == ()
