"""The procedure a job was worked by, from the log alone."""

from __future__ import annotations

from handsfree.job.events import JobOpened
from handsfree.procedure.loader import parse
from handsfree.procedure.model import Procedure


def procedure_of(opened: JobOpened) -> Procedure:
    """The procedure as it stood when the job was opened, whatever has become of its file; ProcedureError."""
    return parse(opened.procedure_text.encode(), f"{opened.procedure_name} (kept in the log)").procedure
