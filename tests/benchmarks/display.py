"""How soon the page shows what has happened at the bench: ``python -m tests.benchmarks.display``.

Fifty watchers follow a job, one of them a page in Chromium where there is one, and one more never reads. Measured are
the seconds from the change at the bench to the snapshot at a watcher, to the words on the page, and what a change costs
the bench itself, with and without anybody watching.
"""

from __future__ import annotations

import asyncio
import json
import socket
import statistics
import time
from collections.abc import Sequence
from contextlib import ExitStack, closing
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Thread
from urllib.parse import urlsplit

from handsfree.bench.setting_up import load_named
from handsfree.bench.watching import snapshot
from handsfree.display.address import ListeningAddress
from handsfree.display.server import PageServer
from handsfree.guide.view.shown import View
from handsfree.job.log.store import Store
from tests.support.browser import CHROMIUM, FIRST_VIEW, FLAGS
from tests.support.watching import MORNING, watched

WATCHERS = 50
CHANGES = 100
PAUSE = 0.05
TARGET = 0.1


async def _watch(address: str, took: list[float]) -> None:
    """Follow the stream; ``took`` gets the age of each marked snapshot on arrival."""
    at = urlsplit(address)
    reader, writer = await asyncio.open_connection(at.hostname, at.port)
    writer.write(f"GET /events HTTP/1.1\r\nHost: {at.netloc}\r\n\r\n".encode())
    event = ""
    while line := (await reader.readline()).decode():
        if line.startswith("event: "):
            event = line[7:].strip()
        elif line.startswith("data: ") and event == "view":
            arrived, said = time.time(), json.loads(line[6:])["view"]["said"]
            if said.startswith("at "):
                took.append(arrived - float(said[3:]))
        elif event == "last":
            break
    writer.close()


def _watchers(address: str, took: list[float], count: int) -> None:
    """Start ``count`` watchers in a thread of their own."""

    async def all_() -> None:
        await asyncio.gather(*(_watch(address, took) for _ in range(count)))

    Thread(target=lambda: asyncio.run(all_()), daemon=True).start()


def _change(server: PageServer, view: View) -> None:
    """A change whose words are the moment at which it happened."""
    server.show(replace(view, said=f"at {time.time():.6f}"))


def _told(what: str, seconds: Sequence[float]) -> str:
    ordered = sorted(seconds)
    worst = ordered[-1]
    late = ordered[int(0.99 * (len(ordered) - 1))]
    return (
        f"{what}: median {1000 * statistics.median(ordered):.1f} ms, 99 of 100 within {1000 * late:.1f} ms, "
        f"worst {1000 * worst:.1f} ms ({len(ordered)} measured)"
    )


_ON_PAGE = """() => {
  window.took = [];
  const note = () => {
    const said = document.getElementById("said").textContent;
    if (said.startsWith("at ")) window.took.push(Date.now() / 1000 - parseFloat(said.slice(3)));
  };
  new MutationObserver(note).observe(document.getElementById("said"), { childList: true });
}"""


def _in_chromium(server: PageServer, view: View) -> list[float]:
    """The same for the words on a page in a browser; empty where there is none."""
    if CHROMIUM is None:
        return []
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright, ExitStack() as stack:
        browser = stack.enter_context(closing(playwright.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))))
        page = browser.new_page()
        page.goto(server.url)
        page.wait_for_selector(FIRST_VIEW)
        page.evaluate(_ON_PAGE)
        for _ in range(CHANGES):
            _change(server, view)
            page.wait_for_timeout(1000 * PAUSE)
        page.wait_for_timeout(500)
        found: list[float] = page.evaluate("window.took")
    return found


def main() -> None:
    loaded = load_named("focusing-slide")
    with TemporaryDirectory() as folder, watched(loaded, Store(Path(folder))) as job:
        view = job.say("log four and a half thou")
        alone = []
        for _ in range(CHANGES):
            began = time.perf_counter()
            snapshot(job.bench, MORNING, "mic")
            alone.append(time.perf_counter() - began)
        print(_told("a snapshot, nobody watching", alone))
        with closing(PageServer(ListeningAddress("127.0.0.1", 0))) as server:
            server.start()
            server.show(view)
            deaf = _never_reads(server)
            took: list[float] = []
            _watchers(server.url, took, WATCHERS - (CHROMIUM is not None))
            while server.watching < WATCHERS - (CHROMIUM is not None) + 1:
                time.sleep(0.01)
            handed = []
            for _ in range(CHANGES):
                began = time.perf_counter()
                server.show(snapshot(job.bench, MORNING, "mic"))
                handed.append(time.perf_counter() - began)
                _change(server, view)
                time.sleep(PAUSE)
            print(_told(f"snapshot and handing over, {WATCHERS} watching and one that never reads", handed))
            print(_told("from the bench to a watcher", took))
            on_page = _in_chromium(server, view)
            if on_page:
                print(_told(f"from the bench to the words on a page in Chromium, with {WATCHERS - 1} others", on_page))
            worst = max(map(statistics.median, filter(None, (took, on_page))))
            print(f"target: median under {1000 * TARGET:.0f} ms: {'met' if worst < TARGET else 'MISSED'}")
            deaf.close()


def _never_reads(server: PageServer) -> socket.socket:
    at = urlsplit(server.url)
    connection = socket.create_connection((at.hostname, at.port))
    connection.sendall(f"GET /events HTTP/1.1\r\nHost: {at.netloc}\r\n\r\n".encode())
    return connection


if __name__ == "__main__":
    main()
