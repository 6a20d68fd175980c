"""Answers about the item that already mean something else at the bench are refused before they can mislead."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.cli import main

PROCEDURE = """\
title: Gap
item: bench rig
revision: 1
questions:
  finish:
    ask: Which finish has it?
    answers: [brass, {answer}]
steps:
  - {{id: a, do: Press it., only if: {{finish: brass}}}}
  - {{id: b, do: Turn it.}}
"""


def written(tmp_path: Path, answer: str) -> Path:
    path = tmp_path / "gap.yaml"
    path.write_text(PROCEDURE.format(answer=answer), "utf-8")
    return path


@pytest.mark.parametrize(
    ("answer", "command"), [("next", "next"), ("step done", "done"), ("two", "figure"), ("say again", "repeat")]
)
def test_an_answer_that_is_a_command_is_refused_where_it_stands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], answer: str, command: str
) -> None:
    path = written(tmp_path, answer)
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().out.splitlines() == [
        f'{path}:7:22: the answer "{answer}" is also a command at the bench ({command}); use other words, such as '
        f'"{answer} finish" or "the {answer} one"'
    ]


@pytest.mark.parametrize("answer", ["black", '"yes"', "the next one", "next finish"])
def test_other_answers_are_good(tmp_path: Path, answer: str) -> None:
    assert main(["check", str(written(tmp_path, answer))]) == 0


def test_answers_decided_by_serial_number_are_told_at_their_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "gap.yaml"
    said = "by serial: {brass: up to 40, next: from 41}"
    path.write_text(PROCEDURE.format(answer="x").replace("answers: [brass, x]", said), "utf-8")
    assert main(["check", str(path)]) == 2
    assert capsys.readouterr().out.startswith(f"{path}:7:")


def test_another_mistake_does_not_hide_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = written(tmp_path, "next")
    path.write_text(path.read_text("utf-8") + "  - {id: c, do: Lock it., colour: red}\n", "utf-8")
    assert main(["check", str(path)]) == 2
    assert [line.removeprefix(f"{path}:")[:2] for line in capsys.readouterr().out.splitlines()] == ["7:", "11"]


def test_a_file_that_was_not_checked_is_refused_at_the_bench_in_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, "next")
    assert main(["rehearse", str(path), "--logs", str(tmp_path / "logs")]) == 2
    assert 'the answer "next" is also a command at the bench' in capsys.readouterr().err
