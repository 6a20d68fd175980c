"""``handsfree job``: taking a job in before the bench, and adding to it, typing, correcting and signing afterwards."""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime

from handsfree.bench.looking_back import seen_before
from handsfree.bench.setting_up import load_named, session_of
from handsfree.bench.workshop import load_workshop
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.guide.desk import Desk
from handsfree.guide.session import Session
from handsfree.job.counted_parts import COUNTED, DISPOSITIONS
from handsfree.job.errors import JobFinishedAlready
from handsfree.job.facts import FACTS
from handsfree.job.log.numbers import typed_number
from handsfree.job.log.store import JobLog, Store
from handsfree.job.opening import opened_with
from handsfree.job.state import every_entry, fold
from handsfree.review.source import procedures_of
from handsfree.text.prose import plural
from handsfree.text.terminal import printable
from handsfree.wording.counter.before import before_written


@contextmanager
def at_the_desk(args: argparse.Namespace, *, finished_too: bool = False) -> Iterator[Desk]:
    """The job that is named, at the desk; what was done to it is written at the end, and nothing where that fails."""
    with store_of(args).resume(args.job) as log:
        desk = Desk(fold(log.events()), _now())
        if desk.state.finished is not None and not finished_too:
            raise JobFinishedAlready(log.job)
        yield desk
        write_desk(log, desk)


def write_desk(log: JobLog, desk: Desk) -> None:
    for event in desk.events:
        log.append(event)


def _now() -> datetime:
    return datetime.now().astimezone()


def run_take_in(args: argparse.Namespace) -> int:
    """Take a job in; a procedure can be chosen later."""
    store = store_of(args)
    if args.returns is not None:
        args.returns = typed_number(args.returns)
        store.events(args.returns)
    taken_in = [fact for fact in FACTS.values() if fact.taken_in]
    told = [(fact, text) for fact in taken_in for text in _texts(getattr(args, fact.attribute))]
    _refuse_blank([text for _, text in told])
    loaded = load_named(args.procedure) if args.procedure else None
    opened = opened_with(loaded, _now(), item=args.item, serial=args.serial, owner=args.owner)
    terms = load_workshop().terms
    before = seen_before(store, opened.item, opened.serial, opened.owner, terms, returns=args.returns)
    desk = Desk(fold([opened]), _now())
    for fact, text in told:
        # What identifies the item stands in the event that opens the job.
        if not fact.identifies:
            desk.note_fact(fact.name, text)
    with store.open_job(opened, len(loaded.procedure.steps) if loaded else 0) as log:
        write_desk(log, desk)
    what = shlex.quote(args.procedure) if args.procedure else "PROCEDURE"
    print("\n".join([*before_written(before, _now().date()), ""]) if before else "", end="")
    print(f"Job {log.job} is taken in. Work it: handsfree run {what} --job {log.job}")
    if not told and loaded is None:
        print(f'Nothing is known of it yet: handsfree job add {log.job} --item "Bench gauge" --owner NAME')
    return 0


def run_add(args: argparse.Namespace) -> int:
    """Add facts, a note, or counts of parts to a job."""
    known = [fact for fact in FACTS.values() if fact.help]
    facts = [(fact, text) for fact in known for text in _texts(getattr(args, fact.attribute))]
    counts = [(way, *_counted(text)) for way in DISPOSITIONS for text in getattr(args, way) or ()]
    _refuse_blank([*(text for _, text in facts), args.note])
    if args.severity and not args.finding:
        raise UseError("--severity belongs to a --finding TEXT")
    if not facts and not counts and not args.note:
        raise UseError("say what to add, such as --complaint TEXT, --finding TEXT or --note TEXT")
    fixed = {name.casefold(): f"{name} {price}" for name, price in load_workshop().terms.fixed.items()}
    arranged = all(fact.at_the_counter for fact, _ in facts) and not counts and not args.note
    # What is arranged with the owner goes on when the work is over.
    with at_the_desk(args, finished_too=arranged) as desk:
        for fact, given in facts:
            text = fixed.get(given.strip().casefold(), given) if fact.charged else given
            desk.note_fact(fact.name, text, (args.severity or "minor") if fact.graded else None)
        if args.note:
            desk.keep_note(args.note)
        for way, count, part in counts:
            desk.count_parts(count, part, way)
    print(f"Added to job {args.job}.")
    return 0


def _refuse_blank(texts: Sequence[str | None]) -> None:
    """Refuse a text that is there and says nothing."""
    if any(text is not None and not text.strip() for text in texts):
        raise UseError("there is nothing in one of the texts; nothing was written")


