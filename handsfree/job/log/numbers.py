"""The numbers of jobs ("2026-11-25-1"), and the names of sounds: what becomes the name of a file is nothing else."""

from __future__ import annotations

import re

_TYPED = re.compile(r"([0-9]{4})[^0-9]([0-9]{2})[^0-9]([0-9]{2})[^0-9]([0-9]{1,9})")
_NUMBER = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{1,9}")
CLIP_PATTERN = r"^[0-9a-f]{64}$"
"""A sound is named by the SHA-256 of its samples."""


def typed_number(text: str) -> str:
    """A job's number as a scanner or a hurried hand types it: whatever stands between its figures (a scanner set for
    another keyboard types something else for a dash) is a dash. Anything that is no number is given as it is."""
    found = _TYPED.fullmatch(text.strip())
    return "-".join(found.groups()) if found else text.strip()


def is_number(job: str) -> bool:
    """Whether this is the number of a job."""
    return _NUMBER.fullmatch(job) is not None


def number_key(job: str) -> tuple[str, int, str]:
    """For sorting: the day, then the number of that day."""
    return job[:10], len(job), job


def is_clip(name: str) -> bool:
    """Whether this is the name of a sound."""
    return re.fullmatch(CLIP_PATTERN, name) is not None and not name.endswith("\n")


def number_of(job: str) -> int:
    """The number by which a job is called: the running number of its day."""
    return int(job.rpartition("-")[2])
