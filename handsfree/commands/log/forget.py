"""``handsfree forget-owner``: what is personal of an owner, taken out on purpose."""

from __future__ import annotations

import argparse
from datetime import datetime

from handsfree.commands.jobs.choosing import store_of
from handsfree.job.log.forget import forget_owner
from handsfree.text.prose import counted, listed
from handsfree.text.terminal import printable


def run_forget(args: argparse.Namespace) -> int:
    """Take out what is personal of an owner. The exit code is 1 where something could not be taken out."""
    store = store_of(args)
    found = forget_owner(store, args.owner, datetime.now().astimezone(), files_too=args.attached)
    if not found.jobs and not found.busy:
        print(f"No job in {store.folder} has an owner called {args.owner} (as handsfree jobs writes it).")
        return 0
    if found.jobs:
        what = counted(found.entries, "entry", "entries").capitalize()
        more = [counted(found.clips, "sound")] if found.clips else []
        more += [counted(found.files, "attached file")] if found.files else []
        print(f"{listed([what, *more])} taken out of {counted(len(found.jobs), 'job')}: {', '.join(found.jobs)}.")
        print(_WHAT_STAYS)
    if found.attached:
        named = printable(", ".join(found.attached))
        print(f"Attached files are kept: {named}. Where they show or tell of the owner, delete them:")
        print("handsfree delete-files JOB ENTRY --reason WHY (forget-owner OWNER --attached would have, at once).")
    if found.in_chain:
        print(f"{', '.join(found.in_chain)}: {_IN_THE_CHAIN}")
    if found.busy:
        open_ = ", ".join(found.busy)
        print(f"Open in another Handsfree, so nothing of it was forgotten: {open_}. End it, and ask again.")
    return 1 if found.busy else 0


_WHAT_STAYS = """\
Stays: the jobs and what was done, and for each entry a hash of it with a random number, which tells nothing but
keeps the log proved. Not looked through: notes and other free text, names of attached files, sounds of notes.
Backups, reports and job sheets made before still have it: make a new backup, and delete those."""
_IN_THE_CHAIN = """\
begun by an earlier Handsfree, which wrote the owner into the log itself. It is shown, exported and
found no more, but stands in the log's file, because the hashes that prove the job are over it."""
