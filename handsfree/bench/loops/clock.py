"""The time of day for one session at the bench: it goes on evenly whatever is done to the machine's clock meanwhile."""

from __future__ import annotations

import time
from datetime import datetime, timedelta


class SteadyClock:
    """Starts at the machine's time and then counts seconds, those of a closed lid included.

    A clock that is set back in the middle of a job (by hand, or from the network) must not make a timer late.
    """

    def __init__(self) -> None:
        self._start = datetime.now().astimezone()
        self._began = _seconds()

    def __call__(self) -> datetime:
        return self._start + timedelta(seconds=_seconds() - self._began)


def _seconds() -> float:
    # time.monotonic() stands still while some systems sleep.
    for name in ("CLOCK_BOOTTIME", "CLOCK_MONOTONIC"):
        clock = getattr(time, name, None)
        if clock is not None:
            return time.clock_gettime(clock)
    return time.monotonic()
