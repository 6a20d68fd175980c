"""The built-in model's tokens: pieces of words, joined by byte-pair merges in the order of their numbers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TypeVar

from handsfree.hearing.errors import HearingError

START = 1
END = 2
FIRST_BYTE = 3
"""Token of byte 0; the 256 single bytes follow one another."""
FIRST_MERGE = 259
SPACE = "▁"

Piece = TypeVar("Piece", str, bytes)


def merged(parts: Iterable[Piece], numbers: Mapping[Piece, int]) -> list[Piece]:
    """``parts`` with neighbours joined as long as the joint is a known piece, the one with the lowest number first."""
    joined = list(parts)
    while len(joined) > 1:
        best, where = len(numbers) + FIRST_MERGE, -1
        for i in range(len(joined) - 1):
            rank = numbers.get(joined[i] + joined[i + 1], best)
            if rank < best:
                best, where = rank, i
        if where < 0:
            break
        joined[where : where + 2] = [joined[where] + joined[where + 1]]
    return joined


class Tokenizer:
    """Text to tokens and back.

    ``pieces`` are the tokens' bytes in the order of their numbers: three specials, the 256 single bytes, then the
    merged pieces, the more frequent first.
    """

    def __init__(self, pieces: list[bytes]) -> None:
        self.pieces = pieces
        self._number: dict[bytes, int] = {}
        for number in range(len(pieces) - 1, FIRST_MERGE - 1, -1):
            self._number[pieces[number]] = number

    @classmethod
    def from_file(cls, path: Path) -> Tokenizer:
        """Reads a file of length-prefixed byte strings (lengths from 128 on take two bytes)."""
        content = path.read_bytes()
        pieces: list[bytes] = []
        place = 0
        while place < len(content):
            length = content[place]
            place += 1
            if length >= 128 and place < len(content):
                length += content[place] * 128 - 128
                place += 1
            piece = content[place : place + length]
            if len(piece) != length:
                raise HearingError(f"{path}: the tokenizer file is cut short; install its package again.")
            pieces.append(piece)
            place += length
        if len(pieces) <= FIRST_MERGE:
            raise HearingError(f"{path}: this is no tokenizer file; install its package again.")
        return cls(pieces)

    def number(self, piece: str) -> int | None:
        """The token that spells exactly ``piece`` ("▁" for a space), if there is one."""
        return self._number.get(piece.encode())

    def encode(self, text: str) -> tuple[int, ...]:
        """The usual spelling of ``text`` ("▁" or a space for a space) in tokens."""
        parts = merged([piece.encode() for piece in text.replace(" ", SPACE)], self._number)
        tokens: list[int] = []
        for part in parts:
            known = self._number.get(part)
            tokens += [known] if known is not None else [FIRST_BYTE + byte for byte in part]
        return tuple(tokens)

    def cuts(self, text: str, most: int) -> list[tuple[int, ...]]:
        """Every spelling of ``text`` in at most ``most`` pieces of two letters or more ("▁" with what follows)."""
        if not text:
            return [()]
        if most == 0:
            return []
        found = []
        for end in range(2, len(text) + 1):
            number = self.number(text[:end])
            if number is not None and text[:end] != SPACE:
                found += [(number, *rest) for rest in self.cuts(text[end:], most - 1)]
        return found

    def decode(self, tokens: Iterable[int]) -> str:
        """The text that ``tokens`` spell; start, end and unknown are left out."""
        joined = b"".join(self.pieces[token] for token in tokens if token >= FIRST_BYTE)
        return joined.decode("utf-8", errors="replace").replace(SPACE, " ").strip()
