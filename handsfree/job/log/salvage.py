"""Reading what can be read out of a damaged log, without the help of the database engine.

The file is read page by page: each page of a table holds whole rows (what is too long goes on in pages of its own), so
a damaged page costs its own rows only. The layout is that of the SQLite file format, https://www.sqlite.org/fileformat.html.
Pages that were still in the write-ahead log count as well. Nothing here writes.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import chain
from mmap import ACCESS_READ, mmap
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from handsfree.job.events import Event, from_json
from handsfree.job.log.hash_chain import first_link, link
from handsfree.job.log.numbers import is_number, number_key

_LEAF = 0x0D
_PAGE_SIZES = (512, 1024, 2048, 4096, 8192, 16384, 32768, 65536)
_COMMON_SIZE = 4096
_WAL_HEADER, _FRAME_HEADER = 32, 24

_Bytes = bytes | mmap


@dataclass(frozen=True)
class SavedEvent:
    """An event that could be read; ``proved``: its hash is right and so is every hash before it."""

    seq: int
    event: Event
    proved: bool


@dataclass
class SavedJob:
    """What could be read of a job."""

    job: str
    row: tuple[Any, ...] | None = None
    """Opened, title, procedure, item, serial, owner, steps, as the list of jobs had them."""
    events: list[SavedEvent] = field(default_factory=list)
    last: int = 0
    """The highest running number that was seen, of an event that can't be read as well."""

    @property
    def gaps(self) -> list[tuple[int, int]]:
        """Running numbers (first, last) between events that are missing."""
        found, expected = [], 1
        for saved in self.events:
            if saved.seq > expected:
                found.append((expected, saved.seq - 1))
            expected = saved.seq + 1
        return found


@contextmanager
def rows_in(file: Path) -> Iterator[Iterator[list[Any]]]:
    """Every row of every table of a database that can be read, those still in its write-ahead log last; OSError."""
    wal = file.with_name(f"{file.name}-wal")
    with _content(file) as content, _content(wal) as newest:
        yield chain(_records(content), _records_of_wal(newest))


def salvage(file: Path) -> list[SavedJob]:
    """Every job of which something can be read, by number; OSError where a file that is there can't be read.

    The database itself may be gone, where its write-ahead log is not.
    """
    rows: dict[str, tuple[Any, ...]] = {}
    bodies: dict[str, dict[int, list[tuple[str, str]]]] = {}
    with rows_in(file) as records:
        _gather(records, rows, bodies)
    # A number becomes a file's name: nothing else than a number is taken for one.
    numbers = [job for job in {*rows, *bodies} if is_number(job)]
    jobs = [
        SavedJob(job, rows.get(job), _chosen(job, bodies.get(job, {})), max(bodies.get(job, {0: []})))
        for job in numbers
    ]
    return sorted((job for job in jobs if job.events), key=lambda job: number_key(job.job))


@contextmanager
def _content(file: Path) -> Iterator[_Bytes]:
    """A file's bytes, of which the system holds in memory what it has room for; none where it is not there."""
    try:
        with file.open("rb") as opened:
            if not os.fstat(opened.fileno()).st_size:
                yield b""
                return
            with mmap(opened.fileno(), 0, access=ACCESS_READ) as mapped:
                yield mapped
    except FileNotFoundError:
        yield b""


def _gather(
    records: Iterable[list[Any]],
    rows: dict[str, tuple[Any, ...]],
    bodies: dict[str, dict[int, list[tuple[str, str]]]],
) -> None:
    """Sort records into the list of jobs and the events of each."""
    for record in records:
        match record:
            case [str(job), int(seq), str(), str(), str(body), str(hash_), *_] if seq > 0:
                bodies.setdefault(job, {}).setdefault(seq, []).append((body, hash_))
            case [str(job), str() as opened, str() as title, str() as procedure, item, serial, owner, int(steps), *_]:
                rows[job] = (opened, title, procedure, item, serial, owner, steps)
            case _:
                pass


def _chosen(job: str, found: dict[int, list[tuple[str, str]]]) -> list[SavedEvent]:
    """One event for each running number: of several, the one that fits the chain."""
    kept: list[SavedEvent] = []
    before: str | None = first_link(job)
    for seq in sorted(found):
        if seq != (kept[-1].seq if kept else 0) + 1:
            before = None
        candidates = found[seq]
        fitting = [c for c in candidates if before is not None and c[1] == link(before, c[0])]
        for body, hash_ in fitting or candidates:
            try:
                event = from_json(body)
            except ValidationError:
                continue
            kept.append(SavedEvent(seq, event, bool(fitting)))
            before = hash_ if fitting else None
            break
    return kept


