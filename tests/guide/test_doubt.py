"""What a command that was heard doubtfully may do: nothing that would be in the log or move the job."""

from __future__ import annotations

import random

import pytest

from handsfree.bench.setting_up import language_of, session_of
from handsfree.guide.effects import Say
from handsfree.guide.guide import Guide
from handsfree.job.events import JobOpened
from handsfree.phrases.intents import Changes, Kind
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded
from tests.support.played import MORNING

WHILE_TAKING_APART = (
    Kind.REMOVED, Kind.PUT_IN_TRAY, Kind.IN_TRAY, Kind.MARKED, Kind.NEW_WORD, Kind.GIVE_NAME, Kind.END_APART,
)  # fmt: skip
NOT_OF_THIS_PROCEDURE = (
    Kind.ANSWER,
    Kind.GO_TO_JOB,
)


@pytest.fixture
def guide(small: Loaded) -> Guide:
    language = language_of(small.procedure, procedures={"cleaning": "cleaning"})
    guide = Guide(session_of(small.procedure, language=language))
    guide.open(
        JobOpened(
            at=MORNING, title="t", revision="1", procedure_sha256="0", procedure_text="", procedure_name="gate-latch"
        )
    )
    return guide


def _heard(guide: Guide, kind: Kind, hearing: Hearing) -> bool:
    """Whether a phrase of this kind, heard so, is written to the log."""
    words = guide.session.language.sample(random.Random(3), kind)
    before = guide.session.state.count
    guide.hear(Utterance(words, hearing, guide.session.language.interpret(words)), MORNING)
    return guide.session.state.count > before


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind not in WHILE_TAKING_APART + NOT_OF_THIS_PROCEDURE])
def test_nothing_that_was_heard_doubtfully_is_written(guide: Guide, kind: Kind) -> None:
    place = guide.session.state.step
    assert not _heard(guide, kind, Hearing.DOUBTFUL)
    assert guide.session.state.step == place


@pytest.mark.parametrize(
    "kind", [kind for kind in Kind if kind.changes is Changes.NOTHING and kind is not Kind.IN_TRAY]
)
def test_what_only_tells_is_told_at_once_and_leaves_the_log_alone(guide: Guide, kind: Kind) -> None:
    assert not _heard(guide, kind, Hearing.CLEAR)


@pytest.mark.parametrize("kind", [Kind.NEXT, Kind.DONE, Kind.GO_TO, Kind.SKIP, Kind.REDO, Kind.FINISH, Kind.NOTE])
def test_what_moves_the_job_is_asked_again_when_it_was_heard_doubtfully(guide: Guide, kind: Kind) -> None:
    _heard(guide, kind, Hearing.DOUBTFUL)
    assert guide.session.question is not None
    assert guide.session.question.prompt == "Not sure. Say it again."


@pytest.mark.parametrize(
    ("first", "second", "step"),
    [("go to step two", "go to step two", "set"), ("go to step two", "go to step three", "load")],
)
def test_only_the_very_same_again_is_taken(guide: Guide, first: str, second: str, step: str) -> None:
    language = guide.session.language
    for words, hearing in ((first, Hearing.DOUBTFUL), (second, Hearing.CLEAR)):
        effects = guide.hear(Utterance(tuple(words.split()), hearing, language.interpret(words.split())), MORNING)
    assert guide.session.state.step == step
    assert guide.session.question is None or first == second
    said = [effect.text for effect in effects if isinstance(effect, Say)]
    assert (said == ["Not the same as before. Nothing done."]) is (first != second)


def _say_doubtfully(guide: Guide, *lines: str) -> list[list[str]]:
    """What is answered to each of the lines, none of them heard beyond doubt."""
    language, answers = guide.session.language, []
    for words in lines:
        intents = language.interpret(words.split())
        effects = guide.hear(Utterance(tuple(words.split()), Hearing.DOUBTFUL, intents), MORNING)
        answers.append([effect.text for effect in effects if isinstance(effect, Say)])
    return answers


def test_a_voice_whose_words_always_sound_strange_gets_on_by_saying_them_twice(guide: Guide) -> None:
    # To some voices "next" or "yes" stays doubtful however often it is said.
    answers = _say_doubtfully(guide, "next", "next")
    assert answers[0] == ["Not sure. Say it again."]
    assert guide.session.state.step == "set"


def test_an_answer_in_doubt_is_taken_when_it_comes_twice_running(guide: Guide) -> None:
    _say_doubtfully(guide, "next", "next")
    guide.hear(Utterance(("next",), Hearing.CLEAR, guide.session.language.interpret(["next"])), MORNING)
    assert guide.session.question is not None
    prompt = guide.session.question.prompt
    answers = _say_doubtfully(guide, "yes", "no", "yes")
    assert answers == [[f"Not sure. {prompt}"]] * 3
    assert guide.session.state.step == "set"
    _say_doubtfully(guide, "yes")
    assert guide.session.state.step == "cure"


def test_two_commands_in_doubt_that_differ_do_nothing(guide: Guide) -> None:
    answers = _say_doubtfully(guide, "go to step two", "go to step three")
    assert answers[1] == ["Not sure. Say it again."]
    assert guide.session.state.step == "load"
