"""A room without hardware: a PulseAudio server of the test's own, with a loudspeaker, a headset and an open room.

What is played into the sink `room` is what the microphone hears; the monitor of `loudspeaker` is an ear beside it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.support.places import REPOSITORY

RATE = 16_000
ALSA_PLUGIN = [*Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so"),
               *Path("/usr/lib64").glob("alsa-lib/libasound_module_pcm_pulse.so")]  # fmt: skip
ALSA = """</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.headset { type pulse device headset hint { show on description "Headset" } }
"""


class SoundRoom:
    """A sound server of the test's own. ``looped`` lets the microphone hear the loudspeaker, as in a real room."""

    def __init__(self, folder: Path, *, looped: bool = False) -> None:
        config = folder / "asound.conf"
        config.write_text(ALSA)
        self.socket = folder / "native"
        self.folder = folder
        self.looped = looped
        self.environment = {
            **os.environ, "HOME": str(folder), "XDG_RUNTIME_DIR": str(folder), "PULSE_RUNTIME_PATH": str(folder),
            "XDG_CONFIG_HOME": str(folder / "config"), "XDG_DATA_HOME": str(folder / "data"),
            "PULSE_SERVER": f"unix:{self.socket}", "ALSA_CONFIG_PATH": str(config), "PYTHONPATH": str(REPOSITORY),
            "PYTHONUNBUFFERED": "1",
        }  # fmt: skip
        self.start()

    def start(self) -> None:
        modules = [f"module-native-protocol-unix socket={self.socket} auth-anonymous=1"]
        # Without norewinds the start of a sound is lost.
        modules += [f"module-null-sink sink_name={name} norewinds=1" for name in ("loudspeaker", "room", "headset")]
        if self.looped:
            modules.append("module-loopback source=loudspeaker.monitor sink=room latency_msec=30")
        self.server = subprocess.Popen(
            ["pulseaudio", "-n", "--exit-idle-time=-1", "--daemonize=no", "--use-pid-file=no",
             *(word for module in modules for word in ("-L", module))],
            env=self.environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def ready(self) -> bool:
        deadline = time.monotonic() + 10
        while time.monotonic() < deadline and self.server.poll() is None:
            if self.control("set-default-sink", "loudspeaker") and self.control("set-default-source", "room.monitor"):
                return True
            time.sleep(0.05)
        return False

    def control(self, *words: str) -> bool:
        """Tell the server something; whether it obeyed."""
        told = subprocess.run(["pactl", *words], env=self.environment, capture_output=True, check=False)
        return told.returncode == 0

    def remove_headset(self) -> None:
        """Pull out the headset's plug."""
        listed = subprocess.run(
            ["pactl", "list", "short", "modules"], env=self.environment, capture_output=True, text=True, check=True
        )
        number = next(line.split()[0] for line in listed.stdout.splitlines() if "sink_name=headset" in line)
        assert self.control("unload-module", number)

    def plug_in_headset(self) -> None:
        assert self.control("load-module", "module-null-sink", "sink_name=headset", "norewinds=1")

    def say(self, recording: Path) -> None:
        """Play a recording into the room, to its end."""
        import soundfile

        samples, rate = soundfile.read(recording, dtype="int16")
        sound = self.folder / "said.wav"
        soundfile.write(sound, samples, rate)
        subprocess.run(["paplay", "--device=room", str(sound)], env=self.environment, check=True, timeout=30)

    @contextmanager
    def listening(self, sink: str = "loudspeaker") -> Iterator[HeardSound]:
        """What is played through a loudspeaker from now on."""
        recording = self.folder / f"{sink}.raw"
        with recording.open("wb") as file:
            ear = subprocess.Popen(
                ["parec", f"--device={sink}.monitor", f"--rate={RATE}", "--channels=1", "--format=s16le",
                 "--latency-msec=20"],
                env=self.environment, stdout=file,
            )  # fmt: skip
            try:
                deadline = time.monotonic() + 10
                while recording.stat().st_size == 0 and time.monotonic() < deadline:
                    time.sleep(0.02)
                yield HeardSound(recording)
                time.sleep(0.3)
            finally:
                ear.terminate()
                ear.wait()

    def close(self) -> None:
        self.server.terminate()
        self.server.wait()


class HeardSound:
    """A recording that may still be growing."""

    def __init__(self, file: Path) -> None:
        self._file = file

    @property
    def samples(self) -> np.ndarray[Any, Any]:
        content = self._file.read_bytes()
        return np.frombuffer(content[: len(content) // 2 * 2], dtype="<i2") / 32768


def open_room(folder: Path, *, looped: bool = False) -> SoundRoom:
    """A room that is ready; the test is skipped, with the reason, where something for it is missing."""
    missing = [
        program for program in ("pulseaudio", "pactl", "parec", "paplay") if shutil.which(program) is None
    ]  # fmt: skip
    if missing:
        pytest.skip(f"needs {', '.join(missing)} (Debian: pulseaudio, pulseaudio-utils)")
    if not ALSA_PLUGIN:
        pytest.skip("needs ALSA's PulseAudio plugin (Debian: libasound2-plugins)")
    try:
        import sounddevice  # noqa: F401
    except (ImportError, OSError) as error:
        pytest.skip(f"needs sounddevice and PortAudio: {error}")
    room = SoundRoom(folder, looped=looped)
    if not room.ready():
        room.close()
        pytest.skip("the PulseAudio server does not start here")
    return room
