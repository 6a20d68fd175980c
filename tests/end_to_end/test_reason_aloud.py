"""Reasons in one's own words, said aloud: real sound, the real recogniser, and the sound kept with the entry."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.cli import main
from handsfree.job.events import OutcomeGiven, StepSkipped
from handsfree.job.log.store import Store
from tests.support.spoken_lines import recording


def test_a_reason_is_taken_in_free_speech_and_kept_as_sound(
    tmp_path: Path, procedure: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sound = recording(
        tmp_path / "day.wav",
        "next", "log clearance six thou", "six thou", "accept because the customer wants it",
        "skip this step", "the lacquer is on order",
        "pause the job",
        pause=9.0,
    )  # fmt: skip
    store = Store(tmp_path / "logs")
    arguments = ["run", str(procedure), "--logs", str(store.folder), "--recogniser", "builtin", "--speak", "print"]
    assert main([*arguments, "--listen", str(sound)]) == 0
    out = capsys.readouterr().out
    (job,) = store.jobs()
    outcomes = [event for event in store.events(job.id) if isinstance(event, OutcomeGiven)]
    assert [event.outcome for event in outcomes] == ["accepted"], out
    assert "customer" in (outcomes[0].reason or "").lower()
    skipped = [event for event in store.events(job.id) if isinstance(event, StepSkipped)]
    assert len(skipped) == 1, out
    assert "order" in skipped[0].reason.lower()
    for event in (*outcomes, *skipped):
        assert event.clip is not None
        assert len(store.read_clip(event.clip)) > 16_000 / 2
