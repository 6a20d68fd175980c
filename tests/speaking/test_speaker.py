"""Printed speech, rate and loudness, and the choice of a speaker."""

from __future__ import annotations

from pathlib import Path

import pytest

from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.speaker import FileSpeaker, PrintSpeaker, Tone, open_speaker
from handsfree.speaking.voice.synthesis import Synthesiser, guessed_seconds


def test_each_text_is_printed_on_a_line_and_is_done_at_once() -> None:
    lines: list[str] = []
    told: list[bool] = []
    speaker = PrintSpeaker(lines.append)
    seconds = speaker.say("Fit the M2.5 x 6 screw.\nThen\x1b[2J stop.", told.append)
    assert lines == ["Fit the M2.5 x 6 screw. Then?[2J stop."]
    assert told == [True]
    assert 1 < seconds < 10
    assert speaker.say("") == 0
    assert len(lines) == 1


def test_only_the_tone_without_words_is_printed() -> None:
    lines: list[str] = []
    speaker = PrintSpeaker(lines.append)
    for tone in Tone:
        speaker.tone(tone)
    assert lines == ["(not caught)"]


def test_durations_are_guessed_where_there_is_no_voice(monkeypatch: pytest.MonkeyPatch) -> None:
    def none_there(*_: object, **__: object) -> None:
        raise SpeakingError("no voice")

    monkeypatch.setattr(Synthesiser, "__init__", none_there)
    text = "Slacken both lock screws a quarter of a turn."
    # 9 words at 170 words a minute.
    assert PrintSpeaker(lambda line: None).say(text) == guessed_seconds(text) == pytest.approx(9 / 170 * 60, rel=0.2)


def test_faster_and_slower_are_bounded_and_answered() -> None:
    speaker = PrintSpeaker(lambda line: None)
    before = speaker.say("Turn the ring until the marks meet.")
    answers = [speaker.faster() for _ in range(20)]
    assert answers[0] == "Faster." and answers[-1] == "This is as fast as I can speak."
    assert speaker.say("Turn the ring until the marks meet.") < 0.8 * before
    assert speaker.words_per_minute == 300
    answers = [speaker.slower() for _ in range(20)]
    assert answers[0] == "Slower." and answers[-1] == "This is as slow as I can speak."
    assert speaker.words_per_minute == 110


def test_louder_and_quieter_are_bounded_and_answered() -> None:
    speaker = PrintSpeaker(lambda line: None)
    assert speaker.gain == 1
    answers = [speaker.louder() for _ in range(20)]
    assert answers[0] == "Louder." and answers[-1] == "This is as loud as I can speak."
    loudest = speaker.gain
    answers = [speaker.quieter() for _ in range(20)]
    assert answers[0] == "Quieter." and answers[-1] == "This is as quiet as I can speak."
    assert loudest > 1 > speaker.gain > 0


def test_the_speaker_is_chosen_by_a_word_or_a_file_name(tmp_path: Path) -> None:
    speaker, line = open_speaker("print")
    assert isinstance(speaker, PrintSpeaker) and line is None
    if Synthesiser.available():
        speaker, line = open_speaker(str(tmp_path / "job.WAV"))
        assert isinstance(speaker, FileSpeaker) and line is None
    with pytest.raises(SpeakingError, match="'loudly' is no way to speak"):
        open_speaker("loudly")
