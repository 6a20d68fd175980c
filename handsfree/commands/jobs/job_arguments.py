"""The arguments of ``handsfree job``: an action, and what it wants."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.commands.options import add_logs_option, add_subcommand
from handsfree.job.counted_parts import DISPOSITIONS
from handsfree.job.facts import FACTS, SEVERITIES, Fact

if TYPE_CHECKING:
    from handsfree.commands.options import Subcommands

_JOB = """\
  handsfree job new --item "Bench gauge" --complaint "The slide sticks"
  handsfree run focusing-slide --job 2026-11-25-1 --by "T. Gable"
  handsfree job add 2026-11-25-1 --finding "pivot worn" --severity serious
  handsfree job type 2026-11-25-1         what was said and is left to type
  handsfree job correct 2026-11-25-1 e12 "4 thou"
One job may be worked by several procedures, in any order. Nothing is lost by a correction: the old entry stays in the
log, and handsfree review --history shows it. handsfree review --entries names the entries."""


def add_job(subcommands: Subcommands) -> None:
    """``handsfree job``, with its actions."""
    brief = "take a job in, add to it, correct, sign off, hand over, reopen"
    command = add_subcommand(subcommands, "job", None, brief, _JOB)
    actions = command.add_subparsers(dest="job_action", metavar="ACTION", required=True)
    for add_action in _ACTIONS:
        add_action(actions)


def _add_action(
    actions: Subcommands, name: str, run: Callable[[argparse.Namespace], int], brief: str
) -> argparse.ArgumentParser:
    """An action on a job that is there."""
    action = add_subcommand(actions, name, run, brief)
    action.add_argument("job", metavar="JOB", help="the job's number, as listed by handsfree jobs")
    add_logs_option(action)
    return action


def _add_new(actions: Subcommands) -> None:
    action = add_subcommand(actions, "new", _take_in, "take a job in, before it comes to the bench")
    action.add_argument("--procedure", metavar="PROCEDURE", help="what it will be worked by; may be chosen later")
    for fact in FACTS.values():
        if fact.taken_in:
            _add_fact(action, fact, again=not fact.only_one)
    add_logs_option(action)


def _take_in(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_take_in

    return run_take_in(args)


def _add_add(actions: Subcommands) -> None:
    action = _add_action(actions, "add", _add, "add facts, notes and counts to a job")
    for fact in FACTS.values():
        if fact.help:
            _add_fact(action, fact, again=not fact.only_one)
    action.add_argument("--severity", choices=SEVERITIES, help="of the finding (default: minor)")
    action.add_argument("--note", metavar="TEXT", help="a note")
    for way, help_ in zip(DISPOSITIONS, ("came out", "went back", "were replaced"), strict=True):
        action.add_argument(f"--{way}", metavar="COUNT", action="append", help=f'parts that {help_}: "8 screws"')


def _add(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_add

    return run_add(args)


def _add_type(actions: Subcommands) -> None:
    brief = "type what was said in a note; without ENTRY, list what is left to type"
    action = _add_action(actions, "type", _type, brief)
    action.add_argument("entry", metavar="ENTRY", nargs="?", help="the entry's name, as it is listed")
    action.add_argument("text", metavar="TEXT", nargs="*", default=[], help="what was said; the sound stays")


def _type(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_type

    return run_type(args)


def _add_correct(actions: Subcommands) -> None:
    action = _add_action(actions, "correct", _correct, "correct a figure; the old one stays in the history")
    action.add_argument("entry", metavar="ENTRY", help="the entry's name, as listed by handsfree review --entries")
    action.add_argument("figure", metavar="FIGURE", help='as it would be said: "4 thou"')


def _correct(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_correct

    return run_correct(args)


def _add_take_back(actions: Subcommands) -> None:
    action = _add_action(actions, "take-back", _take_back, "withdraw an entry; it stays in the history")
    action.add_argument("entry", metavar="ENTRY", help="the entry's name, as listed by handsfree review --entries")


def _take_back(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_take_back

    return run_take_back(args)


def _add_reopen(actions: Subcommands) -> None:
    action = _add_action(actions, "reopen", _reopen, "open a finished job again")
    action.add_argument("--reason", metavar="WHY", required=True, help="why; it stays in the log")


def _reopen(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_reopen

    return run_reopen(args)


def _add_sign(actions: Subcommands) -> None:
    action = _add_action(actions, "sign", _sign, "sign a job off")
    action.add_argument("--by", metavar="NAME", required=True, help="who signs it off")


def _sign(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_sign

    return run_sign(args)


def _add_order(actions: Subcommands) -> None:
    action = _add_action(actions, "order", _order, "put a part that the job waits for on the list of parts to order")
    action.add_argument("part", metavar="PART", help='what it is, in the singular: "gib screw"')
    action.add_argument("--count", type=int, default=1, metavar="N", help="how many (default: 1)")
    action.add_argument("--size", metavar="TEXT", help='its size: "M2 x 5"')


def _order(args: argparse.Namespace) -> int:
    from handsfree.commands.counter.orders import run_order

    return run_order(args)


def _add_ordered(actions: Subcommands) -> None:
    _add_followed(actions, "ordered", "note that a part on that list is ordered")


def _add_arrived(actions: Subcommands) -> None:
    _add_followed(actions, "arrived", "note that a part on that list has arrived")


def _add_followed(actions: Subcommands, stage: str, brief: str) -> None:
    action = _add_action(actions, stage, _followed, brief)
    action.add_argument("entry", metavar="ENTRY", help="the entry's name, as listed by handsfree orders")


def _followed(args: argparse.Namespace) -> int:
    from handsfree.commands.counter.orders import run_followed

    return run_followed(args)


def _add_attach(actions: Subcommands) -> None:
    brief = "copy a file (a photo, a drawing, a PDF) into the log, for the job or for an entry of it"
    action = _add_action(actions, "attach", _attach, brief)
    action.add_argument("file", type=Path, metavar="FILE", help="the file; it stays where it is, too")
    action.add_argument(
        "--to", metavar="ENTRY", help="the entry it belongs to, as listed by handsfree review --entries"
    )
    action.add_argument("--text", metavar="TEXT", help="what it shows")


def _attach(args: argparse.Namespace) -> int:
    from handsfree.commands.counter.attach import run_attach

    return run_attach(args)


def _add_hand_over(actions: Subcommands) -> None:
    brief = "give the item back; what was left with it is asked for"
    action = _add_action(actions, "hand-over", _hand_over, brief)
    action.add_argument("--all-back", action="store_true", help="everything that was left with it is given back")
    action.add_argument("--kept", metavar="TEXT", help="what of it was not given back")


def _hand_over(args: argparse.Namespace) -> int:
    from handsfree.commands.jobs.job import run_hand_over

    return run_hand_over(args)


def _add_fact(action: argparse.ArgumentParser, fact: Fact, *, again: bool = False) -> None:
    """The option of a fact; ``again``: it may be given several times."""
    if again:
        help_ = f"{fact.help} (may be given again)"
        action.add_argument(f"--{fact.option}", metavar="TEXT", action="append", help=help_)
    else:
        action.add_argument(f"--{fact.option}", metavar="TEXT", help=fact.help)


_ACTIONS = (
    _add_new, _add_add, _add_type, _add_correct, _add_take_back, _add_reopen, _add_sign, _add_order, _add_ordered,
    _add_arrived, _add_attach, _add_hand_over,
)  # fmt: skip
"""Each adds the parser of one action, in the order of the help."""
