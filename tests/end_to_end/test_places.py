"""A characteristic measured at several places: a figure for each, and no place that fails is hidden by another."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.log.store import Store
from tests.support.played import Play

RAIL = """
title: Rail of the type carriage
item: Portable typewriter
revision: 1
places: {sides: [left, right]}
steps:
  - group: rail
    for each: sides
    steps:
      - id: gap
        do: Measure the gap of the rail at the {place}.
        measure:
          - {name: rail gap, also: gap, unit: thou, limits: [4, 6], when: as found}
      - id: set
        do: Set the gap of the rail at the {place}.
        measure:
          - {name: rail gap, also: gap, unit: thou, limits: [4, 6]}
"""


@pytest.fixture
def play(make_play: Callable[..., Play]) -> Play:
    return make_play(RAIL)


def written(store: Store, *options: str, capsys: pytest.CaptureFixture[str]) -> str:
    assert main(["report", "--logs", str(store.folder), *options]) == 0
    return capsys.readouterr().out


def text_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page.partition("Technical record")[0]))


def test_the_place_is_read_back_with_its_figure(play: Play) -> None:
    played = play("log gap twelve", "leave open")
    assert any(said.startswith("Rail gap, left, as found, twelve thou") for said in played.said)


def test_what_was_found_out_at_the_left_is_not_hidden_by_the_right(
    play: Play, store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    play("log gap twelve", "leave open", "next", "log gap five", "next", "log gap five", "next", "log gap five", "next")
    owner = text_of(written(store, "--to", "-", "--format", "html", capsys=capsys))
    # As found, and as left.
    assert "Rail gap, left 12 thou 5 thou 4 to 6 thou in limits" in owner
    assert "Rail gap, right 5 thou 5 thou 4 to 6 thou in limits" in owner


def test_every_page_and_export_tells_the_places_apart(
    play: Play, store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    play("log gap five", "next", "log gap five", "next", "log gap five", "next", "log gap nine", "leave open", "next")
    page = written(store, "--to", "-", "--format", "html", capsys=capsys)
    assert "Rail gap, left 5 thou 5 thou" in text_of(page)
    assert "Rail gap, right 5 thou 9 thou" in text_of(page)
    assert "Out of limits, left open: rail gap, right" in text_of(page).partition("To watch")[2]
    assert "Left, as found" in page
    assert "Right, as set" in page
    rows = list(csv.DictReader(io.StringIO(written(store, "--to", "-", "--format", "csv", capsys=capsys))))
    assert [(row["place"], row["as_said"], row["decision"]) for row in rows] == [
        ("left", "5 thou", "in limits"), ("left", "5 thou", "in limits"),
        ("right", "5 thou", "in limits"), ("right", "9 thou", "out of limits"),
    ]  # fmt: skip
    figures = json.loads(written(store, "--to", "-", "--format", "json", capsys=capsys))["figures"]
    assert [figure["place"] for figure in figures] == ["left", "left", "right", "right"]
    assert main(["review", "--logs", str(store.folder)]) == 0
    text = re.sub(r"\s+", " ", capsys.readouterr().out)
    assert "rail gap, right, as set: 9 thou" in text


def test_readings_are_never_put_together_over_places(play: Play) -> None:
    played = play(
        "log gap five", "log gap six", "next", "log gap five", "next", "log gap four", "log gap four", "readings"
    )
    [said] = played.answers("readings")
    assert "Rail gap, left, as found, two readings, mean five point five thou" in said
    assert "Rail gap, right, as found, two readings, mean four thou" in said


def test_a_figure_asked_for_by_name_is_told_for_every_place(play: Play) -> None:
    played = play("log gap five", "next", "log gap four", "next", "read back gap", "log gap six", "read back gap")
    first, second = played.answers("read back gap"), [said for said in played.said if "six thou" in said]
    assert "Rail gap, right" in " ".join(first)
    assert second


def test_last_time_goes_by_place(make_play: Callable[..., Play], store: Store, tmp_path: Path) -> None:
    play = make_play(RAIL)
    play(
        "log gap five", "next", "log gap five", "next", "log gap four", "next", "log gap nine", "leave open", "next",
        "finish the job", "yes",
    )  # fmt: skip
    later = play("last time", "next", "yes", "next", "yes", "last time", "last time gap")
    at_left, at_right = later.answers("last time"), later.answers("last time gap")
    assert "rail gap, right, as set, nine thou. Out of limits" in " ".join(at_right)
    assert "left" not in " ".join(at_right)
    assert at_left


def test_the_first_page_tells_the_figures_that_fail_when_there_is_no_room_for_all(
    make_play: Callable[..., Play], store: Store, capsys: pytest.CaptureFixture[str]
) -> None:
    many = RAIL.replace("[left, right]", "[one, two, three, four, five, six, seven, eight, nine]")
    lines: list[str] = []
    for place in range(9):
        lines += ["log gap five", "next"] if place < 8 else ["log gap twelve", "leave open", "next"]
        lines += ["log gap five", "next"] if place < 8 else ["log gap nine", "leave open", "next"]
    play = make_play(many)
    play(*lines)
    owner = text_of(written(store, "--to", "-", "--format", "html", capsys=capsys))
    table, _, watch = owner.partition("as left")[2].partition("To watch")
    assert "Rail gap, nine 12 thou 9 thou" in table
    assert "rail gap, nine" in watch


@pytest.mark.parametrize("bad", ["left", "right"])
@pytest.mark.parametrize(
    "asked",
    [
        ("report", "--to", "-", "--format", "html"),
        ("report", "--to", "-", "--format", "text"),
        ("report", "--to", "-", "--format", "csv"),
        ("report", "--to", "-", "--format", "json"),
        ("review",),
        ("review", "--spoken"),
        ("history", "Portable typewriter"),
    ],
    ids=lambda asked: " ".join(asked).replace(" --to -", ""),
)
def test_whichever_place_is_out_of_limits_is_told_everywhere(
    play: Play, store: Store, capsys: pytest.CaptureFixture[str], asked: tuple[str, ...], bad: str
) -> None:
    at = {place: ("log gap nine", "leave open") if place == bad else ("log gap five",) for place in ("left", "right")}
    play("log gap five", "next", *at["left"], "next", "log gap five", "next", *at["right"], "next")
    assert main([*asked, "--logs", str(store.folder)]) == 0
    told = re.sub(r"<[^>]*>|\s+", " ", capsys.readouterr().out)
    assert re.search(rf"gap\W+{bad}\b.*?(9|nine) thou", told, re.IGNORECASE)
    assert "out of limits" in told
