"""Amounts of money as they are said and typed, exact to the hundredth."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.job.facts import FACTS
from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Kind
from handsfree.phrases.language import Language, plain_words
from handsfree.phrases.quantities.money import amounts
from handsfree.text.money import amount_words

CURRENCIES = ("GBP", "EUR", "USD", "CHF", "")
IN_POUNDS = Language(Vocabulary(currency="GBP"))


def _meant(said: str, language: Language = IN_POUNDS) -> set[tuple[str | None, str | None, str | None]]:
    return {(one.name, one.text, one.way) for one in language.interpret_text(said) if one.kind is Kind.AMOUNT}


@pytest.mark.parametrize(
    ("said", "amount"),
    [
        ("eighty", "80"),
        ("eighty pounds", "80"),
        ("eighty pounds fifty", "80.50"),
        ("eighty pounds and fifty pence", "80.50"),
        ("eighty pounds oh five", "80.05"),
        ("eighty pounds five pence", "80.05"),
        ("eighty point five oh", "80.50"),
        ("eighty point five", "80.50"),
        ("eighty point five oh pounds", "80.50"),
        ("one pound ninety nine", "1.99"),
        ("one hundred and twenty", "120"),
        ("one thousand two hundred pounds", "1200"),
        ("one two five pounds", "125"),
        ("zero eight zero", "80"),
        ("80.50", "80.50"),
        ("1200", "1200"),
        ("80.00", "80"),
    ],
)
def test_an_amount_is_taken_in_every_usual_form(said: str, amount: str) -> None:
    assert _meant(f"approved up to {said}") == {("approved", amount, None)}
    assert _meant(f"approved up to {said} by telephone") == {("approved", amount, "by telephone")}


@pytest.mark.parametrize("said", ["eighty fifty", "eighty pounds five", "eighty euros", "twelve fifty", "80.505", "0"])
def test_what_may_mean_two_amounts_or_is_none_is_not_taken(said: str) -> None:
    assert _meant(f"may cost up to {said}") == set()


def test_without_a_currency_in_the_workshops_file_no_money_word_is_listened_for() -> None:
    plain = Language()
    assert _meant("approved up to eighty point five oh", plain) == {("approved", "80.50", None)}
    assert _meant("approved up to eighty pounds fifty", plain) == set()


@given(st.integers(1, 99_999), st.integers(0, 99), st.sampled_from(CURRENCIES))
def test_what_is_read_back_can_be_said_again_and_is_the_same_amount(whole: int, hundredths: int, currency: str) -> None:
    amount = f"{whole}.{hundredths:02d}" if hundredths else str(whole)
    assert amounts(currency).meanings(plain_words(amount_words(amount, currency))) == [amount]


@given(st.randoms(use_true_random=False), st.sampled_from(CURRENCIES))
def test_every_amount_that_can_be_said_means_one_amount(rng: random.Random, currency: str) -> None:
    words = tuple(amounts(currency).sample(rng))
    assert len(amounts(currency).meanings(words)) == 1, words


def test_money_is_said_of_what_is_priced_and_of_nothing_else() -> None:
    """Nobody says "the owner eighty" and means what it may cost."""
    assert IN_POUNDS.interpret_text("may cost up to eighty")
    for fact in FACTS.values():
        for phrase in () if fact.priced else fact.phrases:
            assert _meant(f"{phrase} eighty") == set(), phrase
