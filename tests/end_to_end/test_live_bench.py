"""A whole bench with a real sound stream: a voice in the room, the program, and its answer from the loudspeaker."""

from __future__ import annotations

import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.devices.chatter import MOST_ALIKE
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.job.events import ReadingLogged, ReadingSettled, StepDone
from handsfree.job.log.store import Store
from tests.support.places import DATA
from tests.support.program import PATIENCE, VOICE, Program
from tests.support.sound_room import SoundRoom, open_room

pytestmark = pytest.mark.realtime


@pytest.fixture
def room(tmp_path: Path) -> Iterator[SoundRoom]:
    room = open_room(tmp_path, looped=True)
    yield room
    room.close()


def test_a_voice_in_the_room_moves_the_job_on_and_the_answer_is_heard(room: SoundRoom, tmp_path: Path) -> None:
    program = Program(room, tmp_path)
    try:
        with room.listening() as heard:
            program.shows("Step one")
            before = program.has_spoken(heard)
            room.say(VOICE / "log-clearance-four-thou.flac")
            program.shows("heard log clearance four thou")
            program.shows("four thou. In limits.")
            after = program.has_spoken(heard, before)
            answer = heard.samples[before:after]
            room.say(VOICE / "next.flac")
            program.shows("Step two")
            program.has_spoken(heard, after)
    finally:
        program.stop()
    assert np.abs(answer).max() > 0.1
    out = program.out
    # The microphone hears the loudspeaker, and yet nothing was heard but what was said in the room.
    assert (out.count("heard "), out.count("heard? "), out.count("ignored ")) == (2, 0, 0), out
    assert "is safe at step two" in out
    store = Store(program.logs)
    with store.resume(store.unfinished("short")[0].id) as log:
        events = log.events()
    [reading] = [event for event in events if isinstance(event, ReadingLogged)]
    assert (reading.value, reading.unit, reading.clip is not None) == ("4", "thou", True)
    assert any(isinstance(event, ReadingSettled) for event in events)
    assert [event.step for event in events if isinstance(event, StepDone)] == ["gib"]


def test_the_sound_server_dies_in_mid_job_and_comes_back(room: SoundRoom, tmp_path: Path) -> None:
    program = Program(room, tmp_path)
    try:
        program.shows("Set the gib.")
        room.server.kill()
        room.server.wait()
        program.shows("The microphone is lost. The job is safe.")
        room.start()
        assert room.ready()
        with room.listening() as heard:
            program.shows("trouble the microphone is back")
            # Before this it may have said that the microphone is lost, and have been silent since.
            before = len(heard.samples)
            program.shows("The microphone is back. I am listening.")
            back = program.has_spoken(heard, before)
            room.say(VOICE / "where-am-i.flac")
            program.shows("heard where am i")
            program.shows("Step one of three.")
            program.has_spoken(heard, back)
    finally:
        program.stop()
    assert "Traceback" not in program.out
    assert "is safe at step one" in program.out


def test_a_sound_library_that_hangs_and_writes_for_ever_leaves_the_bench_hearing(
    room: SoundRoom, tmp_path: Path
) -> None:
    # PortAudio 19.6's own loop, by the very faults that bring it about; see handsfree/audio/devices/library.py.
    compiler = shutil.which("cc")
    if compiler is None or sys.platform != "linux":
        pytest.skip("needs a C compiler (cc) and ALSA")
    faults = tmp_path / "hanging_capture.so"
    subprocess.run([compiler, "-shared", "-fPIC", "-o", faults, DATA / "hanging_capture.c", "-ldl"], check=True)
    due = tmp_path / "due"
    room.environment |= {"LD_PRELOAD": str(faults), "HANG_CAPTURE": str(due)}
    program = Program(room, tmp_path)
    try:
        with room.listening() as heard:
            program.shows("Set the gib.")
            program.has_spoken(heard)
            due.touch()
            program.shows("trouble the microphone is back")
            before = len(heard.samples)
            program.shows("The microphone is back. I am listening.")
            program.has_spoken(heard, before)
            room.say(VOICE / "next.flac")
            program.shows("heard next")
            program.shows("No figure for gib clearance")
    finally:
        program.stop()
    assert program.process.returncode >= 0, "it did not end by itself"
    assert "is safe at step one" in program.out
    assert program.out.count("self->capture.ready") <= MOST_ALIKE


def test_the_bench_is_checked_with_phrases_said_in_the_room(room: SoundRoom, tmp_path: Path) -> None:
    out = tmp_path / "check.txt"
    with room.listening() as heard, out.open("w") as file:
        check = subprocess.Popen(
            [sys.executable, "-m", "handsfree.cli", "bench-check", "--recogniser", "builtin", "--logs", str(tmp_path)],
            env=room.environment, stdin=subprocess.DEVNULL, stdout=file, stderr=subprocess.STDOUT,
        )  # fmt: skip
        try:
            spoken = 0
            # The third is something else than is asked for.
            for number, name in enumerate(("where-am-i", "go-to-step-nine", "log-two-thou"), start=1):
                deadline = time.monotonic() + PATIENCE
                while out.read_text(encoding="utf-8").count("say: ") < number:
                    assert check.poll() is None and time.monotonic() < deadline, out.read_text(encoding="utf-8")
                    time.sleep(0.05)
                    spoken = len(heard.samples)
                samples = heard.samples
                while (
                    np.abs(samples[spoken:]).max(initial=0) < 0.1 or np.abs(samples[-SAMPLE_RATE // 2 :]).max() > 0.005
                ):
                    assert time.monotonic() < deadline
                    time.sleep(0.05)
                    samples = heard.samples
                time.sleep(0.5)
                room.say(VOICE / f"{name}.flac")
            assert check.wait(PATIENCE) == 1
        finally:
            check.kill()
    told = out.read_text(encoding="utf-8")
    assert "“where am i”" in told and "“go to step nine”" in told, told
    assert told.count("these are other words than were asked for") == 1
    # The silence of this room is too good for a microphone, which is told as well.
    assert told.strip().endswith("2 things to look at.")
