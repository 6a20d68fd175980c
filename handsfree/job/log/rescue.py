"""Saving what can be saved of a damaged log into a new one. The damaged files are only read."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from handsfree.job.errors import LogError, LogFolderError
from handsfree.job.events import Event, EventsLost, JobOpened
from handsfree.job.log.clips import clip_path
from handsfree.job.log.database import FILE
from handsfree.job.log.salvage import SavedJob, salvage
from handsfree.job.log.store import Store


@dataclass(frozen=True, kw_only=True)
class Rescued:
    """What became of one job."""

    job: str
    events: int
    """Events that were saved."""
    proved: int
    """Those of them whose chain of hashes holds from the job's beginning."""
    gaps: tuple[tuple[int, int], ...]
    """Running numbers (first, last) of events that are lost between saved ones."""
    beginning_lost: bool
    clips: int
    clips_lost: int


def rescue(folder: Path, into: Path, now: datetime) -> list[Rescued]:
    """Save every job of the log in ``folder`` into the new folder ``into``.

    The beginning of a job up to the first gap keeps its hashes; where events are lost, an event says so and the rest
    follows with new ones. LogFolderError, LogError where nothing at all can be read.
    """
    file = folder / FILE
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise LogFolderError(into, "it is not empty: a rescue wants a new folder")
    try:
        jobs = salvage(file)
    except OSError as error:
        raise LogFolderError(folder, error.strerror or str(error)) from error
    if not jobs:
        raise LogError(f"nothing of a job can be read in {file}: restore a copy")
    store = Store(into)
    store.prepare()
    return [_save(job, folder, store, now) for job in jobs]


def _save(saved: SavedJob, folder: Path, store: Store, now: datetime) -> Rescued:
    events = list(_sequence(saved, now))
    first = events[0]
    assert isinstance(first, JobOpened)
    with store.open_job(first, saved.row[6] if saved.row else 0, job=saved.job) as log:
        for event in events[1:]:
            log.append(event)
    clips = {each.event.clip for each in saved.events if each.event.clip}
    copied = sum(_copy(folder, store.folder, sha) for sha in clips if sha)
    return Rescued(
        job=saved.job,
        events=len(saved.events),
        proved=sum(each.proved for each in saved.events),
        gaps=tuple(saved.gaps),
        beginning_lost=not isinstance(saved.events[0].event, JobOpened),
        clips=copied,
        clips_lost=len(clips) - copied,
    )


def _sequence(saved: SavedJob, now: datetime) -> Iterator[Event]:
    """The saved events, with a word where others are lost."""
    if not isinstance(saved.events[0].event, JobOpened):
        yield _beginning(saved)
    expected = 1
    for each in saved.events:
        if each.seq > expected:
            yield EventsLost(at=now, first=expected, last=each.seq - 1)
        expected = each.seq + 1
        yield each.event


def _beginning(saved: SavedJob) -> JobOpened:
    """A beginning for a job whose own is lost, from the list of jobs; the procedure's text is lost with it."""
    row = saved.row
    at = datetime.fromisoformat(row[0]) if row else saved.events[0].event.at
    return JobOpened(
        at=at,
        title=row[1] if row else "",
        revision="",
        procedure_sha256="",
        procedure_text="",
        procedure_name="",
        item=row[3] if row else None,
        serial=row[4] if row else None,
        owner=row[5] if row else None,
    )


def _copy(folder: Path, into: Path, sha: str) -> bool:
    source, target = clip_path(folder, sha), clip_path(into, sha)
    if not source.is_file():
        return False
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    except OSError:
        return False
    return True
