"""A whole job of another trade, played as good practice has it: no dead ends, few questions, short sentences."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.cli import main
from tests.benchmarks.dialogue import JOBS, worked
from tests.support.hearing_sounds import voices
from tests.support.places import DATA


def test_the_procedure_of_the_balance_is_good() -> None:
    assert main(["check", str(DATA / "beam-balance.yaml")]) == 0


def test_two_jobs_go_through_without_a_dead_end_and_with_few_questions(tmp_path: Path) -> None:
    accounts = [worked(serial, owner, script, tmp_path / serial) for serial, owner, script in JOBS]
    assert [account.dead_ends for account in accounts] == [[], []]
    figures = sum(account.figures for account in accounts)
    asked = [question for account in accounts for question in account.figure_questions]
    assert figures >= 20
    assert 10 * len(asked) <= figures, asked
    # One sentence in twenty may be long for the ear: some acts need their words.
    long = [said for account in accounts for said in account.long_sentences]
    assert 20 * len(long) <= sum(account.sentences for account in accounts), long


@pytest.mark.slow
def test_said_by_a_voice_in_quiet_at_most_one_figure_in_ten_is_asked_back(tmp_path: Path) -> None:
    if "flite slt" not in voices():
        pytest.skip("needs the voice slt of flite (Debian package flite)")
    accounts = [worked(serial, owner, script, tmp_path / serial, "flite slt") for serial, owner, script in JOBS]
    assert [account.dead_ends for account in accounts] == [[], []]
    asked = [question for account in accounts for question in account.figure_questions]
    assert 10 * len(asked) <= sum(account.figures for account in accounts), asked
