"""A file for HDF5 that reports a failed write only after HDF5 has finished.

The HDF5 library does not survive a write that fails (it ends the process with signal
11 when it closes the file), so that a full disk must be hidden from it.
"""

from __future__ import annotations

import io
import os
from pathlib import Path
from typing import Any


class UnfailingFile(io.RawIOBase):
    """A file whose first failed write is kept in `error`.

    What is written after that stays in memory, so that HDF5 reads back what it wrote.

    Parameters
    ----------
    path : Path
        Made if it is not there.
    """

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.error: OSError | None = None
        self._descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        self._at = 0
        self._size = os.fstat(self._descriptor).st_size
        self._in_memory: list[tuple[int, bytes]] = []

    def readable(self) -> bool:
        """Return True."""
        return True

    def writable(self) -> bool:
        """Return True."""
        return True

    def seekable(self) -> bool:
        """Return True."""
        return True

    def seek(self, offset: int, whence: int = os.SEEK_SET) -> int:
        """Move to a place and return it."""
        base = {os.SEEK_SET: 0, os.SEEK_CUR: self._at, os.SEEK_END: self._size}
        self._at = base[whence] + offset
        return self._at

    def tell(self) -> int:
        """Return the place."""
        return self._at

    def readinto(self, buffer: Any) -> int:
        """Fill a buffer with what was written, wherever it is."""
        view = memoryview(buffer).cast("B")
        count = max(0, min(len(view), self._size - self._at))
        view[:count] = self._read(self._at, count)
        self._at += count
        return count

    def write(self, data: Any) -> int:
        """Write, to memory after a failure."""
        raw = bytes(data)
        if self.error is None:
            try:
                self._write(raw)
            except OSError as error:
                self.error = error
        if self.error is not None:
            self._in_memory.append((self._at, raw))
        self._at += len(raw)
        self._size = max(self._size, self._at)
        return len(raw)

    def truncate(self, size: int | None = None) -> int:
        """Set the size."""
        self._size = self._at if size is None else size
        if self.error is None:
            try:
                os.ftruncate(self._descriptor, self._size)
            except OSError as error:
                self.error = error
        return self._size

    def close(self) -> None:
        """Close the file."""
        if not self.closed:
            os.close(self._descriptor)
        super().close()

    def _write(self, raw: bytes) -> None:
        done = 0
        while done < len(raw):
            done += os.pwrite(self._descriptor, raw[done:], self._at + done)

    def _read(self, start: int, count: int) -> bytes:
        held = bytearray(count)
        found = os.pread(self._descriptor, count, start)
        held[: len(found)] = found
        for at, raw in self._in_memory:
            first, stop = max(at, start), min(at + len(raw), start + count)
            if first < stop:
                held[first - start : stop - start] = raw[first - at : stop - at]
        return bytes(held)
