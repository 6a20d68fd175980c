"""What time it last was at the bench with a job, so that a clock that was set back before the next start is known.

A clock that counts from the machine's start says exactly how much later it is now; after another start of the machine
it is at least as late as it was then.
"""

from __future__ import annotations

import time
import zlib
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

_BOOT = Path("/proc/sys/kernel/random/boot_id")
_FOLDER = "locks"


def note_time(folder: Path, job: str, now: datetime) -> None:
    """Keep the time; a file that can't be written is done without."""
    said = f"{now.isoformat()} {_seconds():.3f} {_start_of_machine()}"
    with suppress(OSError):
        (folder / _FOLDER / f"{job}.seen").write_bytes(f"{said} {zlib.crc32(said.encode()):08x}\n".encode())


def last_seen(folder: Path, job: str) -> datetime | None:
    """What time it is now at least, by the clock that was last looked at with this job; None where that is not
    known."""
    try:
        text = (folder / _FOLDER / f"{job}.seen").read_bytes().decode("ascii")
        said, _, check = text.strip().rpartition(" ")
        if check != f"{zlib.crc32(said.encode()):08x}":
            return None
        at, seconds, boot = said.split(" ")
        then = datetime.fromisoformat(at)
        passed = _seconds() - float(seconds)
    except (OSError, ValueError):
        return None
    return then + timedelta(seconds=passed) if boot == _start_of_machine() and boot != "-" and passed > 0 else then


def _seconds() -> float:
    clock = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if clock is None else time.clock_gettime(clock)


def _start_of_machine() -> str:
    """Names the machine's present start; "-" where that is not told."""
    try:
        return _BOOT.read_bytes().decode("ascii").strip() or "-"
    except (OSError, ValueError):
        return "-"
