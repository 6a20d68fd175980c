"""The bench in real time without sound: pedals, keys, standing by, lost voices, and what is kept of the sound."""

from __future__ import annotations

import os
import pty
import queue
import sys
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.audio.devices.naming import Device, NoSuchDevice, choose_device, in_order_of_preference
from handsfree.audio.devices.remembered import Chosen, recall, remember
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.bench.bench import Bench
from handsfree.bench.ears import unknown_words
from handsfree.bench.loops.keys import EVENT, InputDevice, KeyNameError, TerminalKey, presses, sequences
from handsfree.bench.loops.last_minute import KeptToHelp, LastMinute
from handsfree.bench.loops.live import LiveBench, Manner
from handsfree.bench.loops.sources import typed_utterance
from handsfree.bench.setting_up import language_of, ready
from handsfree.cli import main
from handsfree.job.log.store import Store
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.procedure.file.loader import Loaded
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.played import MORNING


class Ears:
    """In place of a listener: what it was told."""

    def __init__(self) -> None:
        self.told: list[str] = []
        self.mode = "commands"
        self.noise: float | None = None
        self.banged = False

    def close_gate(self) -> None:
        self.told.append("deaf")

    def open_gate(self, tail: float = 0.3) -> None:
        self.told.append("listening")

    def finish(self, after: float = 0.0) -> None:
        self.told.append("finish")


class Live:
    """A live bench whose queue is worked off by hand."""

    def __init__(self, small: Loaded, store: Store, manner: Manner, kept: KeptToHelp | None = None) -> None:
        self.shown: list[tuple[str, str]] = []
        self.language = language_of(small.procedure)
        job = ready(small, store, MORNING)
        speaker = PrintSpeaker(lambda _: None, guessing=True)
        self.bench = Bench(job.guide, store, speaker, lambda kind, text: self.shown.append((kind, text)), job.log)
        self.live = LiveBench(self.bench, manner, kept)
        self.ears = Ears()
        self.live.listener = self.ears  # type: ignore[assignment]
        assert job.opened is not None
        self.bench.open(job.opened)
        self.work()

    def work(self) -> None:
        while True:
            try:
                self.live._take(self.live._queue.get_nowait())
            except queue.Empty:
                return

    def say(self, text: str, sound: bool = False) -> None:
        said = typed_utterance(text, self.language, self.bench.mode)
        if sound:
            said = Utterance(
                said.words, said.hearing, said.intents, free_text=text, sound=np.full(SAMPLE_RATE, 0.1, np.float32)
            )
        self.live.deliver(said)
        self.work()

    @property
    def said(self) -> list[str]:
        return [text for kind, text in self.shown if kind == "says"]


@pytest.fixture
def live(small: Loaded, store: Store) -> Callable[..., Live]:
    return lambda manner=Manner.HALF_DUPLEX, kept=None: Live(small, store, manner, kept)


def test_through_a_loudspeaker_it_is_deaf_while_it_speaks(live: Callable[..., Live]) -> None:
    bench = live()
    assert bench.ears.told == ["deaf", "listening"]


def test_with_a_headset_it_never_is(live: Callable[..., Live]) -> None:
    bench = live(Manner.BARGE_IN)
    bench.say("where am i")
    assert "deaf" not in bench.ears.told


def test_a_pedal_opens_the_ear_and_closes_it(live: Callable[..., Live]) -> None:
    bench = live(Manner.PUSH_TO_TALK)
    assert "listening" not in bench.ears.told
    bench.live.key(True, held=True)
    bench.work()
    assert bench.ears.told[-1] == "listening"
    bench.live.key(False, held=True)
    bench.work()
    assert bench.ears.told[-1] == "finish"


def test_a_key_opens_the_ear_for_one_utterance(live: Callable[..., Live]) -> None:
    bench = live(Manner.PUSH_TO_TALK)
    bench.live.key(True)
    bench.work()
    assert bench.ears.told[-1] == "listening"
    bench.say("gibberish")
    assert bench.ears.told[-1] == "deaf"


def test_the_switch_stands_by_and_comes_back_even_out_of_a_note(live: Callable[..., Live]) -> None:
    bench = live()
    bench.say("note")
    bench.say("the pivot is worn")
    for expected in (True, False):
        bench.live.key(True, stand_by=True)
        bench.work()
        assert bench.bench.standing_by is expected
    kinds = [event.kind for event in bench.bench.log.events()] if bench.bench.log else []
    assert kinds[-3:] == ["note kept", "stood by", "came back"]


