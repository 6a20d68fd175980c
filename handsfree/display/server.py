"""The server: a thread of its own that lives as long as the job."""

from __future__ import annotations

import asyncio
import contextlib
import threading
import time
from collections.abc import Callable

import uvicorn

from handsfree.display.address import ListeningAddress, listen, url
from handsfree.display.app import last_words, make_app
from handsfree.display.door import ACCEPTED_AT_ONCE, Door, connections_through
from handsfree.display.errors import DisplayError
from handsfree.display.hub import Hub
from handsfree.display.review import JobReview
from handsfree.guide.view.shown import View

_FAREWELL = 2.0
"""Seconds that pages get to take the last message."""


class PageServer:
    """Serves the page at ``place`` from ``start`` to ``close``; ``show`` never waits for anybody."""

    def __init__(
        self,
        place: ListeningAddress,
        *,
        review: Callable[[], JobReview | None] = lambda: None,
        report: Callable[[], str | None] = lambda: None,
        press: Callable[[str], None] | None = None,
    ) -> None:
        self._place = place
        self._review = review
        self._report = report
        self._hub = Hub()
        door = Door()
        app = make_app(self._hub, key=place.key, review=review, report=report, press=press, door=door)
        self._server = uvicorn.Server(
            uvicorn.Config(
                app,
                log_config=None,
                log_level="critical",  # the terminal is the bench's
                access_log=False,
                lifespan="off",
                ws="none",
                server_header=False,
                http=connections_through(door),
                proxy_headers=False,
                backlog=ACCEPTED_AT_ONCE,
                timeout_graceful_shutdown=1,
            )
        )
        self._thread = threading.Thread(target=self._run, name="page server", daemon=True)
        self.url = ""

    @property
    def watching(self) -> int:
        """How many pages are watching."""
        return self._hub.watching

    @property
    def has_key(self) -> bool:
        """Whether others than this machine may watch, with the key."""
        return bool(self._place.key)

    def start(self) -> None:
        """Listen; DisplayError where the address can't be had."""
        self._socket = listen(self._place)
        self.url = url(self._place, int(self._socket.getsockname()[1]))
        self._thread.start()
        for _ in range(500):
            if self._server.started:
                return
            if not self._thread.is_alive():
                break
            time.sleep(0.01)
        self._socket.close()
        raise DisplayError("the page server did not start; run without --display")

    def _run(self) -> None:
        async def serve() -> None:
            loop = asyncio.get_running_loop()
            # The terminal is the bench's: what goes wrong with a connection is no news there.
            loop.set_exception_handler(lambda *_: None)
            self._hub.attach(loop)
            await self._server.serve(sockets=[self._socket])

        # Whatever becomes of the page, the job goes on without it.
        with contextlib.suppress(asyncio.CancelledError, Exception):
            asyncio.run(serve())

    def show(self, view: View) -> None:
        """Let every page show this."""
        self._hub.show(view)

    def close(self) -> None:
        """Hand the review to the pages and stop serving."""
        if not self._thread.is_alive():
            return
        with contextlib.suppress(Exception):  # a page without its last message is no reason to end a job badly
            self._hub.finish(last_words(self._review(), self._report()))
        until = time.monotonic() + _FAREWELL
        while self._hub.watching and time.monotonic() < until:
            time.sleep(0.02)
        self._server.should_exit = True
        self._thread.join(timeout=5)
        self._socket.close()
