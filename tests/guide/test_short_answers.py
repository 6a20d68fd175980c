"""How much there is to hear: short answers for whoever knows the procedure, and no routine answer that is long."""

from __future__ import annotations

from collections.abc import Callable

from handsfree.job.log.store import Store
from handsfree.procedure.file.loader import Loaded
from handsfree.procedure.workshop import Workshop
from handsfree.speaking.voice.delivery import figures
from tests.support.played import SMALL, Play, player

LONGEST_ROUTINE = 12
"""Words of an answer that comes many times in a job; a figure, which has to be whole, counts as one."""


def words(answer: str) -> int:
    for figure in figures(answer):
        answer = answer.replace(figure, "figure", 1)
    return len(answer.split())


def test_short_answers_tell_the_verdict_in_a_word_and_the_figure_whole(play: Play) -> None:
    said = play("next", "log clearance six thou", "leave it open", "short answers", "log clearance seven thou").said
    assert any("six thou. Out of limits, one thou over." in answer for answer in said)
    assert "Short answers." in said
    assert "Latch clearance, seven thou. Out of limits. Set again" in said[-1]


def test_a_step_is_its_act_and_its_danger(small: Loaded, store: Store) -> None:
    brief = player(small, store, Workshop(brief=True))
    assert (
        "Danger. Spring under load. Keep your face clear. Step one. Press the spring down and hook it."
        in (brief().said[0])
    )
    moved = brief("yes", "next")
    assert moved.last == "Step two. Set the latch clearance. Left-hand thread."


def test_full_answers_come_back(small: Loaded, store: Store) -> None:
    played = player(small, store, Workshop(brief=True))("full answers", "next")
    assert "Full answers." in played.said
    assert "Log latch clearance, three to five thou." in played.last


def test_dangers_are_never_short(make_play: Callable[..., Play]) -> None:
    played = make_play(SMALL, "answers: short\n")("stand by", "back at the bench")
    assert "Spring under load. Keep your face clear." in played.last


def test_no_routine_answer_is_long(play: Play) -> None:
    played = play(
        "next", "log clearance four thou", "read back", "limits", "fasteners", "lubricant", "why", "details",
        "where am i", "take back", "log clearance four and a half thou", "next", "start the timer", "how long is left",
        "slower", "louder", "what comes after", "stand by", "back at the bench", "repeat",
    )  # fmt: skip
    routine = [said for said in played.said if "Step " not in said and "Danger" not in said and not said.endswith("?")]
    assert len(routine) > 9
    assert {said: words(said) for said in routine if words(said) > LONGEST_ROUTINE} == {}
