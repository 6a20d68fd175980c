"""Speech made by the real voice engine."""

from __future__ import annotations

import subprocess
import sys
import threading
import time
from types import SimpleNamespace

import numpy as np
import pytest

from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.voice_activity import CHUNK, SileroDetector
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.recorder import RoomRecorder
from handsfree.speaking.voice.engine import Job, VoiceEngine, VoiceKind, british_voice, with_its_own_size
from handsfree.speaking.voice.neural import _SHA256 as neural_files
from handsfree.speaking.voice.synthesis import Synthesiser, guessed_seconds
from tests.support.places import REPOSITORY


@pytest.fixture(scope="module", params=["neural", "system"])
def voice(request: pytest.FixtureRequest) -> Synthesiser:
    return of_kind(request.param)


@pytest.fixture(scope="module")
def neural() -> Synthesiser:
    return of_kind("neural")


@pytest.fixture(scope="module")
def system() -> Synthesiser:
    return of_kind("system")


def of_kind(kind: VoiceKind, cache_seconds: float = 300.0) -> Synthesiser:
    try:
        synthesiser = Synthesiser(cache_seconds, voice=kind)
    except SpeakingError as error:
        pytest.skip(f"no voice engine: {error}")
    if synthesiser.note:
        pytest.skip(synthesiser.note)
    return synthesiser


def run(script: str) -> str:
    """The output of a Python script of its own process: the engine's library is loaded once per process."""
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=120, cwd=REPOSITORY, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


NO_SYSTEM_LIBRARY = """
import ctypes
import pathlib
real = ctypes.CDLL
def without_system_library(name, *rest, **more):
    if name == "libespeak-ng.so.1":
        raise OSError("libespeak-ng.so.1: cannot open shared object file")
    return real(name, *rest, **more)
ctypes.CDLL = without_system_library
from handsfree.speaking.voice.synthesis import Synthesiser
"""


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="libespeak-ng is only used on Linux")
def test_linux_needs_no_system_package() -> None:
    pytest.importorskip("espeakng_loader", reason="the package espeakng-loader is not installed")
    output = run(
        NO_SYSTEM_LIBRARY
        + """
print(len(Synthesiser(voice="espeak").render("Turn the screw a quarter turn.")) > 16000)
print([line.split()[-1] for line in open("/proc/self/maps") if "espeak" in line and "espeakng_loader" not in line])
"""
    )
    assert output.splitlines() == ["True", "[]"]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="libespeak-ng is only used on Linux")
def test_without_any_library_the_user_is_told_what_to_install() -> None:
    output = run(
        NO_SYSTEM_LIBRARY
        + """
import sys
sys.modules["espeakng_loader"] = sys.modules["hibari"] = None
print(Synthesiser.available())
from handsfree.speaking.speaker import open_speaker
speaker, line = open_speaker("aloud")
speaker.say("Next.")
print(line)
"""
    ).splitlines()
    assert output[0] == "False"
    assert output[1] == "Next."
    assert "pip install pyttsx3 espeakng-loader" in output[2] and "printed" in output[2]


