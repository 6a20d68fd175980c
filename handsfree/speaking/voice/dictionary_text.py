"""The neural voice's dictionaries, looked up in the text of their files.

Read into memory, a quarter of a million entries take the processor 0.4 s and 65 MB, and a job says a few
hundred words.
"""

from __future__ import annotations

import json
import re
import zlib
from bisect import bisect, bisect_left
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

_REMEMBERED = 5_000
"""Entries, looked up or missed, that need not be sought again: a bench's sentences are of the same words."""
_GZIP = 31
"""What tells zlib that a stream is one of gzip (its module of that name holds the interpreter up meanwhile)."""


def unpacked(path: Path) -> bytes:
    """What is packed in a file of gzip."""
    return zlib.decompress(path.read_bytes(), _GZIP)


class SortedEntries:
    """A JSON object whose keys stand in order, with strings for values, or objects of strings; as the package has it:
    in UTF-8, with no spaces between; no string has a brace in it, or ends with a comma."""

    def __init__(self, text: bytes) -> None:
        self._text = text
        self._objects = [brace.start() for brace in re.finditer(rb"\{", text)][1:]
        self.get = lru_cache(_REMEMBERED)(self._get)

    def _get(self, word: str) -> str | dict[str, str] | None:
        """The entry of ``word``, None where there is none. UTF-8 sorts as its letters do."""
        text, wanted = self._text, word.encode()
        low, high = 1, len(text) - 1
        while low < high:
            start = self._start((low + high) // 2, low)
            colon = text.index(b'":', start + 1)
            key = text[start + 1 : colon]
            end = self._end(colon + 2)
            if key == wanted:
                found: str | dict[str, str] = json.loads(text[colon + 2 : end])
                return found
            if key < wanted:
                low = end + 1
            else:
                high = start
        return None

    def _start(self, place: int, low: int) -> int:
        """Where the entry begins that ``place`` lies in; none begins before ``low``."""
        text = self._text
        comma = text.rfind(b',"', low, place + 1)
        before = bisect(self._objects, comma)
        if before and comma < text.index(b"}", self._objects[before - 1]):
            comma = text.rfind(b',"', low, self._objects[before - 1])
        return max(comma + 1, low)

    def _end(self, value: int) -> int:
        """Where the value ends that begins at ``value``."""
        text = self._text
        return 1 + (text.index(b"}", value) if text.startswith(b"{", value) else text.index(b'"', value + 1))


class NestedEntries:
    """A JSON object of objects in any order, written as above; found by the first eight bytes of their keys."""

    def __init__(self, text: bytes) -> None:
        letters = np.frombuffer(text, np.uint8)
        ends = (letters[:-2] == ord("}")) & (letters[1:-1] == ord(",")) & (letters[2:] == ord('"'))
        starts = np.concatenate([[len('{"')], np.flatnonzero(ends) + len('},"')])
        beginnings = np.ndarray(len(text) - 7, ">u8", text, strides=(1,))[starts]
        order = np.argsort(beginnings)
        self._text, self._starts, self._beginnings = text, starts[order].tolist(), beginnings[order].tolist()
        self.get = lru_cache(_REMEMBERED)(self._get)

    def _get(self, key: str) -> dict[str, Any] | None:
        """The object of ``key``, None where there is none."""
        wanted = json.dumps(key, ensure_ascii=False)[1:].encode() + b":{"
        low, high = (int.from_bytes(wanted[:8].ljust(8, filler), "big") for filler in (b"\0", b"\xff"))
        for start in self._starts[bisect_left(self._beginnings, low) : bisect(self._beginnings, high)]:
            if self._text.startswith(wanted, start):
                value = start + len(wanted) - 1
                found: dict[str, Any] = json.loads(self._text[value : self._text.index(b"}", value) + 1])
                return found
        return None
