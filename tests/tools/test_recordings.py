"""The recordings, their table and the tools that make and score them agree with one another and with the grammar."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from handsfree.phrases.commands.vocabulary import Vocabulary
from handsfree.phrases.intents import Intent
from handsfree.phrases.language import Language, plain_words
from handsfree.procedure.file.loader import load_procedure
from tests.tools.recordings import noises, score, table
from tests.tools.recordings.demo import SCRIPT as DEMO_SCRIPT
from tests.tools.recordings.demo import Line, ScriptError, read_script
from tests.tools.recordings.make import rng_for, shared_out
from tests.tools.recordings.phrases import COMMANDS, TALK
from tests.tools.recordings.sound import RATE, between_silences, level, mixed, save, speech, trimmed
from tests.tools.recordings.table import FOLDER, Recording

ROWS = table.read() if table.TABLE.exists() else []
pytestmark = pytest.mark.skipif(not ROWS, reason="audio_fixtures/table.csv is not there")


def test_every_recording_of_the_table_is_there_and_no_other() -> None:
    listed = Counter(row.file for row in ROWS)
    there = {
        path.relative_to(FOLDER).as_posix()
        for path in FOLDER.rglob("*")
        if path.suffix in (".flac", ".wav") and path.parent.name != "demo"
    }
    assert set(listed.values()) == {1}
    assert set(listed) == there


def test_recordings_are_16_khz_mono_but_for_those_that_exercise_conversion() -> None:
    odd = {}
    for row in ROWS:
        info = soundfile.info(FOLDER / row.file)
        if (info.samplerate, info.channels) != (RATE, 1):
            odd[row.file] = row.noise
    assert sorted(odd.values()) == ["44.1 kHz stereo", "8 kHz"]


def test_all_recordings_together_stay_small() -> None:
    assert sum(path.stat().st_size for path in FOLDER.rglob("*") if path.is_file()) < 15_000_000


def test_each_voice_stands_in_one_set_only() -> None:
    sets = {(row.voice, row.set) for row in ROWS if row.voice}
    assert max(Counter(voice for voice, _ in sets).values()) == 1


@pytest.mark.parametrize("set_name", ["tune", "judge"])
def test_every_command_is_said_by_three_voices_of_each_set(set_name: str) -> None:
    said = Counter(phrase.words for phrases in shared_out(set_name).values() for phrase in phrases)
    assert said == {phrase.words: 3 for phrase in COMMANDS}


def _slots(intent: Intent, units: dict[str, str]) -> dict[str, str]:
    figure = intent.figure
    unit = figure.unit if figure else None
    if figure and unit is None and intent.characteristic:
        unit = units[intent.characteristic]
    slots: dict[str, Any] = {
        "intent": intent.kind.value,
        "characteristic": intent.characteristic,
        "value": figure.text if figure else None,
        "unit": unit,
        "step": intent.step,
        "reason": intent.reason,
        "name": intent.name,
        "occasion": intent.occasion,
    }
    return {name: str(value) for name, value in slots.items() if value is not None}


def test_the_interpreter_gives_each_command_the_meaning_written_by_hand() -> None:
    procedure = load_procedure(table.PROCEDURE).procedure
    language = Language(Vocabulary(procedure.names, timers=procedure.timers))
    units = {each.name: each.unit for each in procedure.characteristics}
    for phrase in COMMANDS:
        meanings = [_slots(intent, units) for intent in language.interpret(plain_words(phrase.words))]
        assert any(score.means(meaning, phrase.meaning) for meaning in meanings), (phrase, meanings)


def test_talk_is_no_command_of_the_grammar() -> None:
    procedure = load_procedure(table.PROCEDURE).procedure
    language = Language(Vocabulary(procedure.names, timers=procedure.timers))
    assert [words for words in TALK if language.interpret(plain_words(words))] == []


CLEAR = {
    "file": "a",
    "hearing": "clear",
    "intent": "log",
    "characteristic": "end play",
    "value": "1.50",
    "unit": "thou",
}
ROW = Recording("a", meaning={"intent": "log", "characteristic": "end play", "value": "1.5", "unit": "thou"})


@pytest.mark.parametrize(
    ("objects", "expected"),
    [
        ([CLEAR], "right"),
        ([CLEAR | {"value": "1.05"}], "wrong"),
        ([CLEAR | {"unit": "mm"}], "wrong"),
        ([CLEAR | {"characteristic": None}], "wrong"),
        ([CLEAR | {"occasion": "as left"}], "wrong"),
        ([CLEAR, CLEAR], "wrong"),
        ([CLEAR | {"hearing": "doubtful"}], "doubtful"),
        ([{"file": "a", "hearing": "none", "near": True}], "near"),
        ([{"file": "a", "hearing": "none", "near": False}], "none"),
        ([], "none"),
    ],
)
def test_a_command_counts_as_right_only_when_all_of_it_is(objects: list[dict[str, Any]], expected: str) -> None:
    assert score.result(ROW, objects) == expected
    assert score.passes(ROW, expected) == (expected == "right")


def test_talk_that_is_taken_for_a_command_counts_as_wrong() -> None:
    talk = Recording("a", outcome="none")
    assert score.result(talk, [CLEAR]) == "wrong"
    assert not score.passes(talk, "wrong")
    assert score.passes(talk, score.result(talk, []))


def test_marking_writes_what_came_of_the_failing_recordings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    copy, heard = tmp_path / "table.csv", tmp_path / "heard.jsonl"
    table.write([ROW, Recording("b", outcome="none", known_to_fail="wrong")], copy)
    file = (FOLDER / "a").as_posix()
    heard.write_text(f'{{"file": "{file}", "hearing": "doubtful", "heard": "log end play"}}\n')
    before = table.read(copy)
    written: list[Recording] = []
    monkeypatch.setattr(table, "read", lambda: before)
    monkeypatch.setattr(table, "write", written.extend)
    assert score.main(["--heard", str(heard), "--mark"]) == 0
    assert [row.known_to_fail for row in written] == ["doubtful", ""]


def test_the_table_comes_back_as_it_was_written(tmp_path: Path) -> None:
    table.write(ROWS, tmp_path / "table.csv")
    assert table.read(tmp_path / "table.csv") == ROWS


def test_the_demo_script_can_be_read() -> None:
    lines = read_script(DEMO_SCRIPT.read_text(encoding="utf-8"))
    assert {line.kind for line in lines} >= {"said", "talk"}
    assert read_script("# nothing\n\n[1.5] next\ntalk(awb): good day\n") == [
        Line("next", 1.5),
        Line("good day", 3.0, "talk", "awb"),
    ]


@pytest.mark.parametrize("text", ["next\n[two] done", "next\nnoise: thunder", "next\ntalk(nobody): hello"])
def test_a_faulty_line_of_the_demo_script_is_named(text: str) -> None:
    with pytest.raises(ScriptError, match="line 2"):
        read_script(text)


def test_noise_lies_as_far_under_the_speech_as_stated() -> None:
    rng = rng_for("a test")
    tone = speech(between_silences(np.sin(np.arange(RATE) * 0.2).astype(np.float32)))
    hiss = mixed(tone, noises.pink(rng, 3.0), 10) - tone
    # A steady tone has the speech level within 3 dB, so the ratio is 10 dB within as much.
    assert 7 < 20 * np.log10(level(trimmed(tone, margin=0)) / level(hiss)) < 13


def test_pink_noise_loses_three_decibels_an_octave() -> None:
    power = np.abs(np.fft.rfft(noises.pink(rng_for("pink"), 20.0))) ** 2
    octaves = [power[20 * low : 40 * low].mean() for low in (200, 400, 800, 1600)]
    falls = 10 * np.log10(np.array(octaves[:-1]) / np.array(octaves[1:]))
    assert falls == pytest.approx([3.01] * 3, abs=0.5)


def test_a_saved_sound_keeps_its_form_within_twelve_bits(tmp_path: Path) -> None:
    sound = (0.5 * np.sin(np.arange(RATE) * 0.05)).astype(np.float32)
    save(tmp_path / "tone.flac", sound)
    again, rate = soundfile.read(tmp_path / "tone.flac", dtype="float32")
    assert rate == RATE
    assert np.abs(again - sound).max() <= 2**-12 + 1e-6


def test_missing_voices_are_named_with_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.tools.recordings import voices

    monkeypatch.setattr(shutil, "which", lambda program: None)
    with pytest.raises(voices.MissingNeeds, match=r"apt-get install .*espeak-ng .*flite"):
        voices.check_needs()
