"""Small jobs written into a log by hand."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from handsfree.job.events import (
    JobOpened,
    NoteKept,
    StepDone,
)
from handsfree.job.log.store import Store

AT = datetime(2026, 11, 25, 9, 0, tzinfo=timezone.utc)


def opened(at: datetime = AT, **slots: str) -> JobOpened:
    usual = {"title": "Bench micrometer, overhaul", "procedure_name": "micrometer", "item": "micrometer"}
    rest = {"revision": "3", "procedure_sha256": "0" * 64, "procedure_text": "title: x"}
    return JobOpened.model_validate({"at": at, **usual, **rest, **slots})


def fill(store: Store, *notes: str, days: int = 0) -> str:
    at = AT + timedelta(days=days)
    with store.open_job(opened(at, serial=str(len(notes))), steps=2) as log:
        for number, text in enumerate(notes):
            log.append(note(f"n{number}", text))
        log.append(StepDone(at=at, step="strip"))
        return log.job


def note(name: str, text: str) -> NoteKept:
    return NoteKept(at=AT, id=name, text=text, seconds=1.0)