def _texts(given: str | list[str] | None) -> list[str]:
    """What was given for an option that may be given once, or several times."""
    return [given] if isinstance(given, str) else given or []


_MOST_COUNTED = 9999
"""Of one kind, that are counted at once."""


def _counted(text: str) -> tuple[int, str]:
    """ "8 screws" as a count and the part's name in the singular."""
    count, _, part = text.strip().partition(" ")
    known = {words: part for part in COUNTED for words in (part, plural(part))}
    part = known.get(part.strip().lower(), "")
    if not (count.isascii() and count.isdigit()) or not part:
        shown = text if len(text) <= 40 else f"{text[:40]}…"
        raise UseError(f'"{shown}" is no count of parts; write it like "8 screws" ({", ".join(map(plural, COUNTED))})')
    if len(count.lstrip("0")) > len(str(_MOST_COUNTED)):
        raise UseError(f"there are more than {_MOST_COUNTED} {plural(part)} in that; count what lies on the bench")
    return int(count), part


def run_type(args: argparse.Namespace) -> int:
    """Type what was said in a note or a fact; the sound stays."""
    if args.entry is None:
        return _what_to_type(store_of(args), args.job)
    text = " ".join(args.text).strip()
    if not text:
        raise UseError(f"give the text: handsfree job type {args.job} {args.entry} TEXT")
    with at_the_desk(args, finished_too=True) as desk:
        desk.type_text(args.entry, text)
    print(f"Typed: {text}")
    return 0


def _what_to_type(store: Store, job: str) -> int:
    waiting = [entry for entry in every_entry(fold(store.events(job))) if entry.to_type]
    for entry in waiting:
        clip = entry.event.clip
        print(f"{entry.event.id:<6} {entry.event.at.astimezone():%H:%M}  {printable(entry.text) or '(not understood)'}")
        print(f"       sound: {store.clip_path(clip) if clip else 'none'}")
    print("Nothing is left to type." if not waiting else f"Type one: handsfree job type {job} ENTRY TEXT")
    return 0


def run_correct(args: argparse.Namespace) -> int:
    """Correct a figure: judged anew, read back in print, and the old one stays in the history."""
    workshop = load_workshop()
    with at_the_desk(args) as desk:

        def session_for(name: str) -> Session:
            return session_of(procedures_of(desk.state)[name], desk.state, workshop)

        read_back = desk.correct(args.entry, args.figure, session_for)
    print(read_back)
    return 0


def run_take_back(args: argparse.Namespace) -> int:
    """Withdraw an entry; it stays in the history."""
    with at_the_desk(args) as desk:
        words = desk.take_back(args.entry)
    print(f"Taken back. {words}")
    return 0


def run_reopen(args: argparse.Namespace) -> int:
    """Open a finished job again, with the reason."""
    with at_the_desk(args, finished_too=True) as desk:
        desk.reopen(args.reason)
    print(f"Job {args.job} is open again. Work it: handsfree run {desk.state.working or 'PROCEDURE'} --job {args.job}")
    return 0


def run_hand_over(args: argparse.Namespace) -> int:
    """The owner has the item again."""
    with at_the_desk(args, finished_too=True) as desk:
        left = [entry.text or "something kept as sound" for entry in desk.state.facts("accessory")]
        kept = args.kept or (None if args.all_back or not left else _kept(left))
        desk.hand_over(kept)
        finished = desk.state.finished is not None
    print(f"Job {args.job} is handed over." + ("" if finished else " Its work is not finished."))
    if kept:
        print(f"Not given back: {kept}")
    return 0


def _kept(left: Sequence[str]) -> str | None:
    """What is not given back of what was left with the item, asked for at a terminal."""
    if not sys.stdin.isatty():
        raise UseError(f"left with it: {', '.join(left)}; say --all-back, or --kept TEXT for what is not given back")
    kept = []
    for each in left:
        print(f"Given back: {each}? [y/n] ", end="", flush=True)
        if not sys.stdin.readline().strip().lower().startswith("y"):
            kept.append(each)
    return ", ".join(kept) or None


def run_sign(args: argparse.Namespace) -> int:
    """Sign a job by name."""
    with at_the_desk(args, finished_too=True) as desk:
        desk.by_another = any(each.sign_off_by_another for each in procedures_of(desk.state).values())
        desk.sign_off(args.by)
    print(f"Job {args.job} is signed off by {args.by}.")
    return 0
