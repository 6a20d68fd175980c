"""A program that is ended in the middle of a note: what was heard of it is on disk, and is kept once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from handsfree.bench.bench import Bench
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import typed
from handsfree.bench.setting_up import ready
from handsfree.job.events import FactNoted, NoteKept, NoteStretch
from handsfree.job.log.rescue import rescue
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.state import fold
from handsfree.procedure.file.loader import Loaded
from handsfree.review.findings import findings_of_job
from handsfree.review.source import procedures_of
from handsfree.review.text.whole import review_text
from handsfree.speaking.print_speaker import PrintSpeaker
from tests.support.played import MORNING, Play


@pytest.fixture
def killed(small: Loaded, store: Store) -> str:
    """A job whose program was ended after two stretches of a finding; its number."""
    job = ready(small, store, MORNING)
    bench = Bench(job.guide, store, PrintSpeaker(lambda _: None, guessing=True), lambda *_: None, job.log)
    PlayedBench(bench, MORNING)
    assert job.opened is not None
    bench.open(job.opened)
    lines = ("this is juliet tango", "serious finding", "the pivot is worn", "and the pin is bent")
    for turn in typed(lines, job.guide.session.language):
        utterance = turn.hear(bench.mode)
        assert utterance is not None
        bench.hear(utterance, MORNING)
    assert bench.log is not None
    bench.close()
    return bench.log.job


def test_each_stretch_is_on_disk_as_it_was_heard(killed: str, store: Store) -> None:
    state = fold(store.events(killed))
    assert [stretch.text for stretch in state.note_begun] == ["the pivot is worn", "and the pin is bent"]
    points = [finding.text for finding in findings_of_job(procedures_of(state), state)]
    assert "note cut off, kept when the job is taken up again: the pivot is worn and the pin is bent" in points


def test_taking_the_job_up_again_keeps_the_note_once_and_says_so(killed: str, store: Store, play: Play) -> None:
    played = play("yes")
    assert played.said[0].startswith("A finding was cut off: what was heard of it is kept.")
    kept = [event for event in played.events if isinstance(event, (NoteKept, FactNoted))]
    assert [event.text for event in kept] == ["the pivot is worn and the pin is bent"]
    entry = played.state.every_entry[kept[0].id]
    assert (entry.by, entry.to_type) == ("JT", True)
    text = review_text(procedures_of(played.state), played.state, store.events(killed), job=killed)
    assert text.count("the pin is bent") == 3  # serious, to type, and among the job's facts: once each
    assert "A finding was cut off" not in play("yes").said[0]


def test_the_sounds_of_its_stretches_are_kept_as_one(killed: str, store: Store, play: Play) -> None:
    with store.resume(killed) as log:
        for level in (0.1, 0.2):
            clip = log.keep_clip(np.full(1600, level, np.float32))
            log.append(NoteStretch(at=MORNING, text="", seconds=0.1, about="finding", severity="serious", clip=clip))
    kept = [event for event in play("yes").events if isinstance(event, FactNoted)]
    assert kept[0].clip is not None
    assert store.read_clip(kept[0].clip) == pytest.approx(np.repeat([0.1, 0.2], 1600), abs=1e-3)
    # The whole is kept, and its stretches not beside it: the log still holds.
    assert [path.stem for path in store.folder.rglob("*.flac")] == [kept[0].clip]
    proof = verify(store, killed)
    assert (proof.faults, proof.clips, proof.deleted_clips) == ((), 1, 0)


def noted(store: Store, small: Loaded, *levels: float) -> Bench:
    """A bench at which a note of several stretches was taken, one for each level of its sound."""
    job = ready(small, store, MORNING, new=True)
    bench = Bench(job.guide, store, PrintSpeaker(lambda _: None, guessing=True), lambda *_: None, job.log)
    PlayedBench(bench, MORNING)
    assert job.opened is not None
    bench.open(job.opened)
    lines = ("note", *("the pivot is worn" for _ in levels), "end of note")
    for turn, level in zip(typed(lines, job.guide.session.language), (0.0, *levels, 0.0), strict=True):
        utterance = turn.hear(bench.mode)
        assert utterance is not None
        bench.hear(replace(utterance, sound=np.full(1600, level, np.float32)) if level else utterance, MORNING)
    return bench


def test_a_note_of_several_stretches_keeps_its_sound_once(small: Loaded, store: Store) -> None:
    bench = noted(store, small, 0.1, 0.2, 0.3)
    assert bench.log is not None
    job = bench.log.job
    # Until the bench is left, the stretches are there as well: the program may be killed at any moment.
    assert len(list(store.folder.rglob("*.flac"))) == 4
    bench.close()
    (note,) = (event for event in store.events(job) if isinstance(event, NoteKept))
    assert [path.stem for path in store.folder.rglob("*.flac")] == [note.clip]
    assert len(note.holds) == 3
    assert store.read_clip(note.clip or "") == pytest.approx(np.repeat([0.1, 0.2, 0.3], 1600), abs=1e-3)
    assert verify(store, job).faults == ()
    (saved,) = rescue(store.folder, store.folder.with_name("saved"), MORNING).jobs
    assert (saved.clips, saved.clips_lost) == (1, 0)


def test_a_stretch_that_another_job_names_stays(small: Loaded, store: Store) -> None:
    noted(store, small, 0.1).close()
    stretch = next(store.folder.rglob("*.flac")).stem
    noted(store, small, 0.1, 0.2).close()
    assert store.clip_path(stretch).is_file()
