"""The procedure a job was worked by, from the log alone."""

from __future__ import annotations

from handsfree.job.events import JobOpened, ProcedureTakenUp
from handsfree.job.state import JobState
from handsfree.procedure.file.loader import parse_procedure
from handsfree.procedure.model import Procedure


def procedures_of(state: JobState) -> dict[str, Procedure]:
    """The procedures of a job by name, in the order of their first use; ``state.of(name)`` is the job as it stands with
    each. None for a job that was taken in and not yet worked. ProcedureError."""
    return {name: procedure_of(brought).given(state.of(name).answers) for name, brought in state.procedures.items()}


def procedure_of(opened: JobOpened | ProcedureTakenUp) -> Procedure:
    """The procedure as it stood when the job took it up, whatever has become of its file; ProcedureError."""
    return parse_procedure(
        (opened.procedure_text or "").encode(), f"{opened.procedure_name} (kept in the log)"
    ).procedure
