"""Speaking style: what people say in one breath, each way with its outcome."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.bench.loops.sources import typed_utterance
from handsfree.bench.setting_up import language_of
from handsfree.phrases.breath import in_one_breath
from handsfree.phrases.continuation import may_go_on
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing
from handsfree.procedure.file.loader import Loaded
from tests.support.played import Play

LANGUAGE = Language()


@pytest.fixture
def language(small: Loaded) -> Language:
    return language_of(small.procedure)


@pytest.mark.parametrize(
    "line",
    [
        "um log clearance four thou", "log um clearance four thou", "log clearance uh four thou",
        "hmm log clearance four thou",
        "log clear log clearance four thou", "log log clearance four thou", "log clearance log clearance four thou",
        "go to log clearance four thou",
    ],
)  # fmt: skip
def test_fillers_and_starts_broken_off_do_not_matter(language: Language, line: str) -> None:
    heard = typed_utterance(line, language, "commands")
    assert heard.hearing is Hearing.CLEAR and heard.then == ()
    assert heard.intents == language.interpret_text("log clearance four thou")


@pytest.mark.parametrize(
    "line",
    [
        "i think log clearance four thou", "log clearance four thou i think", "so then next", "next please you know",
        "um", "log clear", "tea log clearance four thou", "log clearance four thou next where am i",
    ],
)  # fmt: skip
def test_talk_around_a_command_is_not_caught(language: Language, play: Play, line: str) -> None:
    assert in_one_breath(language, tuple(line.split())) is None
    played = play("next", line)
    assert played.shown[-1][0] == "not caught"
    assert played.events[-1].kind == "step entered"


def test_two_commands_are_done_in_order(play: Play) -> None:
    played = play("next", "log clearance four thou, next", "where am i")
    assert "Step three of five. Put one drop of lacquer on the screw." in played.last
    kinds = [event.kind for event in played.events]
    assert kinds.index("reading logged") < kinds.index("reading settled")
    assert kinds.count("step done") == 2
    assert any("Latch clearance, four thou. In limits." in said for said in played.said)


def test_the_second_command_is_dropped_where_the_first_asks(play: Play) -> None:
    played = play("next", "log clearance six thou, next")
    assert played.state.step == "set"
    assert any("Set again, accept it, or leave open?" in said for said in played.said)
    assert "Not done: next." in played.said[-1] or "Not done: next." in played.said[-2]


def test_a_figure_said_twice_in_one_breath_is_asked_back(play: Play) -> None:
    played = play("next", "log clearance four log clearance five thou")
    assert "Say the figure again." in " ".join(played.said)
    assert played.state.entries == {}
    assert "five thou" in play("yes", "log clearance four log clearance five thou", "five thou").last


def test_the_same_command_twice_is_one(play: Play) -> None:
    assert play("next next").state.step == "set"


def test_a_figure_without_its_unit_takes_the_steps_and_a_unit_alone_is_not_caught(play: Play) -> None:
    played = play("next", "log clearance four")
    assert "Latch clearance, four thou. In limits." in played.last
    assert play("yes", "log clearance thou").shown[-1][0] == "not caught"


def test_an_answer_is_never_the_second_command(language: Language) -> None:
    for words in ("next four thou", "next yes", "where am i no"):
        assert in_one_breath(language, tuple(words.split())) is None


@given(st.integers(0, 10**6))
def test_a_command_in_a_breath_means_what_it_means_alone(seed: int) -> None:
    rng = random.Random(seed)
    words = LANGUAGE.sample(rng)
    breath = in_one_breath(LANGUAGE, words)
    assert breath is not None and breath.intents == LANGUAGE.interpret(words) and breath.then == ()


@given(st.integers(0, 10**6))
def test_two_commands_never_become_a_third(seed: int) -> None:
    rng = random.Random(seed)
    one, two = LANGUAGE.sample(rng), LANGUAGE.sample(rng)
    breath = in_one_breath(LANGUAGE, one + two)
    if breath is not None and breath.then:
        said = {intent.kind for words in (one, two) for intent in LANGUAGE.interpret(words)}
        assert {breath.intents[0].kind, breath.then[0].kind} <= said | {Kind.FIGURE, Kind.NEXT, Kind.DONE, *said}


def test_only_what_can_change_its_meaning_may_go_on(language: Language) -> None:
    assert not any(may_go_on(language, tuple(words.split())) for words in ("next", "yes", "where am i", "stand by"))
    assert all(
        may_go_on(language, tuple(w.split())) for w in ("log clearance four thou", "skip this step", "no", "read back")
    )
