"""Figures at the bench: read back, decided, corrected, doubted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

import pytest

from handsfree.bench.setting_up import session_of
from handsfree.guide.effects import Record, Say, Signal
from handsfree.guide.guide import Guide
from handsfree.job.events import JobOpened, ReadingLogged
from handsfree.job.stated import value_of
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded
from tests.support.played import MORNING, Play


def test_a_figure_is_read_back_with_unit_and_verdict_and_then_stands(play: Play) -> None:
    played = play("next", "log clearance four thou")
    assert played.last == "Latch clearance, four thou. In limits."
    (entry,) = played.state.entries.values()
    assert entry.settled
    assert (entry.event.value, entry.event.unit, entry.event.decision) == ("4", "thou", "in limits")


def test_the_steps_unit_is_assumed_and_named(play: Play) -> None:
    assert play("next", "log four").last == "Latch clearance, four thou. In limits."


def test_out_of_limits_is_said_at_once_with_by_how_much(play: Play) -> None:
    played = play("next", "log seven thou", "set again", "log four thou")
    assert "Out of limits, two thou over. Set again, accept it, or leave open?" in played.said[2]
    first, second = played.state.entries.values()
    assert (first.withdrawn, second.stands) == ("set again", True)


def test_a_figure_accepted_out_of_limits_keeps_its_reason(play: Play) -> None:
    played = play("next", "log seven thou", "accept it", "no better blade in the shop", "next")
    (entry,) = played.state.entries.values()
    assert (entry.outcome, entry.reason) == ("accepted", "no better blade in the shop")
    assert played.last.startswith("Step three.")


@pytest.mark.parametrize(
    ("later", "answer", "outcome"),
    [
        ("set again", "Set it again, then log it.", "set again"),
        ("accept within wear", "Accepted out of limits, within wear.", "accepted"),
    ],
)
def test_a_figure_left_open_can_be_decided_later(play: Play, later: str, answer: str, outcome: str) -> None:
    played = play("next", "log seven thou", "leave open", later)
    assert played.last == answer
    (entry,) = played.state.entries.values()
    assert entry.outcome == outcome


def test_what_was_decided_about_a_figure_is_not_decided_again(play: Play) -> None:
    played = play("next", "log seven thou", "accept within wear", "leave open")
    assert played.last == "No figure of this step is out of limits."


def test_an_outcome_without_its_question_keeps_nothing_from_being_heard(guide: Guide) -> None:
    _say(guide, "log seven thou")
    (say,) = (effect for effect in _say(guide, "leave open") if isinstance(effect, Say))
    guide.spoken(say.token, True, MORNING)
    _say(guide, "log fifteen thou")
    assert _texts(_say(guide, "accept within wear")) == [
        "The figure was not written. Accepted out of limits, within wear."
    ]


def test_a_figure_out_of_limits_with_nothing_decided_holds_the_step(play: Play) -> None:
    played = play("next", "log seven thou", "next")
    assert played.last == "Latch clearance is out of limits with nothing decided. Go on without? Yes or no."


def test_too_near_a_limit_for_the_tool_is_undecided(play: Play) -> None:
    # Half the resolution of 0.5 thou is the least uncertainty: ISO 14253-1 decides only outside 4.75 to 5.25.
    assert "Undecided, too near the upper limit" in play("next", "log five thou").last


def test_millimetres_on_a_step_in_thou_are_converted_exactly(play: Play) -> None:
    played = play("next", "log point one millimetres")
    (entry,) = played.state.entries.values()
    # 0.1 mm / 0.0254 mm (NIST SP 811) = 500/127 thou, which no decimal ends.
    assert isinstance(entry.event, ReadingLogged)
    assert value_of(entry.event) == Fraction(500, 127)
    assert (entry.event.value[:10], entry.event.as_said) == ("3.93700787", "0.1 mm")
    assert played.last.startswith("Latch clearance, nought point one millimetres.")


def test_another_kind_of_unit_is_refused_with_the_reason(play: Play) -> None:
    played = play("next", "log clearance four seconds")
    assert played.last == "Latch clearance is not measured in seconds. Not logged."
    assert not played.state.entries


def test_wrong_figure_then_right_one(play: Play) -> None:
    played = play("next", "log three and a half thou", "wrong, it is four thou", "read back")
    first, second = played.state.entries.values()
    assert (first.withdrawn, second.event.corrects) == ("corrected", first.event.id)
    assert played.said[3] == "Corrected. Latch clearance, four thou. In limits."
    assert played.last.startswith("Step two: Latch clearance, as set, four thou, about nought point one nought two")


def test_take_back_leaves_the_entry_in_the_log_withdrawn(play: Play) -> None:
    played = play("next", "log four thou", "take back")
    (entry,) = played.state.entries.values()
    assert entry.withdrawn == "taken back"


@pytest.mark.parametrize("answer", ["one five", "one five thou", "log one five"])
def test_fifteen_is_asked_back_digit_by_digit(play: Play, answer: str) -> None:
    played = play("next", "log fifteen thou", answer)
    assert played.said[2] == "One five or five nought, thou?"
    assert [entry.event.value for entry in played.state.entries.values()] == ["15"]


def test_after_three_answers_that_do_not_settle_it_a_figure_is_logged_anew(play: Play) -> None:
    played = play("next", "log fifteen thou", "fifteen", "fifteen", "fifteen")
    again = "Digit by digit, please. One five or five nought, thou?"
    assert played.said[2:] == [
        "One five or five nought, thou?", again, again, "The figure was not written. Log it again."
    ]  # fmt: skip
    assert not played.state.entries
    assert len(play("yes", "log fifteen thou", "fifteen", "fifteen", "one five").state.entries) == 1


def test_after_three_different_readings_one_is_logged_anew(play: Play) -> None:
    lines = (
        "log fourteen goes, fifteen won't",
        "four goes five won't",
        "three goes four won't",
        "four goes five won't",
    )
    played = play("next", *lines)
    again = "Not the same as before. Say the figure again."
    assert played.said[2:] == ["Say the figure again.", again, again, "The figure was not written. Log it again."]
    assert not played.state.entries


def test_a_bare_yes_never_confirms_a_figure(play: Play) -> None:
    played = play("next", "log fifteen thou", "yes", "fifteen", "~ one minute")
    assert not played.state.entries
    assert played.said[-1] == "No answer. Nothing written."


def test_a_figure_far_out_of_limits_is_asked_again_before_it_is_written(play: Play) -> None:
    played = play("next", "log four hundred thou", "four thou", "four")
    assert played.said[2] == "Four hundred thou is far out of limits. Say the figure again."
    # The second figure is another one: the two are put side by side.
    assert played.said[3] == "Four or four nought nought, thou?"
    assert [entry.event.value for entry in played.state.entries.values()] == ["4"]


@pytest.mark.parametrize("said", ["four mils", "a mil", "a tenth of a mil"])
def test_mils_are_asked_back(play: Play, said: str) -> None:
    played = play("next", f"log {said}", "four thou")
    assert played.said[2] == "Mils can mean two things. Millimetres or thou? Say the figure with its unit."
    assert [entry.event.as_said for entry in played.state.entries.values()] == ["4 thou"]


KINDS = """
title: Proving of the oven gauge
item: Oven gauge
revision: 1
steps:
  - id: prove
    do: Measure everything.
    measure:
      - {name: tilt, unit: degree}
      - {name: hand, unit: arcminute}
      - {name: oven, unit: °F}
      - {name: soak, unit: min}
      - {name: shake, unit: mm}
      - {name: lash, unit: inch}
      - {name: beat, unit: s}
