"""Saving what can be saved of a damaged log into a new one. The damaged files are only read."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from handsfree.job.catalogue.catalogue import jobs_of_catalogue
from handsfree.job.errors import LogError, LogFolderError, told_by_system
from handsfree.job.events import Event, EventsLost, FileAttached, JobOpened, PersonalForgotten
from handsfree.job.log.beside import personal
from handsfree.job.log.beside.attached import keep_file, read_attached
from handsfree.job.log.beside.ledger import LEDGER, Kept, read_ledger
from handsfree.job.log.clips import clip_path, read_clip
from handsfree.job.log.database import FILE, LOCKS, WAL
from handsfree.job.log.numbers import is_number, number_key
from handsfree.job.log.salvage import SavedJob, rows_in, salvage
from handsfree.job.log.sounds import sounds_held, sounds_named
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
    """Sounds that were saved and are what was kept."""
    clips_lost: int
    """Sounds that are not there, or are something else now."""


@dataclass(frozen=True)
class LostJob:
    """A job of which nothing could be read; ``events`` is how many it had, None where nobody knows."""

    job: str
    events: int | None


@dataclass(frozen=True)
class Outcome:
    """What became of a whole log."""

    jobs: tuple[Rescued, ...]
    lost: tuple[LostJob, ...]

    @property
    def whole(self) -> bool:
        """Whether everything was saved, as far as anybody knows what there was."""
        hurt = (job.events != job.proved or job.gaps or job.clips_lost or job.beginning_lost for job in self.jobs)
        return not self.lost and not any(hurt)


JobsSaved = Callable[[int, int], None]


def is_anything_there(folder: Path) -> bool:
    """Whether the folder holds anything of a log that could be rescued, or that says what there was."""
    return any((folder / name).is_file() for name in (FILE, WAL, LEDGER))


def rescue(folder: Path, into: Path, now: datetime, tell: JobsSaved = lambda done, of: None) -> Outcome:
    """Save every job of the log in ``folder`` into the new folder ``into``.

    The beginning of a job up to the first gap keeps its hashes; where events are lost, an event says so and the rest
    follows with new ones. What there was is known from the ledger, from the catalogue, and from the locks of jobs.
    ``tell`` is told how many jobs are saved, and of how many.

    LogFolderError, LogError where nothing at all can be read.
    """
    file = folder / FILE
    if into.exists() and (not into.is_dir() or any(into.iterdir())):
        raise LogFolderError(into, "it is not empty: a rescue wants a new folder")
    try:
        known = read_ledger(folder).jobs
        jobs = salvage(file)
    except OSError as error:
        raise LogFolderError(folder, told_by_system(error)) from error
    found = {job.job for job in jobs}
    named = sorted({*known, *_named(folder)} - found, key=number_key)
    lost = tuple(LostJob(job, known[job].events if job in known else None) for job in named)
    if not jobs:
        held = f", and it held {len(lost)} jobs" if lost else ""
        raise LogError(f"nothing of a job can be read in {file}{held}: restore a copy")
    store = Store(into)
    store.prepare()
    _save_personal(folder, into)
    saved = []
    for done, job in enumerate(jobs):
        tell(done, len(jobs))
        saved.append(_save(job, known.get(job.job), folder, store, now))
    tell(len(jobs), len(jobs))
    return Outcome(tuple(saved), lost)


def _save_personal(folder: Path, into: Path) -> None:
    """What can be read of what is personal; what was changed since is left behind."""
    try:
        with rows_in(folder / personal.PERSONAL_FILE) as rows:
            found = [
                personal.PersonalRow(*row) for row in rows if len(row) == 4 and all(isinstance(x, str) for x in row)
            ]
    except OSError as error:
        raise LogFolderError(folder, told_by_system(error)) from error
    if found:
        personal.put_rows(into, [row for row in found if row.holds])


def _named(folder: Path) -> set[str]:
    """The jobs that are named beside the log: in the list of its catalogue, and by their locks."""
    locks = {path.stem for path in (folder / LOCKS).glob("*.lock")}
    return {job for job in {*locks, *jobs_of_catalogue(folder)} if is_number(job)}


def _save(saved: SavedJob, known: Kept | None, folder: Path, store: Store, now: datetime) -> Rescued:
    last = max(known.events if known is not None else 0, saved.last)
    events = list(_sequence(saved, last, now))
    first = events[0]
    assert isinstance(first, JobOpened)
    with store.open_job(first, saved.row[6] if saved.row else 0, job=saved.job) as log:
        for event in events[1:]:
            log.append(event)
    there = [each.event for each in saved.events]
    copied = {sha for sha in sounds_named(there) if _copy(folder, store.folder, sha)}
    _copy_attached(folder, store.folder, saved)
    return Rescued(
        job=saved.job,
        events=len(saved.events),
        proved=sum(each.proved for each in saved.events),
        gaps=tuple(_gaps(saved, last)),
        beginning_lost=not isinstance(saved.events[0].event, JobOpened),
        clips=len(copied),
        clips_lost=len(set(sounds_named(there)) - copied - sounds_held(there)),
    )


def _gaps(saved: SavedJob, last: int) -> Iterator[tuple[int, int]]:
    """Running numbers (first, last) of what is missing, up to the ``last`` event that there was."""
    yield from saved.gaps
    if saved.events[-1].seq < last:
        yield saved.events[-1].seq + 1, last


def _sequence(saved: SavedJob, last: int, now: datetime) -> Iterator[Event]:
    """The saved events, with a word where others are lost."""
    if not isinstance(saved.events[0].event, JobOpened):
        yield _beginning(saved)
    expected = 1
    number = 0 if isinstance(saved.events[0].event, JobOpened) else 1
    numbers: dict[int, int] = {}
    """What running number each saved event has from now on."""
    for each in saved.events:
        if each.seq > expected:
            number += 1
            yield EventsLost(at=now, first=expected, last=each.seq - 1)
        expected = each.seq + 1
        number += 1
        numbers[each.seq] = number
        if isinstance(each.event, PersonalForgotten):
            there = tuple(numbers[seq] for seq in each.event.events if seq in numbers)
            yield each.event if there == each.event.events else each.event.model_copy(update={"events": there})
        else:
            yield each.event
    if expected <= last:
        yield EventsLost(at=now, first=expected, last=last)


_NAMELESS = "lost-procedure"


def _beginning(saved: SavedJob) -> JobOpened:
    """A beginning for a job whose own is lost, from the list of jobs; the procedure's text is lost with it, its name
    stays where steps of it are left."""
    row = saved.row
    worked = any(getattr(each.event, "step", None) for each in saved.events)
    name = (row[2] if row else "") or _NAMELESS
    at = datetime.fromisoformat(row[0]) if row else saved.events[0].event.at
    return JobOpened(
        at=at,
        title=row[1] if row else "",
        revision="",
        procedure_sha256="",
        procedure_text="",
        procedure_name=name if worked else "",
        item=row[3] if row else None,
        serial=row[4] if row else None,
        owner=row[5] if row else None,
    )


def _copy_attached(folder: Path, into: Path, saved: SavedJob) -> None:
    """Those attached files that are still what they were; ``verify`` names the others."""
    for each in saved.events:
        if isinstance(each.event, FileAttached):
            with suppress(LogError):
                keep_file(into, read_attached(folder, each.event.sha256))


def _copy(folder: Path, into: Path, sha: str) -> bool:
    """Whether a sound was there, is what was kept, and could be copied."""
    source, target = clip_path(folder, sha), clip_path(into, sha)
    try:
        read_clip(folder, sha)
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    except (OSError, LogError):
        return False
    return True
