"""Decoding while the closing silence is still running, lost pieces of sound, pedals, and the noise of the bench."""

from __future__ import annotations

import queue
import time

import numpy as np

from handsfree.audio.levels import of_the_noise, of_the_voice, sounding
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.hearing.listening.endpoints import Endpointer, Segment, segments
from handsfree.hearing.listening.listener import Listener
from handsfree.hearing.listening.microphone import Block
from handsfree.hearing.listening.voice_activity import CHUNK
from handsfree.phrases.utterance import Hearing, Utterance
from handsfree.speaking.voice.settings import VoiceSettings
from tests.support.endpoints import LOUD, QUIET, LevelDetector, stretch
from tests.support.microphone import PlayedMicrophone


class Counting:
    """An ear that hears every segment clearly, and keeps what it was given."""

    def __init__(self) -> None:
        self.segments: list[Segment] = []

    def hear(self, segment: Segment, mode: str = "commands") -> Utterance:
        self.segments.append(segment)
        return Utterance(("next",), Hearing.CLEAR, start=segment.start, end=segment.end)


def listen(*sounds: np.ndarray, ended: bool = False, gap_at: int | None = None) -> tuple[Counting, list[Utterance]]:
    """Everything that is delivered of these sounds, in blocks of 20 ms."""
    ear, played = Counting(), PlayedMicrophone()
    heard: queue.Queue[Utterance] = queue.Queue()
    listener = Listener(
        played, ear, heard.put, ended=lambda words: ended, endpointer=Endpointer(detector=LevelDetector())
    )
    sound = np.concatenate(sounds)
    for number, start in enumerate(range(0, len(sound), SAMPLE_RATE // 50)):
        block = sound[start : start + SAMPLE_RATE // 50]
        played.blocks.put(Block(block, time.monotonic(), start / SAMPLE_RATE, number == gap_at))
    listener.start()
    while not played.blocks.empty():
        time.sleep(0.01)
    listener.stop()
    return ear, [heard.get() for _ in range(heard.qsize())]


def test_what_was_decoded_early_is_what_is_delivered() -> None:
    ear, heard = listen(stretch(0.5, QUIET), stretch(0.5, LOUD), stretch(0.8, QUIET))
    assert len(heard) == 1 and len(ear.segments) == 1


def test_an_early_segment_has_the_samples_of_the_final_one() -> None:
    sound = np.concatenate([stretch(0.5, QUIET), stretch(0.5, LOUD), stretch(0.8, QUIET)])
    endpointer = Endpointer(detector=LevelDetector())
    offered = None
    for start in range(0, len(sound), CHUNK):
        found = endpointer.feed(sound[start : start + CHUNK])
        offered = endpointer.offered or offered
        if found:
            break
    assert offered is not None
    assert np.array_equal(offered.samples, found[0].samples)
    assert (offered.start, offered.end) == (found[0].start, found[0].end)


def test_what_was_decoded_early_is_thrown_away_when_speech_goes_on() -> None:
    pause = stretch(0.3, QUIET)
    ear, heard = listen(stretch(0.5, QUIET), stretch(0.5, LOUD), pause, stretch(0.5, LOUD), stretch(0.8, QUIET))
    assert len(ear.segments) == 2
    assert len(heard) == 1
    assert heard[0].end - heard[0].start > 1.2


def test_a_phrase_that_cannot_go_on_needs_less_silence() -> None:
    sounds = (stretch(0.5, QUIET), stretch(0.5, LOUD), stretch(0.4, QUIET))
    assert len(listen(*sounds, ended=True)[1]) == 1
    assert listen(*sounds, ended=False)[1] == []


def test_a_command_with_a_piece_missing_is_doubtful() -> None:
    sounds = (stretch(0.5, QUIET), stretch(0.5, LOUD), stretch(0.8, QUIET))
    assert listen(*sounds, gap_at=35)[1][0].hearing is Hearing.DOUBTFUL
    assert listen(*sounds, gap_at=5)[1][0].hearing is Hearing.CLEAR


def test_a_released_pedal_ends_what_is_being_said() -> None:
    played, heard = PlayedMicrophone(), queue.Queue()
    listener = Listener(played, Counting(), heard.put, endpointer=Endpointer(detector=LevelDetector()))
    played.put(np.concatenate([stretch(0.5, QUIET), stretch(0.5, LOUD)]))
    listener.start()
    while not played.blocks.empty():
        time.sleep(0.01)
    listener.finish()
    played.put(stretch(0.05, QUIET))
    assert heard.get(timeout=5).words == ("next",)
    played.put(np.concatenate([stretch(0.5, QUIET), stretch(0.5, LOUD), stretch(0.8, QUIET)]))
    while not played.blocks.empty():
        time.sleep(0.01)
    listener.stop()
    assert heard.empty(), "deaf until it is pressed again"


def test_loudness_follows_the_noise_between_two_limits() -> None:
    voice = VoiceSettings()
    gains = []
    for noise in (None, -80.0, -50.0, -40.0, -30.0, -10.0):
        voice.follow_noise(noise)
        gains.append(voice.gain)
    assert gains[:4] == [1.0, 1.0, 1.0, 1.0] and gains == sorted(gains)
    assert gains[3] < gains[4] < gains[5] < 4.0
    voice.follow_noise(-80.0)
    assert voice.gain == 1.0


def test_hum_noise_clipping_and_a_muted_microphone_are_told_apart() -> None:
    seconds = np.arange(2 * SAMPLE_RATE) / SAMPLE_RATE
    hum = (0.03 * np.sin(2 * np.pi * 100 * seconds) + 0.01 * np.sin(2 * np.pi * 50 * seconds)).astype(np.float32)
    hiss = np.random.default_rng(1).normal(0, 0.03, 2 * SAMPLE_RATE).astype(np.float32)
    assert any("mains hum" in problem for problem in of_the_noise(sounding(hum)))
    assert not any("mains hum" in problem for problem in of_the_noise(sounding(hiss)))
    assert any("noisy" in problem for problem in of_the_noise(sounding(hiss)))
    assert any("muted" in problem for problem in of_the_noise(sounding(np.zeros(SAMPLE_RATE, np.float32))))
    assert of_the_noise(sounding(hiss / 100)) == []
    assert abs(sounding(hiss).level - 20 * np.log10(0.03)) < 0.2
    assert any("clips" in problem for problem in of_the_voice(sounding(np.clip(hum * 100, -1, 1))))
    assert any("too quiet" in problem for problem in of_the_voice(sounding(hiss / 100)))
    assert of_the_voice(sounding(hiss)) == []


def test_a_whole_recording_is_cut_as_before() -> None:
    sound = np.concatenate([stretch(0.5, QUIET), stretch(0.5, LOUD), stretch(0.8, QUIET), stretch(0.6, LOUD)])
    assert len(segments(sound, detector=LevelDetector())) == 2
