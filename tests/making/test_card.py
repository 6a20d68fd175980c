"""The bench card and tray list: everything that is needed on paper, self-contained, and on A4."""

from __future__ import annotations

import re
import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.making.card import card_html, sections, trays
from handsfree.procedure.file.loader import load_procedure, parse_procedure
from handsfree.procedure.shipped import find
from tests.support.browser import CHROMIUM, print_with_browser

VALVES = """\
title: Valves & <b>more</b>
item: Bench engine
revision: 1
questions:
  collar: {ask: Is there a collar on the pinion?}
places:
  cylinders: [cylinder one, cylinder two]
lubricants:
  thin oil: {which: instrument oil, how much: one drop}
steps:
  - {id: open, do: Take the cover off., tray: one, fasteners: {count: 2, size: M4 x 12}}
  - group: valves
    for each: cylinders
    tray: three
    stop: true
    steps:
      - id: set
        do: Set the valve.
        dangers: {say: It turns "hard"., until: close}
        lubricant: thin oil
        fasteners: {count: 3, size: 2 BA x 1/2 in, left-hand thread: true}
        measure: {name: clearance, unit: thou, limits: [3, 5], tool: {name: blades, resolution: 0.5 thou}}
        wait: {for: 10 minutes, name: glue}
  - {id: close, do: Put the cover on., only if: {collar: yes}, check: Does it turn?}
"""


class _Text(HTMLParser):
    """The text of a page, the tags that are open at its end, and what it would fetch."""

    EMPTY = ("meta", "br")

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.words: list[str] = []
        self.fetched: list[str] = []
        self.feed(page)
        self.text = " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.fetched += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in self.EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in ("style", "title"):
            self.words.append(data)


@pytest.fixture
def page() -> str:
    return card_html(parse_procedure(VALVES.encode(), "valves.yaml").procedure)


def test_the_card_is_one_page_that_fetches_nothing(page: str) -> None:
    read = _Text(page)
    assert read.open == []
    assert read.fetched == []
    assert not re.search(r"https?:|url\(|@import|<script", page)


def test_what_the_procedure_says_is_text_and_never_markup(page: str) -> None:
    assert "<b>more" not in page
    assert "Valves & <b>more</b>" in _Text(page).text


def test_everything_a_step_needs_is_on_it(page: str) -> None:
    text = _Text(page).text
    for words in (
        "Is there a collar on the pinion?", "blades (0.5 thou)", "instrument oil, one drop",
        'DANGER: It turns "hard". until step 4 is done', "Set the valve, cylinder two.",
        "3 off: 2 BA × 1/2 in, left-hand thread", "clearance: 3 to 5 thou, with blades", "Wait ten minutes (glue).",
        "This is a good place to stop.", "Only if collar is yes.", "Does it turn?",
    ):  # fmt: skip
        assert words in text


def test_the_tray_list_counts_what_lies_together() -> None:
    one, three = trays(parse_procedure(VALVES.encode(), "valves.yaml").procedure)
    assert (one.name, one.fasteners) == ("one", ("2 off: M4 × 12",))
    assert three.name == "three"
    assert [number for number, _ in three.steps] == [2, 3]
    assert three.fasteners == ("6 off: 2 BA × 1/2 in, left-hand thread",)


def test_screws_that_come_off_and_go_back_are_counted_once() -> None:
    one, two = trays(load_procedure(find("hook-timing")).procedure)
    assert one.fasteners == ("2 off: M4 × 8, countersunk",)
    assert two.fasteners == ("2 off: M3 × 4, grub screw",)


def test_a_step_at_several_places_has_no_heading_for_each() -> None:
    text = (
        "title: Posts\nitem: Bench frame\nrevision: 1\nsteps:\n  - {id: a, do: Lift the lid.}\n"
        "  - {id: b, do: Clean the post., for each: [left, right]}\n"
    )
    procedure = parse_procedure(text.encode(), "posts.yaml").procedure
    (section,) = sections(procedure)
    assert [number for number, _ in section.steps] == [1, 2, 3]


def test_the_card_of_a_shipped_procedure_by_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "card.html"
    assert main(["card", "focusing-slide", "--to", str(path)]) == 0
    assert str(path) in capsys.readouterr().out
    assert "Fit the gib with the two bright screws" in path.read_text(encoding="utf-8")
    assert main(["card", "focusing-slide", "--to", str(tmp_path / "no" / "card.html")]) == 2
    assert "can't be written" in capsys.readouterr().err


@pytest.mark.skipif(not (CHROMIUM and shutil.which("pdfinfo")), reason="Chromium and pdfinfo are needed to print")
def test_a_browser_prints_it_on_a4(page: str, tmp_path: Path) -> None:
    source, printed = tmp_path / "card.html", tmp_path / "card.pdf"
    source.write_text(page, encoding="utf-8")
    print_with_browser(source, printed)
    told = subprocess.run(["pdfinfo", str(printed)], check=True, capture_output=True, text=True).stdout
    assert re.search(r"Page size:.*\bA4\b", told)
    pages = re.search(r"Pages:\s+(\d+)", told)
    assert pages is not None and pages[1] == "2"
