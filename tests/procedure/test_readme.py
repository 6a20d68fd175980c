"""The page on how a procedure is written: its example is complete, and every key is told."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.measure.units import UNITS
from handsfree.procedure import model
from handsfree.procedure.check.checker import check
from handsfree.procedure.dangers import DANGER_KINDS
from handsfree.procedure.file import format
from handsfree.procedure.file.loader import load_procedure
from handsfree.procedure.file.problems import keys_of
from handsfree.procedure.shipped import shipped_dir

PAGE = (shipped_dir() / "README.md").read_text("utf-8")
FIRST, EXAMPLE = (part.split("```")[0] for part in PAGE.split("```yaml\n")[1:])


@pytest.fixture
def example(tmp_path: Path) -> Path:
    path = tmp_path / "example.yaml"
    path.write_text(EXAMPLE, "utf-8")
    return path


def test_the_example_passes_without_advice(example: Path) -> None:
    assert [str(each) for each in check(example)] == []


def test_the_first_example_passes_and_can_be_rehearsed_with_the_lines_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "plunger.yaml"
    path.write_text(FIRST, "utf-8")
    assert [str(each) for each in check(path)] == []
    told = PAGE.split("handsfree rehearse plunger.yaml")[1].split(")")[0]
    said = re.findall(r'"([^"]+)"', told)
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(said) + "\n"))
    assert main(["rehearse", str(path), "--logs", str(tmp_path / "logs")]) == 0
    out = capsys.readouterr().out
    assert "Travel, thirty nine millimetres. In limits." in " ".join(out.split())
    assert "is finished." in out


def test_every_unit_is_on_the_page() -> None:
    told = PAGE.split("**Units**: ")[1].split(". ")[0]
    assert {" ".join(each.split()) for each in re.split("[,;]", told)} == set(UNITS)


def test_the_example_is_written_out_as_the_page_says(example: Path) -> None:
    procedure = load_procedure(example).procedure
    assert [step.id for step in procedure.steps] == [
        "cover-off", "turn", "second-off", "set/inlet", "set/exhaust", "close",
    ]  # fmt: skip
    assert procedure.by_id("close").needs == ("set/inlet", "set/exhaust")


@pytest.mark.parametrize(
    "part",
    [format.ProcedureFile, format.StepInFile, format.Group, format.Included, model.Fastener, model.Lubricant,
     model.Danger, model.AlignmentMark, model.Characteristic, model.Tool, model.Wait, model.VariantQuestion],
)  # fmt: skip
def test_every_key_is_on_the_page(part: type[model.Step]) -> None:
    missing = [key for key in keys_of(part) if f"`{key}`" not in PAGE and f"{key}:" not in PAGE]
    assert missing == []


def test_every_kind_of_danger_is_on_the_page() -> None:
    assert [kind for kind in DANGER_KINDS if f"`{kind}`" not in PAGE] == []
