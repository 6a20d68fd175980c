"""What came of a job, in words: the worst of it comes first, and nothing is called in order that is not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.guide.view.result import result_of


@pytest.mark.parametrize(
    ("counts", "word", "sentence"),
    [
        ((0, 0, 0), "In order", "Nothing is left open, and no figure is out of its limits."),
        ((0, 0, 1), "In limits, with points to watch", "No figure is out of limits; 1 point is to be watched."),
        ((0, 2, 1), "Out of limits", "2 figures are out of limits, and 1 point is to be watched."),
        ((1, 0, 0), "Not safe to use", "1 danger or unsafe finding stands."),
        ((2, 1, 3), "Not safe to use",
         "2 dangers or unsafe findings stand, 1 figure is out of limits, and 3 points are to be watched."),
    ],
)  # fmt: skip
def test_the_result_of_a_finished_job(counts: tuple[int, int, int], word: str, sentence: str) -> None:
    unsafe, out, others = counts
    result = result_of(finished=True, unsafe=unsafe, out=out, open_=others)
    assert (result.word, result.sentence) == (word, sentence)


@given(st.booleans(), st.integers(0, 5), st.integers(0, 5), st.integers(0, 5))
def test_only_a_finished_job_with_nothing_open_is_in_order(finished: bool, unsafe: int, out: int, others: int) -> None:
    result = result_of(finished=finished, unsafe=unsafe, out=out, open_=others)
    assert (result.word == "In order") == (finished and not (unsafe or out or others))
    assert result.grave == bool(unsafe or out)
    assert result.sentence.startswith("So far: ") != finished
