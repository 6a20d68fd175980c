"""Files that commands write: their names, their lengths in words, and one sentence where they can't be written."""

from __future__ import annotations

import os
from pathlib import Path

from handsfree.commands.problems import UseError


def write_file(path: Path, text: str, *, new: bool = False) -> None:
    """Write a text file with the ends of lines that it has; UseError where it can't be, or a ``new`` one is there.

    It is written beside the one that is there, which stays until the new one is whole and on disk.
    """
    try:
        if new and path.exists():
            raise FileExistsError
        _replace(path, text.encode(errors="backslashreplace"))
    except FileExistsError:
        raise UseError(f"{path} is there already; give another name, or move it away") from None
    except (OSError, ValueError) as error:
        raise UseError(f"{path} can't be written ({getattr(error, 'strerror', error)}); choose another place") from None


def _replace(path: Path, content: bytes) -> None:
    path = path.resolve()
    if path.exists() and not path.is_file():  # a device, or a pipe
        with path.open("wb") as file:
            file.write(content)
        return
    part = path.with_name(f".{path.name[:80]}.{os.getpid()}.part")
    try:
        with part.open("xb") as file:
            if path.exists():
                part.chmod(path.stat().st_mode & 0o7777)
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def safe_name(text: str) -> str:
    """A file name made of anything typed or said: letters, figures and hyphens, never empty, never hidden."""
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in text.strip())
    return "-".join(filter(None, plain.split("-")))[:80].rstrip("-") or "job"


def size_words(count: int) -> str:
    """A number of bytes for people."""
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{max(1, round(count / 1e3))} kB"
