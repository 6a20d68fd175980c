"""Two readers of one sound: when the second is asked, what each proposes, and what the two make of it together.

The readers stand here as tables of what they would say; the real ones are heard in the tests beside this.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

import pytest

from handsfree.hearing.builtin.beam import PhraseHypothesis, SearchSettings
from handsfree.hearing.builtin.nbest import MeaningHypothesis
from handsfree.hearing.builtin.rescoring import (
    HOPELESS,
    SECOND_WEIGHT,
    SURE_GAP,
    SURE_MARGIN,
    FirstReading,
    read_again,
    worth_a_second_reading,
)
from handsfree.hearing.builtin.second_reader import Listening
from handsfree.phrases.utterance import SecondOpinion

LENGTH = 4
"""Tokens of every phrase here: its root, two, is what scores are divided by."""


def meant(words: str, score: float) -> MeaningHypothesis:
    """A phrase as the first reader ranks it; it means its own words."""
    total = score * LENGTH**0.5
    said = tuple(words.split())
    return MeaningHypothesis(" ".join(said), PhraseHypothesis(said, total, total, LENGTH), score, total)


def first(*meanings: MeaningHypothesis, free: float = 0.0, text: str = "") -> FirstReading:
    """``free``: the log probability of the free reading; its text is that of the best phrase, if not said."""
    return FirstReading(list(meanings), text or " ".join(meanings[0].phrase.words), free, SearchSettings())


class Second:
    """A second reader that writes these texts of itself, and finds these log probabilities."""

    def __init__(self, texts: Sequence[str], fits: Mapping[str, float]) -> None:
        self.texts, self.fits = texts, fits
        self.judged: list[str] = []

    def readings(self) -> list[str]:
        return list(self.texts)

    def log_probabilities(self, phrases: Sequence[tuple[str, ...]]) -> list[float]:
        self.judged = [" ".join(words) for words in phrases]
        return [self.fits.get(words, -20.0) for words in self.judged]


def both(
    reading: FirstReading, second: Second, found: Mapping[str, float] | None = None
) -> tuple[list[str], SecondOpinion]:
    """The ranking by both, and the opinion; ``found`` is how the first reader scores what only the second proposes."""
    ranked, opinion = read_again(
        reading,
        cast(Listening, second),
        " ".join,
        lambda text: [tuple(text.lower().strip(".").split())],
        lambda phrases: [meant(" ".join(words), (found or {}).get(" ".join(words), -9.0)) for words in phrases],
    )
    return [each.meaning for each in ranked], opinion


def test_a_sure_command_is_not_read_again() -> None:
    assert not worth_a_second_reading(first(meant("next", -0.5)))
    assert not worth_a_second_reading(first(meant("next", -0.2), meant("back", -0.2 - SURE_MARGIN)))
    # Nor where a figure is among what is far less likely.
    assert not worth_a_second_reading(first(meant("next", -0.2), meant("fifteen", -2.7), free=-1.2))


@pytest.mark.parametrize(
    "reading",
    [
        # Another meaning is nearly as likely.
        first(meant("next", -0.2), meant("back", -0.1 - SURE_MARGIN)),
        # The free reading is likelier, or ran on and is much less likely.
        first(meant("next", -0.5), free=SURE_GAP),
        first(meant("next", -0.5), free=-2.5 - SURE_GAP),
        # A figure is always read twice.
        first(meant("fifteen", -0.5)),
        first(meant("log end play four thou", -0.5)),
    ],
)
def test_where_there_is_doubt_or_a_figure_it_is_read_again(reading: FirstReading) -> None:
    assert worth_a_second_reading(reading)


def test_talk_is_not_read_again() -> None:
    talk = "Did you see whether the other box of springs came in this morning?"
    assert not worth_a_second_reading(first(meant("next", -4.0), free=-0.5, text=talk))
    assert not worth_a_second_reading(first(meant("fifteen", -4.0), free=-0.5, text=talk))
    assert HOPELESS < 0


@pytest.mark.parametrize(
    ("reading", "again"),
    [
        (first(meant("next", -0.2), meant("back", -2.7)), False),
        (first(meant("next", -0.2), meant("back", -2.6)), True),
        (first(meant("next", -0.5), free=-0.1), False),
        (first(meant("next", -0.5), free=0.1), True),
        (first(meant("next", -0.5), free=-1.9), False),
        (first(meant("next", -0.5), free=-2.1), True),
        # The first reader would have written nothing at all.
        (FirstReading([meant("next", 0.0)], "", 3.9, SearchSettings()), True),
        (FirstReading([meant("next", 0.0)], "", 4.0, SearchSettings()), False),
    ],
)
def test_where_the_line_lies_between_what_is_read_again_and_what_is_sure_or_hopeless(
    reading: FirstReading, again: bool
) -> None:
    assert worth_a_second_reading(reading) is again


def test_where_both_readers_agree_only_the_likeliest_meanings_are_compared() -> None:
    second = Second(["Next.", "Text."], {"next": -1.0, "back": -6.0, "done": -8.0})
    known = [meant(words, -1.0 - place) for place, words in enumerate(("next", "back", "done", "skip", "redo"))]
    ranked, opinion = both(first(*known), second)
    assert second.judged == ["next", "back", "done"]
    assert ranked == ["next", "back", "done"]
    assert opinion.place == 0


def test_what_the_second_reader_hears_can_win() -> None:
    second = Second(["Back."], {"next": -8.0, "back": -1.0})
    ranked, opinion = both(first(meant("next", -1.0), meant("back", -1.2)), second)
    assert ranked == ["back", "next"]
    assert opinion.place == 0
    # In the first reading it was behind, and the free reading was likelier by the whole of it.
    assert opinion.first == pytest.approx(-0.2)
    assert opinion.gap == pytest.approx(2.4)
    # Together it leads: by the second reading's seven, weighed, over the root of the length, less what it was behind.
    assert opinion.both == pytest.approx(SECOND_WEIGHT * 7 / 2 - 0.2)
    assert opinion.reading == pytest.approx(-1.0)
    assert opinion.unlike == 0.0


def test_what_the_first_reader_hears_stands_where_the_second_is_not_surer() -> None:
    second = Second(["Back."], {"next": -1.5, "back": -1.0})
    ranked, opinion = both(first(meant("next", -1.0), meant("back", -2.0)), second)
    assert ranked == ["next", "back"]
    assert opinion.place is None
    assert opinion.first == pytest.approx(1.0)
    assert opinion.both == pytest.approx(1.0 - SECOND_WEIGHT * 0.5 / 2)


def test_what_only_the_second_reader_hears_is_put_before_the_first() -> None:
    second = Second(["Skip."], {"next": -12.0, "skip": -0.5})
    ranked, opinion = both(first(meant("next", -1.0)), second, {"skip": -1.5})
    assert ranked == ["skip", "next"]
    assert (opinion.place, opinion.first) == (0, pytest.approx(-0.5))


def test_only_so_many_new_meanings_are_put_before_the_first() -> None:
    words = ["skip", "redo", "done", "tools", "parts", "why"]
    second = Second([f"{word}." for word in words], {})
    both(first(meant("next", -1.0)), second)
    assert second.judged == ["next", "skip", "redo", "done", "tools"]


def test_a_far_meaning_of_the_first_is_read_again_only_where_the_second_proposes_it() -> None:
    words = ("next", "back", "done", "skip", "redo", "tools")
    second = Second(["Tools."], {})
    both(first(*(meant(word, -1.0 - place) for place, word in enumerate(words))), second)
    assert second.judged == ["next", "back", "done", "skip", "tools"]


def test_of_a_meaning_that_is_written_twice_the_likelier_reading_counts() -> None:
    second = Second(["Back.", "Next.", "Skip.", "Next."], {"next": -0.1, "back": -9.0, "skip": -9.0})
    _, opinion = both(first(meant("next", -1.0)), second, {"back": -3.0, "skip": -3.0})
    assert opinion.place == 1


def test_where_no_other_meaning_is_left_the_lead_is_what_the_search_gives_up_at() -> None:
    _, opinion = both(first(meant("next", -1.0)), Second(["Next."], {"next": -1.0}))
    alone = SearchSettings().drop / LENGTH**0.5
    assert (opinion.first, opinion.both) == (alone, alone)


def test_gap_and_reading_are_told_by_the_word() -> None:
    _, opinion = both(first(meant("read back", -1.0), free=1.0), Second(["Read back."], {"read back": -3.0}))
    assert opinion.gap == pytest.approx(3.0 / 2)
    assert opinion.reading == pytest.approx(-3.0 / 2)
    assert opinion.unlike == 0.0


def test_how_unlike_the_second_reading_sounds_is_told_by_its_likeliest_text() -> None:
    near = both(first(meant("next", -1.0)), Second(["Necks.", "Next."], {"next": -1.0}))[1].unlike
    far = both(first(meant("next", -1.0)), Second(["Good morning.", "Next."], {"next": -1.0}))[1].unlike
    assert 0.0 < near < far
    assert both(first(meant("next", -1.0)), Second([], {"next": -1.0}))[1].unlike == 1.0


def test_the_totals_of_all_spellings_are_joined_like_the_scores() -> None:
    second = Second(["Next."], {"next": -2.0, "back": -3.0})
    ranked, _ = read_again(
        first(meant("next", -1.0), meant("back", -2.0)),
        cast(Listening, second),
        " ".join,
        lambda text: [tuple(text.lower().strip(".").split())],
        lambda phrases: [],
    )
    assert [each.score for each in ranked] == [
        pytest.approx(-1.0 - SECOND_WEIGHT * 2 / 2), pytest.approx(-2.0 - SECOND_WEIGHT * 3 / 2),
    ]  # fmt: skip
    assert [each.total for each in ranked] == [
        pytest.approx(-2.0 - SECOND_WEIGHT * 2), pytest.approx(-4.0 - SECOND_WEIGHT * 3),
    ]  # fmt: skip


def test_what_the_second_reader_writes_that_is_no_phrase_counts_for_nothing() -> None:
    second = Second(["Good morning.", "Next."], {"next": -1.0})
    _, opinion = read_again(
        first(meant("next", -1.0)),
        cast(Listening, second),
        lambda words: "next" if words == ("next",) else None,
        lambda text: [tuple(text.lower().strip(".").split())],
        lambda phrases: [],
    )
    assert opinion.place == 1
    assert second.judged == ["next"]
