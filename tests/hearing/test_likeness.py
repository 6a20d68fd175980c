"""How near a free reading is to a phrase in sound: what tells a command that was misspelt from talk."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.hearing.rejection import MOST_MORE, likeness
from handsfree.text.phonetics import plain, unlike

WORDS = st.lists(
    st.sampled_from("next log clearance four point oh lubricant gib thou sixteen say again".split()), min_size=1
)


@pytest.mark.parametrize(
    ("reading", "phrase"),
    [
        # Written by the networks in the package, for voices that are installed or recorded here.
        ("Lou reckoned.", "lubricant"),
        ("Lipprikant,", "lubricant"),
        ("Slur.", "slower"),
        ("Partist, Ali.", "parts tally"),
        ("Pause, John.", "pause job"),
        ("Which part on is it?", "which pattern is it"),
        ("That does get clear answer 4 though.", "log gib clearance four thou"),
    ],
)
def test_a_command_spelt_as_it_sounded_is_nearer_than_talk(reading: str, phrase: str) -> None:
    talk = ("What a lovely morning it is!", "She left the door open and the cat got out.", "It won't throw any poems.")
    assert unlike(plain(reading), phrase) < min(unlike(plain(other), phrase) for other in talk)
    assert unlike(plain(reading), phrase) < 0.6


def test_numerals_are_read_digit_by_digit() -> None:
    assert plain("Log 0.04 inches, 1,250 rpm.") == "log oh point oh four inches one two five oh rpm"
    assert unlike(plain("4 2"), "four two") == 0.0


@given(WORDS, WORDS)
def test_it_is_a_share_and_the_same_both_ways(one: list[str], other: list[str]) -> None:
    a, b = " ".join(one), " ".join(other)
    assert 0.0 <= unlike(a, b) <= 1.0
    assert unlike(a, b) == pytest.approx(unlike(b, a))
    assert unlike(a, a) == 0.0


def test_nothing_heard_is_like_nothing_and_much_talk_is_no_more_than_much() -> None:
    assert unlike("", "next") == 1.0
    assert likeness("", ("next",)).unlike == 1.0
    long = likeness("and so on " * 40, ("next",))
    assert (long.unlike, long.more) == (1.0, MOST_MORE)
