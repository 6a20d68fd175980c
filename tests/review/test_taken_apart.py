"""The list of what a job took apart."""

from __future__ import annotations

from handsfree.job.state import fold
from handsfree.review.text.taken_apart import stripping_text
from tests.support.story import OPENED


def test_the_list_is_headed_by_the_item_and_the_job() -> None:
    lines = stripping_text(fold([OPENED]), "2026-11-25-1").splitlines()
    assert lines[0] == "TAKEN APART: micrometer no. 2, job 2026-11-25-1"
    assert lines[-1] == "The procedure to put it back: handsfree draft 2026-11-25-1"
