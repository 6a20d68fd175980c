"""``handsfree where``: the places of everything that is kept."""

from __future__ import annotations

import argparse

from handsfree.audio.devices.remembered import settings_file
from handsfree.bench.workshop import default_file
from handsfree.commands.bench.demo import demo_folder
from handsfree.commands.jobs.choosing import store_of
from handsfree.hearing.learning.known_voice import voices_folder
from handsfree.job.log.beside.attached import ATTACHMENTS
from handsfree.job.log.beside.personal import PERSONAL_FILE


def run_where(args: argparse.Namespace) -> int:
    """Print where everything is kept."""
    store = store_of(args)
    clips = list((store.folder / "clips").rglob("*.flac")) if store.folder.is_dir() else []
    length = sum(path.stat().st_size for path in clips)
    remark = "" if store.file.exists() else "  (nothing there yet)"
    print(f"folder of the log   {store.folder.absolute()}{remark}")
    print(f"jobs and events     {store.file.absolute()}")
    print(f"owners' data        {(store.folder / PERSONAL_FILE).absolute()}")
    print(f"sounds              {(store.folder / 'clips').absolute()}  ({len(clips)}, {length / 1e6:.1f} MB)")
    print(f"attached files      {(store.folder / ATTACHMENTS).absolute()}")
    print(f"locks of open jobs  {(store.folder / 'locks').absolute()}")
    print(f"jobs of the demo    {demo_folder()}")
    print(f"chosen devices      {settings_file()}")
    print(f"learned voices      {voices_folder()}")
    print(f"workshop's tools    {default_file()}")
    print("Beside these there are only the files you ask for (reports, backups, recordings). Nothing is sent anywhere.")
    return 0
