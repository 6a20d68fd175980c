"""With unfinished jobs of several items, a recording chooses one by voice: real sound, the real recogniser."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.events import JobOpened, JobPaused, JobResumed
from handsfree.job.log.store import Store
from tests.support.played import MORNING, SMALL
from tests.support.spoken_lines import recording

pytestmark = pytest.mark.xdist_group("the spoken job")


def begun(store: Store, text: str, item: str, serial: str) -> str:
    """A job of this item that was left at once."""
    opened = JobOpened(
        at=MORNING, title="Adjustment of the gate latch", revision="1", procedure_sha256="", procedure_text=text,
        procedure_name="gate-latch", item=item, serial=serial,
    )  # fmt: skip
    with store.open_job(opened, 5) as log:
        log.append(JobPaused(at=MORNING))
        return log.job


def test_the_job_is_chosen_by_voice_and_then_worked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    procedure = tmp_path / "gate-latch.yaml"
    procedure.write_text(SMALL, encoding="utf-8")
    store = Store(tmp_path / "logs")
    older, newer = begun(store, SMALL, "Bench gauge", "12"), begun(store, SMALL, "Small lathe", "13")
    sound = recording(tmp_path / "day.wav", "job two", "pause the job")
    arguments = ["run", str(procedure), "--logs", str(store.folder), "--recogniser", "builtin", "--speak", "print"]
    assert main([*arguments, "--listen", str(sound)]) == 0
    out = capsys.readouterr().out
    assert "  1  Small lathe, serial number 13; job 2026-03-02-2, 0 of 5 steps" in out
    assert any(isinstance(event, JobResumed) for event in store.events(older))
    assert not any(isinstance(event, JobResumed) for event in store.events(newer))
    assert isinstance(store.events(older)[-1], JobPaused)
