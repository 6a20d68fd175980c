"""Which exit code a problem has."""

from __future__ import annotations

from errno import EBADF, EDQUOT, EIO, ENOSPC

from handsfree.audio.errors import SoundError
from handsfree.bench.loops.keys import KeyNameError
from handsfree.display.errors import DisplayError
from handsfree.guide.errors import DeskError
from handsfree.job.errors import JobFinishedAlready, JobNotFound, LogError, LogFolderError
from handsfree.job.log.backup import BackupError
from handsfree.procedure.file.problems import ProcedureError
from handsfree.speaking.errors import SpeakingError


class UseError(Exception):
    """The command was used wrongly; the message is one sentence that says how to mend it."""


WRONG_INPUT = (
    UseError,
    DeskError,
    BackupError,
    KeyNameError,
    ProcedureError,
    SoundError,
    SpeakingError,
    DisplayError,
    JobNotFound,
    JobFinishedAlready,
    LogFolderError,
)


def exit_code_of(error: Exception) -> int | None:
    """2 for wrong use or input, 1 for what went wrong otherwise, None for an error that nobody foresaw."""
    if isinstance(error, WRONG_INPUT) or _about_a_file(error):
        return 2
    return 1 if isinstance(error, LogError) or _about_the_output(error) else None


def sentence_of(error: Exception) -> str:
    """What is said of a problem that has an exit code."""
    if isinstance(error, OSError) and _about_a_file(error):
        return f"{error.filename}: {error.strerror}; check the name, and what you may do with it"
    if _about_the_output(error):
        return f"what is printed can't be written ({getattr(error, 'strerror', error)}); make room, or print elsewhere"
    return str(error)


def _about_the_output(error: Exception) -> bool:
    """Whether standard output is full, or was closed."""
    return isinstance(error, OSError) and error.filename is None and error.errno in (ENOSPC, EIO, EBADF, EDQUOT)


def _about_a_file(error: Exception) -> bool:
    """Whether a name that was given can't be a file's, or one that may be used so."""
    return isinstance(error, OSError) and error.filename is not None
