"""With unfinished jobs of several items, a recording chooses one by voice: real sound, the real recogniser."""

from __future__ import annotations

import argparse
import io
import threading
import time
from pathlib import Path

import pytest

from handsfree.audio.files import load_recording
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.cli import main
from handsfree.commands.bench import which_job
from handsfree.job.events import JobOpened, JobPaused, JobResumed
from handsfree.job.log.store import Store
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.microphone import PlayedMicrophone
from tests.support.played import MORNING, SMALL
from tests.support.spoken_lines import recording


def begun(store: Store, text: str, item: str, serial: str) -> str:
    """A job of this item that was left at once."""
    opened = JobOpened(
        at=MORNING, title="Adjustment of the gate latch", revision="1", procedure_sha256="", procedure_text=text,
        procedure_name="gate-latch", item=item, serial=serial,
    )  # fmt: skip
    with store.open_job(opened, 5) as log:
        log.append(JobPaused(at=MORNING))
        return log.job


def test_the_job_is_chosen_by_voice_and_then_worked(
    tmp_path: Path, procedure: Path, capsys: pytest.CaptureFixture[str]
) -> None:
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


class NamesAloud(PrintSpeaker):
    """Speaks at once, and keeps what it said."""

    def __init__(self) -> None:
        self.said: list[str] = []
        super().__init__(self.said.append, guessing=True)


def test_the_job_is_chosen_by_voice_at_the_microphone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    store = Store(tmp_path / "logs")
    begun(store, SMALL, "Bench gauge", "12")
    newer = begun(store, SMALL, "Small lathe", "13")
    microphone = PlayedMicrophone()
    sound = load_recording(recording(tmp_path / "said.wav", "the lathe"))
    for at in range(0, len(sound), SAMPLE_RATE // 10):
        # Caught when the question has been put: until then the ear is closed.
        microphone.put(sound[at : at + SAMPLE_RATE // 10], time.monotonic() + 60)
    monkeypatch.setattr(which_job, "microphone_of", lambda args: microphone)
    monkeypatch.setattr("sys.stdin", io.StringIO())
    speaker = NamesAloud()
    args = argparse.Namespace(recogniser="builtin", vosk_model=None)
    chosen: list[str] = []
    # Nobody who is not heard waits for ever here.
    choosing = threading.Thread(
        target=lambda: chosen.append(which_job.by_microphone(args, store.unfinished("gate-latch"), speaker)),
        daemon=True,
    )
    choosing.start()
    choosing.join(timeout=120)
    assert chosen == [newer]
    assert speaker.said[0].startswith("Two jobs of this procedure are not finished. One, Small lathe, serial number")
    assert "Say job and its number, or type it." in capsys.readouterr().out
