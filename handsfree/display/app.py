"""The page and its streams: what may be asked for, and by whom."""

from __future__ import annotations

import hmac
import json
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from urllib.parse import urlsplit

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import FileResponse, HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import BaseRoute, Mount, Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from handsfree.display.door import Door
from handsfree.display.hub import Hub
from handsfree.display.review import JobReview

PAGE = Path(__file__).parent / "page"
FILES = {"page.css": "text/css", "page.js": "text/javascript", "show.js": "text/javascript"}
PRESSES = ("next", "stand by", "back at the bench")
PRESS_HEADER = "x-handsfree-press"

_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_REPORT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; media-src data:; frame-ancestors 'none'"
_OWN_NAMES = ("localhost", "127.0.0.1", "::1")


def make_app(
    hub: Hub,
    *,
    key: str = "",
    review: Callable[[], JobReview | None] = lambda: None,
    report: Callable[[], str | None] = lambda: None,
    press: Callable[[str], None] | None = None,
    door: Door | None = None,
) -> ASGIApp:
    """The application. With a ``key`` everything lies below it, and anything else gets nothing.

    ``review`` and ``report`` are called in threads of their own. Without ``press`` there is nothing that can be done.
    ``door`` is told who may stay.
    """

    async def page(request: Request) -> Response:
        return FileResponse(PAGE / "index.html", media_type="text/html")

    async def file(request: Request) -> Response:
        name = request.path_params["name"]
        return FileResponse(PAGE / name, media_type=FILES[name]) if name in FILES else Response(status_code=404)

    async def events(request: Request) -> Response:
        return StreamingResponse(hub.messages(), media_type="text/event-stream")

    async def what_there_is(request: Request) -> Response:
        return JSONResponse({"buttons": press is not None})

    async def review_now(request: Request) -> Response:
        review_shown = await run_in_threadpool(review)
        return JSONResponse(asdict(review_shown)) if review_shown is not None else Response(status_code=404)

    async def report_now(request: Request) -> Response:
        html = await run_in_threadpool(report)
        if html is None:
            return Response(status_code=404)
        return HTMLResponse(html, headers={"content-security-policy": _REPORT_POLICY})

    async def pressed(request: Request) -> Response:
        words = request.headers.get(PRESS_HEADER, "")
        if press is None or words not in PRESSES or not _same_origin(request.headers):
            return Response(status_code=403)
        press(words)
        return Response(status_code=204)

    routes: list[BaseRoute] = [
        Route("/", page),
        Route("/events", events),
        Route("/what", what_there_is),
        Route("/review", review_now),
        Route("/report", report_now),
        Route("/{name}", file),
    ]
    if press is not None:
        routes.insert(0, Route("/press", pressed, methods=["POST"]))
    return _Guard(Starlette(routes=[Mount(f"/{key}" if key else "/", routes=routes)]), key, door)


def _same_origin(headers: Headers) -> bool:
    """Whether no other site's page is behind this."""
    origin = headers.get("origin")
    try:
        return origin is None or urlsplit(origin).netloc == headers.get("host")
    except ValueError:
        return False


class _Guard:
    """Lets nobody in without the key; without a key, nobody by another name than this machine's own (a page from
    elsewhere could otherwise have a name of its own point here). Puts the headers on what goes out."""

    def __init__(self, app: ASGIApp, key: str, door: Door | None) -> None:
        self._app = app
        self._door = door
        self._key = key.encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or not self._may_enter(scope) or not self._may_stay(scope):
            await _nothing(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                have = {name for name, _ in message["headers"]}
                added = [(name, value) for name, value in _HEADERS if name not in have]
                message = {**message, "headers": [*message["headers"], *added]}
            await send(message)

        await self._app(scope, receive, with_headers)

    def _may_enter(self, scope: Scope) -> bool:
        if self._key:
            given = str(scope["path"]).split("/")[1:2]
            return hmac.compare_digest("".join(given).encode("utf-8", "replace"), self._key)
        try:
            return urlsplit(f"//{Headers(scope=scope).get('host', '')}").hostname in _OWN_NAMES
        except ValueError:  # such as "[::1"
            return False

    def _may_stay(self, scope: Scope) -> bool:
        client = scope.get("client")
        return self._door is None or self._door.let_in(tuple(client) if client else None)


_HEADERS = (
    (b"content-security-policy", _POLICY.encode()),
    (b"cache-control", b"no-store"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
)


async def _nothing(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "http":
        await Response(status_code=404, headers={"connection": "close"})(scope, receive, send)
    elif scope["type"] == "websocket":
        await send({"type": "websocket.close"})


def last_words(review: JobReview | None, report: str | None) -> str:
    """The last message of a job: what the page keeps when the server is gone."""
    return json.dumps({"review": asdict(review) if review else None, "report": report}, ensure_ascii=False)
