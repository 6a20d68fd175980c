"""``handsfree rescue``: what can be read of a damaged log, saved into a new one."""

from __future__ import annotations

import argparse
from datetime import datetime

from handsfree.commands.jobs.choosing import store_of
from handsfree.commands.problems import UseError
from handsfree.commands.progress import progress
from handsfree.job.log.rescue import Rescued, is_anything_there
from handsfree.job.log.rescue import rescue as rescue_log


def run_rescue(args: argparse.Namespace) -> int:
    """Save what can be read of a damaged log into a new folder; 1 where something is lost."""
    folder = store_of(args).folder
    if not is_anything_there(folder):
        raise UseError(f"there is no log in {folder}; name the folder of the damaged one with --logs")
    with progress("jobs") as tell:
        outcome = rescue_log(folder, args.to, datetime.now().astimezone(), lambda done, of: tell("saving", done, of))
    for job in outcome.jobs:
        print("\n".join(_lines(job)))
    for lost in outcome.lost:
        held = f", with its {lost.events} events" if lost.events is not None else ""
        print(f"{lost.job}  LOST{held}: nothing of it can be read")
    print(f"Saved into {args.to}; the damaged log in {folder} is as it was.")
    print(f"Look at it with handsfree jobs --logs {args.to}. What was on disk and is missing is told above, as far as")
    print("the files beside the log still say so; a report's last hash proves it: handsfree verify JOB --hash HASH.")
    return 0 if outcome.whole else 1


def _lines(job: Rescued) -> list[str]:
    lines = [f"{job.job}  {job.events} events saved, {job.proved} of them proved by the chain, {job.clips} sounds"]
    if job.beginning_lost:
        lines.append("    its beginning is lost, and with it the text of its procedure")
    for first, last in job.gaps:
        lines.append(f"    lost: event {first}" if first == last else f"    lost: events {first} to {last}")
    if job.clips_lost:
        lines.append(f"    {job.clips_lost} sounds are not there, or are something else now")
    return lines
