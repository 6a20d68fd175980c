"""The chain over a job's events: each event's hash covers its text and the hash before it.

The first link is made of the job's identifier. Whoever changes, takes out, adds or swaps an event in the middle has to
make every later hash anew; so the last hash, kept elsewhere (on the report, with the customer), tells whether the job
still is what it was. The chain alone does not show that its end was cut off or that all of it was written anew.

hash = SHA-256 of the hash before it (64 hexadecimal figures), a line feed and the event's JSON exactly as it is kept.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple


def first_link(job: str) -> str:
    """What stands before a job's first event."""
    return hashlib.sha256(f"handsfree job {job}".encode()).hexdigest()


def link(before: str, body: str) -> str:
    """The hash of an event whose JSON is ``body``, after the hash ``before``."""
    return hashlib.sha256(f"{before}\n{body}".encode()).hexdigest()


class Link(NamedTuple):
    """An event as it is kept: running number, JSON, hash."""

    seq: int
    body: str
    hash: str


@dataclass(frozen=True)
class Break:
    """The first place where a chain does not hold: the event's running number, and what is wrong in a few words."""

    seq: int
    what: str


def first_break(job: str, kept: Iterable[tuple[int, str, str]]) -> Break | None:
    """The first event that does not fit the one before it, or None where the whole chain holds; each as it is kept:
    running number, JSON, hash."""
    before = first_link(job)
    # As ``link`` has it; written out here, a large log is proved in two thirds of the time.
    sha256 = hashlib.sha256
    for expected, (seq, body, hash_) in enumerate(kept, 1):
        if seq != expected:
            return Break(expected, f"event {expected} is not there")
        if sha256(f"{before}\n{body}".encode()).hexdigest() != hash_:
            return Break(expected, f"event {expected}, or one before it, is not what was written")
        before = hash_
    return None
