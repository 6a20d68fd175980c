"""What a voice is learned from further: figures of this person that were read back and stood, with their sound."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handsfree.bench.voices.from_jobs import figures_that_stood
from handsfree.cli import main
from handsfree.hearing.builtin.model_files import find_model_files
from handsfree.hearing.errors import HearingError
from handsfree.job.events import EntryWithdrawn, ReadingLogged, ReadingSettled, WorkerChanged
from handsfree.job.log.store import Store
from handsfree.phrases.language import Language
from tests.support.jobs import AT, opened

LANGUAGE = Language()
YESTERDAY = AT.date() - timedelta(days=1)


def sound(number: int) -> np.ndarray:
    return (0.1 * np.random.default_rng(number).standard_normal(12000)).astype(np.float32)


def reading(log: Any, number: int, heard: str | None, *, settled: bool = True, kept: bool = True) -> None:
    clip = log.keep_clip(sound(number)) if kept else None
    log.append(
        ReadingLogged(
            at=AT, id=f"e{number}", characteristic="gap", occasion="as set", value="4", unit="thou", as_said="4 thou",
            decision="in limits", limits="3 to 5 thou", heard=heard, clip=clip,
        )
    )  # fmt: skip
    if settled:
        log.append(ReadingSettled(at=AT, id=f"e{number}"))


@pytest.fixture
def store(tmp_path: Path) -> Store:
    store = Store(tmp_path / "log")
    with store.open_job(opened(), steps=2) as log:
        log.append(WorkerChanged(at=AT, name="Jo"))
        reading(log, 1, "four thou")
        reading(log, 2, "log three and a half thou")
        reading(log, 3, "five thou")
        log.append(EntryWithdrawn(at=AT, id="e3", why="taken back"))
        reading(log, 4, "six thou", settled=False)
        reading(log, 5, None)
        reading(log, 6, "seven thou", kept=False)
        reading(log, 7, "yes")
        log.append(WorkerChanged(at=AT, name="Sam"))
        reading(log, 8, "eight thou")
    return store


def words(store: Store, name: str = "Jo", since: date = YESTERDAY, most: int = 40) -> list[str]:
    found = figures_that_stood(store, name, LANGUAGE.interpret, since=since, most=most)
    return [" ".join(each.words) for each in found]


def test_only_what_was_read_back_and_stood_is_learned_from_the_newest_first(store: Store) -> None:
    assert words(store) == ["log three and a half thou", "four thou"]
    assert words(store, most=1) == ["log three and a half thou"]


def test_nobody_is_learned_from_the_figures_of_another(store: Store) -> None:
    assert words(store, " sam ") == ["eight thou"]
    assert words(store, "Kim") == []


def test_each_figure_is_learned_from_once(store: Store) -> None:
    assert words(store, since=AT.astimezone().date()) == []


def test_its_sound_is_the_one_that_was_kept_and_one_that_is_gone_is_left_out(store: Store) -> None:
    found = figures_that_stood(store, "Jo", LANGUAGE.interpret, since=YESTERDAY)
    assert np.allclose(found[0].segment.samples, sound(2), atol=1e-4)
    for path in (store.folder / "clips").rglob("*.flac"):
        path.unlink()
    assert words(store) == []


def test_without_a_known_voice_the_card_is_asked_for(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        find_model_files()
    except HearingError as error:
        pytest.skip(f"no built-in model: {error}")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert main(["learn-voice", "--by", "Jo", "--from-jobs", "--logs", str(store.folder)]) != 0
    assert "read the card first" in capsys.readouterr().err
