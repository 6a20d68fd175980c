"""The sheet that goes with an item: what was arranged stands on it under its name, and what was not has no heading."""

from __future__ import annotations

import re

from handsfree.job.events import Event, FactNoted, PartWanted
from handsfree.job.state import fold
from handsfree.review.pages.job_sheet import job_sheet
from tests.support.story import OPENED, at


def sheet(*events: Event) -> str:
    state = fold([OPENED, *events])
    return job_sheet(state, "2026-11-25-1", workshop="Tern & Gable", currency="pounds", written_at=at(5), version="1")


def headings(page: str) -> list[str]:
    return re.findall(r"<h3>(.*?)</h3>", page)


def fact(id_: str, about: str, text: str, **slots: str) -> FactNoted:
    return FactNoted.model_validate({"at": at(1), "id": id_, "about": about, "text": text, **slots})


def test_where_nothing_was_arranged_the_sheet_says_so_and_has_no_empty_headings() -> None:
    assert headings(sheet()) == []
    assert "Nothing was noted yet." in sheet()


def test_what_was_told_stands_under_its_name_and_of_several_under_the_name_of_many() -> None:
    page = sheet(
        fact("f1", "complaint", "it sticks"), fact("f2", "accessory", "a case"), fact("f3", "accessory", "a key")
    )
    assert headings(page) == ["Complaint", "Accessories"]
    assert re.findall("<li>(.*?)</li>", page) == ["it sticks", "a case", "a key"]
    assert "Nothing was noted yet." not in page


def test_parts_to_order_stand_with_how_far_they_are() -> None:
    page = sheet(PartWanted(at=at(1), id="w1", what="gib screw", count=2))
    assert headings(page) == ["Parts to order"]
    assert re.findall("<li>(.*?)</li>", page) == ["2 gib screws (to order)"]
