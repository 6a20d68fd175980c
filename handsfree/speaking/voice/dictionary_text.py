"""The neural voice's dictionaries, looked up in the text of their files.

Read into memory, a quarter of a million entries take the processor 0.4 s and 67 MB, and a job says a few
hundred words.
"""

from __future__ import annotations

import json
import re
import zlib
from bisect import bisect
from pathlib import Path
from typing import Any

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

    def get(self, word: str) -> str | dict[str, str] | None:
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
    """A JSON object of objects that hold no strings with braces; each is read when it is asked for."""

    def __init__(self, text: bytes) -> None:
        entries = text.removeprefix(b'{"').removesuffix(b"}}").split(b'},"')
        self._entries = {key: value for key, _, value in (entry.partition(b'":{') for entry in entries)}

    def get(self, key: str) -> dict[str, Any] | None:
        """The object of ``key``, None where there is none."""
        found = self._entries.get(json.dumps(key, ensure_ascii=False)[1:-1].encode())
        return None if found is None else json.loads(b"{%b}" % found)
