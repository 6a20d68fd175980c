"""What can go wrong with the log on disk; every message is one sentence that says what to do."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


def told_by_system(error: Exception) -> str:
    """What the system says of something that failed: "No space left on device"."""
    return getattr(error, "strerror", None) or str(error)


class LogError(Exception):
    """Base of all errors of the log on disk."""


class LogFolderError(LogError):
    """The folder of the log can't be made, written or read."""

    def __init__(self, folder: Path, why: str) -> None:
        what = f"the log folder {folder} can't be used ({why})"
        super().__init__(f"{what}: give it write permission or choose another folder")


class JobNotFound(LogError):
    """No job of this identifier is in the log."""

    def __init__(self, job: str, folder: Path, nearest: Sequence[str]) -> None:
        hint = f"the nearest are {', '.join(nearest)}" if nearest else "the log holds no jobs yet"
        super().__init__(f"there is no job {job!r} in {folder}: {hint}")
        self.nearest = tuple(nearest)


class JobBusy(LogError):
    """Another process, or another part of this one, has the job open."""

    def __init__(self, job: str) -> None:
        super().__init__(f"job {job} is open in another Handsfree: end that one first, then take it up here")


class NotAttached(LogError):
    """The entry is no file that was attached to the job."""

    def __init__(self, job: str, entry: str, files: Sequence[str]) -> None:
        there = f"the attached files are {', '.join(files)}" if files else "no file is attached to it"
        super().__init__(f"entry {entry} of job {job} is no attached file: {there} (handsfree review --entries)")


class JobFinishedAlready(LogError):
    """A finished job is not worked on, unless it is opened again with a reason."""

    def __init__(self, job: str) -> None:
        super().__init__(f"job {job} is finished: open it again first, handsfree job reopen {job} --reason WHY")


class LogWriteError(LogError):
    """An event or a clip could not be put on disk; nothing of it was kept."""

    def __init__(self, folder: Path, why: str) -> None:
        super().__init__(
            f"the log in {folder} could not be written ({why}), so this was not kept: "
            "make room on the disk or mend its permissions, then say it again"
        )


class LogGone(LogError):
    """The log of an open job was deleted, moved, cut short or replaced while the job was worked."""

    def __init__(self, folder: Path) -> None:
        super().__init__(f"the log in {folder} was deleted, moved or replaced while the job was worked")


class LogCorrupt(LogError):
    """The log's file is no log, is damaged, or comes from a newer or a too early version."""
