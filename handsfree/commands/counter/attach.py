"""``handsfree job attach``: a file that somebody else made."""

from __future__ import annotations

import argparse

from handsfree.commands.files import size_words
from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.jobs.job import at_the_desk
from handsfree.job.log.beside.attached import content_of, keep_file, picture_type
from handsfree.text.terminal import printable

_LONGEST_NAME = 120


def run_attach(args: argparse.Namespace) -> int:
    """Copy a file into the log."""
    content = content_of(args.file)
    shown_as = picture_type(content)
    with at_the_desk(args, finished_too=True) as desk:
        if args.to is not None:
            desk.entry(args.to)
        sha = keep_file(store_of(args).folder, content)
        name = printable(args.file.name)[-_LONGEST_NAME:]
        text = (args.text or "").strip() or None
        entry = desk.attach(name=name, sha256=sha, size=len(content), shown_as=shown_as, to=args.to, text=text)
    how = "shown in the report" if shown_as else "named in the report, not shown: it is no PNG or JPEG picture"
    print(f"Attached as entry {entry}: {name} ({size_words(len(content))}), {how}.")
    return 0
