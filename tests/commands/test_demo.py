"""The demo as a newcomer sees it."""

from __future__ import annotations

from pathlib import Path

import pytest
import soundfile

from handsfree.cli import main
from handsfree.commands.bench.demo import recording_path


@pytest.mark.slow
def test_the_demo_says_what_to_look_for_and_where_the_review_and_the_report_lie(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert main(["demo", "--quiet", "--to", str(tmp_path / "room.wav"), "--logs", str(tmp_path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert next(number for number, line in enumerate(lines) if "─ step 1 of 18" in line) <= 3
    *end, both_voices = lines[lines.index("") + 1 :]
    assert sum(not line.startswith(" ") for line in end) <= 6
    assert len(end) <= 10
    assert "18 of 18 steps done, finished" in " ".join(" ".join(end[:2]).split())
    (report,) = (line.split(maxsplit=2)[2] for line in end if line.startswith("Its report"))
    assert "Rebuild of the focusing slide" in Path(report).read_text(encoding="utf-8")
    (review,) = (line for line in end if line.startswith("Its review"))
    assert main(review.split("handsfree ")[1].split()) == 0
    assert "NEEDS ATTENTION" in capsys.readouterr().out
    assert both_voices == f"Both voices    {tmp_path / 'room.wav'}"
    assert soundfile.info(tmp_path / "room.wav").duration > soundfile.info(recording_path()).duration
