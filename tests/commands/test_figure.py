"""``handsfree figure``: what is understood, and bench sums."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from handsfree.cli import main
from handsfree.text.english import English, choose


@pytest.fixture(autouse=True)
def no_file_of_the_workshop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    yield
    choose(English.BRITISH)


def understood(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    assert main(["figure", *arguments, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


@pytest.mark.parametrize(
    ("text", "value", "unit", "si", "written"),
    [
        # SI values by the inch of 25.4 mm and standard gravity (NIST SP 811).
        ("four thou", 4, "thou", 0.0001016, "4 thou"),
        ("four and a half thou", 4.5, "thou", 0.0001143, "4.5 thou"),
        ("4 1/2 thou", 4.5, "thou", 0.0001143, "4.5 thou"),
        ("point one zero millimetres", 0.1, "mm", 0.0001, "0.10 mm"),
        ("eleven thirty-seconds of an inch", 0.34375, "inch", 0.00873125, "11/32 in"),
        ("a two hundredth of a second", 0.005, "s", 0.005, "1/200 s"),
        ("twenty degrees celsius", 20, "°C", 293.15, "20°C"),
        ("one gram force", 1, "gf", 0.00980665, "1 gf"),
        ("three", 3, None, None, "3"),
        # By common practice: round thousands, a lone "oh", parts of an inch with a hyphen.
        ("twelve thousand", 12000, None, None, "12000"),
        ("oh", 0, None, None, "0"),
        ("eleven thirty-seconds", 0.34375, None, None, "11/32"),
        ("one and three eighths of an inch", 1.375, "inch", 0.034925, "1 3/8 in"),
        ("one over fifty of a second", 0.02, "s", 0.02, "1/50 s"),
        ("five counts", 5, "count", 5, "5"),
        ("six ten-thousandths", 6, "tenth thou", 1.524e-5, "0.6 thou"),
        ("one over one twenty five seconds", 0.008, "s", 0.008, "1/125 s"),
        ("2:10", 130, "s", 130, "2 min 10 s"),
        ("1:02:10", 3730, "s", 3730, "62 min 10 s"),
        ("two minutes ten seconds", 130, "s", 130, "2 min 10 s"),
        ("30°15′", 1815, "arcminute", math.radians(30.25), "30° 15′"),
        ("1 lb 4 oz", 20, "oz", 0.5669904625, "1 lb 4 oz"),
        ("2½ thou", 2.5, "thou", 6.35e-5, "2.5 thou"),
        ("1,250 rpm", 1250, "rpm", 130.8996939, "1250 rpm"),
    ],
)
def test_figures(
    *, capsys: pytest.CaptureFixture[str], text: str, value: float, unit: str | None, si: float | None, written: str
) -> None:
    found = understood(capsys, text)
    assert (found["value"], found["unit"], found["written"], found["ambiguous"]) == (value, unit, written, False)
    assert found["si"] == (None if si is None else pytest.approx(si, rel=1e-9))


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("four mils", ["mm", "thou"]),
        ("a tenth of a mil", ["mm", "thou"]),
        ("two tenths", ["tenth thou", "tenth mm"]),
        ("two hundredths", ["hundredth mm", "hundredth inch"]),
        ("twenty degrees", ["degree", "°C", "°F"]),
        ("five minutes", ["min", "arcminute"]),
        ("eleven thirty seconds", [None, "s"]),
    ],
)
def test_what_can_mean_two_things_is_called_ambiguous(
    capsys: pytest.CaptureFixture[str], text: str, units: list[str | None]
) -> None:
    found = understood(capsys, text)
    assert found["ambiguous"] is True
    assert [meaning["unit"] for meaning in found["meanings"]] == units


def test_sums_from_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert understood(capsys, "convert 4 thou to mm")["value"] == 0.102
    assert understood(capsys, "convert 4 thou to mm")["si"] == pytest.approx(0.0001016, rel=1e-12)
    assert understood(capsys, "travel", "of", "M3", "in", "two", "turns")["written"] == "1 mm"
    assert understood(capsys, "travel of two start 1.5 mm pitch in one turn")["written"] == "3 mm"
    assert understood(capsys, "what percent is 4 thou of 5 thou")["value"] == 80
    assert understood(capsys, "what percent is four of five")["value"] == 80
    assert understood(capsys, "what is ten plus four")["written"] == "14"
    assert understood(capsys, "error of 10.1 against 10")["spoken"] == "one percent over"
    # So many threads an inch, by its name; the inch of NIST SP 811.
    assert understood(capsys, "travel of 6-32 in 32 turns")["value"] == 25.4
    assert understood(capsys, "travel of two start 1/4 BSW in 10 turns")["value"] == 25.4
    assert understood(capsys, "error of 1.05 seconds against 1 second")["spoken"] == "five percent long"
    found = understood(capsys, "blades for 0.35 mm", "--blades", "0.05 0.1 0.15 0.2 0.25 0.3 mm")
    assert found["ways"] == [[0.3, 0.05], [0.25, 0.1], [0.2, 0.15]]
    found = understood(capsys, "shims for 0.27 mm", "--shims", "4 x 0.1, 2 x 0.05 mm")
    assert (found["below"]["thickness"], found["above"]["thickness"]) == (0.25, 0.3)


def test_a_sum_is_no_fraction_that_no_rule_shows(capsys: pytest.CaptureFixture[str]) -> None:
    assert understood(capsys, "what is half a thou plus point one thou")["written"] == "0.6 thou"
    assert understood(capsys, "what is half an inch plus a quarter of an inch")["written"] == "3/4 in"


def test_american_english_is_an_option_and_a_setting(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    said = understood(capsys, "205.05 mm", "--english", "american")["spoken"]
    assert said == "two hundred five point zero five millimeters"
    file = tmp_path / "workshop.yaml"
    file.write_text("english: american\n", encoding="utf-8")
    assert understood(capsys, "205.05 mm", "--workshop", str(file))["spoken"] == said
    assert understood(capsys, "205.05 mm")["spoken"] == "two hundred and five point nought five millimetres"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["bananas on toast"], "no figure and no sum"),
        ([""], "no text"),
        (["nine hundred ninety nine trillion"], "too large"),
        (["999999999999999 thou seven"], "too large"),
        (["four thou thou"], "no figure"),
        (["plus two minus one"], "is a deviation"),
        (["+2 -1"], "is a deviation"),
        (["1/0"], "1/0 can't be read as a figure"),
        (["1-2"], "1-2 can't be read as a figure"),
        (["2:75"], "2:75 can't be read as a figure"),
        (["1.2.3 mm"], "1.2.3 can't be read as a figure"),
        (["4,5 mm"], "4,5 can't be read: write 4.5 with a point"),
        (["4, 5 mm"], "can't be read"),
        (["travel of 6-33 in one turn"], "no sum"),
        (["travel of M8 x 1 in one turn"], "no sum"),
        (["what percent is four of five mils"], "more than one thing"),
        (["blades for 1 mm", "--blades", ""], "the set of blades is empty"),
        (["blades for 1 mm", "--blades", "0.1, -0.2 mm"], "thicker than nought"),
        (["blades for 1 mm", "--blades", "a few"], "must be a number"),
        (["blades for minus one millimetres", "--blades", "0.1 mm"], "not more than nought"),
        (["blades for 1 mm"], "no set of blades is stated"),
        (["convert 4 thou to seconds"], "measure length, not time"),
        (["four", "--workshop", "no-such-file.yaml"], "there is no such file"),
    ],
)
def test_bad_input_gets_one_clear_sentence(
    capsys: pytest.CaptureFixture[str], arguments: list[str], words: str
) -> None:
    assert main(["figure", *arguments]) == 2
    error = capsys.readouterr().err
    assert words in error
    assert error.count("\n") == 1


@pytest.mark.parametrize(
    ("text", "written"),
    [("twelve hundred rpm", "1200 rpm"), ("Thirty PSI", "30 psi"), ("twelve hundred r p m", "1200 rpm")],
)
def test_units_of_letters_are_typed_as_they_are_written(
    capsys: pytest.CaptureFixture[str], text: str, written: str
) -> None:
    assert understood(capsys, text)["written"] == written