"""


@pytest.mark.parametrize(
    ("said", "as_said"),
    [
        ("log tilt twelve degrees", "12°"),
        ("log oven three hundred and twenty degrees", "320°F"),
        ("log hand five minutes", "5′"),
        ("log soak five minutes", "5 min"),
        ("log shake two hundredths", "0.02 mm"),
        ("log beat three tenths of a second", "3/10 s"),
        ("log beat a fiftieth of a second", "1/50 s"),
        ("log lash one and three eighths of an inch", "1 3/8 in"),
    ],
)
def test_degrees_minutes_and_hundredths_are_settled_by_what_is_measured(
    make_play: Callable[..., Play], said: str, as_said: str
) -> None:
    played = make_play(KINDS)(said)
    assert [entry.event.as_said for entry in played.state.entries.values()] == [as_said]


@pytest.mark.parametrize(
    ("said", "question", "answer", "as_said"),
    [
        (
            "log lash two hundredths",
            "Hundredths can mean two things. Hundredths of a millimetre or hundredths of an inch?",
            "two hundredths of an inch",
            "0.02 in",
        ),
        ("log beat three tenths", "Tenths of what?", "three tenths of a second", "3/10 s"),
        (
            "log shake a tenth",
            "Tenths can mean two things. Tenths of a thou or tenths of a millimetre?",
            "a tenth of a millimetre",
            "0.1 mm",
        ),
        (
            "log shake two tenths",
            "Tenths can mean two things. Tenths of a thou or tenths of a millimetre?",
            "two tenths of a millimetre",
            "0.2 mm",
        ),
    ],
)
def test_parts_without_of_what_are_asked_back(
    make_play: Callable[..., Play], said: str, question: str, answer: str, as_said: str
) -> None:
    played = make_play(KINDS)(said, answer)
    assert played.said[1] == f"{question} Say the figure with its unit."
    assert [entry.event.as_said for entry in played.state.entries.values()] == [as_said]


@pytest.mark.parametrize(
    ("said", "answer", "as_said"),
    [
        ("log beat a two hundredth of a second", "nought point nought nought five", "1/200 s"),
        ("log beat two hundredths of a second", "point oh two", "1/50 s"),
    ],
)
def test_a_two_hundredth_and_two_hundredths_of_a_second_are_put_side_by_side(
    make_play: Callable[..., Play], said: str, answer: str, as_said: str
) -> None:
    played = make_play(KINDS)(said, answer)
    assert {"nought point nought nought five", "nought point nought two"} == set(
        played.said[1].lower().removesuffix(", seconds?").split(" or ")
    )
    assert [entry.event.as_said for entry in played.state.entries.values()] == [as_said]


def test_degrees_where_two_kinds_are_measured_are_asked_back(make_play: Callable[..., Play]) -> None:
    played = make_play(KINDS)("log twelve degrees")
    assert played.last.startswith("Which, tilt, hand, oven")
    assert not played.state.entries


def test_two_characteristics_and_no_name(play: Play) -> None:
    played = play("go to step four", "log four", "clearance four thou", "log point four")
    assert "Which, latch clearance or stop gap?" in played.said[2]
    assert [entry.event.characteristic for entry in played.state.entries.values()] == ["latch clearance", "stop gap"]


def test_a_figure_that_belongs_to_another_step_is_refused(play: Play) -> None:
    assert play("next", "log stop gap point four").last == "Stop gap is measured at step four. Not logged."


def test_a_bare_figure_is_no_command(play: Play) -> None:
    played = play("next", "four thou")
    assert not played.state.entries
    assert played.answers("four thou") == ["not caught"]


def test_a_check_is_answered_and_a_failed_one_holds_the_step(play: Play) -> None:
    played = play("go to step five", "no", "next", "no", "yes", "next")
    assert played.said[2] == "Check failed. It is in the log."
    assert played.said[3] == "The check failed. Go on without? Yes or no."


def test_a_yes_that_nobody_asked_for_makes_no_sound(play: Play) -> None:
    assert play("yes").answers("yes") == []


# What only hearing can bring: doubt, and speech that is cut off.


@pytest.fixture
def guide(small: Loaded) -> Guide:
    guide = Guide(session_of(small.procedure))
    opened = JobOpened(
        at=MORNING, title="t", revision="1", procedure_sha256="0", procedure_text="", procedure_name="gate-latch"
    )
    guide.open(opened)
    said = _say(guide, "next")
    assert any(isinstance(effect, Say) for effect in said)
    return guide


def _say(guide: Guide, words: str, hearing: Hearing = Hearing.CLEAR, *others: str, at: float = 0) -> list[object]:
    intents = guide.session.language.interpret(tuple(words.split()))
    alternatives = tuple(guide.session.language.interpret(tuple(other.split()))[0] for other in others)
    utterance = Utterance(tuple(words.split()), hearing, intents, alternatives, recogniser="spoken in a test")
    return list(guide.hear(utterance, MORNING + timedelta(seconds=at)))


def _texts(effects: list[object]) -> list[str]:
    return [effect.text for effect in effects if isinstance(effect, Say)]


def test_a_doubtful_figure_is_a_choice_of_two(guide: Guide) -> None:
    assert _texts(_say(guide, "log three thou", Hearing.DOUBTFUL, "log four thou")) == ["Three or four, thou?"]
    assert not guide.session.state.entries
    assert _texts(_say(guide, "four")) == ["Latch clearance, four thou. In limits."]


def test_a_doubtful_figure_without_another_is_said_again(guide: Guide) -> None:
    assert _texts(_say(guide, "log four thou", Hearing.DOUBTFUL)) == ["Say the figure again."]
    assert _texts(_say(guide, "four thou")) == ["Latch clearance, four thou. In limits."]


def test_a_doubtful_next_moves_nothing_until_it_is_said_again(guide: Guide) -> None:
    before = guide.session.state.step
    assert _texts(_say(guide, "take back", Hearing.DOUBTFUL)) == ["Not sure. Say it again."]
    assert guide.session.state.step == before
    assert _texts(_say(guide, "take back")) == ["Nothing to take back."]


def test_a_doubtful_question_that_changes_nothing_is_simply_answered(guide: Guide) -> None:
    assert _texts(_say(guide, "why", Hearing.DOUBTFUL)) == ["Too tight and it sticks."]


def test_talk_makes_no_sound_and_a_near_miss_the_soft_tone(guide: Guide) -> None:
    assert _say(guide, "", Hearing.NONE) == []
    assert _say(guide, "next", Hearing.NEAR) == [Signal("not caught")]


def test_a_figure_whose_read_back_was_cut_off_is_read_back_again_and_only_then_stands(guide: Guide) -> None:
    (say,) = (effect for effect in _say(guide, "log four thou") if isinstance(effect, Say))
    guide.spoken(say.token, False, MORNING)
    (again,) = (effect for effect in _say(guide, "why", at=2) if isinstance(effect, Say))
    assert again.text == "Latch clearance, four thou. In limits. Too tight and it sticks."
    (entry,) = guide.session.state.entries.values()
    assert not entry.settled
    (settled,) = guide.spoken(again.token, True, MORNING)
    assert isinstance(settled, Record)
    assert entry.settled


def test_a_question_that_was_cut_off_by_its_answer_is_not_put_again(guide: Guide) -> None:
    (say,) = (effect for effect in _say(guide, "log seven thou") if isinstance(effect, Say))
    guide.spoken(say.token, False, MORNING)
    assert _texts(_say(guide, "accept within wear")) == [
        "Latch clearance, seven thou. Out of limits, two thou over. Accepted out of limits, within wear."
    ]


def test_a_danger_that_was_cut_off_is_said_again(small: Loaded) -> None:
    guide = Guide(session_of(small.procedure))
    opened = JobOpened(
        at=MORNING, title="t", revision="1", procedure_sha256="0", procedure_text="", procedure_name="gate-latch"
    )
    (say,) = (effect for effect in guide.open(opened) if isinstance(effect, Say))
    guide.spoken(say.token, False, MORNING)
    assert "Danger. Spring under load." in _texts(_say(guide, "details"))[0]


@pytest.mark.parametrize("lines", [("cautions",), ("log four thou", "pause the job", "")])
def test_a_danger_that_stands_is_said_again_when_it_was_cut_off(guide: Guide, lines: tuple[str, ...]) -> None:
    *before, last = lines
    for line in before:
        _say(guide, line)
    if last:
        effects = _say(guide, last)
    else:
        guide = Guide(session_of(guide.session.worked.procedure, guide.session.state))
        effects = list(guide.resume(MORNING))
    (say,) = (effect for effect in effects if isinstance(effect, Say))
    danger = "Danger stands since step one. Spring under load. Keep your face clear."
    assert danger in say.text
    guide.spoken(say.token, False, MORNING)
    (again,) = _texts(_say(guide, "why"))
    assert danger in again


def test_a_read_back_that_was_contested_is_not_repeated(guide: Guide) -> None:
    (say,) = (effect for effect in _say(guide, "log four thou") if isinstance(effect, Say))
    guide.spoken(say.token, False, MORNING)
    assert _texts(_say(guide, "wrong it is three and a half thou")) == [
        "Corrected. Latch clearance, three and a half thou. In limits."
    ]


def test_replaying_the_events_gives_the_same_state(play: Play) -> None:
    played = play("next", "log four thou", "next", "note", "worn tooth", "end of note")
    resumed = play("yes")
    again = replace(played.state, paused=False, count=0, last=None)
    later = replace(resumed.state, paused=False, count=0, last=None)
    assert later == again