def test_while_standing_by_nothing_is_kept_or_shown(live: Callable[..., Live], tmp_path: Path) -> None:
    bench = live(kept=KeptToHelp(tmp_path / "heard"))
    bench.say("where am i", sound=True)
    bench.say("stand by", sound=True)
    shown = len(bench.shown)
    bench.say("next", sound=True)
    bench.say("what a lovely day", sound=True)
    assert len(bench.shown) == shown
    assert bench.live.last_minute.seconds(MORNING) == 0
    assert len(list((tmp_path / "heard").glob("*.flac"))) == 1
    bench.say("back at the bench", sound=True)
    assert not bench.bench.standing_by


def test_no_more_than_a_minute_of_sound_is_held(live: Callable[..., Live]) -> None:
    held = LastMinute()
    sound = Utterance(("next",), Hearing.CLEAR, sound=np.zeros(10 * SAMPLE_RATE, np.float32))
    for second in range(20):
        held.add(sound, MORNING + timedelta(seconds=second))
    assert held.seconds(MORNING + timedelta(seconds=20)) == 60
    assert held.last_heard(MORNING + timedelta(seconds=20)) is sound.sound
    assert held.seconds(MORNING + timedelta(seconds=200)) == 0


def test_nothing_is_kept_unless_chosen_and_then_with_what_it_was_taken_for(
    live: Callable[..., Live], tmp_path: Path
) -> None:
    live().say("where am i", sound=True)
    assert list(tmp_path.rglob("*.flac")) == []


def test_kept_sound_has_a_line_that_says_what_it_was_taken_for(tmp_path: Path) -> None:
    kept = KeptToHelp(tmp_path / "heard")
    kept.add(
        Utterance(("next",), Hearing.CLEAR, free_text="Next.", sound=np.full(SAMPLE_RATE, 0.25, np.float32)), MORNING
    )
    [file] = (tmp_path / "heard").glob("*.flac")
    samples, rate = soundfile.read(file)
    assert (len(samples), rate) == (SAMPLE_RATE, SAMPLE_RATE) and abs(samples[0] - 0.25) < 0.001
    assert '"words": "next"' in (tmp_path / "heard" / "heard.jsonl").read_text()


def test_a_cut_off_figure_is_said_again(small: Loaded, store: Store) -> None:
    class Slow(PrintSpeaker):
        """A voice that goes on until it is told to stop."""

        def say(self, text: str, done: Callable[[bool], None] | None = None, *, carefully: bool = False) -> float:
            return 1.0

    bench = Live(small, store, Manner.BARGE_IN)
    bench.say("next")
    bench.bench.speaker = Slow(lambda _: None)
    bench.say("log clearance four thou")
    bench.say("fasteners")
    assert "Latch clearance, four thou. In limits." in bench.said[-1] and "M two" in bench.said[-1]


def test_lost_sound_is_told_once_in_a_while(live: Callable[..., Live]) -> None:
    bench = live()
    for _ in range(3):
        bench.live.gap()
    bench.work()
    assert bench.said.count("Some sound was lost.") == 1


@pytest.mark.parametrize(
    ("name", "sent", "count"),
    [("space", " ", 1), ("F9", "\x1b[20~", 1), ("page up", "\x1b[5~", 1), ("b", "abb", 2), ("escape", "\x1b[20~", 0),
     ("escape", "\x1b", 1), ("5", "\x1b[5~", 0)],
)  # fmt: skip
def test_keys_are_known_by_their_names(name: str, sent: str, count: int) -> None:
    assert presses(sent, sequences(name)) == count


