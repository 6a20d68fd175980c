"""``handsfree job``: taking a job in before the bench, and adding to it, typing, correcting and signing afterwards."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any, get_args

from handsfree.bench.setting_up import guide_of, language_of, load_named
from handsfree.bench.workshop import load_workshop
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.guide.effects import Record
from handsfree.guide.handlers import readings
from handsfree.guide.handlers.facts import ONE_ONLY
from handsfree.guide.turn import Turn
from handsfree.job.errors import JobFinishedAlready
from handsfree.job.events import (
    About,
    EntryWithdrawn,
    FactNoted,
    JobOpened,
    JobReopened,
    NoteKept,
    PartsCounted,
    ProcedureTakenUp,
    ReadingLogged,
    ReadingSettled,
    TextTyped,
)
from handsfree.job.log.store import JobLog, Store
from handsfree.job.state import Entry, JobState, every_entry, fold
from handsfree.phrases.intents import Intent, Kind
from handsfree.review.source import procedures_of
from handsfree.wording.entries import entry_words

FACTS: tuple[About, ...] = tuple(about for about in get_args(About) if about != "signed off")


def run_take_in(args: argparse.Namespace) -> int:
    """Take a job in; a procedure can be chosen later."""
    store = store_of(args)
    loaded = load_named(args.procedure) if args.procedure else None
    opened = JobOpened(
        at=_now(),
        title=loaded.procedure.title if loaded else "",
        revision=loaded.procedure.revision if loaded else "",
        procedure_sha256=loaded.sha256 if loaded else "",
        procedure_text=loaded.text if loaded else "",
        procedure_name=loaded.path.stem if loaded else "",
        item=args.item or (loaded.procedure.item if loaded else None),
        serial=args.serial,
        owner=args.owner,
    )
    with store.open_job(opened, len(loaded.procedure.steps) if loaded else 0) as log:
        state = fold([opened])
        for about in ("complaint", "condition"):
            _note(log, state, about, getattr(args, about))
    what = args.procedure or "PROCEDURE"
    print(f"Job {log.job} is taken in. Work it: handsfree run {what} --job {log.job}")
    return 0


def run_add(args: argparse.Namespace) -> int:
    """Add facts, a note, or counts of parts to a job."""
    given = {about: getattr(args, about.replace(" ", "_")) for about in FACTS}
    counts = [(way, each) for way in ("out", "back", "replaced") for each in getattr(args, way) or ()]
    stated = [each for each in (*given.values(), args.note) if each is not None]
    if any(not text.strip() for each in stated for text in ([each] if isinstance(each, str) else each)):
        raise UseError("there is nothing in one of the texts to add; nothing was written")
    if args.severity and not given["finding"]:
        raise UseError("--severity belongs to a --finding TEXT")
    if not args.note and not counts and not any(given.values()):
        raise UseError("say what to add, such as --complaint TEXT, --finding TEXT or --note TEXT")
    parts = [(way, *_counted(each)) for way, each in counts]
    with _taken_up(args) as (log, state):
        for about, texts in given.items():
            for text in [texts] if isinstance(texts, str) else texts or ():
                severity = (args.severity or "minor") if about == "finding" else None
                _note(log, state, about, text, severity=severity)
        if args.note:
            _write(log, state, NoteKept(at=_now(), id=_id(state), text=args.note, seconds=0.0))
            _write(log, state, TextTyped(at=_now(), id=f"e{state.count}", text=args.note))
        for way, count, part in parts:
            _write(log, state, PartsCounted(at=_now(), id=_id(state), part=part, count=count, way=way))  # type: ignore[arg-type]
    print(f"Added to job {log.job}.")
    return 0


def run_type(args: argparse.Namespace) -> int:
    """Type what was said in a note or a fact; the sound stays."""
    if args.entry is None:
        return _what_to_type(store_of(args), args.job)
    text = " ".join(args.text).strip()
    if not text:
        raise UseError(f"give the text: handsfree job type {args.job} {args.entry} TEXT")
    with _taken_up(args, finished_too=True) as (log, state):
        entry = _entry(state, args.entry)
        if not isinstance(entry.event, (NoteKept, FactNoted)):
            raise UseError(f"entry {args.entry} is no note and no fact; to change a figure use handsfree job correct")
        _write(log, state, TextTyped(at=_now(), id=entry.event.id, text=text))
    print(f"Typed: {text}")
    return 0


def _what_to_type(store: Store, job: str) -> int:
    waiting = [entry for entry in every_entry(fold(store.events(job))) if entry.to_type]
    for entry in waiting:
        clip = entry.event.clip
        print(f"{entry.event.id:<6} {entry.event.at.astimezone():%H:%M}  {entry.text or '(not understood)'}")
        print(f"       sound: {store.clip_path(clip) if clip else 'none'}")
    print("Nothing is left to type." if not waiting else f"Type one: handsfree job type {job} ENTRY TEXT")
    return 0


def run_correct(args: argparse.Namespace) -> int:
    """Correct a figure: judged anew, read back in print, and the old one stays in the history."""
    with _taken_up(args) as (log, state):
        entry = _entry(state, args.entry)
        event = entry.event
        if not isinstance(event, ReadingLogged):
            raise UseError(f"entry {args.entry} is no figure: {entry_words(entry)}")
        procedures = procedures_of(state)
        name = next((name for name in procedures if event.id in state.of(name).entries), state.working)
        procedure = procedures[name]
        workshop = load_workshop()
        language = language_of(procedure, workshop)
        said = [i for i in language.interpret_text(f"correction {args.figure}") if i.kind is Kind.CORRECT]
        if not said:
            raise UseError(f'"{args.figure}" is no figure as it would be said, such as "4 thou" or "point one"')
        home = state.working
        if name != home:
            _write(log, state, ProcedureTakenUp.again(state.procedures[name], _now()))
        guide = guide_of(procedure, state, workshop)
        turn = Turn(guide, _now())
        intent = Intent(Kind.CORRECT, figure=said[0].figure)
        readings.correct(turn, intent, event.id)
        events = [effect.event for effect in turn.effects if isinstance(effect, Record)]
        for recorded in events:
            log.append(recorded)
        print(guide.last_said)
        for reading in events:
            if isinstance(reading, ReadingLogged):
                # It has been read back, to its end.
                _write(log, state, ReadingSettled(at=_now(), id=reading.id, step=reading.step))
        if name != home:
            _write(log, state, ProcedureTakenUp.again(state.procedures[home], _now()))
        return 0 if events else 1


def run_take_back(args: argparse.Namespace) -> int:
    """Withdraw an entry; it stays in the history."""
    with _taken_up(args) as (log, state):
        entry = _entry(state, args.entry)
        _write(log, state, EntryWithdrawn(at=_now(), id=entry.event.id, step=entry.event.step))
        print(f"Taken back: {entry_words(entry)}")
    return 0


def run_reopen(args: argparse.Namespace) -> int:
    """Open a finished job again, with the reason."""
    with _taken_up(args, finished_too=True) as (log, state):
        if state.finished is None:
            raise UseError(f"job {log.job} is not finished: it needs no opening again")
        _write(log, state, JobReopened(at=_now(), reason=args.reason))
    print(f"Job {log.job} is open again. Work it: handsfree run {state.working or 'PROCEDURE'} --job {log.job}")
    return 0


def run_sign(args: argparse.Namespace) -> int:
    """Sign a job by name."""
    with _taken_up(args, finished_too=True) as (log, state):
        _note(log, state, "signed off", args.by)
    print(f"Job {log.job} is signed off by {args.by}.")
    return 0


def _now() -> datetime:
    return datetime.now().astimezone()


def _id(state: JobState) -> str:
    return f"e{state.count + 1}"


@contextmanager
def _taken_up(args: argparse.Namespace, *, finished_too: bool = False) -> Iterator[tuple[JobLog, JobState]]:
    with store_of(args).resume(args.job) as log:
        state = fold(log.events())
        if state.finished is not None and not finished_too:
            raise JobFinishedAlready(log.job)
        yield log, state


def _write(log: JobLog, state: JobState, event: Any) -> None:
    log.append(event)
    state.apply(event)


def _note(log: JobLog, state: JobState, about: About, text: str | None, **more: Any) -> None:
    if not text or not text.strip():
        return
    before = state.facts(about) if about in ONE_ONLY else []
    corrects = before[-1].event.id if before else None
    fact = FactNoted(at=_now(), id=_id(state), about=about, text=text.strip(), corrects=corrects, **more)
    _write(log, state, fact)


def _entry(state: JobState, id_: str) -> Entry:
    entries = {entry.event.id: entry for entry in every_entry(state)}
    if id_ not in entries or not entries[id_].stands:
        standing = [key for key, entry in entries.items() if entry.stands]
        names = ", ".join(standing[-8:]) or "none"
        raise UseError(f"no entry {id_} stands in this job; the newest that do: {names} (handsfree review --entries)")
    return entries[id_]


def _counted(text: str) -> tuple[int, str]:
    """ "8 screws" as a count and the part's name in the singular."""
    from handsfree.phrases.commands import PARTS

    count, _, part = text.strip().partition(" ")
    known = {**{many: one for one, many in PARTS.items()}, **{one: one for one in PARTS}}
    part = known.get(part.strip().lower(), "")
    if not count.isdigit() or not part:
        raise UseError(f'"{text}" is no count of parts; write it like "8 screws" ({", ".join(PARTS.values())})')
    return int(count), part
