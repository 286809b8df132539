"""Limits of time and size on what a server sends, whichever library asks it.

A socket's own time-out begins anew with every byte, and no library that the client
uses limits the size of an answer. Both `urllib` and `requests` read their answers
through `http.client`, so that the limits stand there.
"""

from __future__ import annotations

import http.client
import io
import socket
import threading
import time
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

#: Of an answer that is sent compressed, so much less may arrive.
_PACKED = 20
_CHUNK_BYTES = 1_000_000


class LimitExceededError(OSError):
    """A server sent too slowly or too much."""


@dataclass(frozen=True)
class DownloadLimit:
    """What one answer may take.

    Parameters
    ----------
    seconds : float
        From the request to the end of the answer.
    size : int
        Bytes of headers and body as sent.
    unpacked_size : int
        Bytes of a compressed file once it is unpacked.
    """

    seconds: float
    size: int
    unpacked_size: int = 200_000_000


class Fetch:
    """A request with all its repetitions and redirections.

    Parameters
    ----------
    limit : DownloadLimit
        Of each answer.
    times : float
        How many times the limit all answers together may take.
    """

    def __init__(self, limit: DownloadLimit, times: float = 1.5) -> None:
        self.limit = limit
        self.ends = time.monotonic() + times * limit.seconds
        self.left = int(times * limit.size)


class _Answer:
    """What is left to one answer."""

    def __init__(self, fetch: Fetch) -> None:
        self.fetch = fetch
        self.ends = min(time.monotonic() + fetch.limit.seconds, fetch.ends)
        self.left = fetch.limit.size

    def seconds_left(self) -> float:
        left = self.ends - time.monotonic()
        if left <= 0:
            msg = f"no complete answer within {self.fetch.limit.seconds:g} s"
            raise LimitExceededError(msg)
        return left

    def take(self, count: int) -> None:
        self.left -= count
        self.fetch.left -= count
        if min(self.left, self.fetch.left) < 0:
            msg = f"an answer of more than {self.fetch.limit.size / 1e6:g} MB"
            raise LimitExceededError(msg)

    def check_unpacked(self, data: bytes) -> None:
        """Raise where a gzip file would unpack to too much."""
        size = 0
        while data.startswith(b"\x1f\x8b"):
            member = zlib.decompressobj(wbits=31)
            while data and not member.eof:
                try:
                    size += len(member.decompress(data, _CHUNK_BYTES))
                except zlib.error:
                    return  # a broken file, which its reader reports
                data = member.unconsumed_tail
                if size > self.fetch.limit.unpacked_size:
                    most = self.fetch.limit.unpacked_size / 1e6
                    msg = f"a file that unpacks to more than {most:g} MB"
                    raise LimitExceededError(msg)
            data = member.unused_data


class _LimitedReader(io.RawIOBase):
    """What a socket receives, within the limits."""

    def __init__(self, raw: Any, sock: socket.socket, answer: _Answer) -> None:
        super().__init__()
        self._raw, self._socket, self._answer = raw, sock, answer
        self._timeout = sock.gettimeout()

    def readable(self) -> bool:
        """Return True."""
        return True

    def fileno(self) -> int:
        """Return the socket's number."""
        return int(self._raw.fileno())

    def readinto(self, buffer: Any) -> int:
        """Receive; the socket waits no longer than time is left."""
        left = self._answer.seconds_left()
        patience = left if self._timeout is None else min(left, self._timeout)
        self._socket.settimeout(patience)
        try:
            count = int(self._raw.readinto(buffer) or 0)
        except TimeoutError:
            self._answer.seconds_left()
            raise
        self._answer.take(count)
        return count

    def close(self) -> None:
        """Close the socket's reader too."""
        self._raw.close()
        super().close()


@contextmanager
def limited(fetch: Fetch) -> Iterator[None]:
    """Apply the limits of a fetch to all answers that this thread receives meanwhile.

    Only one thread at a time may be inside.
    """
    thread = threading.get_ident()
    usual = http.client.HTTPConnection.response_class

    class Response(usual):  # type: ignore[valid-type, misc]
        def __init__(self, sock: socket.socket, *given: Any, **more: Any) -> None:
            super().__init__(sock, *given, **more)
            self._answer = None
            if threading.get_ident() == thread:
                self._answer = _Answer(fetch)
                received: Any = self.fp
                reader = _LimitedReader(received.detach(), sock, self._answer)
                self.fp: Any = io.BufferedReader(reader)

        def begin(self) -> None:
            super().begin()
            if self._answer and self.headers.get("Content-Encoding"):
                self._answer.left //= _PACKED

        def read(self, amt: int | None = None) -> bytes:
            data: bytes = super().read(amt)
            if self._answer and amt is None:
                self._answer.check_unpacked(data)
            return data

    http.client.HTTPConnection.response_class = Response
    try:
        yield
    finally:
        http.client.HTTPConnection.response_class = usual
