"""The whole way in, through a real sound stream: PulseAudio plays into a room in which the microphone listens.

The room is a null sink whose monitor is the default source. A process of its own listens, since the sound library
reads its surroundings only once.
"""

from __future__ import annotations

import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.audio.devices.library import sound_library
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from tests.support.places import REPOSITORY

ALSA = """</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
"""

LISTEN = """
import json, queue, subprocess, sys
from handsfree.hearing.builtin import BuiltinRecogniser
from handsfree.hearing.ear import Ear
from handsfree.hearing.listener import Listener
from handsfree.hearing.microphone import Microphone, list_devices
from handsfree.phrases.language import Language

language = Language()
recogniser = BuiltinRecogniser()
recogniser.set_grammar(language.automaton)
heard, trouble = queue.Queue(), queue.Queue()
listener = Listener(Microphone(sys.argv[1] or None), Ear(recogniser, language.interpret), heard.put, trouble.put)
listener.start()

def play(name):
    subprocess.run(["paplay", "--device=room", name], check=True)

def result(seconds=5):
    try:
        utterance = heard.get(timeout=seconds)
    except queue.Empty:
        return None
    return {"meaning": [intent.kind.value for intent in utterance.intents], "hearing": utterance.hearing.value,
            "start": utterance.start, "end": utterance.end}

out = []
for name in sys.argv[3:]:
    play(name)
    out.append(result())
listener.close_gate()
play(sys.argv[3])
listener.open_gate(tail=0.3)
out.append(result(1.5))
play(sys.argv[3])
out.append(result())
if sys.argv[2] == "lose":
    subprocess.run(["pactl", "exit"], check=True)
    out.append(trouble.get(timeout=20))
listener.stop()
print(json.dumps(out))
"""


@pytest.fixture
def room(tmp_path: Path) -> Iterator[dict[str, str]]:
    """The environment of a process that hears and speaks in the room."""
    for program in ("pulseaudio", "paplay", "pactl"):
        if shutil.which(program) is None:
            pytest.skip(f"the program {program} is not installed")
    if not any(Path("/usr/lib").glob("**/alsa-lib/libasound_module_pcm_pulse.so")):
        pytest.skip("ALSA's plugin for PulseAudio (libasound2-plugins) is not installed")
    try:
        sound_library()
        find_model_files()
    except HearingError as error:
        pytest.skip(str(error))
    socket = tmp_path / "pulse.socket"
    (tmp_path / "alsa.conf").write_text(ALSA)
    environment = os.environ | {
        "XDG_RUNTIME_DIR": str(tmp_path),
        "HOME": str(tmp_path),
        "PULSE_SERVER": f"unix:{socket}",
        "PULSE_RUNTIME_PATH": str(tmp_path / "pulse"),
        "ALSA_CONFIG_PATH": str(tmp_path / "alsa.conf"),
    }
    arguments = ["pulseaudio", "-n", "--exit-idle-time=-1", "--daemonize=no", "--use-pid-file=no"]
    for module in (
        f"module-native-protocol-unix socket={socket} auth-anonymous=1",
        "module-null-sink sink_name=room norewinds=1",
        "module-null-sink sink_name=loudspeaker norewinds=1",
    ):
        arguments += ["-L", module]
    server = subprocess.Popen(arguments, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(100):
            if socket.exists():
                break
            time.sleep(0.05)
        else:
            pytest.skip("PulseAudio does not start here")
        for act in (["set-default-source", "room.monitor"], ["set-default-sink", "loudspeaker"]):
            subprocess.run(["pactl", *act], check=True, env=environment)
        yield environment
    finally:
        server.terminate()
        server.wait(timeout=10)


@pytest.fixture
def spoken(tmp_path: Path) -> list[str]:
    """Two recorded commands, the same at every run: what is tested is the way through the room."""
    names = []
    for text in ("next", "repeat"):
        sound, rate = soundfile.read(REPOSITORY / "audio_fixtures" / "heart" / f"{text}.flac")
        names.append(str(tmp_path / f"{text}.wav"))
        soundfile.write(names[-1], np.pad(sound, rate // 2), rate)
    return names


def listen(room: dict[str, str], *arguments: str) -> list[object]:
    done = subprocess.run(
        [sys.executable, "-c", LISTEN, *arguments],
        env=room,
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answer: list[object] = json.loads(done.stdout.splitlines()[-1])
    return answer


@pytest.mark.skipif(importlib.util.find_spec("sounddevice") is None, reason="sounddevice is not installed")
def test_commands_are_heard_in_a_room_except_while_the_gate_is_closed(room: dict[str, str], spoken: list[str]) -> None:
    first, second, gated, again = listen(room, "", "keep", *spoken)
    assert isinstance(first, dict)
    assert isinstance(second, dict)
    assert isinstance(again, dict)
    assert (first["meaning"], first["hearing"]) == (["next"], "clear")
    assert (second["meaning"], second["hearing"]) == (["repeat"], "clear")
    assert gated is None
    assert again["meaning"] == ["next"]
    assert first["end"] < second["start"] < second["end"] < again["start"]


@pytest.mark.skipif(importlib.util.find_spec("sounddevice") is None, reason="sounddevice is not installed")
def test_a_microphone_that_goes_away_is_told(room: dict[str, str], spoken: list[str]) -> None:
    *_, trouble = listen(room, "", "lose", *spoken)
    assert "gives no more sound" in str(trouble)
