"""The event with which a job begins."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from handsfree.job.events import JobOpened, Purpose
from handsfree.procedure.file.loader import Loaded


def opened_with(
    loaded: Loaded | None,
    now: datetime,
    *,
    item: str | None = None,
    serial: str | None = None,
    owner: str | None = None,
    purpose: Purpose = "repair",
    parts: Sequence[str] = (),
) -> JobOpened:
    """A job begun with a procedure; None: it is taken in before one is chosen. Where nobody names the ``item``, it is
    the one that the procedure is for."""
    return JobOpened(
        at=now,
        title=loaded.procedure.title if loaded else "",
        revision=loaded.procedure.revision if loaded else "",
        procedure_sha256=loaded.sha256 if loaded else "",
        procedure_text=loaded.text if loaded else "",
        procedure_name=loaded.path.stem if loaded else "",
        item=item or (loaded.procedure.item if loaded else None),
        serial=serial,
        owner=owner,
        purpose=purpose,
        parts=tuple(parts),
    )
