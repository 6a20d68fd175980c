"""Files that commands write: their names, their lengths in words, and one sentence where they can't be written."""

from __future__ import annotations

from pathlib import Path

from handsfree.commands.problems import UseError


def write_file(path: Path, text: str, *, new: bool = False) -> None:
    """Write a text file with the ends of lines that it has; UseError where it can't be, or a ``new`` one is there."""
    try:
        with path.open("x" if new else "w", encoding="utf-8", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise UseError(f"{path} is there already; give another name, or move it away") from None
    except OSError as error:
        raise UseError(f"{path} can't be written ({error.strerror or error}); choose another place") from None


def safe_name(text: str) -> str:
    """A file name made of anything typed or said: letters, figures and hyphens, never empty, never hidden."""
    plain = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in text.strip())
    return "-".join(filter(None, plain.split("-")))[:80].rstrip("-") or "job"


def size_words(count: int) -> str:
    """A number of bytes for people."""
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{max(1, round(count / 1e3))} kB"
