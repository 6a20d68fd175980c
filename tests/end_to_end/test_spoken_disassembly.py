"""From the sound of taking apart to the draft: a voice, the real ends of utterances, the real recogniser."""

from __future__ import annotations

from datetime import datetime, timezone
from pathlib import Path

import numpy as np
import pytest

from handsfree.audio.files import resampled
from handsfree.audio.samples import SAMPLE_RATE
from handsfree.bench.bench import Bench
from handsfree.bench.ears import open_ear, open_recogniser
from handsfree.bench.loops.replay import PlayedBench
from handsfree.bench.loops.sources import recorded
from handsfree.bench.setting_up import ready
from handsfree.hearing.errors import HearingError
from handsfree.job.events import MarkMade, PartsRemoved, ReadingLogged
from handsfree.job.log.store import Store
from handsfree.job.state import fold
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.making.draft import drafted
from handsfree.procedure.check.checker import check
from handsfree.procedure.file.loader import parse_procedure
from handsfree.speaking.errors import SpeakingError
from handsfree.speaking.print_speaker import PrintSpeaker
from handsfree.speaking.voice.synthesis import Synthesiser
from handsfree.wording.disassembly import mark_words, removed_words

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=timezone.utc)
SAID = (
    "end play four thou",
    "removed two screws cheese head from the top",
    "tray three",
    "mark made at the bottom",
    "removed the front cover",
    "tray four",
    "shim ten thou",
    "tray five",
    "finish the job",
)
ENTRIES = {"end play 4 thou", "two screws, cheese head, from the top", "mark made at the bottom", "the front cover",
           "one shim, ten thou"}  # fmt: skip
RATE_OF_SPEECH = 140
"""Words a minute: as one speaks to be understood."""
PAUSE = 4.0
"""Seconds between phrases, in which the read-back is spoken."""


def _sound() -> np.ndarray:
    """All of it, one phrase after another in a quiet room."""
    try:
        voice = Synthesiser(voice="espeak")
        phrases = [resampled(voice.render(each, RATE_OF_SPEECH), SAMPLE_RATE) for each in SAID]
    except SpeakingError as error:
        pytest.skip(f"no voice engine: {error}")
    hush = np.zeros(int(PAUSE * SAMPLE_RATE), np.float32)
    whole = np.concatenate([hush, *(part for phrase in phrases for part in (phrase, hush))])
    noise = np.random.default_rng(4).normal(0, 0.0005, len(whole))
    return (whole + noise).astype(np.float32)


@pytest.mark.slow
def test_what_was_said_while_taking_apart_is_in_the_draft(tmp_path: Path) -> None:
    store = Store(tmp_path)
    job = ready(stripping_procedure("Bench gauge, pattern C"), store, NOON, purpose="stripping")
    try:
        ear = open_ear(open_recogniser("builtin"), job.guide.session.language, job.guide.expects)
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    shown: list[tuple[str, str]] = []
    bench = Bench(
        job.guide, store, PrintSpeaker(lambda _: None, guessing=True), lambda kind, text: shown.append((kind, text))
    )
    clock = PlayedBench(bench, NOON)
    assert job.opened is not None
    bench.open(job.opened)
    clock.play(recorded(_sound(), ear))
    assert bench.log is not None
    events = bench.log.events()
    bench.close()
    state = fold(events)
    standing = [entry.event for entry in state.entries.values() if entry.stands]
    written = [removed_words(each) for each in standing if isinstance(each, PartsRemoved)]
    written += [mark_words(each) for each in standing if isinstance(each, MarkMade)]
    written += [f"{each.characteristic} {each.as_said}" for each in standing if isinstance(each, ReadingLogged)]
    # A phrase may be asked back ("Not sure. Say it again."), and nobody answers here: of five
    # entries one may be missing, and none may be another.
    assert set(written) <= ENTRIES, shown
    assert len(written) == len(set(written)) >= len(ENTRIES) - 1, shown

    path = tmp_path / "draft.yaml"
    path.write_text(drafted(state, bench.log.job).text, "utf-8")
    assert [str(each) for each in check(path) if "a gap for the writer" not in each.message] == []
    steps = parse_procedure(path.read_bytes(), path).procedure.steps
    told = {step.act for step in steps}
    if "one shim, ten thou" in written:
        assert "Fit the shim of ten thou." in told
    if "the front cover" in written:
        assert any(act.startswith("Fit the front cover") for act in told)
    assert len([mark for step in steps for mark in step.marks]) == len([e for e in standing if isinstance(e, MarkMade)])
    assert sum(fastener.count for step in steps for fastener in step.fasteners) == (
        2 if "two screws, cheese head, from the top" in written else 0
    )
    # A figure keeps the sound that it came from.
    assert all(each.clip and len(store.read_clip(each.clip)) for each in standing if isinstance(each, ReadingLogged))
