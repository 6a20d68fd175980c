"""From the bench's thread to every page: the latest snapshot only, and nobody is waited for."""

from __future__ import annotations

import asyncio
import contextlib
import json
import threading
import time
from collections.abc import AsyncIterator
from dataclasses import asdict

from handsfree.guide.view.shown import View

BEAT = 2.0
"""Seconds after which a silent stream shows that it is alive."""
RECONNECT = 1000
"""Milliseconds after which a page that lost its stream asks for it again."""


class Hub:
    """``show`` and ``finish`` may be called from any thread and return at once; the rest belongs to the server's loop.

    Each watcher is told that something is new and fetches the latest when it can: one that reads slowly misses what
    was overtaken, one that never reads holds one message.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._latest: View | None = None
        self._shown_at = time.monotonic()
        self._woken = False
        self._last: str | None = None
        self._body = ""
        self._body_of: View | None = None
        self._watchers: set[asyncio.Event] = set()

    @property
    def watching(self) -> int:
        """How many pages are watching."""
        return len(self._watchers)

    def attach(self, loop: asyncio.AbstractEventLoop) -> None:
        """From now on watchers live on ``loop``."""
        with self._lock:
            self._loop = loop

    def show(self, view: View) -> None:
        """This is what is to be seen now."""
        with self._lock:
            self._latest, self._shown_at = view, time.monotonic()
        self._wake()

    def finish(self, last: str) -> None:
        """Nothing more will come after ``last`` (JSON)."""
        with self._lock:
            self._last = last
        self._wake()

    def _wake(self) -> None:
        with self._lock:
            if self._loop is None or self._woken:
                return
            self._woken = True
            loop = self._loop
        with contextlib.suppress(RuntimeError):  # the loop has ended: nobody is watching any more
            loop.call_soon_threadsafe(self._tell)

    def _tell(self) -> None:
        with self._lock:
            self._woken = False
        for news in self._watchers:
            news.set()

    def _snapshot(self) -> tuple[View | None, float, str | None]:
        with self._lock:
            return self._latest, time.monotonic() - self._shown_at, self._last

    async def messages(self) -> AsyncIterator[str]:
        """The stream of one page, as server-sent events, until the job is over."""
        news, seen = asyncio.Event(), None
        self._watchers.add(news)
        try:
            yield f"retry: {RECONNECT}\n\n"
            while True:
                news.clear()
                view, age, last = self._snapshot()
                if view is not None and view is not seen:
                    seen = view
                    yield _event("view", f'{{"age": {age:.3f}, "view": {self._json(view)}}}')
                if last is not None:
                    yield _event("last", last)
                    return
                try:
                    await asyncio.wait_for(news.wait(), BEAT)
                except asyncio.TimeoutError:
                    yield _event("beat", "{}")
        finally:
            self._watchers.discard(news)

    def _json(self, view: View) -> str:
        if self._body_of is not view:
            self._body, self._body_of = json.dumps(asdict(view), ensure_ascii=False), view
        return self._body


def _event(name: str, data: str) -> str:
    return f"event: {name}\ndata: {data}\n\n"
