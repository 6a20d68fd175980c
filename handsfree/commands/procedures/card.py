"""``handsfree card``: bench card and tray list of a procedure, to print."""

from __future__ import annotations

import argparse
from pathlib import Path

from handsfree.bench.setting_up import load_named
from handsfree.commands.files import write_file
from handsfree.making.card import card_html


def run_card(args: argparse.Namespace) -> int:
    """Write the bench card and tray list of a procedure."""
    loaded = load_named(args.procedure)
    path = args.to or Path(f"{loaded.path.stem}.html")
    write_file(path, card_html(loaded.procedure))
    print(f"{path}: open it in a browser and print it, A4")
    return 0
