"""What can go wrong with a job at the desk."""

from __future__ import annotations


class DeskError(Exception):
    """This can't be done with the job or its entry; one sentence that says what can."""
