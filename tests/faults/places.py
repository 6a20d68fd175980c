"""A job at the bench whose files vanish, are replaced, or whose disk is full: after each line that is typed."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

from handsfree.bench.bench import LOG_GONE, LOG_LOST
from handsfree.job.errors import LogError
from handsfree.job.events import NoteKept
from handsfree.job.log.store import Store
from tests.faults.outcomes import Outcome, Tally, said_by
from tests.support.disks import NoDisk, small_disk
from tests.support.jobs import fill
from tests.support.played import SMALL

LINES = ("yes", "next", "note", "a burr at the pivot", "end of note", "log clearance four thou", "where am i", "note",
         "worn at the lower end", "end of note", "take back", "review the job")  # fmt: skip


def _replaced(logs: Path) -> None:
    other = Store(logs.with_name("other"))
    fill(other, "another")
    shutil.rmtree(logs)
    other.folder.rename(logs)


def _file_replaced(logs: Path) -> None:
    other = Store(logs.with_name("other"))
    fill(other, "another")
    other.file.replace(logs / "handsfree.db")


HARMS: dict[str, Callable[[Path], object]] = {
    "folder deleted": shutil.rmtree,
    "folder moved": lambda logs: logs.rename(logs.with_name("moved")),
    "folder replaced": _replaced,
    "database deleted": lambda logs: (logs / "handsfree.db").unlink(),
    "database replaced": _file_replaced,
    "database cut short": lambda logs: (logs / "handsfree.db").write_bytes(b""),
    "write-ahead log deleted": lambda logs: (logs / "handsfree.db-wal").unlink(),
    "ledger deleted": lambda logs: (logs / "ledger.txt").unlink(),
    "catalogue deleted": lambda logs: [path.unlink() for path in logs.glob("catalogue.*")],
    "locks deleted": lambda logs: shutil.rmtree(logs / "locks"),
}


def vanished(folder: Path, tally: Callable[[str], Tally], every: int = 1) -> None:
    """Each harm after each line: told and the job saved elsewhere, or all of it kept where it was."""
    procedure = folder / "gate-latch.yaml"
    procedure.write_text(SMALL, encoding="utf-8")
    for name, harm in HARMS.items():
        for after in range(1, len(LINES), every):
            here = folder / f"{name}-{after}".replace(" ", "-")
            here.mkdir()
            tally("files vanished or replaced in mid-job").judged(
                f"{name} after line {after}",
                lambda here=here, harm=harm, after=after: _worked(procedure, here, harm, after),  # type: ignore[misc]
            )


def _worked(procedure: Path, here: Path, harm: Callable[[Path], object], after: int) -> Outcome:
    logs = here / "logs"

    def typed() -> Iterator[str]:
        for number, line in enumerate(LINES, 1):
            yield f"{line}\n"
            if number == after:
                harm(logs)

    command = ("run", str(procedure), "--new", "--listen", "typed", "--speak", "print", "--logs", str(logs))
    code, said, _ = said_by(*command, typed=typed())
    kept = [_notes(Store(place)) for place in (logs, *here.glob("handsfree-saved-*"), here / "moved") if place.is_dir()]
    if max(kept, default=0) < said.count("Note kept"):
        return "silent"
    if code:
        return "told" if LOG_GONE in said or LOG_LOST in said else "silent"
    return "harmless"


def _notes(store: Store) -> int:
    try:
        events = (event for job in store.numbers() for event in store.events(job))
        return sum(isinstance(event, NoteKept) and event.text != "another" for event in events)
    except LogError:
        return 0


def full_disks(folder: Path, tally: Tally, sizes: range) -> bool:
    """The same job on disks of these sizes (kB) on which nothing else is; False where none can be mounted here."""
    procedure = folder / "gate-latch.yaml"
    procedure.write_text(SMALL, encoding="utf-8")
    for size in sizes:
        try:
            with small_disk(folder / f"disk-{size}", size) as small:
                tally.judged(f"disk of {size} kB", lambda small=small: _on_small_disk(procedure, small))  # type: ignore[misc]
        except NoDisk:
            return False
    return True


def _on_small_disk(procedure: Path, small: Path) -> Outcome:
    long = "worn at the lower end " * 200
    lines = ["yes", "next", *(line for _ in range(12) for line in ("note", long, "end of note"))]
    command = ("run", str(procedure), "--new", "--listen", "typed", "--speak", "print", "--logs", str(small / "logs"))
    code, said, wrong = said_by(*command, typed="\n".join(lines) + "\n")
    if code:
        # Refused at the start, or stopped with a sentence; what was read back is there.
        kept = _notes(Store(small / "logs")) if "Note kept" in said else 0
        return "told" if wrong and kept >= said.count("Note kept") else "silent"
    return "harmless" if _notes(Store(small / "logs")) == said.count("Note kept") else "silent"
