"""Listening in a thread: deaf while the program speaks, patient when the microphone is gone."""

from __future__ import annotations

import queue
import sys
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.errors import SoundError
from handsfree.hearing.errors import HearingError
from handsfree.hearing.listening.endpoints import Endpointer, Segment
from handsfree.hearing.listening.listener import Gate, Listener
from handsfree.hearing.listening.microphone import Microphone
from handsfree.phrases.utterance import Hearing, Utterance
from tests.support.endpoints import LOUD, QUIET, LevelDetector, stretch
from tests.support.microphone import PlayedMicrophone


class Echo:
    """An ear that says only when it heard something, and in which mode."""

    def hear(self, segment: Segment, mode: str = "commands") -> Utterance:
        return Utterance((mode,), Hearing.NONE, start=segment.start, end=segment.end, sound=segment.samples)


class Setting:
    def __init__(self) -> None:
        self.played = PlayedMicrophone()
        self.heard: queue.Queue[Utterance] = queue.Queue()
        self.trouble: queue.Queue[str] = queue.Queue()
        self.listener = Listener(
            self.played,
            Echo(),  # type: ignore[arg-type]
            self.heard.put,
            self.trouble.put,
            endpointer=Endpointer(detector=LevelDetector()),
            retry_seconds=0.01,
        )

    def say(self, seconds: float = 0.5, caught: float | None = None) -> None:
        self.played.put(np.concatenate([stretch(0.5, QUIET), stretch(seconds, LOUD), stretch(0.7, QUIET)]), caught)


@pytest.fixture
def setting():
    setting = Setting()
    setting.listener.start()
    yield setting
    setting.listener.stop()


def test_what_is_said_is_delivered_in_order(setting: Setting) -> None:
    setting.say(0.5)
    setting.say(0.8)
    first, second = setting.heard.get(timeout=5), setting.heard.get(timeout=5)
    assert abs((first.end - first.start) - 0.5) < 0.05
    assert abs((second.end - second.start) - 0.8) < 0.05
    assert second.start > first.end


def test_nothing_is_heard_while_the_gate_is_closed(setting: Setting) -> None:
    setting.listener.close_gate()
    setting.say(0.5)
    setting.listener.open_gate(tail=0.0)
    setting.say(0.9)
    only = setting.heard.get(timeout=5)
    assert abs((only.end - only.start) - 0.9) < 0.05
    assert abs(only.start - 2.2) < 0.05, "the source's clock went on while the gate was closed"
    assert setting.heard.empty()


def test_the_end_of_the_programs_own_speech_is_not_heard_in_the_tail(setting: Setting) -> None:
    setting.listener.close_gate()
    setting.listener.open_gate(tail=30.0)
    setting.say(0.5)
    setting.say(0.9, caught=time.monotonic() + 31)
    only = setting.heard.get(timeout=5)
    assert abs((only.end - only.start) - 0.9) < 0.05


def test_what_was_being_said_when_the_gate_closed_is_dropped(setting: Setting) -> None:
    setting.played.put(np.concatenate([stretch(0.5, QUIET), stretch(0.4, LOUD)]))
    while not setting.played.blocks.empty():
        time.sleep(0.01)
    setting.listener.close_gate()
    setting.played.put(stretch(0.2, LOUD))
    setting.listener.open_gate(tail=0.0)
    setting.say(0.9)
    only = setting.heard.get(timeout=5)
    assert abs((only.end - only.start) - 0.9) < 0.05


def test_the_mode_is_that_of_the_moment(setting: Setting) -> None:
    setting.say()
    assert setting.heard.get(timeout=5).words == ("commands",)
    setting.listener.mode = "dictation"
    setting.say()
    assert setting.heard.get(timeout=5).words == ("dictation",)


def test_a_lost_microphone_is_told_and_listening_goes_on_when_it_is_back(setting: Setting) -> None:
    setting.played.failures = 2
    setting.played.blocks.put(HearingError("The microphone is gone."))
    assert setting.trouble.get(timeout=5) == "The microphone is gone."
    assert setting.trouble.get(timeout=5) == ""
    assert setting.played.restarts == 3
    setting.say()
    assert setting.heard.get(timeout=5)


def test_an_utterance_that_can_not_be_heard_is_told_and_the_next_one_is_heard(
    setting: Setting, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(self: Echo, segment: Segment, mode: str = "commands") -> Utterance:
        raise RuntimeError("out of memory")

    with monkeypatch.context() as patch:
        patch.setattr(Echo, "hear", fail)
        setting.say()
        assert "out of memory" in setting.trouble.get(timeout=5)
        assert setting.trouble.get(timeout=5) == ""
    setting.say()
    assert setting.heard.get(timeout=5)


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=8))
def test_the_gate_is_closed_exactly_in_the_stretches_it_was_closed_for(stretches: list[tuple[float, float]]) -> None:
    gate, now, spans = Gate(), 0.0, []
    for wait, length in stretches:
        now += wait
        gate.close(now)
        spans.append((now, now + length))
        now += length
        gate.open(now)
    for moment in sorted(edge + shift for span in spans for edge in span for shift in (-0.01, 0.01)):
        assert gate.is_closed(moment) == any(start <= moment < end for start, end in spans)


def test_a_gate_closed_again_in_its_tail_stays_closed() -> None:
    gate = Gate()
    gate.close(1.0)
    gate.open(2.3)
    gate.close(2.0)
    assert gate.is_closed(5.0)
    gate.open(6.0)
    assert not gate.is_closed(6.1)


def test_without_the_sound_library_it_is_said_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(SoundError, match="pip install sounddevice"):
        Microphone().start()


def test_a_bang_over_the_programs_own_voice_is_noticed_and_the_voice_itself_is_not(setting: Setting) -> None:
    rng = np.random.default_rng(3)
    voice = (0.05 * rng.standard_normal(16_000) * (1 + 0.8 * np.sin(np.arange(16_000) / 800))).astype(np.float32)
    with_bang = voice.copy()
    with_bang[8000:9600] += np.float32(0.6) * rng.standard_normal(1600).astype(np.float32)
    for sound, noticed in ((voice, False), (with_bang, True)):
        setting.listener.close_gate()
        for start in range(0, 16_000, 320):
            setting.played.put(sound[start : start + 320])
        while not setting.played.blocks.empty():
            time.sleep(0.01)
        time.sleep(0.05)
        assert setting.listener.banged is noticed
    assert setting.listener.banged
    setting.listener.close_gate()
    assert not setting.listener.banged
