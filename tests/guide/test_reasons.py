"""Reasons: one of the listed ones in one breath, or any other after "because", in one's own words."""

from __future__ import annotations

import pytest

from handsfree.job.events import OutcomeGiven, StepSkipped
from handsfree.phrases.commands.reasons import REASONS, with_command_as_meant
from tests.support.played import Play


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        ("accept because the customer wants it", "the customer wants it"),
        ("accept it because within wear", "within wear"),
        ("accept, within wear", "within wear"),
    ],
)
def test_a_figure_is_accepted_for_a_reason_said_in_the_same_breath(play: Play, words: str, reason: str) -> None:
    played = play("next", "log clearance six thou", words)
    assert [event.reason for event in played.events if isinstance(event, OutcomeGiven)] == [reason]
    assert played.last == f"Accepted out of limits, {reason}."


def test_because_alone_asks_for_the_reason(play: Play) -> None:
    assert play("next", "log clearance six thou", "accept because").last == "Accepted for what reason?"


def test_a_step_is_skipped_for_a_reason_in_free_words(play: Play) -> None:
    played = play("skip because the hook is missing")
    assert [event.reason for event in played.events if isinstance(event, StepSkipped)] == ["the hook is missing"]


def test_talk_with_a_because_in_it_is_no_command(play: Play) -> None:
    assert not any(isinstance(event, StepSkipped) for event in play("he went home because he was tired").events)
    assert "the customer wants it" not in REASONS


@pytest.mark.parametrize(
    ("read", "command", "meant"),
    [
        ("except because he asked", "accept because", "accept because he asked"),
        ("strip this step because it is new", "skip this step", "skip this step because it is new"),
        ("he went home because he was tired", "accept because", "he went home because he was tired"),
        ("we accept it because he asked", "what did you hear", "we accept it because he asked"),
        ("accept it for now", "accept it", "accept it for now"),
    ],
)
def test_what_was_read_freely_before_because_is_the_command_that_sounds_like_it(
    read: str, command: str, meant: str
) -> None:
    assert " ".join(with_command_as_meant(tuple(read.split()), tuple(command.split()))) == meant
