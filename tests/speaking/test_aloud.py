"""Speech through a real sound stream: a PulseAudio null sink is the loudspeaker, its monitor the ear beside it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from tests.support.places import REPOSITORY
from tests.support.sound_room import RATE, SoundRoom, open_room

COMMON = """
import json, threading, time
from handsfree.speaking.speaker import AloudSpeaker
from handsfree.speaking.tones import Tone
speaker = AloudSpeaker()
told = []
over = threading.Event()
def done(name):
    def tell(ended):
        told.append([name, ended, threading.current_thread().name])
        over.set()
    return tell
def wait():
    assert over.wait(30)
    over.clear()
"""
LAST = """
speaker.close()
print(json.dumps({"told": told, "problem": speaker.problem} | globals().get("more", {})))
"""
LONG = "This is a rather long sentence, which goes on and on about nothing at all until somebody stops it, or it ends."


class Room:
    """A room in which scripts speak."""

    def __init__(self, sound: SoundRoom) -> None:
        self.sound = sound
        self.environment = sound.environment

    def heard(self, script: str) -> tuple[np.ndarray[Any, Any], dict[str, Any]]:
        """What the loudspeaker gave while the script ran, and what the script told."""
        with self.sound.listening() as heard:
            done = subprocess.run(
                [sys.executable, "-c", COMMON + script + LAST],
                env=self.environment, capture_output=True, text=True, timeout=60, check=False,
            )  # fmt: skip
        assert done.returncode == 0, done.stderr
        return heard.samples, json.loads(done.stdout.splitlines()[-1])


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Room]:
    sound = open_room(tmp_path_factory.mktemp("room"))
    try:
        yield Room(sound)
    finally:
        sound.close()


def extent(samples: np.ndarray[Any, Any]) -> float:
    """Seconds from the first to the last audible sample."""
    loud = np.flatnonzero(np.abs(samples) > 0.01)
    return (loud[-1] - loud[0]) / RATE if len(loud) else 0.0


@pytest.mark.realtime
def test_a_sentence_is_heard_to_its_end(room: Room) -> None:
    samples, told = room.heard(
        """
expected = speaker.say("Turn the ring until the marks meet.", done("ring"))
wait()
import numpy as np
text = speaker._synthesiser.render("Turn the ring until the marks meet.")
more = {"expected": expected, "rendered": np.round(text, 4).tolist()}
"""
    )
    assert told["told"] == [["ring", True, "player"]] and told["problem"] is None
    rendered = np.array(told["rendered"])
    assert told["expected"] == pytest.approx(len(rendered) / RATE, abs=0.01)
    assert extent(samples) == pytest.approx(extent(rendered), abs=0.03)
    # The same wave came out: its best match with what was rendered is nearly perfect.
    match = np.correlate(samples, rendered, mode="valid")
    start = int(np.argmax(match))
    part = samples[start : start + len(rendered)]
    assert match[start] / np.linalg.norm(part) / np.linalg.norm(rendered) > 0.9


@pytest.mark.realtime
def test_stop_is_silence_at_once(room: Room) -> None:
    samples, told = room.heard(
        f"""
more = {{"expected": speaker.say({LONG!r}, done("long"))}}
time.sleep(0.8)
speaker.stop()
assert over.is_set()
time.sleep(1.5)
"""
    )
    assert [entry[:2] for entry in told["told"]] == [["long", False]]
    assert told["expected"] > 4
    assert 0.2 < extent(samples) < 1.5


@pytest.mark.realtime
def test_something_newer_replaces_what_is_said(room: Room) -> None:
    samples, told = room.heard(
        f"""
speaker.say({LONG!r}, done("old"))
time.sleep(0.6)
speaker.say("Stopped.", done("new"))
while len(told) < 2: time.sleep(0.01)
"""
    )
    assert [entry[:2] for entry in told["told"]] == [["old", False], ["new", True]]
    assert extent(samples) < 3


@pytest.mark.realtime
def test_a_tone_comes_before_the_words_said_right_after_it(room: Room) -> None:
    samples, told = room.heard(
        """
speaker.tone(Tone.QUESTION)
speaker.say("Again?", done("again"))
wait()
"""
    )
    first = np.flatnonzero(np.abs(samples) > 0.005)[0]
    # For its first tenth of a second the sound is the tone alone: soft, and a glide between 330 and 660 hertz.
    tone = samples[first : first + RATE // 10]
    assert np.abs(tone).max() < 0.2
    power = np.abs(np.fft.rfft(tone, 8192)) ** 2
    frequency = np.fft.rfftfreq(8192, 1 / RATE)
    assert power[(frequency > 280) & (frequency < 720)].sum() / power.sum() > 0.9
    assert np.abs(samples[first + RATE // 7 :]).max() > 0.3
    assert told["told"] == [["again", True, "player"]]


@pytest.mark.realtime
def test_louder_is_louder_and_never_clips(room: Room) -> None:
    quiet, _ = room.heard("speaker.say('All the marks meet.', done('a')); wait()")
    loud, _ = room.heard(
        "answers = [speaker.louder() for _ in range(9)]; speaker.say('All the marks meet.', done('a')); wait()"
    )

    def level(samples: np.ndarray[Any, Any]) -> float:
        return float(np.sqrt(np.mean(samples[np.abs(samples) > 0.01] ** 2)))

    assert level(loud) > 1.8 * level(quiet)
    assert np.abs(loud).max() < 0.9


@pytest.mark.realtime
def test_a_hundred_interruptions_and_two_threads_leave_nothing_behind(room: Room) -> None:
    _, told = room.heard(
        """
