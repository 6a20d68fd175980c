"""Who may keep a connection open: whoever has shown the key; everybody else briefly, and few at a time.

Without this, idle connections from anybody in the network would use up the files that the job itself has to open, or
the places that the tablet needs. Where there is no more room, the stranger who has waited longest goes: a page that
comes shows its key at once.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from typing import Any, Protocol

from uvicorn.protocols.http.h11_impl import H11Protocol

MOST_STRANGERS = 96
MOST_STRANGERS_BY_ADDRESS = 8
"""Of those who have had the time to show the key."""
SHOWING_SECONDS = 0.5
"""A page shows its key in far less, even if many come at once."""
STRANGER_SECONDS = 4.0
"""How long somebody who has not shown the key may keep a connection."""

MOST_GUESTS = 64
"""Connections of pages with the key; a page has one or two."""

ACCEPTED_AT_ONCE = 16

Client = tuple[str, int]


class Connection(Protocol):
    """A connection that can be broken off."""

    def break_off(self) -> None:
        """Close it at once."""


class Door:
    """Keeps the connections that are open. Everything happens on the server's loop."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._strangers: dict[Client, tuple[Connection, float]] = {}
        self._guests: dict[Client, Connection] = {}

    def come(self, client: Client, connection: Connection) -> None:
        """Somebody has connected."""
        now = self._clock()
        waited = (other for other, (_, since) in self._strangers.items() if now - since > SHOWING_SECONDS)
        beside = [other for other in waited if other[0] == client[0]]
        for other in beside[: max(0, len(beside) - MOST_STRANGERS_BY_ADDRESS + 1)]:
            self._turn_out(other)
        if len(self._strangers) >= MOST_STRANGERS:
            self._turn_out(next(iter(self._strangers)))
        self._strangers[client] = connection, now

    def _turn_out(self, client: Client) -> None:
        self._strangers.pop(client)[0].break_off()

    def let_in(self, client: Client | None) -> bool:
        """Somebody has shown the key; whether there is room."""
        if client is None or client in self._guests:
            return True
        if client not in self._strangers or len(self._guests) >= MOST_GUESTS:
            return False
        self._guests[client] = self._strangers.pop(client)[0]
        return True

    def go(self, client: Client) -> None:
        """A connection has ended."""
        self._strangers.pop(client, None)
        self._guests.pop(client, None)

    def lose_patience(self, client: Client) -> None:
        """Break off a connection if nobody has shown the key on it."""
        if client in self._strangers:
            self._turn_out(client)


def connections_through(door: Door) -> type[asyncio.Protocol]:
    """The server's connections, each of which goes through ``door``."""

    class Guarded(H11Protocol):
        def connection_made(self, transport: Any) -> None:
            super().connection_made(transport)
            if self.client is not None:
                door.come(self.client, self)
                self._patience = self.loop.call_later(STRANGER_SECONDS, door.lose_patience, self.client)

        def connection_lost(self, exc: Exception | None) -> None:
            if self.client is not None:
                door.go(self.client)
                self._patience.cancel()
            super().connection_lost(exc)

        def break_off(self) -> None:
            self.transport.abort()

    return Guarded
