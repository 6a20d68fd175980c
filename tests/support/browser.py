"""For the tests of the page: Debian's Chromium, driven by playwright."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest


def _starts(program: str) -> bool:
    """Some systems have a program of that name that only says how the browser is installed."""
    return subprocess.run([program, "--version"], check=False, capture_output=True).returncode == 0


_FOUND = filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome")))
CHROMIUM = next(filter(_starts, _FOUND), None)

# No sandbox: tests may run as root. The rest keeps the browser from calling out.
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip

FIRST_VIEW = 'body:not([data-state="waiting"]) #act'
"""On the display, once it shows something of the job."""

CAPITAL_HEIGHT = """(element) => {
  const style = getComputedStyle(element);
  const ink = document.createElement("canvas").getContext("2d");
  ink.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
  return ink.measureText("H").actualBoundingBoxAscent;
}"""
"""Height of a capital letter of an element, in dots."""

REACHED = """(element) => {
  const box = element.getBoundingClientRect();
  const there = document.elementFromPoint(box.left + 4, Math.min(box.top + box.height / 2, innerHeight - 2));
  return there !== null && (element.contains(there) || there.contains(element));
}"""
"""Whether nothing lies over an element."""


def launched(playwright: Any, *flags: str) -> Any:
    """The browser; the test is skipped, with the reason, where it does not start."""
    from playwright.sync_api import Error

    try:
        return playwright.chromium.launch(executable_path=CHROMIUM, args=[*FLAGS, *flags])
    except Error as error:
        pytest.skip(f"{CHROMIUM} does not start here: {str(error).splitlines()[0]}")


class Pages:
    """Pages of a browser, each used again: a new one costs a quarter of a second of a core. What a page keeps, it keeps
    for one server, and each test has its own."""

    def __init__(self, browser: Any) -> None:
        self._browser = browser
        self._free: dict[frozenset[tuple[str, Any]], list[Any]] = {}

    @contextmanager
    def opened(
        self, size: dict[str, int], seeing: Mapping[str, Callable[[Any], None]] | None = None, **how: Any
    ) -> Iterator[Any]:
        """An empty page of this size, and who sees which of its events; ``how``: what only a new page can be told."""
        free = self._free.setdefault(frozenset(how.items()), [])
        page = free.pop() if free else self._browser.new_context(**how).new_page()
        page.set_viewport_size(size)
        events = dict(seeing or {})
        for event, see in events.items():
            page.on(event, see)
        yield page
        page.emulate_media(color_scheme="null")
        page.goto("about:blank")
        for event, see in events.items():
            page.remove_listener(event, see)
        free.append(page)


def print_with_browser(source: Path, printed: Path) -> None:
    """Prints a page; once more where the browser itself died (under load it does now and then)."""
    profile = f"--user-data-dir={printed.parent / 'profile'}"
    command = [str(CHROMIUM), "--headless", *FLAGS, profile, f"--print-to-pdf={printed}", source.as_uri()]
    if subprocess.run(command, check=False, capture_output=True, timeout=60).returncode < 0:
        subprocess.run(command, check=True, capture_output=True, timeout=60)
