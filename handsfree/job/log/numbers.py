"""The numbers of jobs ("2026-11-25-1"), and the names of sounds: what becomes the name of a file is nothing else."""

from __future__ import annotations

import re

_NUMBER = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}-[0-9]{1,9}")
CLIP_PATTERN = r"^[0-9a-f]{64}$"
"""A sound is named by the SHA-256 of its samples."""


def is_number(job: str) -> bool:
    """Whether this is the number of a job."""
    return _NUMBER.fullmatch(job) is not None


def number_key(job: str) -> tuple[str, int, str]:
    """For sorting: the day, then the number of that day."""
    return job[:10], len(job), job


def is_clip(name: str) -> bool:
    """Whether this is the name of a sound."""
    return re.fullmatch(CLIP_PATTERN, name) is not None and not name.endswith("\n")
