"""What loading the networks leaves behind is given back to the machine."""

from __future__ import annotations

import ctypes
import platform


def give_back() -> None:
    """Hands free memory of the C library back to the system, where the library can (glibc); about 40 MB."""
    if platform.libc_ver()[0] != "glibc":
        return
    try:
        ctypes.CDLL(None).malloc_trim(0)
    except (OSError, AttributeError):
        return
