"""The options of ``handsfree job`` and its actions."""

from __future__ import annotations

import argparse
from pathlib import Path


def job_actions(command: argparse.ArgumentParser) -> None:
    """Add the actions to the command; each sets ``run`` to its function in ``commands.job``."""
    actions = command.add_subparsers(dest="job_action", metavar="ACTION", required=True)

    def action(name: str, function: str, help_: str, *, of_job: bool = True) -> argparse.ArgumentParser:
        made = actions.add_parser(name, help=help_, description=f"{help_[0].upper()}{help_[1:]}.")
        made.set_defaults(run=f"job.{function}")
        if of_job:
            made.add_argument("job", metavar="JOB", help="the job's number, as listed by handsfree jobs")
        made.add_argument("--logs", type=Path, metavar="FOLDER", help="where the log is kept")
        return made

    new = action("new", "new", "take a job in, before it comes to the bench", of_job=False)
    new.add_argument("--procedure", metavar="PROCEDURE", help="what it will be worked by; may be chosen later")
    _take_in(new)
    new.add_argument("--condition", metavar="TEXT", help="its condition as found")

    add = action("add", "add", "add facts, notes and counts to a job")
    _take_in(add)
    for name, help_ in (
        ("condition", "its condition as found"),
        ("finding", "what was found"),
        ("part-replaced", "a part that was replaced"),
        ("material", "a lubricant or another material that was used"),
    ):
        add.add_argument(f"--{name}", metavar="TEXT", action="append", help=f"{help_} (may be given again)")
    add.add_argument(
        "--severity", choices=("cosmetic", "minor", "serious", "unsafe"), help="of the finding (default: minor)"
    )
    add.add_argument("--note", metavar="TEXT", help="a note")
    for way, help_ in (("out", "came out"), ("back", "went back"), ("replaced", "were replaced")):
        add.add_argument(f"--{way}", metavar="COUNT", action="append", help=f'parts that {help_}: "8 screws"')

    type_ = action("type", "type_", "type what was said in a note; without ENTRY, list what is left to type")
    type_.add_argument("entry", metavar="ENTRY", nargs="?")
    type_.add_argument("text", metavar="TEXT", nargs="*", default=[])

    correct = action("correct", "correct", "correct a figure; the old one stays in the history")
    correct.add_argument("entry", metavar="ENTRY")
    correct.add_argument("figure", metavar="FIGURE", help='as it would be said: "4 thou"')

    take_back = action("take-back", "take_back", "withdraw an entry; it stays in the history")
    take_back.add_argument("entry", metavar="ENTRY")

    reopen = action("reopen", "reopen", "open a finished job again")
    reopen.add_argument("--reason", metavar="WHY", required=True)

    sign = action("sign", "sign", "sign a job off")
    sign.add_argument("--by", metavar="NAME", required=True)


def _take_in(command: argparse.ArgumentParser) -> None:
    command.add_argument("--item", metavar="TEXT", help="which item it is")
    command.add_argument("--serial", metavar="TEXT", help="its serial number")
    command.add_argument("--owner", metavar="TEXT", help="whose it is, or the owner's reference")
    command.add_argument("--complaint", metavar="TEXT", help="what is said to be wrong")
