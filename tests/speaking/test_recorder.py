"""Speech on a time line, written as a recording."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from handsfree.audio.samples import SAMPLE_RATE, limited, silence
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.recorder import FileSpeaker, RoomRecorder
from handsfree.speaking.timeline import TimeLine
from handsfree.speaking.tones import Tone, tone_samples
from handsfree.speaking.voice.synthesis import Synthesiser

LONG = "Slacken both lock screws a quarter of a turn and let the plate down slowly."


@pytest.fixture(scope="module")
def voice() -> Synthesiser:
    try:
        return Synthesiser()
    except SpeakingError as error:
        pytest.skip(f"no voice engine: {error}")


def written(room: RoomRecorder, folder: Path) -> np.ndarray:
    room.write(folder / "room.wav")
    samples, rate = soundfile.read(folder / "room.wav")
    assert rate == SAMPLE_RATE and samples.ndim == 1
    return np.asarray(samples)


def loud_between(samples: np.ndarray, start: float, end: float) -> bool:
    part = samples[round(start * SAMPLE_RATE) : round(end * SAMPLE_RATE)]
    return len(part) > 0 and bool(np.abs(part).max() > 0.01)


def test_speech_lies_where_it_was_said(voice: Synthesiser, tmp_path: Path) -> None:
    room = RoomRecorder(voice)
    told: list[bool] = []
    room.at(2.0)
    seconds = room.say("Next.", told.append)
    assert room.busy_until == pytest.approx(2.0 + seconds)
    room.at(2.0 + seconds / 2)
    assert told == []
    room.at(10.0)
    assert told == [True] and room.busy_until is None
    room.say("Done.")
    samples = written(room, tmp_path)
    assert not loud_between(samples, 0, 1.99)
    assert loud_between(samples, 2.0, 2.0 + seconds)
    assert not loud_between(samples, 2.01 + seconds, 9.99)
    assert loud_between(samples, 10.0, 11.0)


def test_something_newer_cuts_off_what_is_said(voice: Synthesiser, tmp_path: Path) -> None:
    room = RoomRecorder(voice)
    told: list[tuple[str, bool]] = []
    assert room.say(LONG, lambda ended: told.append(("old", ended))) > 3
    room.at(1.0)
    seconds = room.say("Next.", lambda ended: told.append(("new", ended)))
    samples = written(room, tmp_path)
    assert told == [("old", False), ("new", True)]
    assert len(samples) == pytest.approx((1.0 + seconds) * SAMPLE_RATE, abs=2)


def test_stop_is_silence_from_that_moment_on(voice: Synthesiser, tmp_path: Path) -> None:
    room = RoomRecorder(voice)
    told: list[bool] = []
    room.say(LONG, told.append)
    room.at(0.5)
    room.stop()
    room.stop()
    assert told == [False]
    assert len(written(room, tmp_path)) == 0.5 * SAMPLE_RATE


def test_what_done_says_follows_on_from_the_end(voice: Synthesiser) -> None:
    room = RoomRecorder(voice)
    starts: list[float] = []

    def then(ended: bool) -> None:
        starts.append(room.now)
        if len(starts) < 3:
            room.say("Next.", then)

    seconds = room.say("Next.", then)
    room.at(60)
    assert starts == pytest.approx([seconds, 2 * seconds, 3 * seconds], abs=0.01)
    assert room.now == 60


def test_words_follow_the_tone_before_them(voice: Synthesiser) -> None:
    room = RoomRecorder(voice)
    alone = room.say("Next.")
    room.at(5)
    room.tone(Tone.HEARD)
    assert room.say("Next.") > alone + len(tone_samples(Tone.HEARD)) / SAMPLE_RATE


def test_another_voice_is_mixed_in(voice: Synthesiser, tmp_path: Path) -> None:
    room = RoomRecorder(voice)
    hum = (0.2 * np.sin(np.arange(SAMPLE_RATE) * 0.2)).astype(np.float32)
    room.add(hum, 3.0)
    samples = written(room, tmp_path)
    np.testing.assert_allclose(samples[3 * SAMPLE_RATE :], hum, atol=1e-4)
    assert not samples[: 3 * SAMPLE_RATE].any()


@given(
    st.lists(st.tuples(st.floats(-1, 65), st.integers(0, 3 * SAMPLE_RATE), st.floats(0.01, 0.9)), max_size=6),
    st.integers(0, 99),
)
def test_the_mix_is_the_sum_of_its_sounds_with_its_peaks_limited(
    sounds: list[tuple[float, int, float]], seed: int
) -> None:
    random = np.random.default_rng(seed)
    line, plain = TimeLine(), silence(70)
    for at, count, level in sounds:
        samples = (level * random.uniform(-1, 1, count)).astype(np.float32)
        line.add(samples, at)
        start = round(at * SAMPLE_RATE)
        samples = samples[max(0, -start) :]
        plain[max(0, start) : max(0, start) + len(samples)] += samples
    mixed = np.concatenate([silence(0), *line.mixed()])
    assert len(mixed) == round(line.seconds * SAMPLE_RATE)
    # The windows in which a long recording is mixed leave no trace.
    np.testing.assert_allclose(mixed, limited(plain[: len(mixed)], 1.0, 0.97), atol=1e-6)


def test_the_file_is_written_when_the_speaker_is_closed(voice: Synthesiser, tmp_path: Path) -> None:
    speaker = FileSpeaker(tmp_path / "job.wav", voice)
    seconds = speaker.say("Next.")
    speaker.close()
    assert soundfile.info(tmp_path / "job.wav").duration == pytest.approx(seconds, abs=0.01)


def test_a_file_that_cannot_be_written_is_told_before_the_job_begins(tmp_path: Path) -> None:
    with pytest.raises(SpeakingError, match=r"no-folder.*folder that exists"):
        FileSpeaker(tmp_path / "no-folder" / "job.wav")
    with pytest.raises(SpeakingError, match="can't be written"):
        TimeLine().write(tmp_path)
