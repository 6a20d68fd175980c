"""Long texts are cut for the voice engine."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from handsfree.speaking.voice.sentences import LONGEST_PIECE, pieces


def test_each_sentence_is_a_piece() -> None:
    assert pieces('Mind the spring. Hold it; turn.  Say "done." Ready?\nNext') == [
        "Mind the spring.",
        "Hold it; turn.",
        'Say "done.',
        "Ready?",
        "Next",
    ]


def test_figures_with_a_point_stay_whole() -> None:
    assert pieces("The gap is 0.10 millimetres.") == ["The gap is 0.10 millimetres."]


def test_a_long_sentence_is_cut_at_a_comma() -> None:
    clause = "lift the plate " * 8 + "away, "
    assert all(piece.endswith("away,") for piece in pieces(clause * 4))


def test_nothing_to_say_gives_no_piece() -> None:
    assert pieces("") == pieces(" \n ") == pieces('... "!" --') == []


@given(st.text(alphabet=st.sampled_from("ab 1.,!?;\n-\"'é"), max_size=2000))
def test_no_piece_is_too_long_and_no_letter_is_lost(text: str) -> None:
    found = pieces(text)
    assert all(0 < len(piece) <= LONGEST_PIECE for piece in found)
    assert [c for piece in found for c in piece if c.isalnum()] == [c for c in text if c.isalnum()]
