"""What is clear, doubtful, near or none.

The numbers in force are derived from data (``tests.tools.calibrate_hearing``) and are none of these tests' business:
limits are set here to either side of what some numbers give, and of the numbers themselves only which way each of them
weighs is held.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.rejection import (
    DEFAULT,
    STAMMER,
    Likeness,
    Thresholds,
    certainty,
    command_likelihood,
    decide,
    is_brief,
    likeness,
    with_noughts,
)
from handsfree.measure.figure import Figure
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Intent, Kind
from handsfree.phrases.language import Language
from handsfree.phrases.utterance import Hearing, RecognitionResult
from tests.support.made_up_hearing import TALK, heard

LANGUAGE = Language(Vocabulary({"end play": "end play"}))
interpret = LANGUAGE.interpret

EXACT = Likeness(unlike=0.0, more=0)
GAP, MARGIN, ODDS = 0.5, 2.0, 6.0
"""Those of ``heard``."""
LIKELY, SURE = command_likelihood(GAP, EXACT), certainty(MARGIN, ODDS, GAP, EXACT)
"""What they give where what was read is the phrase itself."""
A_LITTLE = 0.01

TAKEN = Thresholds(
    command=LIKELY - 1, noise=LIKELY - 2, clear_command=LIKELY - 1, brief_command=LIKELY - 1, certainty=SURE - 1,
    figure_certainty=SURE - 1, noughts=0.5, fitting=0.25, unfitting=0.125,
)  # fmt: skip
"""By these limits such a command, and such a figure, is clear."""

RANKS = (Hearing.NONE, Hearing.NEAR, Hearing.DOUBTFUL, Hearing.CLEAR)


def sure(words: str, *, free: str | None = None) -> RecognitionResult:
    """Heard as well as can be."""
    return heard(words, free=free, gap=0.0, margin=50.0, log_odds=50.0)


@pytest.mark.parametrize("words", ["next", "log four thou", "log point oh four thou", "say again"])
def test_what_is_read_word_for_word_with_nothing_else_near_is_clear(words: str) -> None:
    assert decide(sure(words), interpret) is Hearing.CLEAR


@pytest.mark.parametrize("words", ["log four thou", "log point oh four thou"])
def test_a_figure_that_leads_by_nothing_is_asked_back(words: str) -> None:
    assert decide(heard(words, gap=0.0, margin=0.0, log_odds=0.0), interpret) is Hearing.DOUBTFUL


def test_what_reads_quite_otherwise_and_far_better_is_talk() -> None:
    assert decide(heard("next", free=TALK, gap=50.0, margin=50.0, log_odds=50.0), interpret) is Hearing.NONE


def test_the_limits_in_force_ask_more_where_a_mistake_costs_more() -> None:
    assert DEFAULT.noise < DEFAULT.command <= DEFAULT.clear_command <= DEFAULT.brief_command
    assert DEFAULT.certainty < DEFAULT.figure_certainty
    assert min(DEFAULT.noughts, DEFAULT.fitting, DEFAULT.unfitting) >= 0.0


@pytest.mark.parametrize(
    "what", [heard(), sure("something else"), heard("something else", "next"), sure("say again and again")]
)
def test_what_is_no_command_is_none_however_well_it_was_heard(what: RecognitionResult) -> None:
    assert decide(what, interpret) is Hearing.NONE


def test_only_the_best_phrase_is_decided_on() -> None:
    assert decide(heard("next", "something else"), interpret, TAKEN) is Hearing.CLEAR


@pytest.mark.parametrize(
    ("words", "limit", "below"),
    [("next", "noise", Hearing.NONE), ("next", "command", Hearing.NEAR), ("next", "brief_command", Hearing.DOUBTFUL),
     ("say again", "command", Hearing.NEAR), ("say again", "clear_command", Hearing.DOUBTFUL),
     ("next", "clear_command", Hearing.CLEAR), ("say again", "brief_command", Hearing.CLEAR)],
)  # fmt: skip
@pytest.mark.parametrize("beyond", [1.0, None])
def test_between_talk_and_command_lies_what_gets_the_soft_tone_or_is_asked_back(
    words: str, limit: str, below: Hearing, beyond: float | None
) -> None:
    # The limit itself is enough; what the recogniser can't say of other meanings makes no difference.
    said = heard(words, margin=beyond, log_odds=beyond)
    low = dict.fromkeys(("noise", "command", "clear_command", "brief_command"), LIKELY - 2)
    lower = replace(TAKEN, **low, certainty=-99.0)
    assert decide(said, interpret, replace(lower, **{limit: LIKELY})) is Hearing.CLEAR
    assert decide(said, interpret, replace(lower, **{limit: LIKELY + A_LITTLE})) is below


def test_under_both_limits_it_is_talk_and_not_a_near_miss() -> None:
    out_of_reach = replace(TAKEN, noise=LIKELY + 1, command=LIKELY + 2, brief_command=LIKELY + 3)
    assert decide(heard("next"), interpret, out_of_reach) is Hearing.NONE


@pytest.mark.parametrize(
    ("words", "brief"),
    [
        ("next", True),
        ("zero", True),
        ("a millimetre", True),
        ("an inch", True),
        ("say again", False),
        ("four thou", False),
        ("half a millimetre", False),
        ("a tenth of", False),
    ],
)
def test_a_single_word_has_to_be_likelier_than_a_phrase(words: str, brief: bool) -> None:
    assert is_brief(tuple(words.split())) is brief
    wanted = replace(TAKEN, brief_command=LIKELY + A_LITTLE)
    meaning = (Intent(Kind.NEXT),)
    assert decide(heard(words), lambda _: meaning, wanted) is (Hearing.DOUBTFUL if brief else Hearing.CLEAR)


@pytest.mark.parametrize(
    ("unknown", "hearing"),
    [
        ({"gap": None, "margin": None, "log_odds": None}, Hearing.CLEAR),
        ({"gap": None, "margin": 0.0, "log_odds": -5.0}, Hearing.CLEAR),
        ({"margin": None}, Hearing.CLEAR),
        ({"log_odds": None}, Hearing.CLEAR),
        ({"margin": None, "log_odds": -5.0}, Hearing.CLEAR),
        ({"margin": 0.0, "log_odds": None}, Hearing.CLEAR),
        # What it does say counts.
        ({"gap": 50.0, "margin": None, "log_odds": None, "free": TALK}, Hearing.NONE),
    ],
)
def test_a_number_that_the_recogniser_cannot_give_casts_no_doubt(
    unknown: dict[str, float | None], hearing: Hearing
) -> None:
    doubting = replace(TAKEN, certainty=99.0, figure_certainty=99.0)
    assert decide(heard("log four thou", **unknown), interpret, doubting) is hearing  # type: ignore[arg-type]


@pytest.mark.parametrize("words", ["say again", "log four thou"])
def test_what_all_readings_together_speak_against_is_asked_back_whatever_its_lead(words: str) -> None:
    generous = replace(TAKEN, certainty=-99.0, figure_certainty=-99.0)
    assert decide(heard(words, margin=50.0, log_odds=-A_LITTLE), interpret, generous) is Hearing.DOUBTFUL
    assert decide(heard(words, margin=0.0, log_odds=0.0), interpret, generous) is Hearing.CLEAR


@pytest.mark.parametrize(
    ("words", "fits", "beyond"),
    [
        ("say again", None, None),
        ("log fifteen", None, 0.0),
        ("log point oh five", None, TAKEN.noughts),
        ("log fifteen", True, -TAKEN.fitting),
        ("log fifteen", False, TAKEN.unfitting),
        ("log point oh five", True, TAKEN.noughts - TAKEN.fitting),
        ("log point oh five", False, TAKEN.noughts + TAKEN.unfitting),
        # What fits is asked of figures alone.
        ("say again", True, None),
        ("say again", False, None),
    ],
)
def test_how_certain_it_must_be(words: str, fits: bool | None, beyond: float | None) -> None:
    # A figure has a limit of its own; noughts beside the point and what is out of the step's limits want more than it,
    # what is within them less.
    def hearing(spare: float) -> Hearing:
        if beyond is None:
            limits = replace(TAKEN, certainty=SURE - spare, figure_certainty=99.0)
        else:
            limits = replace(TAKEN, certainty=-99.0, figure_certainty=SURE - beyond - spare)
        return decide(heard(words), interpret, limits, lambda _: fits)

    assert [hearing(spare) for spare in (A_LITTLE, -A_LITTLE)] == [Hearing.CLEAR, Hearing.DOUBTFUL]


def test_as_certain_as_the_limit_is_certain_enough() -> None:
    assert decide(heard("say again"), interpret, replace(TAKEN, certainty=SURE)) is Hearing.CLEAR
    assert decide(heard("log fifteen"), interpret, replace(TAKEN, figure_certainty=SURE)) is Hearing.CLEAR


FIFTEEN, FIFTY = (Intent(Kind.FIGURE, figure=Figure(Fraction(value))) for value in (15, 50))


@pytest.mark.parametrize(
    ("within", "beyond"),
    [
        ({FIFTEEN: True, FIFTY: True}, -TAKEN.fitting),
        ({FIFTEEN: True, FIFTY: None}, 0.0),
        ({FIFTEEN: None, FIFTY: None}, 0.0),
        ({FIFTEEN: True, FIFTY: False}, TAKEN.unfitting),
        ({FIFTEEN: None, FIFTY: False}, TAKEN.unfitting),
    ],
)
def test_words_of_two_figures_are_taken_easily_only_where_both_fit(
    within: dict[Intent, bool | None], beyond: float
) -> None:
    def hearing(spare: float) -> Hearing:
        limits = replace(TAKEN, figure_certainty=SURE - beyond - spare)
        return decide(heard("log fifteen"), lambda _: (FIFTEEN, FIFTY), limits, within.__getitem__)

    assert [hearing(spare) for spare in (A_LITTLE, -A_LITTLE)] == [Hearing.CLEAR, Hearing.DOUBTFUL]


def test_what_may_be_a_figure_is_taken_for_one() -> None:
    either = (Intent(Kind.NEXT), FIFTEEN)
    doubting = replace(TAKEN, figure_certainty=SURE + 1)
    assert decide(heard("log fifteen"), lambda _: either, doubting) is Hearing.DOUBTFUL
    assert decide(heard("log fifteen"), lambda _: either[:1], doubting) is Hearing.CLEAR


@pytest.mark.parametrize(
    ("said", "noughts"),
    [
        ("log point oh four", True),
        ("nought point zero zero two inches", True),
        ("one point five oh volts", True),
        ("log point nought five", True),
        ("log point four oh five", False),
        ("log point four five", False),
        ("oh four", False),
        ("log ten point five", False),
        ("one point five volts and oh", False),
        ("twenty two", False),
        ("point", False),
    ],
)
def test_noughts_that_begin_or_end_the_decimals_are_told(said: str, noughts: bool) -> None:
    assert with_noughts(tuple(said.split())) is noughts


def test_a_word_said_four_times_running_is_hammering_and_no_figure() -> None:
    figure = (Intent(Kind.FIGURE, figure=Figure(Fraction(1))),)

    def hearing(words: str, gap: float | None = None) -> Hearing:
        return decide(heard(words, gap=gap), lambda _: figure, TAKEN)

    for gap in (None, GAP):
        assert hearing(" ".join(["one"] * (STAMMER - 1)), gap) is Hearing.CLEAR
        assert hearing(" ".join(["one"] * STAMMER), gap) is Hearing.NONE
        assert hearing("point oh oh oh oh five", gap) is Hearing.NONE
    # Serial numbers have three alike, and the same word comes again after another.
    assert hearing("four four four") is Hearing.CLEAR
    assert hearing("oh one oh one oh one oh one") is Hearing.CLEAR


# which way each number weighs
IN_BETWEEN = st.floats(0.0, 2.0)


@given(gap=IN_BETWEEN, by=st.floats(0.1, 2.0), unlike=st.floats(0.0, 0.5), more=st.integers(0, 3))
def test_a_command_is_less_likely_the_better_another_reading_and_the_less_it_sounds_alike(
    gap: float, by: float, unlike: float, more: int
) -> None:
    odds = command_likelihood(gap, Likeness(unlike, more))
    assert command_likelihood(gap + by, Likeness(unlike, more)) < odds
    assert command_likelihood(gap, Likeness(unlike + by / 4, more)) < odds
    assert command_likelihood(gap, Likeness(unlike, more + 1)) < odds


@given(margin=IN_BETWEEN, odds=IN_BETWEEN, gap=IN_BETWEEN, by=st.floats(0.1, 1.0), unlike=st.floats(0.0, 0.5))
def test_the_meaning_is_surer_the_larger_its_lead_and_less_sure_the_better_another_reading(
    margin: float, odds: float, gap: float, by: float, unlike: float
) -> None:
    known = certainty(margin, odds, gap, Likeness(unlike, 0))
    assert certainty(margin + by, odds, gap, Likeness(unlike, 0)) > known
    assert certainty(margin, odds + by, gap, Likeness(unlike, 0)) > known
    assert certainty(margin, odds, gap + by, Likeness(unlike, 0)) < known
    assert certainty(margin, odds, gap, Likeness(unlike + by / 2, 0)) < known


def test_beyond_some_point_more_of_a_number_says_no_more() -> None:
    # One number alone never makes up for all the others.
    assert command_likelihood(1e3, EXACT) == command_likelihood(1e6, EXACT)
    assert certainty(1e3, ODDS, GAP, EXACT) == certainty(1e6, ODDS, GAP, EXACT)
    for far in (1e3, -1e3):
        assert certainty(MARGIN, far, GAP, EXACT) == certainty(MARGIN, far * 1e3, GAP, EXACT)
    assert certainty(MARGIN, ODDS, 1e3, EXACT) == certainty(MARGIN, ODDS, 1e6, EXACT)
    # A phrase that is likelier than the free reading is no better than one that is it.
    assert command_likelihood(-3.0, EXACT) == command_likelihood(0.0, EXACT)
    assert certainty(MARGIN, ODDS, -3.0, EXACT) == certainty(MARGIN, ODDS, 0.0, EXACT)


@given(
    words=st.sampled_from(("next", "say again", "log fifteen", "log point oh five")),
    free=st.sampled_from((None, TALK, "Necks.", "Log fifty.")),
    gap=st.floats(-1, 12),
    margin=st.floats(0, 8),
    odds=st.floats(-10, 12),
    by=st.floats(0, 5),
)
def test_better_numbers_never_make_it_less_trusted(
    words: str, free: str | None, gap: float, margin: float, odds: float, by: float
) -> None:
    def rank(gap: float, margin: float, odds: float) -> int:
        return RANKS.index(decide(heard(words, free=free, gap=gap, margin=margin, log_odds=odds), interpret))

    known = rank(gap, margin, odds)
    assert rank(gap - by, margin, odds) >= known
    assert rank(gap, margin + by, odds) >= known
    assert rank(gap, margin, odds + by) >= known


@given(st.floats(-5, 20), st.floats(0, 5), st.floats(-20, 10), st.sampled_from((None, TALK)))
def test_a_figure_is_never_trusted_more_easily_than_another_command(
    gap: float, margin: float, odds: float, free: str | None
) -> None:
    said = heard("log fifteen", free=free, gap=gap, margin=margin, log_odds=odds)
    if decide(said, lambda _: (FIFTEEN,)) is Hearing.CLEAR:
        assert decide(said, lambda _: (Intent(Kind.NEXT),)) is Hearing.CLEAR
        assert odds >= 0


@pytest.mark.parametrize(
    ("reading", "words", "unlike", "more"),
    [
        ("Next.", "next", 0.0, 0),
        ("Read that back, please.", "read back", None, 2),
        ("Back.", "read back", None, 0),
        ("Well well well next.", "next", None, 3),
        ("", "next", 1.0, 0),
    ],
)
def test_how_near_a_reading_is_to_a_phrase(reading: str, words: str, unlike: float | None, more: int) -> None:
    near = likeness(reading, tuple(words.split()))
    assert near.more == more
    assert 0.0 <= near.unlike <= 1.0
    if unlike is not None:
        assert near.unlike == unlike
