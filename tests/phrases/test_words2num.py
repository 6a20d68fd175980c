"""Numbers against the library words2num2, and where it knows less than a bench needs."""

from __future__ import annotations

from fractions import Fraction

import pytest
from num2words import num2words

from handsfree.phrases.language import plain_words
from handsfree.phrases.quantities.numbers import NUMBER

words2num2 = pytest.importorskip("words2num2", reason="words2num2 is not installed")

# What words2num2 (0.4) refuses, and what it means at a bench by common practice.
NOT_KNOWN_TO_IT = {
    "one twenty five": Fraction(125),
    "one two five": Fraction(125),
    "double four": Fraction(44),
    "twelve fifty": Fraction(1250),
    "four and a half": Fraction(9, 2),
    "three quarters": Fraction(3, 4),
    "eleven sixteenths": Fraction(11, 16),
}


def value_of(text: str) -> Fraction:
    (meaning,) = NUMBER.meanings(plain_words(text))
    value: Fraction = meaning.value
    return value


def test_whole_numbers_are_what_words2num2_makes_of_them() -> None:
    for n in range(0, 10_000, 7):
        said = num2words(n)
        assert value_of(said) == words2num2.words2num(said, lang="en") == n


@pytest.mark.parametrize(
    "said",
    [
        "two hundred five",
        "twelve hundred",
        "a hundred",
        "minus two",
        "point one zero two",
        "one point oh five",
        "nought",
    ],
)
def test_other_ways_of_saying_them_are_what_words2num2_makes_of_them(said: str) -> None:
    assert float(value_of(said)) == pytest.approx(float(words2num2.words2num(said, lang="en")), rel=1e-15)


@pytest.mark.parametrize(("said", "value"), NOT_KNOWN_TO_IT.items())
def test_what_words2num2_does_not_know_is_understood(said: str, value: Fraction) -> None:
    with pytest.raises(ValueError):
        words2num2.words2num(said, lang="en")
    assert value_of(said) == value


@pytest.mark.parametrize("style", ["cardinal", "year"])
def test_every_style_of_num2words_that_says_a_number_is_understood(style: str) -> None:
    # Said as a year, figures come in pairs: "twelve fifty", "nineteen oh-five".
    for n in range(10, 10_000, 3):
        said = num2words(n, to=style)
        assert value_of(said) == n, said
