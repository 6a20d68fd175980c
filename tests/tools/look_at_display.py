"""Pictures of the display in every state, size and theme: ``python -m tests.tools.look_at_display --out FOLDER``.

The pictures are for looking at, one contact sheet (an HTML page) for each size; they are not kept in the repository.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from handsfree.display.server import PageServer
from tests.support.browser import CHROMIUM, FIRST_VIEW, FLAGS
from tests.support.display_states import STATES, in_state

SIZES = {"lying": (1280, 800), "standing": (800, 1280), "phone": (390, 844)}
THEMES = ("light", "dark")
FITS = """() => ["#act", ".wanted", ".reading .figure", "#microphone"].filter((each) => {
  const shown = [...document.querySelectorAll(each)].find((found) => found.offsetParent);
  if (!shown) return false;
  const box = shown.getBoundingClientRect();
  const foot = each === "#microphone" ? innerHeight : document.querySelector("footer").getBoundingClientRect().top;
  return box.top < 0 || box.bottom > foot + 1 || box.right > innerWidth + 1;
}).join(" ")"""


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder for the pictures")
    parser.add_argument("--only", default="", help="only states with this in their name")
    args = parser.parse_args(arguments)
    args.out.mkdir(parents=True, exist_ok=True)
    from playwright.sync_api import sync_playwright

    with (
        sync_playwright() as playwright,
        closing(playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))) as browser,
    ):
        for number, name in enumerate(STATES):
            if args.only in name:
                _look(browser, number, name, args.out)
    for size, (width, height) in SIZES.items():
        pictures = "".join(
            f'<figure style="display:inline-block;margin:4px"><img src="{path.name}" width="{width // 2}" '
            f'height="{height // 2}"><figcaption>{path.stem}</figcaption></figure>'
            for path in sorted(args.out.glob(f"*-{size}-*.png"))
        )
        (args.out / f"{size}.html").write_text(f"<!doctype html><title>{size}</title>{pictures}", encoding="utf-8")


def _look(browser: Any, number: int, name: str, out: Path) -> None:
    """Every size and theme of one state."""
    pages: dict[tuple[str, str], Any] = {}

    def open_all(server: PageServer) -> None:
        for size, (width, height) in SIZES.items():
            for theme in THEMES:
                page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=theme)
                page.goto(server.url)
                page.wait_for_selector(FIRST_VIEW, state="attached")
                pages[size, theme] = page

    with TemporaryDirectory() as folder, in_state(STATES[name], Path(folder), open_all):
        for (size, theme), page in pages.items():
            page.wait_for_timeout(300)
            unseen = page.evaluate(FITS)
            if unseen:
                print(f"{name}, {size}, {theme}: not in sight: {unseen}")
            page.screenshot(path=out / f"{number:02}-{name.replace(' ', '-').replace(',', '')}-{size}-{theme}.png")
            page.close()


if __name__ == "__main__":
    main()
