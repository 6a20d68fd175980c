"""What happens at the bench as lines: a rule where a step begins, warnings in colour as well as in words."""

from __future__ import annotations

import re
from datetime import datetime, timezone

import pytest

from handsfree.bench.printing import Printer

NOW = datetime(2026, 3, 2, 9, 30, 5, tzinfo=timezone.utc)
WARM, PLAIN = "\x1b[1;33m", "\x1b[0m"


class Shown:
    """Lines as a printer writes them, the job at ``place``."""

    def __init__(self, *, colour: bool) -> None:
        self.place = "step 1 of 3"
        self.lines: list[str] = []
        self.print = Printer(lambda: NOW, self.lines.append, place=lambda: self.place, colour=colour)

    @property
    def warm(self) -> str:
        """What stands in the warm colour, across lines."""
        return " ".join(re.findall(re.escape(WARM) + "(.*?)" + re.escape(PLAIN), "\n".join(self.lines)))


def test_a_rule_with_its_number_stands_where_a_step_begins_and_only_there() -> None:
    shown = Shown(colour=False)
    shown.print("says", "Step one.")
    shown.print("heard", "next")
    shown.place = "step 2 of 3"
    shown.print("heard", "fasteners")
    shown.print("says", "Step two.")
    shown.print("says", "Two screws.")
    assert [bool(re.search("─ step", line)) for line in shown.lines] == [True, False, False, False, True, False, False]


def test_without_colour_nothing_steers_the_terminal() -> None:
    shown = Shown(colour=False)
    shown.print("says", "Danger. Solvent fumes. \x1b[2JStep three.")
    shown.print("ignored", "kettle")
    assert "\x1b" not in "".join(shown.lines)


@pytest.mark.parametrize(
    ("said", "warm"),
    [
        ("Danger. Solvent fumes. Step three. Wait ten minutes.", "Danger. Solvent fumes."),
        ("Gib clearance, four thou. Out of limits, one thou over. Set again?", "Out of limits, one thou over."),
        ("Out of limits", "Out of limits"),
        ("Gib clearance, two thou. In limits.", ""),
        (
            "Gib clearance, as found, four and a half thou at the left. Out of limits, one and a half thou over.",
            "Out of limits, one and a half thou over.",
        ),
    ],
)
def test_danger_and_out_of_limits_are_in_a_warm_colour_to_their_end(
    said: str, warm: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    shown = Shown(colour=True)
    shown.print("says", said)
    assert shown.warm == warm
    plain = (re.sub(r"\x1b\[[0-9;]*m", "", line) for line in shown.lines[1:])
    assert " ".join(line[19:] for line in plain) == said


def test_what_was_heard_is_bold_and_what_was_ignored_is_dim() -> None:
    shown = Shown(colour=True)
    shown.print("heard", "next")
    shown.print("ignored", "kettle")
    assert shown.lines[0].endswith("\x1b[1mnext\x1b[0m")
    assert shown.lines[1].endswith("\x1b[2mkettle\x1b[0m")