def _records(content: _Bytes) -> Iterator[list[Any]]:
    """The rows of all table pages of a database file."""
    size = int.from_bytes(content[16:18], "big") if content[:16] == b"SQLite format 3\0" else 0
    size = 65536 if size == 1 else size
    if size not in _PAGE_SIZES:
        size = _COMMON_SIZE
    count = -(-len(content) // size)
    pages = _Pages(content, {number + 1: number * size for number in range(count)}, size)
    reserved = content[20] if len(content) > 20 and content[20] < 64 else 0
    for number in pages.at:
        yield from _rows(pages, number, size - reserved)


def _records_of_wal(content: _Bytes) -> Iterator[list[Any]]:
    """The rows of all pages in a write-ahead log, later versions of a page after earlier ones."""
    if len(content) < _WAL_HEADER:
        return
    size = int.from_bytes(content[8:12], "big")
    if size not in _PAGE_SIZES:
        return
    at = {
        int.from_bytes(content[frame : frame + 4], "big"): frame + _FRAME_HEADER
        for frame in range(_WAL_HEADER, len(content) - _FRAME_HEADER, _FRAME_HEADER + size)
    }
    pages = _Pages(content, at, size)
    for number in pages.at:
        yield from _rows(pages, number, size)


@dataclass(frozen=True)
class _Pages:
    """The pages of a file by number: where each begins, and how long it is."""

    content: _Bytes
    at: dict[int, int]
    size: int

    def __getitem__(self, number: int) -> bytes:
        """A page, shorter where the file ends; ValueError where there is none."""
        if number not in self.at:
            raise ValueError("the rest is not there")
        return bytes(self.content[self.at[number] : self.at[number] + self.size])


def _rows(pages: _Pages, number: int, usable: int) -> Iterator[list[Any]]:
    page, at = pages[number], 100 if number == 1 else 0
    if len(page) <= at + 8 or page[at] != _LEAF:
        return
    count = int.from_bytes(page[at + 3 : at + 5], "big")
    for cell_number in range(count):
        place = at + 8 + 2 * cell_number
        cell = int.from_bytes(page[place : place + 2], "big")
        try:
            yield _record(_payload(page, cell, pages, usable))
        except (IndexError, ValueError, struct.error, UnicodeDecodeError):
            continue


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of seven bits a byte, of which the last says so; a ninth byte has eight. And where it ends."""
    value = 0
    for place in range(at, at + 8):
        value = value << 7 | data[place] & 0x7F
        if not data[place] & 0x80:
            return value, place + 1
    return value << 8 | data[at + 8], at + 9


def _payload(page: bytes, at: int, pages: _Pages, usable: int) -> bytes:
    """A row's bytes, with what goes on in other pages."""
    length, at = _varint(page, at)
    _, at = _varint(page, at)
    longest, shortest = usable - 35, (usable - 12) * 32 // 255 - 23
    if length <= longest:
        return _exactly(page[at : at + length], length)
    here = shortest + (length - shortest) % (usable - 4)
    here = here if here <= longest else shortest
    parts, left = [_exactly(page[at : at + here], here)], length - here
    following = int.from_bytes(page[at + here : at + here + 4], "big")
    seen: set[int] = set()
    while left > 0:
        if following in seen:
            raise ValueError("it goes on in itself")
        seen.add(following)
        more = pages[following]
        parts.append(_exactly(more[4 : 4 + min(left, usable - 4)], min(left, usable - 4)))
        left -= len(parts[-1])
        following = int.from_bytes(more[:4], "big")
    return b"".join(parts)


def _exactly(data: bytes, length: int) -> bytes:
    if len(data) != length:
        raise ValueError("cut short")
    return data


_INTEGERS = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


def _record(payload: bytes) -> list[Any]:
    header, at = _varint(payload, 0)
    kinds = []
    while at < header:
        kind, at = _varint(payload, at)
        kinds.append(kind)
    values: list[Any] = []
    at = header
    for kind in kinds:
        if kind in _INTEGERS:
            size = _INTEGERS[kind]
            values.append(int.from_bytes(_exactly(payload[at : at + size], size), "big", signed=True))
        elif kind in (0, 8, 9):
            size = 0
            values.append(None if kind == 0 else kind - 8)
        elif kind == 7:
            size = 8
            values.append(struct.unpack(">d", _exactly(payload[at : at + 8], 8))[0])
        elif kind >= 13 and kind % 2:
            size = (kind - 13) // 2
            values.append(_exactly(payload[at : at + size], size).decode())
        elif kind >= 12:
            size = (kind - 12) // 2
            values.append(_exactly(payload[at : at + size], size))
        else:
            raise ValueError("no such kind")
        at += size
    return values