def test_a_key_that_is_not_there_is_said_to_be(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(KeyNameError, match="no key called"):
        sequences("clutch")


@pytest.mark.skipif(sys.platform == "win32", reason="terminals of this kind are not on Windows")
def test_a_key_of_the_terminal_is_seen_and_the_terminal_restored(monkeypatch: pytest.MonkeyPatch) -> None:
    import termios

    ours, theirs = pty.openpty()
    with os.fdopen(theirs, "r") as terminal:
        monkeypatch.setattr(sys, "stdin", terminal)
        before = termios.tcgetattr(terminal)
        pressed = threading.Event()
        key = TerminalKey("f9", pressed.set)
        os.write(ours, b"x\x1b[20~")
        assert pressed.wait(5)
        key.close()
        assert termios.tcgetattr(terminal) == before
        time.sleep(0.3)
    os.close(ours)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pedal_tells_press_and_release(tmp_path: Path) -> None:
    # The layout of an event is that of linux/input.h: two longs of time, type (1: a key), code, value.
    pipe = tmp_path / "event7"
    os.mkfifo(pipe)
    told: queue.Queue[object] = queue.Queue()
    writing = os.open(pipe, os.O_RDWR)
    InputDevice(pipe, told.put, told.put)
    events = [(1, 48, 1), (0, 0, 0), (1, 48, 2), (1, 48, 0)]
    os.write(writing, b"".join(EVENT.pack(0, 0, kind, code, value) for kind, code, value in events))
    assert [told.get(timeout=5), told.get(timeout=5)] == [True, False]
    os.close(writing)
    assert "is gone" in str(told.get(timeout=5))


def test_a_pedal_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(KeyNameError, match="can't be read"):
        InputDevice(tmp_path / "none", lambda pressed: None)


SPEAKERS = [
    Device(0, "null", 48000, False),
    Device(1, "Desk monitor", 48000, True),
    Device(2, "Headset: USB", 48000, False),
]


def test_a_part_of_a_devices_name_is_enough() -> None:
    assert choose_device(SPEAKERS, "headset", "loudspeaker").index == 2
    assert choose_device(SPEAKERS, None, "loudspeaker").index == 1
    with pytest.raises(NoSuchDevice, match="there are: null; Desk monitor"):
        choose_device(SPEAKERS, "gramophone", "loudspeaker")


def test_when_the_headset_is_lost_the_default_comes_next_and_never_what_nobody_hears() -> None:
    assert [device.index for device in in_order_of_preference(SPEAKERS, "usb")] == [2, 1]
    assert [device.index for device in in_order_of_preference(SPEAKERS[:2], "usb")] == [1]


def test_devices_are_remembered(tmp_path: Path) -> None:
    file = tmp_path / "settings" / "devices.json"
    assert recall(file) == Chosen()
    remember(Chosen("Desk", None), file)
    assert recall(file) == Chosen("Desk", None)
    file.write_text("{")
    assert recall(file) == Chosen()


def test_words_that_a_recogniser_does_not_know_are_named_with_their_place(small: Loaded) -> None:
    class Deaf:
        name = "vosk"

        def missing_words(self, words: object) -> list[str]:
            return ["latch", "skip"]

    lines = unknown_words(Deaf(), language_of(small.procedure))  # type: ignore[arg-type]
    assert '"latch": "latch clearance" can\'t be heard' in lines[0] and "also:" in lines[0]
    assert lines[-1].endswith("commands: skip.")


def test_push_to_talk_without_a_terminal_is_one_sentence(small: Loaded, tmp_path: Path) -> None:
    assert main(["run", str(small.path), "--logs", str(tmp_path / "l"), "--microphone", "no such microphone"]) == 2


def test_a_figure_that_a_bang_was_over_is_said_again_and_stands_only_then(live: Callable[..., Live]) -> None:
    bench = live()
    bench.say("next")
    spoken: list[tuple[str, bool]] = []
    say = bench.bench.speaker.say
    bench.bench.speaker.say = lambda text, done=None, **how: (  # type: ignore[method-assign]
        spoken.append((text, how.get("carefully", False))),
        say(text, done),
    )[1]
    bench.ears.banged = True
    bench.say("log clearance four thou")
    assert [text for text, _ in spoken] == [spoken[0][0]] * 2 and "four thou" in spoken[0][0].lower()
    assert [carefully for _, carefully in spoken] == [False, True]
    kinds = [event.kind for event in bench.bench.log.events()] if bench.bench.log else []
    assert kinds.count("reading logged") == kinds.count("reading settled") == 1
    assert ("trouble", "a bang was over it: said again") in bench.shown


def test_what_is_neither_danger_nor_figure_is_not_said_again(live: Callable[..., Live]) -> None:
    bench = live()
    bench.ears.banged = True
    before = len([line for line in bench.shown if line[0] == "trouble"])
    bench.say("where am i")
    assert len([line for line in bench.shown if line[0] == "trouble"]) == before
