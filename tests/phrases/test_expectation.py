"""What a step makes likely: it tells apart only what makes a difference, and hides nothing."""

from __future__ import annotations

from fractions import Fraction

import pytest

from handsfree.measure.limits import Limits
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.expectation import NOTHING, Expectation
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language

LANGUAGE = Language(
    Vocabulary(
        {"end play": "end play", "play": "end play", "slide travel": "slide travel"},
        {"end play": "thou", "slide travel": "mm"},
    )
)
END_PLAY = Expectation({"end play": "thou"}, frozenset())


def only(text: str) -> Intent:
    (intent,) = LANGUAGE.interpret_text(text)
    return intent


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("log four and a half", "log four and a half thou"),
        ("log end play four", "log four thou"),
        ("log play four", "log end play four thousandths of an inch"),
        ("log point five", "log nought point five oh"),
        ("make it four", "make it four thou"),
    ],
)
def test_what_makes_no_difference_at_the_step_is_the_same(one: str, other: str) -> None:
    assert END_PLAY.completed(only(one)) == END_PLAY.completed(only(other))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("log four", "log four millimetres"),
        ("log four", "log five"),
        ("log four", "log slide travel four"),
        ("log four", "log as found four"),
        ("log four", "log four mils"),
        ("next", "back"),
    ],
)
def test_what_makes_a_difference_is_told_apart(one: str, other: str) -> None:
    assert END_PLAY.completed(only(one)) != END_PLAY.completed(only(other))


def test_a_unit_of_several_meanings_is_not_taken_for_that_of_the_step() -> None:
    figure = END_PLAY.completed(only("log four mils")).figure
    assert figure is not None
    assert (figure.unit, figure.ambiguous_unit) == (None, "mils")


def test_without_an_expectation_a_missing_unit_stays_missing() -> None:
    assert NOTHING.completed(only("log four")) != NOTHING.completed(only("log four thou"))


def test_where_two_units_are_measured_a_missing_unit_stays_missing() -> None:
    both = Expectation({"end play": "thou", "slide travel": "mm"}, frozenset())
    assert both.completed(only("log four")) != both.completed(only("log four thou"))
    assert both.completed(only("log end play four")) == both.completed(only("log end play four thou"))


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        ("log four", True),
        ("log end play four thou", True),
        ("log slide travel four", False),
        ("log four millimetres", False),
        ("timer ten minutes", True),
        ("next", True),
        ("yes", False),
        ("four thou", False),
    ],
)
def test_likely_is_what_fits_the_step_and_what_was_asked(text: str, likely: bool) -> None:
    assert END_PLAY.likely(only(text)) is likely
    assert NOTHING.likely(only(text))


def test_an_answer_is_likely_when_it_was_asked_for() -> None:
    asked = Expectation({"end play": "thou"}, frozenset({Kind.FIGURE, Kind.YES}))
    assert asked.likely(only("four thou"))
    assert asked.likely(only("yes"))
    assert not asked.likely(only("no"))


@pytest.mark.parametrize(
    ("said", "fits"),
    [
        ("log four thou", True),
        ("four", True),
        ("log end play four", True),
        ("log forty thou", False),
        ("log nought point one millimetres", True),
        ("log four grams", False),
        ("log backlash four", None),
        ("next", None),
    ],
)
def test_whether_a_figure_fits_the_limits_of_what_is_measured_here(said: str, fits: bool | None) -> None:
    language = Language(Vocabulary({"end play": "end play", "backlash": "backlash"}, {"end play": "thou"}))
    here = Expectation({"end play": "thou"}, limits={"end play": Limits(Fraction(2), Fraction(5))})
    assert {here.fits(intent) for intent in language.interpret(tuple(said.split()))} == {fits}


def test_one_limit_alone_says_what_does_not_fit_and_little_else() -> None:
    language = Language(Vocabulary({"end play": "end play"}, {"end play": "thou"}))
    here = Expectation({"end play": "thou"}, limits={"end play": Limits(high=Fraction(5))})
    assert [here.fits(language.interpret((word,))[0]) for word in ("four", "forty")] == [None, False]
    assert Expectation().fits(language.interpret(("four",))[0]) is None
