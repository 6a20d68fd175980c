"""Ctrl-C at moments at which it may not cut something short."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def interrupts_held() -> Iterator[None]:
    """Ctrl-C within comes after it, as KeyboardInterrupt. For imports beside other threads: one that is cut short may
    keep its module's lock, and who waits for that waits for ever."""
    in_main = threading.current_thread() is threading.main_thread()
    if not in_main or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        # Other threads are not interrupted; and who was told to ignore it, or to do something else, goes on so.
        yield
        return
    came = False

    def note(number: int, frame: FrameType | None) -> None:
        nonlocal came
        came = True

    signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        if came:
            raise KeyboardInterrupt
