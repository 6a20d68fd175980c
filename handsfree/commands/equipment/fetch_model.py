"""``handsfree fetch-model``: the small English model for the Vosk recogniser."""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace
from pathlib import Path

from handsfree.commands.output import steered
from handsfree.commands.problems import UseError
from handsfree.hearing.vosk.adapter import model_home
from handsfree.hearing.vosk.fetching import SMALL_ENGLISH, ModelSource, fetch, install

_BAR = 30
_REFRESH = 0.1


def run_fetch_model(args: argparse.Namespace) -> int:
    """Fetch the model, or take it from a file that was fetched by hand."""
    to = args.to or model_home()
    source, bar = SMALL_ENGLISH, Bar()
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
        try:
            model = fetch(source, to, bar)
        finally:
            bar.close()
    print(f"The model is in {model}. Use it alone (--recogniser vosk) or as a second ear (--recogniser both).")
    return 0


class Bar:
    """A progress bar on standard error where that is a terminal; a line now and then where it is not."""

    def __init__(self) -> None:
        self._terminal = sys.stderr.isatty()
        self._shown = 0.0
        self._line = False

    def __call__(self, there: int, of: int | None) -> None:
        now = time.monotonic()
        if not self._terminal or (now - self._shown < _REFRESH and there != of):
            return
        self._shown, self._line = now, True
        share = f"[{'#' * (_BAR * there // of):<{_BAR}}] {100 * there // of:3d} %" if of else ""
        total = f" of {of / 1e6:.1f}" if of else ""
        print(f"\r{share} {there / 1e6:.1f}{total} MB", end="", file=steered(sys.stderr), flush=True)

    def close(self) -> None:
        """The line is complete."""
        if self._line:
            print(file=sys.stderr)
            self._line = False