def interrupt(name):
    for number in range(50):
        speaker.say(f"Reading {number % 5} of {name}.", done(name))
        if number % 7 == 0: speaker.tone(Tone.HEARD)
        if number % 11 == 0: speaker.stop()
        time.sleep(0.005)
threads = [threading.Thread(target=interrupt, args=(name,)) for name in "ab"]
for thread in threads: thread.start()
for thread in threads: thread.join()
speaker.say("Last.", done("last"))
deadline = time.monotonic() + 20
while len(told) < 101 and time.monotonic() < deadline: time.sleep(0.01)
"""
    )
    assert len(told["told"]) == 101
    assert [entry for entry in told["told"] if entry[1]] == [["last", True, "player"]]


@pytest.mark.realtime
def test_empty_text_ends_at_once_and_a_done_may_speak_again(room: Room) -> None:
    _, told = room.heard(
        """
speaker.say("", done("empty"))
wait()
def again(ended):
    done("first")(ended)
    speaker.say("Two.", done("second"))
speaker.say("One.", again)
while len(told) < 3: time.sleep(0.01)
"""
    )
    assert [entry[:2] for entry in told["told"]] == [["empty", True], ["first", True], ["second", True]]


@pytest.mark.realtime
def test_a_loudspeaker_that_goes_and_comes_back(room: Room) -> None:
    script = f"""
speaker.say({LONG!r}, done("lost")); time.sleep(0.5); print("speaking", flush=True)
wait(); print(speaker.problem, flush=True); input()
speaker.say("Here again.", done("back")); wait()
"""
    program = subprocess.Popen(
        [sys.executable, "-c", COMMON + script + LAST], env=room.environment, text=True,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        assert program.stdout is not None
        assert program.stdout.readline() == "speaking\n"
        room.sound.server.kill()
        room.sound.server.wait()
        assert program.stdout.readline().startswith("The loudspeaker failed")
        room.sound.start()
        assert room.sound.ready()
        output, _ = program.communicate("\n", timeout=30)
    finally:
        program.kill()
    told = json.loads(output)
    assert [entry[:2] for entry in told["told"]] == [["lost", False], ["back", True]]
    assert told["problem"] is None


@pytest.mark.realtime
def test_without_the_headset_speech_goes_to_the_loudspeaker_and_comes_back(room: Room) -> None:
    script = """
from handsfree.speaking.player import Player
speaker.close()
speaker = AloudSpeaker(player=Player("headset"))
for turn in range(3):
    speaker.say("Here.", done(turn)); wait(); print(speaker.output, speaker.problem, flush=True); input()
"""
    program = subprocess.Popen(
        [sys.executable, "-c", COMMON + script + LAST], env=room.environment, text=True,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    assert program.stdin is not None and program.stdout is not None
    try:
        assert program.stdout.readline() == "headset None\n"
        room.sound.remove_headset()
        with room.sound.listening() as heard:
            print(flush=True, file=program.stdin)
            assert program.stdout.readline() == "default None\n"
        assert extent(heard.samples) > 0.2
        room.sound.plug_in_headset()
        with room.sound.listening("headset") as heard:
            print(flush=True, file=program.stdin)
            assert program.stdout.readline() == "headset None\n"
        assert extent(heard.samples) > 0.2
        output, _ = program.communicate("\n", timeout=30)
    finally:
        program.kill()
    assert [entry[:2] for entry in json.loads(output)["told"]] == [[0, True], [1, True], [2, True]]


@pytest.mark.realtime
def test_a_program_that_ends_while_speaking_ends_cleanly(room: Room) -> None:
    done = subprocess.run(
        [sys.executable, "-c", COMMON + f"speaker.say({LONG!r}); time.sleep(0.4); print('end')"],
        env=room.environment, capture_output=True, text=True, timeout=30, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stdout.strip()) == (0, "end"), done.stderr


def _without(preparation: str, environment: dict[str, str]) -> list[str]:
    script = preparation + (
        "\nfrom handsfree.speaking.speaker import open_speaker"
        "\nspeaker, line = open_speaker('aloud')"
        "\nprint(type(speaker).__name__)"
        "\nprint(line)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "PYTHONPATH": str(REPOSITORY), **environment},
        capture_output=True, text=True, timeout=30, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="PortAudio is only a system package on Linux")
def test_without_portaudio_it_prints_and_says_what_to_install() -> None:
    # The error is the one that sounddevice raises where it finds no PortAudio.
    preparation = (
        "import ctypes.util as u\nreal = u.find_library\nu.find_library = lambda n: None if 'port' in n else real(n)"
    )
    kind, line = _without(preparation, {})
    assert kind == "PrintSpeaker"
    assert "libportaudio2" in line and "printed instead" in line


def test_without_a_loudspeaker_it_prints_and_says_so() -> None:
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        pytest.skip(f"needs sounddevice and PortAudio: {error}")
    if any(device["max_output_channels"] for device in sounddevice.query_devices()):
        pytest.skip("this machine has a loudspeaker")
    kind, line = _without("", {})
    assert kind == "PrintSpeaker"
    assert line.startswith("No loudspeaker was found") and "plug one in" in line


def test_without_the_python_package_it_says_so() -> None:
    kind, line = _without("import sys\nsys.modules['sounddevice'] = None", {})
    assert kind == "PrintSpeaker"
    assert "pip install sounddevice" in line
