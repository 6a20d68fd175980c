"""What loading costs: time that is not needed, and memory that is given back to the machine."""

from __future__ import annotations

import ctypes
import gc
import platform
from collections.abc import Iterator
from contextlib import contextmanager


def give_back() -> None:
    """Hands free memory of the C library back to the system, where the library can (glibc); about 40 MB."""
    if platform.libc_ver()[0] != "glibc":
        return
    try:
        ctypes.CDLL(None).malloc_trim(0)
    except (OSError, AttributeError):
        return


@contextmanager
def uncollected() -> Iterator[None]:
    """No search for unused circles of objects meanwhile: where a hundred thousand objects are made to stay, it takes a
    quarter of the time and finds nothing."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
