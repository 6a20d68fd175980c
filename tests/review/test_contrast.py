"""Contrast of the report's colours, computed from its style sheet (WCAG 2.2, relative luminance and 1.4.3, 1.4.11)."""

from __future__ import annotations

import re

import pytest

from handsfree.text.printed import style_sheet

CSS = style_sheet()
TEXT, GRAPHIC = 4.5, 3.0


def colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6});", block))


LIGHT = colours(CSS.split("@media")[0])
DARK = LIGHT | colours(CSS.split("prefers-color-scheme: dark")[1].split("* {")[0])


def luminance(colour: str) -> float:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_ends_of_its_scale() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known grey just above 4.5:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert 4.5 <= contrast("#767676", "#ffffff") < 4.6


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("text", ["ink", "soft", "in", "out", "undecided", "link"])
def test_text_can_be_read_on_the_paper(scheme: dict[str, str], text: str) -> None:
    assert contrast(scheme[text], scheme["paper"]) >= TEXT


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("mark", ["ink", "soft", "in", "out", "undecided"])
def test_marks_are_seen_inside_and_outside_the_limits(scheme: dict[str, str], mark: str) -> None:
    assert contrast(scheme[mark], scheme["zone"]) >= GRAPHIC
    assert contrast(scheme[mark], scheme["paper"]) >= GRAPHIC


@pytest.mark.parametrize("scheme", [LIGHT, DARK], ids=["light", "dark"])
def test_rules_and_the_line_over_jobs_are_seen(scheme: dict[str, str]) -> None:
    assert contrast(scheme["rule"], scheme["paper"]) >= GRAPHIC


def test_every_colour_of_the_sheet_is_one_of_those() -> None:
    rules = CSS.split("* {", 1)[1]
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b", rules) == []
    assert {"paper", "ink", "rule"} <= set(re.findall(r"var\(--([a-z]+)\)", rules)) <= set(LIGHT)
