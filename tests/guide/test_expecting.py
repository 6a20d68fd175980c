"""What the guide says is likely to be said next."""

from __future__ import annotations

import pytest

from handsfree.bench.setting_up import session_of
from handsfree.guide.guide import Guide
from handsfree.job.events import JobOpened
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.disassembly.language import StrippingLanguage
from handsfree.phrases.expectation import Expectation
from handsfree.phrases.intents import Kind
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded, parse_procedure
from tests.support.played import MORNING


@pytest.fixture
def guide(small: Loaded) -> Guide:
    guide = Guide(session_of(small.procedure))
    guide.open(
        JobOpened(
            at=MORNING, title="t", revision="1", procedure_sha256="0", procedure_text="", procedure_name="gate-latch"
        )
    )
    return guide


def say(guide: Guide, text: str) -> None:
    words = tuple(text.split())
    guide.hear(Utterance(words, Hearing.CLEAR, guide.session.language.interpret(words)), MORNING)


def test_nothing_is_measured_or_asked_at_a_plain_step(guide: Guide) -> None:
    assert guide.expects() == Expectation({}, frozenset())


def test_a_measuring_step_expects_its_characteristic_in_its_unit(guide: Guide) -> None:
    say(guide, "next")
    expected = guide.expects()
    assert (expected.units, expected.answers) == ({"latch clearance": "thou"}, frozenset())
    limits = expected.limits["latch clearance"]
    assert (limits.low, limits.high) == (3, 5)


def test_a_figure_is_expected_when_one_is_asked_for(guide: Guide) -> None:
    say(guide, "next")
    say(guide, "log clearance fifteen")
    assert Kind.FIGURE in (guide.expects().answers or ())


def test_at_a_step_with_a_check_yes_and_no_are_expected(guide: Guide) -> None:
    say(guide, "go to step five")
    if guide.session.question is not None:
        say(guide, "yes")
    assert {Kind.YES, Kind.NO} <= (guide.expects().answers or frozenset())


@pytest.mark.parametrize(
    ("said", "likely"),
    [
        ("log clearance four", True),
        ("log four and a half thou", True),
        ("log clearance seven", True),  # out of limits (3 to 5), and no further than a part at fault may be
        ("log clearance twelve", False),  # more than three times their width beyond them
        ("log clearance one twenty five", False),
        ("log clearance four point two thou", False),  # the blades lie half a thou apart
        ("log minus four", False),
        ("four", True),
        ("log four millimetres", False),
    ],
)
def test_a_figure_that_can_hardly_be_meant_at_the_step_is_not_likely(guide: Guide, said: str, likely: bool) -> None:
    say(guide, "next")
    say(guide, "log clearance fifteen")  # so that figures answer
    (intent,) = guide.session.language.interpret(tuple(said.split()))
    assert guide.expects().likely(intent) is likely


def test_what_is_found_out_of_limits_is_no_sign_that_it_was_misheard() -> None:
    text = """
title: Gap
item: Bench gauge
revision: 1
steps:
  - {id: found, do: Measure it., measure: {name: gap, unit: thou, limits: [4, 6], when: as found}}
  - {id: now, do: Measure it., measure: {name: gap, unit: thou, limits: [4, 6]}}
"""
    loaded = parse_procedure(text.encode(), "gap.yaml")
    guide = Guide(session_of(loaded.procedure))
    opened = JobOpened(
        at=MORNING, title="t", revision="1", procedure_sha256="0", procedure_text="", procedure_name="gap"
    )
    guide.open(opened)
    (eight,), (five,) = (guide.session.language.interpret(("log", "gap", each)) for each in ("eight", "five"))
    assert (guide.expects().fits(eight), guide.expects().fits(five)) == (None, True)
    say(guide, "go to step two")
    say(guide, "yes")
    assert (guide.expects().fits(eight), guide.expects().fits(five)) == (False, True)


@pytest.mark.parametrize(
    ("step", "phrases"),
    [
        (0, ["next", "repeat", "note", "where am I", "take back"]),
        (1, ["next", "log latch clearance and the figure", "fasteners", "lubricant", "repeat", "note"]),
        (2, ["next", "start the timer", "repeat", "note", "where am I", "take back"]),
        (3, ["next", "log latch clearance and the figure", "log stop gap and the figure", "repeat", "note",
             "where am I"]),
        (4, ["next", "yes, no", "repeat", "note", "where am I", "take back"]),
    ],
)  # fmt: skip
def test_the_phrases_of_a_step_are_those_for_what_it_asks_and_has(guide: Guide, step: int, phrases: list[str]) -> None:
    assert list(guide.likely_phrases(guide.session.procedure.steps[step])) == phrases


def test_while_something_is_taken_apart_other_phrases_are_likely_and_all_of_them_are_understood() -> None:
    procedure = stripping_procedure("Bench gauge").procedure
    language = StrippingLanguage(Vocabulary())
    guide = Guide(session_of(procedure, language=language, apart=True))
    likely = guide.likely_phrases(procedure.steps[0])
    assert len(likely) >= 4
    said = [phrase.removesuffix(" and their size") for phrase in likely]
    assert [phrase for phrase in said if not language.interpret_text(phrase)] == []