def test_other_systems_drivers_that_write_a_file_are_read_back(
    system: Synthesiser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(system._engine, "_render_to_memory", system._engine._render_to_file)
    by_file = system.render("Read me back from a file.")
    monkeypatch.undo()
    assert len(by_file) == pytest.approx(len(system.render("Read me back from a file, ")), rel=0.2)


def test_speech_is_mono_sound_at_sixteen_kilohertz_and_really_speech(voice: Synthesiser) -> None:
    samples = voice.render("Take the three screws out and lay them on the first tray, in the order they came.")
    assert samples.dtype == np.float32 and samples.ndim == 1
    assert 3 < len(samples) / SAMPLE_RATE < 8
    assert 0.2 < np.abs(samples).max() <= 1
    # An outside judge: a voice-activity detector trained on human speech.
    detector = SileroDetector()
    chances = [detector.speech(samples[i : i + CHUNK]) for i in range(0, len(samples) - CHUNK, CHUNK)]
    assert np.mean(np.array(chances) > 0.5) > 0.7


def test_there_is_no_silence_at_the_ends(voice: Synthesiser) -> None:
    samples = np.abs(voice.render("Done."))
    assert samples[: SAMPLE_RATE // 20].max() > 0.004
    assert samples[-SAMPLE_RATE // 20 :].max() > 0.004


def test_a_higher_rate_is_shorter(voice: Synthesiser) -> None:
    text = "Turn the ring until the marks meet."
    slow, normal, fast = (len(voice.render(text, rate)) for rate in (110, 170, 300))
    assert slow > 1.2 * normal > 1.2 * 1.2 * fast


@pytest.mark.parametrize("text", ["", "   ", "\n", "...", "\x00\x07", "🔧", "<b></b>"])
def test_nothing_to_say_is_no_sound(voice: Synthesiser, text: str) -> None:
    assert len(voice.render(text)) == 0


@pytest.mark.parametrize(
    "text",
    [
        'He said "stop" and it\'s off',
        "<speak>tags & entities &amp; <break/></speak>",
        "emoji 🔧 in between",
        "bell \x07 and escape \x1b[0m and null \x00 inside",
        "[[fi:]] phonemes and %s {braces} \\ backslash",
        "naïve façade Ω µ 漢字 \u202e reversed \ud83d half a pair",
        "a" * 700,
    ],
)
def test_odd_characters_are_spoken_around(voice: Synthesiser, text: str) -> None:
    assert 0.3 < len(voice.render(text)) / SAMPLE_RATE < 120


def test_a_very_long_text_is_spoken_whole(system: Synthesiser) -> None:
    text = "".join(f"Step {n}: lay part {n} on tray {n % 7}, and look at it. " for n in range(110))
    assert len(text) > 5000
    seconds = len(system.render(text)) / SAMPLE_RATE
    assert seconds == pytest.approx(guessed_seconds(text), rel=0.5)


def test_the_first_sentence_of_a_long_text_is_there_before_the_rest_is_made(voice: Synthesiser) -> None:
    mine = Synthesiser(voice=voice._engine._kind)
    stream = mine.stream("This comes first. " + "And much more follows after it, in many words. " * 50)
    first = next(stream)
    assert 0 < mine.seconds_kept == pytest.approx(len(first) / SAMPLE_RATE)


def test_what_was_prepared_needs_no_engine(voice: Synthesiser, monkeypatch: pytest.MonkeyPatch) -> None:
    mine = Synthesiser(voice=voice._engine._kind)
    texts = ["Fit the plate. Mind the spring.", "Undo the ring."]
    mine.prepare(texts)
    mine.prepare(texts)
    deadline = time.monotonic() + 20
    while mine.seconds_kept < 2 and time.monotonic() < deadline:
        time.sleep(0.01)
    wait_until_idle(mine)

    def no_engine(*_: object) -> None:
        raise AssertionError("rendered again")

    monkeypatch.setattr(mine._engine, "render", no_engine)
    assert len(mine.render(texts[0])) > len(mine.render(texts[1])) > 0
    assert mine.seconds(texts[0]) == pytest.approx(len(mine.render(texts[0])) / SAMPLE_RATE)


def test_what_is_wanted_now_is_prepared_before_what_was_wanted_earlier(voice: Synthesiser) -> None:
    mine = Synthesiser(voice=voice._engine._kind)
    mine.prepare([f"Earlier sentence {number}." for number in range(20)])
    mine.prepare(["Newer sentence."])
    wait_until_idle(mine)
    order = [job.text for job in mine._kept]
    assert len(order) == 21
    assert order.index("Newer sentence.") < 10


def wait_until_idle(synthesiser: Synthesiser) -> None:
    """An urgent wish is served after the one in work, and before those prepared ahead: so wait for those to be gone."""
    deadline = time.monotonic() + 20
    while synthesiser._engine._ahead and time.monotonic() < deadline:
        time.sleep(0.01)
    synthesiser._engine.render(Job("ready", 170))


def test_what_is_kept_is_bounded_and_the_least_used_goes_first(voice: Synthesiser) -> None:
    small = Synthesiser(cache_seconds=4, voice=voice._engine._kind)
    small.render("Always wanted.")
    for number in range(12):
        small.render(f"Sentence number {number}.")
        small.render("Always wanted.")
        assert small.seconds_kept <= 4
    assert Job("Always wanted.", 170) in small._kept
    assert Job("Sentence number 0.", 170) not in small._kept


def test_two_threads_may_speak_at_once(voice: Synthesiser) -> None:
    mine = Synthesiser(voice=voice._engine._kind)
    results: dict[tuple[int, int], int] = {}

    def work(which: int) -> None:
        for number in range(8):
            text = f"{'Short' if which else 'This one is quite a lot longer than the other'} {number}."
            results[which, number] = len(mine.render(text, 170 + 60 * which))

    threads = [threading.Thread(target=work, args=(which,)) for which in (0, 1)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert len(results) == 16
    # Each got its own words at its own rate.
    assert min(results[0, n] for n in range(8)) > max(results[1, n] for n in range(8)) > 0


@pytest.mark.slow
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads the memory in use from /proc")
def test_ever_more_sentences_take_no_more_memory() -> None:
    output = run(
        """
from handsfree.speaking.voice.synthesis import Synthesiser
def kilobytes():
    return int(next(l for l in open("/proc/self/status") if l.startswith("VmRSS")).split()[1])
voice = Synthesiser(cache_seconds=20)
for n in range(30): voice.render(f"The reading of bore {n} is {n * 7} thou.")
before = kilobytes()
for n in range(30, 110): voice.render(f"The reading of bore {n} is {n * 7} thou.")
print(kilobytes() - before)
"""
    )
    # 80 sentences of some 3 s would be 15 MB if they were all kept.
    assert int(output.splitlines()[-1]) < 9_000


def test_the_program_that_only_speaks_prints_nothing_and_ends_cleanly() -> None:
    script = """
from handsfree.speaking.voice.synthesis import Synthesiser
Synthesiser().render("Next.")
Synthesiser().prepare(["One."] * 9)
"""
    assert run(script) == ""


def test_a_british_voice_is_chosen_if_there_is_one() -> None:
    def of(*languages: object, name: str = "v") -> SimpleNamespace:
        return SimpleNamespace(id=name, languages=list(languages))

    american, british = of("en_US", name="us"), of("en_GB", name="gb")
    assert british_voice([of("fr"), american, british]) == "gb"
    assert british_voice([of("fr"), american]) == "us"
    assert british_voice([of(b"\x05fr"), of(b"\x02en-gb", name="bytes")]) == "bytes"
    assert british_voice([of("fr"), SimpleNamespace(id="x", languages=None)]) is None


def test_the_library_is_told_the_size_that_the_text_has(system: Synthesiser) -> None:
    # Told more, it reads past the end of the text, which ended the process: always from about 22,000 letters on, and
    # once in some thousand short texts.
    assert with_its_own_size(lambda text, size, *rest: size)("nought point one µm".encode(), 200, *[0] * 6) == 21
    library = sys.modules.get("pyttsx3.drivers._espeak")
    if library is None:
        pytest.skip("another speech engine is used here")
    assert library.cSynth.__qualname__.startswith(with_its_own_size.__name__)
    assert len(system.render("Four thou.")) > SAMPLE_RATE // 4


def test_a_damaged_network_does_not_speak_and_the_system_s_voice_does(
    system: Synthesiser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(neural_files, "vocab.json", "0" * 64)
    engine = VoiceEngine("neural")
    sound = engine.render(Job("Four thou.", 170))
    assert engine.note.startswith("The system's voice speaks in place of the neural one: ")
    assert "vocab.json is not the network that is known here" in engine.note and "hibari-tts==0.2.1" in engine.note
    assert by_the_same(sound, system._engine.render(Job("Four thou.", 170)))


def by_the_same(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether the same words were spoken by the same voice: eSpeak's differ by a few samples from time to time."""
    return abs(len(one) - len(other)) < 100


def test_without_the_package_the_system_s_voice_speaks(system: Synthesiser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("handsfree.speaking.voice.neural.PACKAGE", "no_such_package_here")
    engine = VoiceEngine("neural")
    assert by_the_same(engine.render(Job("Next.", 170)), system.render("Next."))
    assert "hibari-tts is not installed; run: python -m pip install" in engine.note


def test_a_network_that_fails_in_the_middle_of_a_job_is_replaced_by_the_system_s_voice(
    neural: Synthesiser, system: Synthesiser, monkeypatch: pytest.MonkeyPatch
) -> None:
    engine = VoiceEngine("neural")
    assert not by_the_same(engine.render(Job("Stop.", 170)), system.render("Stop.")) and engine.note == ""

    def fails(*_: object) -> None:
        raise RuntimeError("out of memory")

    monkeypatch.setattr(engine._engine.proxy._driver._voice._network, "phonemize", fails)
    assert by_the_same(engine.render(Job("Stop.", 170)), system.render("Stop."))
    assert "out of memory" in engine.note
    monkeypatch.undo()
    assert by_the_same(engine.render(Job("Stop.", 170)), system.render("Stop."))


def test_the_two_voices_differ_in_pitch_and_timbre(voice: Synthesiser) -> None:
    job = Job("Mind the spring: it is loaded, and it will fly.", 170)
    first, second = (voice._engine.render(job._replace(second=second)) for second in (False, True))
    assert len(second) == pytest.approx(len(first), rel=0.15)
    assert abs(np.log2(pitch(second) / pitch(first))) > 0.1


def pitch(samples: np.ndarray) -> float:
    """The median pitch in hertz, from the autocorrelation of 40 ms windows that are clearly voiced."""
    found = []
    for start in range(0, len(samples) - 640, 320):
        window = samples[start : start + 640] - samples[start : start + 640].mean()
        if np.sqrt(np.mean(window**2)) < 0.03:
            continue
        likeness = np.correlate(window, window, "full")[639:] / np.dot(window, window)
        lag = 40 + int(np.argmax(likeness[40:230]))
        if likeness[lag] > 0.5:
            found.append(SAMPLE_RATE / lag)
    return float(np.median(found))


def test_the_neural_voice_says_the_same_words_with_the_same_sound(neural: Synthesiser) -> None:
    job = Job("Nought point one millimetres.", 170)
    assert np.array_equal(neural._engine.render(job), neural._engine.render(job))


def test_the_neural_voice_opens_no_connection() -> None:
    output = run(
        """
import socket
def refused(*_): raise AssertionError("a connection was opened")
socket.socket.connect = socket.create_connection = refused
from handsfree.speaking.voice.synthesis import Synthesiser
voice = Synthesiser()
print(len(voice.render("Fit the gib.")) > 8000, voice.note)
"""
    )
    assert output.splitlines()[0].startswith("True")


def test_slower_faster_louder_and_quieter_are_in_the_sound(voice: Synthesiser) -> None:
    room = RoomRecorder(voice)
    text = "Turn the ring until the marks meet."
    seconds = room.say(text)
    room.slower()
    slower = room.say(text)
    room.faster()
    room.faster()
    assert slower > 1.08 * seconds > 1.08 * 1.08 * room.say(text)

    def loudness() -> float:
        room.say(text)
        assert room._speech is not None
        return float(np.sqrt(np.mean(room._speech.samples**2)))

    usual = loudness()
    room.quieter()
    assert loudness() == pytest.approx(usual / 2, rel=0.02)
    room.louder()
    room.louder()
    assert usual * 1.4 < loudness() <= 2 * usual
