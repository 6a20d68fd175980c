"""How procedures are made: ``handsfree strip``, ``draft``, ``propose`` and ``card``."""

from __future__ import annotations

import argparse
from pathlib import Path

from handsfree.bench.setting_up import load_named
from handsfree.commands.log import past_jobs
from handsfree.commands.problems import UseError
from handsfree.commands.run import work
from handsfree.job.log.store import Store, default_folder
from handsfree.job.state import fold
from handsfree.making.card import card_html
from handsfree.making.disassembly_list import stripping_procedure
from handsfree.making.draft import drafted
from handsfree.making.experience import proposals
from handsfree.making.patch import patched, unified
from handsfree.procedure.values import spoken_name


def strip(args: argparse.Namespace) -> int:
    """Take an item apart by voice."""
    if not args.item.strip():
        raise UseError('the item has no name; write it in quotes, such as "Bench gauge, pattern C"')
    try:
        parts = [str(spoken_name(part)) for part in args.part]
    except ValueError as error:
        raise UseError(f"--part: {error}") from None
    return work(args, stripping_procedure(args.item.strip()), "stripping", parts=parts)


def draft(args: argparse.Namespace) -> int:
    """Write the procedure for putting back what a job took apart."""
    store = Store(args.logs or default_folder())
    job = args.job or next((each.id for each in store.jobs() if each.purpose == "stripping"), None)
    if job is None:
        raise UseError(f'nothing was taken apart yet in {store.folder}; begin with handsfree strip "ITEM"')
    state = fold(store.events(job))
    if state.opened is None or state.opened.purpose != "stripping":
        raise UseError(f"job {job} took nothing apart; name a job of handsfree strip")
    try:
        made = drafted(state, job)
    except ValueError as error:
        raise UseError(f"job {job}: {error}") from None
    if args.to is None:
        print(made.text, end="")
        return 0
    _write(args.to, made.text, new=True)
    print(f"{args.to}: {made.gaps} gaps to fill in; handsfree check {args.to} lists them")
    return 0


def _write(path: Path, text: str, *, new: bool) -> None:
    """Write a text file; UseError where it can't be, or a ``new`` one is there already."""
    try:
        with path.open("x" if new else "w", encoding="utf-8", newline="") as file:
            file.write(text)
    except FileExistsError:
        raise UseError(f"{path} is there already; give another name, or move it away") from None
    except OSError as error:
        raise UseError(f"{path} can't be written ({error.strerror or error}); choose another place") from None


def propose(args: argparse.Namespace) -> int:
    """Show what the jobs done with a procedure say about it, as a patch; change the file only when told to."""
    if args.jobs < 1:
        raise UseError(f"--jobs is {args.jobs}, and must be one or more")
    loaded = load_named(args.procedure)
    store = Store(args.logs or default_folder())
    past = past_jobs(store, loaded.path.stem)
    found = proposals(loaded.procedure, past, args.jobs)
    if not found:
        done = f"{len(past)} job{'' if len(past) == 1 else 's'} of {loaded.path.stem}"
        print(f"Nothing to propose from {done} ({args.jobs} must agree).")
        return 0
    result = patched(loaded, found)
    for proposal, reason in result.told:
        print(f"# To be changed by hand: step {proposal.step}: {proposal.why}.\n#   Not in the patch: {reason}.")
    print(unified(loaded, result.text), end="")
    if args.apply and result.made:
        _write(loaded.path, result.text, new=False)
        print(f"# {loaded.path} is changed.")
    return 0


def card(args: argparse.Namespace) -> int:
    """Write the bench card and tray list of a procedure."""
    loaded = load_named(args.procedure)
    path = args.to or Path(f"{loaded.path.stem}.html")
    _write(path, card_html(loaded.procedure), new=False)
    print(f"{path}: open it in a browser and print it, A4")
    return 0
