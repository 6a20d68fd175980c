"""Numbers as people say them."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from num2words import num2words

from handsfree.measure.figure import Figure
from handsfree.measure.formatting import number_words, spoken, written
from handsfree.measure.units import UNITS, convert, in_use
from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.figures import (
    ANY_FIGURE,
    FIGURE,
    FIGURE_WITH_UNIT,
    IN_TWO,
    OF_A_TRADE,
    figures_of_trades,
)
from handsfree.phrases.quantities.numbers import LARGEST, NUMBER
from handsfree.procedure.values import figure_with_unit
from handsfree.text.english import English, choose


def value_of(text: str) -> tuple[Fraction, int | None]:
    (meaning,) = NUMBER.meanings(plain_words(text))
    return meaning.value, meaning.decimals


@pytest.mark.parametrize(
    ("said", "value", "decimals"),
    [
        # Common practice at a bench: figures in pairs, digit by digit, with "oh", and with double digits.
        ("four", 4, 0),
        ("fourteen", 14, 0),
        ("forty two", 42, 0),
        ("one twenty five", 125, 0),
        ("two hundred and five", 205, 0),
        ("a hundred", 100, 0),
        ("twelve hundred", 1200, 0),
        ("one two five", 125, 0),
        ("double four", 44, 0),
        ("triple four", 444, 0),
        ("triple four one", 4441, 0),
        ("point triple oh four", Fraction("0.0004"), 4),
        ("double oh four", 4, 0),
        ("nought", 0, 0),
        ("twelve fifty", 1250, 0),
        ("two oh five", 205, 0),
        ("point one zero two", Fraction("0.102"), 3),
        ("point one zero", Fraction("0.1"), 2),
        ("one point oh five", Fraction("1.05"), 2),
        ("nought point one", Fraction("0.1"), 1),
        ("point double oh four", Fraction("0.004"), 3),
        ("point oh fifteen", Fraction("0.015"), 3),
        ("oh point five", Fraction("0.5"), 1),
        ("point one two three four five six", Fraction("0.123456"), 6),
        ("thirty one point two", Fraction("31.2"), 1),
        ("minus two", -2, 0),
    ],
)
def test_whole_numbers_and_decimals(said: str, value: Fraction, decimals: int) -> None:
    assert value_of(said) == (Fraction(value), decimals)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("a half", Fraction(1, 2)),
        ("four and a half", Fraction(9, 2)),
        ("three quarters", Fraction(3, 4)),
        ("one and three eighths", Fraction(11, 8)),
        ("eleven sixteenths", Fraction(11, 16)),
        ("eleven thirty seconds", Fraction(11, 32)),
        ("sixty three sixty fourths", Fraction(63, 64)),
        ("one over fifty", Fraction(1, 50)),
        ("one over two five", Fraction(1, 25)),
        ("one over one two five oh", Fraction(1, 1250)),
        ("a two hundredth", Fraction(1, 200)),
        ("a hundred and twenty fifth", Fraction(1, 125)),
        ("two thirds", Fraction(2, 3)),
    ],
)
def test_fractions_are_exact(said: str, value: Fraction) -> None:
    assert value_of(said) == (value, None)


@pytest.mark.parametrize(
    "said",
    [
        "",
        "oh",
        "point",
        "four and",
        "one eighths",
        "point one two three four five six seven",
        "one over one two five oh one",
        "one one one one one one one",
        "seven halves",
        "two halves",
        "three thirds",
        "four and two halves",
        "hundred",
        "double",
        "four four and",
    ],
)
def test_what_is_no_number_has_no_meaning(said: str) -> None:
    assert NUMBER.meanings(plain_words(said)) == []


@pytest.mark.parametrize("joint", [" and ", " "], ids=["British", "American"])
def test_whole_numbers_to_9999_as_num2words_says_them(joint: str) -> None:
    # The reference is the library num2words: "one thousand, two hundred and thirty-four". All to 1999; then every
    # seventh, which has each of its figures at each of its places.
    said = {n: num2words(n).replace(" and ", joint) for n in (*range(2000), *range(2000, 10000, 7), 9999)}
    assert [n for n, words in said.items() if value_of(words) != (n, 0)] == []


@given(st.integers(0, 99_999_999), st.integers(1, 4))
def test_decimals_as_num2words_says_them(digits: int, places: int) -> None:
    text = f"{digits // 10**4 % 10000}.{digits % 10**places:0{places}}"
    whole, _, after = text.partition(".")
    # num2words drops closing noughts of a float, so it is given the digits one by one.
    said = f"{num2words(int(whole))} point {' '.join(num2words(int(d)) for d in after)}"
    assert value_of(said) == (Fraction(text), places)


NUMBERS = st.one_of(
    st.tuples(st.integers(0, 9999).map(Fraction), st.just(0)),
    st.integers(1, 6).flatmap(
        lambda places: st.tuples(st.integers(0, 10**6).map(lambda n: Fraction(n, 10**places)), st.just(places))
    ),
    st.tuples(
        st.tuples(st.integers(0, 99), st.sampled_from([2, 3, 4, 5, 8, 16, 32, 64]), st.integers(1, 63)).map(
            lambda t: t[0] + Fraction(t[2] % t[1] or 1, t[1])
        ),
        st.none(),
    ),
    # One over so many, and a few over so many, as fractions of a second are said; tenths to thousandths.
    st.tuples(st.tuples(st.integers(1, 9), st.integers(10, 999)).map(lambda t: Fraction(*t)), st.none()),
    st.tuples(
        st.tuples(st.integers(1, 99), st.sampled_from([20, 50, 100, 125, 200, 250, 1000]))
        .map(lambda t: Fraction(t[0] % t[1], t[1]))
        .filter(lambda value: value > 0),
        st.none(),
    ),
)


@given(NUMBERS, st.booleans())
def test_what_is_read_back_would_be_understood_as_the_same_number(
    stated: tuple[Fraction, int | None], negative: bool
) -> None:
    value, decimals = stated
    value = -value if negative and value else value
    assert value_of(number_words(value, decimals)) == (value, decimals)


@pytest.mark.parametrize("english", list(English))
@given(stated=NUMBERS, unit=st.sampled_from([key for key, unit in UNITS.items() if unit.many]))
def test_a_read_back_figure_would_be_understood_as_the_same_figure(
    english: English, stated: tuple[Fraction, int | None], unit: str
) -> None:
    said = Figure(*stated, unit)
    choose(english)
    try:
        words = plain_words(spoken(said))
    finally:
        choose(English.BRITISH)
    meanings = [in_use(meaning, unit) for meaning in ANY_FIGURE.meanings(words)]
    assert said in meanings, words
    # "eleven thirty seconds" is a time or a length: the one listed case of two meanings.
    assert len(meanings) == 1 or unit == "s" or "ten thousandth" in " ".join(words), (words, meanings)


def test_thirty_seconds_after_a_number_is_both_a_time_and_a_part_of_an_inch() -> None:
    meanings = FIGURE.meanings(plain_words("eleven thirty seconds"))
    assert {(m.value, m.unit) for m in meanings} == {(Fraction(11, 32), None), (Fraction(1130), "s")}


@pytest.mark.parametrize(
    ("said", "value", "unit"),
    [
        ("four thou", 4, "thou"),
        ("four thousandths of an inch", 4, "thou"),
        ("half a thou", Fraction(1, 2), "thou"),
        ("four thou and a half", Fraction(9, 2), "thou"),
        ("a thou", 1, "thou"),
        ("four tenths of a thou", 4, "tenth thou"),
        ("three quarters of an inch", Fraction(3, 4), "inch"),
        ("two hundredths of a millimetre", 2, "hundredth mm"),
        ("a tenth of a millimetre", 1, "tenth mm"),
        ("ten microns", 10, "micron"),
        ("one and a quarter turns out", Fraction(5, 4), "turn"),
        ("twelve newton centimetres", 12, "N cm"),
        ("six inch ounces", 6, "ozf in"),
        ("twenty degrees celsius", 20, "°C"),
        ("one over fifty seconds", Fraction(1, 50), "s"),
        ("ninety five percent", 95, "percent"),
        ("three tenths of a second", Fraction(3, 10), "s"),
        ("a two hundredth of a second", Fraction(1, 200), "s"),
        ("five thousandths of a second", Fraction(1, 200), "s"),
        ("two hundredths of an inch", 2, "hundredth inch"),
        ("eleven thirty seconds of an inch", Fraction(11, 32), "inch"),
        ("three newton centimeters", 3, "N cm"),
        ("eight grams of force", 8, "gf"),
        ("one hundred and twenty revs per minute", 120, "rpm"),
        ("one over fifty of a second", Fraction(1, 50), "s"),
        ("one fiftieth of a second", Fraction(1, 50), "s"),
        ("one and three eighths of an inch", Fraction(11, 8), "inch"),
        ("point double oh four of an inch", Fraction("0.004"), "inch"),
        ("an inch and a half", Fraction(3, 2), "inch"),
        ("a thou", 1, "thou"),
        ("an ounce", 1, "oz"),
        ("six foot pounds", 6, "lbf ft"),
        ("four pounds force", 4, "lbf"),
        ("four ounces", 4, "oz"),
        ("a pound and a half", Fraction(3, 2), "lb"),
        ("twenty nine point nine inches of mercury", Fraction("29.9"), "inHg"),
        ("two inches of water", 2, "inH2O"),
        ("one thousand and thirteen hectopascals", 1013, "hPa"),
        ("minus four seconds per day", -4, "s/d"),
        ("sixty two rockwell c", 62, "HRC"),
        ("sixty shore a", 60, "Shore A"),
        ("seven hundred vickers", 700, "HV"),
        ("minus three decibels", -3, "dB"),
        ("two point five milliliters", Fraction("2.5"), "ml"),
        # Common practice at the lathe; never six hundred and ten.
        ("six ten thousandths", 6, "tenth thou"),
        ("six ten-thousandths of an inch", 6, "tenth thou"),
        ("ten thousandths", 10, "thou"),
        ("one hundred and ten thousandths", 110, "thou"),
        # Fractions of a second, by common practice.
        ("one over one twenty five seconds", Fraction(1, 125), "s"),
        ("one over two five oh of a second", Fraction(1, 250), "s"),
        ("five counts", 5, "count"),
        ("one count", 1, "count"),
        ("five off", 5, "count"),
    ],
)
def test_units_as_they_are_said(said: str, value: Fraction, unit: str) -> None:
    (meaning,) = ANY_FIGURE.meanings(plain_words(said))
    assert (meaning.value, meaning.unit, meaning.ambiguous_unit) == (Fraction(value), unit, None)


@pytest.mark.parametrize(
    ("said", "value", "word"),
    [
        ("four mils", 4, "mils"),
        ("a mil", 1, "mil"),
        ("half a mil", Fraction(1, 2), "mil"),
        ("a tenth of a mil", Fraction(1, 10), "mil"),
        ("one and a half of a mil", Fraction(3, 2), "mil"),
        ("a tenth", 1, "tenth"),
        ("two tenths", 2, "tenths"),
        ("two hundredths", 2, "hundredths"),
        ("a degree", 1, "degree"),
        ("three quarters of a degree", Fraction(3, 4), "degree"),
    ],
)
def test_ambiguous_unit_words_are_kept_as_they_were_said(said: str, value: Fraction, word: str) -> None:
    (meaning,) = FIGURE.meanings(plain_words(said))
    assert (meaning.value, meaning.unit, meaning.ambiguous_unit) == (Fraction(value), None, word)


@pytest.mark.parametrize(
    ("said", "value", "unit", "written_"),
    [
        # 60 seconds a minute, 60 minutes a degree, 16 ounces a pound, 12 inches a foot: definitions.
        ("two minutes ten seconds", 130, "s", "2 min 10 s"),
        ("two minutes and ten seconds", 130, "s", "2 min 10 s"),
        ("one minute and a half second", Fraction("60.5"), "s", "1 min 1/2 s"),
        ("an hour and ten minutes", 70, "min", "1 h 10 min"),
        ("thirty degrees fifteen minutes", 1815, "arcminute", "30° 15′"),
        ("one pound four ounces", 20, "oz", "1 lb 4 oz"),
        ("five feet six and a half inches", Fraction("66.5"), "inch", "5 ft 6 1/2 in"),
    ],
)
def test_figures_in_two_units(said: str, value: Fraction, unit: str, written_: str) -> None:
    (meaning,) = IN_TWO.meanings(plain_words(said))
    assert (meaning.value, meaning.unit, written(meaning)) == (value, unit, written_)
    assert FIGURE.meanings(plain_words(said)) == []
    assert IN_TWO.meanings(plain_words(spoken(meaning))) == [meaning]
    assert figure_with_unit(written(meaning)) == meaning


@pytest.mark.parametrize("english", list(English))
def test_every_sampled_figure_in_two_units_has_one_meaning_that_is_read_back(english: English) -> None:
    rng = random.Random(6)
    for _ in range(500):
        words = IN_TWO.sample(rng)
        (meaning,) = IN_TWO.meanings(words)
        whole, rest = divmod(meaning.value, convert(Fraction(1), meaning.larger, meaning.unit))
        if (meaning.decimals or 0) > 6 or whole > 999 or not rest:
            continue  # more figures than are said in one breath; what is whole is said in one unit
        choose(english)
        try:
            (again,) = IN_TWO.meanings(plain_words(spoken(meaning)))
        finally:
            choose(English.BRITISH)
        assert again.value == meaning.value, words


def test_every_sampled_figure_has_a_meaning() -> None:
    rng = random.Random(5)
    for _ in range(2000):
        words = FIGURE.sample(rng)
        assert FIGURE.meanings(words), words


LISTED = frozenset({"second", "seconds", "thousandth", "thousandths"})
"""Words by which alone a figure may have two meanings: parts of an inch or a unit."""


@pytest.mark.parametrize("way", range(len(FIGURE_WITH_UNIT.options)))
def test_each_way_of_saying_a_figure_has_one_meaning_or_one_listed_question(way: int) -> None:
    rng = random.Random(way)
    for _ in range(500):
        words = FIGURE_WITH_UNIT.options[way].sample(rng)
        meanings = FIGURE.meanings(words)
        assert len(meanings) == 1 or (len(meanings) == 2 and LISTED & set(words)), (words, meanings)


def test_units_of_a_trade_are_heard_where_they_are_measured_in_only() -> None:
    assert [key for key in OF_A_TRADE if any(FIGURE.meanings(("four", *UNITS[key].many.split())))] == []
    for key in OF_A_TRADE:
        there = figures_of_trades(frozenset({key}))
        assert there is not None
        (meaning,) = there.meanings(("four", *UNITS[key].many.split()))
        assert (meaning.value, meaning.unit) == (4, key)
    assert figures_of_trades(frozenset({"thou", "mm"})) is None
    # A spring balance in ounces where newtons are asked for.
    drag = figures_of_trades(frozenset({"N"}))
    assert drag is not None and drag.meanings(("four", "ounces"))


def test_the_largest_whole_number_is_said_in_words_and_figure_by_figure_and_the_next_in_no_way() -> None:
    assert value_of(num2words(LARGEST)) == (LARGEST, 0)
    assert value_of(" ".join("nine" for _ in str(LARGEST))) == (LARGEST, 0)
    for words in (num2words(LARGEST + 1), "one oh oh oh oh oh oh", "a thousand thousand", "one thousand thousand"):
        assert NUMBER.meanings(plain_words(words)) == []
