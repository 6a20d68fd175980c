"""``handsfree fetch-model``: the small English model for the Vosk recogniser."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from handsfree.commands.problems import UseError
from handsfree.commands.progress import progress
from handsfree.hearing.vosk.fetching import SMALL_ENGLISH, ModelSource, fetch, install
from handsfree.hearing.vosk.models import model_home


def run_fetch_model(args: argparse.Namespace) -> int:
    """Fetch the model, or take it from a file that was fetched by hand."""
    to = args.to or model_home()
    source = SMALL_ENGLISH
    if args.source and "://" in args.source:
        source = ModelSource(args.source.rsplit("/", 1)[-1] or source.name, args.source)
    if source.sha256 is None:
        print("No checksum of this archive is known: its structure is verified, and every file's own checksum in it.")
    if args.source and "://" not in args.source:
        archive = Path(args.source)
        if not archive.is_file():
            raise UseError(f"{archive}: there is no such file; give the archive's name, or its address with ://.")
        try:
            to.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise UseError(f"{to} can't be used ({error.strerror or error}); name a folder with --to") from None
        model = install(archive, replace(source, name=archive.name), to)
    else:
        with progress("MB", scale=1e6) as tell:
            model = fetch(source, to, lambda there, of: tell("fetching", there, of))
    print(f"The model is in {model}. Use it alone (--recogniser vosk) or as a second ear (--recogniser both).")
    return 0
