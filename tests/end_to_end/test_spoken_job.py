"""The main job from real sound: one recording, the real ends of utterances, the real recogniser."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timezone
from pathlib import Path

import numpy as np
import pytest
import soundfile

from handsfree.audio import files
from handsfree.bench.bench import Bench
from handsfree.bench.ears import open_ear, open_recogniser
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import recorded
from handsfree.bench.setting_up import load_named, ready
from handsfree.cli import main
from handsfree.commands.bench.demo import PROCEDURE, recording_path, waits_left_out
from handsfree.job.events import NoteKept, ReadingLogged, TimerAcknowledged
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.phrases.language import plain_words
from handsfree.review.findings import FindingKind, findings_of_job
from handsfree.review.source import procedures_of
from handsfree.speaking.recorder import RoomRecorder
from tests.support.places import FIXTURES

START = datetime(2026, 3, 2, 9, 0, tzinfo=timezone.utc)


@dataclass
class Spoken:
    store: Store
    job: str
    shown: list[tuple[str, str]]
    over: str | None
    room: RoomRecorder


@pytest.fixture(scope="module")
def spoken(tmp_path_factory: pytest.TempPathFactory) -> Spoken:
    """The demo's recording, played to its end."""
    store = Store(tmp_path_factory.mktemp("spoken"))
    job = ready(load_named(PROCEDURE), store, START, serial="B 2207", new=True)
    ear = open_ear(open_recogniser("builtin"), job.guide.session.language, job.guide.expects)
    shown: list[tuple[str, str]] = []
    # By the system's voice: the neural one, which takes half as long as the hearing, answers in the demo's own test.
    room = RoomRecorder(voice="system")
    bench = Bench(job.guide, store, room, lambda kind, text: shown.append((kind, text)))
    played = PlayedBench(bench, START)
    assert job.opened is not None
    bench.open(job.opened)
    waits = waits_left_out(recording_path().with_name("script.txt"))
    heard = recorded(files.load_recording(recording_path()), ear)
    played.play(sorted([*heard, *waits], key=lambda turn: turn.start))
    assert bench.log is not None
    bench.close()
    return Spoken(store, bench.log.job, shown, bench.over, room)


def _script() -> list[tuple[str, str]]:
    """What was really said: kind of line ("technician", a visitor, a noise) and words."""
    lines = (recording_path().parent / "script.txt").read_text(encoding="utf-8").splitlines()
    return [(line.split()[1], " ".join(line.split()[2:])) for line in lines if line.strip()]


def test_the_job_gets_from_the_first_step_to_the_end(spoken: Spoken) -> None:
    assert spoken.over == "finished"


def test_every_command_of_the_technician_is_understood(spoken: Spoken) -> None:
    said = [" ".join(plain_words(words)) for who, words in _script() if who == "technician"]
    assert [text for kind, text in spoken.shown if kind == "heard" and not text.startswith("“")] == said


def test_no_wait_sign_off_or_figure_is_talked_away(spoken: Spoken) -> None:
    events = spoken.store.events(spoken.job)
    state = fold(events)
    assert [points for event in events if (points := getattr(event, "open_points", ()))] == []
    assert [missing for missing in state.missing.values() if missing] == []
    assert state.signature is not None and state.signature.stands
    assert sum(isinstance(event, TimerAcknowledged) for event in events) == 3
    found = findings_of_job(procedures_of(state), state)
    assert {finding.kind for finding in found} == {FindingKind.NOTE}


def test_no_figure_in_the_log_is_one_that_nobody_said(spoken: Spoken) -> None:
    events = spoken.store.events(spoken.job)
    readings = [event for event in events if isinstance(event, ReadingLogged)]
    said = " / ".join(" ".join(plain_words(words)) for _, words in _script())
    # Each logged figure, as the words in which the technician may have said it.
    words = {
        "4 1/2 thou": "four and a half thou", "4 thou": "four thou", "2 thou": "two thou", "1 thou": "one thou",
        "3 1/2 thou": "three and a half thou", "2 1/2 thou": "two and a half thou", "12 thou": "twelve thou",
        "31.2 mm": "thirty one point two millimetres", "31.1 mm": "thirty one point one millimetres",
    }  # fmt: skip
    assert [event.as_said for event in readings if words.get(event.as_said, "?") not in said] == []
    assert len(readings) >= 8


def test_figures_keep_the_sound_they_came_from(spoken: Spoken) -> None:
    for event in spoken.store.events(spoken.job):
        if isinstance(event, (ReadingLogged, NoteKept)):
            assert event.clip is not None
            assert len(spoken.store.read_clip(event.clip)) > 16000 / 4
            assert event.recogniser == "builtin"


def test_talk_and_noises_move_nothing(spoken: Spoken) -> None:
    taken = {text for kind, text in spoken.shown if kind in ("heard", "doubtful")}
    others = [" ".join(plain_words(words)) for kind, words in _script() if kind not in ("technician", "dictated")]
    assert others
    assert not taken & set(others)
    ignored = " ".join(text.lower() for kind, text in spoken.shown if kind == "ignored")
    assert "kettle" in ignored


def test_the_note_is_kept_as_sound_and_as_far_as_it_was_understood_as_text(spoken: Spoken) -> None:
    (note,) = (event for event in spoken.store.events(spoken.job) if isinstance(event, NoteKept))
    assert "worn tooth" in note.text
    assert note.seconds > 1


def test_what_was_corrected_and_set_again_is_still_there(spoken: Spoken) -> None:
    withdrawn = [entry.withdrawn for entry in fold(spoken.store.events(spoken.job)).entries.values()]
    assert "set again" in withdrawn
    assert "corrected" in withdrawn


def test_both_voices_are_in_the_room_and_never_at_once(spoken: Spoken, tmp_path: Path) -> None:
    spoken.room.write(tmp_path / "room.wav")
    samples, rate = soundfile.read(tmp_path / "room.wav")
    assert rate == 16000
    own = files.load_recording(recording_path())
    assert len(samples) > len(own)
    assert 0.05 < float(np.abs(samples).max()) <= 1


def test_a_recording_of_two_channels_at_another_rate_is_heard_all_the_same(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clips = FIXTURES / "formats"
    if not clips.is_dir():
        pytest.skip("the recordings of tests/tools/recordings are not here")
    code = main(["hear", "--recogniser", "builtin", *map(str, sorted(clips.glob("*.wav")))])
    out = capsys.readouterr().out
    assert code == 0
    assert "no command" not in out
