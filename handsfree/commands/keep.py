"""``handsfree where``, ``forget`` and ``rescue``: the files of the log themselves."""

from __future__ import annotations

import argparse
from datetime import datetime, timedelta

from handsfree.audio.devices.remembered import settings_file
from handsfree.bench.workshop import default_file
from handsfree.commands.problems import UseError
from handsfree.job.log.forget import forget as forget_clips
from handsfree.job.log.forget import jobs_older_than
from handsfree.job.log.rescue import Rescued
from handsfree.job.log.rescue import rescue as rescue_log
from handsfree.job.log.store import Store, default_folder


def where(args: argparse.Namespace) -> int:
    """Print where everything is kept."""
    store = Store(args.logs or default_folder())
    clips = list((store.folder / "clips").rglob("*.flac")) if store.folder.is_dir() else []
    size = sum(path.stat().st_size for path in clips)
    there = "" if store.file.exists() else "  (nothing there yet)"
    print(f"folder of the log   {store.folder.absolute()}{there}")
    print(f"jobs and events     {store.file.absolute()}")
    print(f"sounds              {(store.folder / 'clips').absolute()}  ({len(clips)}, {size / 1e6:.1f} MB)")
    print(f"locks of open jobs  {(store.folder / 'locks').absolute()}")
    print(f"chosen devices      {settings_file()}")
    print(f"workshop's tools    {default_file()}")
    print("Beside these there are only the files you ask for (reports, backups, recordings). Nothing is sent anywhere.")
    return 0


def forget(args: argparse.Namespace) -> int:
    """Delete sounds, of a job or by age; their hashes stay in the log."""
    if (args.job is None) == (args.older_than is None):
        raise UseError("say which sounds: handsfree forget JOB, or handsfree forget --older-than DAYS")
    store = Store(args.logs or default_folder())
    now = datetime.now().astimezone()
    why = "by hand" if args.job else f"older than {args.older_than} days"
    jobs = [args.job] if args.job else jobs_older_than(store, now - timedelta(days=args.older_than))
    total = 0
    for job in jobs:
        deleted, shared = forget_clips(store, job, now, why)
        total += deleted
        also = f"; {shared} belong to another job as well and stay" if shared else ""
        if deleted or shared or args.job:
            print(f"{job}  {deleted} sounds deleted{also}")
    if not args.job:
        print(f"{total} sounds deleted in {len(jobs)} jobs. Their hashes stay in the log.")
    return 0


def rescue(args: argparse.Namespace) -> int:
    """Save what can be read of a damaged log into a new folder; 1 where something is lost."""
    folder = args.logs or default_folder()
    found = rescue_log(folder, args.into, datetime.now().astimezone())
    for job in found:
        print("\n".join(_lines(job)))
    whole = all(job.events == job.proved and not job.gaps and not job.clips_lost for job in found)
    print(f"Saved into {args.into}; the damaged log in {folder} is as it was.")
    print(f"Look at it with handsfree jobs --logs {args.into}. What is missing at a job's end can't be known from the")
    print("file: compare with the last hash on its report, handsfree verify JOB --hash HASH.")
    return 0 if whole else 1


def _lines(job: Rescued) -> list[str]:
    lines = [f"{job.job}  {job.events} events saved, {job.proved} of them proved by the chain, {job.clips} sounds"]
    if job.beginning_lost:
        lines.append("    its beginning is lost, and with it the text of its procedure")
    for first, last in job.gaps:
        lines.append(f"    lost: event {first}" if first == last else f"    lost: events {first} to {last}")
    if job.clips_lost:
        lines.append(f"    {job.clips_lost} sounds are not there")
    return lines
