"""A reason said in one breath with its command: one of the list, or free words after "because"."""

from __future__ import annotations

import pytest

from handsfree.phrases.commands.reasons import REASONS, with_command_as_meant, with_free_reason
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language, plain_words

LANGUAGE = Language()


@pytest.mark.parametrize("reason", REASONS)
def test_each_reason_of_the_list_can_be_said_with_and_without_because(reason: str) -> None:
    for said in (f"accept it {reason}", f"accept it because {reason}"):
        (intent,) = LANGUAGE.interpret_text(said)
        assert (intent.kind, intent.reason) == (Kind.ACCEPT, reason)


def _given(text: str) -> list[tuple[Kind, str | None]]:
    return [(each.kind, each.reason) for each in with_free_reason(LANGUAGE.interpret, plain_words(text), text)]


@pytest.mark.parametrize(
    ("text", "kind", "reason"),
    [
        ("accept because the customer wants it so.", Kind.ACCEPT, "the customer wants it so"),
        ("Skip this step because, we lack a No. 4 tap", Kind.SKIP, "we lack a No. 4 tap"),
        ("accept it Because it rings because of the lid", Kind.ACCEPT, "it rings because of the lid"),
    ],
)
def test_after_because_anything_may_be_said(text: str, kind: Kind, reason: str) -> None:
    assert _given(text) == [(kind, reason)]


@pytest.mark.parametrize(
    "text", ["accept it", "accept because", "next because it is done", "tea because it is late", "because it is worn"]
)
def test_without_a_command_that_takes_a_reason_or_without_a_reason_it_is_none(text: str) -> None:
    assert _given(text) == []


def _meant(heard: str, command: str) -> str:
    return " ".join(with_command_as_meant(tuple(heard.split()), tuple(command.split())))


def test_a_command_before_because_is_the_one_that_it_sounds_like() -> None:
    assert _meant("except because it is old", "accept because") == "accept because it is old"
    assert _meant("except because it is old", "accept") == "accept because it is old"


def test_what_sounds_like_no_command_stays_as_it_was_read() -> None:
    assert _meant("the kettle because it is old", "accept because") == "the kettle because it is old"
    assert _meant("except it is old", "accept") == "except it is old"
    assert _meant("except because it is old", "") == "except because it is old"
    assert _meant("because it is old", "because") == "because it is old"
