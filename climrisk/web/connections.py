"""Connections to the page: how many there may be, and how long a request may take.

A connection that has sent no whole request costs a place and no more, also before
anybody is asked for a token. It is closed after a deadline, and at once where its
place is needed.
"""

from __future__ import annotations

import asyncio
from typing import Any, Literal

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

#: Seconds for the header of a request, and then for its body.
HEADER_S, BODY_S = 10.0, 120.0
#: Open connections of one address, and of all.
MOST_OF_ONE, MOST = 100, 160

Stage = Literal["header", "body", "answer"]


class Connection(H11Protocol):
    """One connection, with deadlines for what it sends."""

    stage: Stage | None = None
    since = 0.0
    _timer: asyncio.TimerHandle | None = None

    @property
    def host(self) -> str:
        """Address of the other end."""
        client: tuple[str, int] | None = self.client
        return "" if client is None else client[0]

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the place, of another one if need be."""
        super().connection_made(transport)
        self._watch()
        self._make_room([c for c in self._open() if c.host == self.host], MOST_OF_ONE)
        self._make_room(self._open(), MOST)

    def data_received(self, data: bytes) -> None:
        """Read on."""
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """Wait for the next request."""
        super().on_response_complete()
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Stop the clock."""
        super().connection_lost(exc)
        if self._timer is not None:
            self._timer.cancel()

    def _watch(self) -> None:
        """Set the deadline anew where another stage has begun."""
        now: Stage = "answer"
        cycle: Any = self.cycle
        if cycle is None or cycle.response_complete:
            now = "header"
        elif cycle.more_body:
            now = "body"
        if self.stage == now:
            return
        self.stage, self.since = now, self.loop.time()
        if self._timer is not None:
            self._timer.cancel()
        self._timer = None
        if now != "answer":
            seconds = HEADER_S if now == "header" else BODY_S
            self._timer = self.loop.call_later(seconds, self.transport.abort)

    def _open(self) -> list[Connection]:
        return [
            c
            for c in self.connections
            if isinstance(c, Connection) and not c.transport.is_closing()
        ]

    def _make_room(self, crowd: list[Connection], most: int) -> None:
        """Close the one that has kept us waiting longest, where there are too many."""
        if len(crowd) <= most:
            return
        waiting = [c for c in crowd if c is not self and c.stage != "answer"]
        min(waiting, key=lambda c: c.since, default=self).transport.abort()


def server_config(app: ASGIApp) -> uvicorn.Config:
    """Return how the page is served; requests are not logged: they tell of the home."""
    return uvicorn.Config(
        app,
        http=Connection,
        ws="none",
        log_level="error",
        access_log=False,
        server_header=False,
        timeout_keep_alive=10,
        limit_concurrency=200,
        timeout_graceful_shutdown=3,
    )
