"""``handsfree report``: the write-up of a job, as a page or as data."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from handsfree import __version__
from handsfree.bench.workshop import load_workshop
from handsfree.commands.files import safe_name, size_words, write_file
from handsfree.commands.jobs.choosing import chosen_job, store_of
from handsfree.commands.jobs.proving import told_if_broken
from handsfree.commands.output import data
from handsfree.commands.problems import UseError
from handsfree.job.counter.charges import Charge, agreed_amount, charges_of
from handsfree.job.errors import LogCorrupt, LogError
from handsfree.job.events import Event
from handsfree.job.log.beside.attached import read_attached
from handsfree.job.log.store import Store
from handsfree.job.log.verify import verify
from handsfree.job.state import JobState, fold
from handsfree.procedure.settings.report_parts import USUAL_PARTS, chosen_parts
from handsfree.procedure.settings.terms import Terms
from handsfree.review.exports import Bill, record_json, to_csv
from handsfree.review.pages.owner import LONGEST_SAID
from handsfree.review.pages.report import Integrity, report_page
from handsfree.review.record import record_of
from handsfree.review.record_lines import JobRecord
from handsfree.review.source import procedures_of
from handsfree.review.text.whole import review_text

ENDINGS = {".html": "html", ".htm": "html", ".csv": "csv", ".json": "json", ".txt": "text"}
_ENDING = {"html": "html", "csv": "csv", "json": "json", "text": "txt"}


def run_report(args: argparse.Namespace) -> int:
    """Write the report of a job, of the last one where none is named; 1 where its log does not hold."""
    store = store_of(args)
    job = chosen_job(store, args.job)
    out = Path(args.to) if args.to and args.to != "-" else None
    form = args.format or (ENDINGS.get(out.suffix.lower(), "html") if out else "html")
    content = report_content(store, job, form, args.sound, _wanted(args))
    code = 1 if told_if_broken(store, job) else 0
    if args.to == "-":
        with data():
            sys.stdout.write(content)
        return code
    out = out or Path(f"{safe_name(f'job {job}')}.{_ENDING[form]}")
    write_file(out, content)
    print(f"Report of job {job}: {out} ({size_words(len(content.encode()))})")
    return code


@dataclass(frozen=True)
class Wanted:
    """What stands in a report beside what every one has."""

    parts: frozenset[str] = USUAL_PARTS
    say: str = ""
    terms: Terms = field(default_factory=Terms)


_USUAL = Wanted()


def _wanted(args: argparse.Namespace) -> Wanted:
    workshop = load_workshop()
    more = [*args.include, *(["charges"] if args.charges else [])]
    parts = chosen_parts(workshop.report, more, args.leave_out)
    if not parts & {"owner", "record"}:
        raise UseError("a report needs the owner's page or the record; leave only one of them out")
    said = (args.say or "").strip()
    if len(said) > LONGEST_SAID:
        raise UseError(f"--say has {len(said)} letters; the owner's page has room for {LONGEST_SAID}. Say it in fewer")
    if said and "owner" not in parts:
        raise UseError("--say is for the owner's page, which this report is without")
    return Wanted(parts, said, workshop.terms)


def report_content(store: Store, job: str, form: str, sound: str, wanted: Wanted = _USUAL) -> str:
    """The report of the whole job, all its procedures in it, as text in ``form``; ``wanted`` is for the page."""
    events = store.events(job)
    state = fold(events)
    if state.opened is None:
        raise LogCorrupt(f"job {job} has no beginning in the log of {store.folder}; it cannot be reported")
    procedures = procedures_of(state)
    if not procedures:
        raise UseError(f"job {job} was taken in and not yet worked: handsfree review {job} shows what is known of it")
    if form == "text":
        return review_text(procedures, state, events, job=job)
    record = record_of(procedures, state, events, job=job)
    charges = _charges(state, events, wanted.terms) if "charges" in wanted.parts else None
    if form == "json":
        bill = None if charges is None else Bill(charges, wanted.terms.currency, agreed_amount(state))
        return record_json(record, events, bill)
    if form == "csv":
        return to_csv([record])
    return report_page(
        record,
        procedures,
        integrity=_integrity(store, job, record),
        written_at=datetime.now().astimezone(),
        version=__version__,
        sound=_sounds(store, record, sound),
        picture=_pictures(store),
        charges=charges or (),
        currency=wanted.terms.currency,
        say=wanted.say,
        parts=wanted.parts,
    )


LARGEST_SHOWN = 5_000_000
"""Bytes of a picture that is put into the page; a larger one is named."""


def _pictures(store: Store) -> Callable[[str], bytes | None]:
    def picture(sha: str) -> bytes | None:
        try:
            content = read_attached(store.folder, sha)
        except LogError:
            # The page says what the log proves: that it is not there is told by verify.
            return None
        return content if len(content) <= LARGEST_SHOWN else None

    return picture


def _charges(state: JobState, events: Sequence[Event], terms: Terms) -> list[Charge]:
    titles = {name: brought.title for name, brought in state.procedures.items()}
    return charges_of(state, events, terms.hour, titles=titles)


def _integrity(store: Store, job: str, record: JobRecord) -> Integrity:
    """What the log proves of itself at this moment, and the hash by which it can be compared later."""
    proof = verify(store, job)
    gone = f"; {proof.deleted_clips} more were deleted on purpose" if proof.deleted_clips else ""
    sounds = f"{proof.clips} sounds that it names are there and are what was kept{gone}."
    if proof.faults:
        said = ["The log does NOT hold:", *(f"{fault[:1].upper()}{fault[1:]}." for fault in proof.faults)]
    else:
        chain = (
            f"The chain of hashes over the {proof.events} entries of job {job} was made anew for this report and holds."
        )
        said = [f"{chain} {sounds}"]
    said += [
        "The last hash stands below. As long as this report is kept, it tells whether the log up to here is still the "
        "same: a change, a removal or an end cut off shows. It does not prove who spoke, nor that the clock was right.",
    ]
    compare = f"To compare: handsfree verify {job} --hash, followed by the last hash."
    several = len(record.procedures) > 1
    files = [
        (f"Procedure file{f' of {each.title}' if several else ''} (SHA-256)", each.procedure_sha256)
        for each in record.procedures
    ]
    signed = record.head.signed
    hashes = [link.hash for link in store.links(job) if signed and link.seq == signed.event]
    of_state = [(f"State that {signed.name} signed, entry {signed.event}", each) for each in hashes] if signed else []
    return Integrity((*said, compare), (("Last hash of the log", proof.last_hash), *of_state, *files))


def _sounds(store: Store, record: JobRecord, which: str) -> Callable[[str], bytes | None]:
    """The sounds to put into the page: those of the notes, all, or none."""
    notes = {line.clip for line in record.notes} | {line.clip for line in record.facts}

    def sound(clip: str) -> bytes | None:
        if which == "none" or (which == "notes" and clip not in notes):
            return None
        path = store.clip_path(clip)
        try:
            if not path.is_file():
                return None
            # What is not the sound that was kept is told above, and is not put into the page.
            store.read_clip(clip)
            return path.read_bytes()
        except LogCorrupt:
            return None
        except OSError as error:
            raise UseError(
                f"the sound {path} can't be read ({error.strerror}); leave it out with --sound none"
            ) from None

    return sound
