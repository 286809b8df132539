"""How the C library hands out memory to many threads and large arrays."""

from __future__ import annotations

import contextlib
import ctypes

# Names of glibc's settings (malloc.h).
_TRIM_THRESHOLD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -3, -8
TRIM_BYTES, MMAP_BYTES = 256 * 2**20, 32 * 2**20


def keep_freed_memory(threads: int) -> None:
    """Keep memory that was freed, in as many heaps as threads and one more.

    With its own settings glibc asks the system for each large array, which costs a
    quarter of the time, and gives each helper of a store a heap of its own, which
    takes a fifth more memory. To be called before the store is opened; nothing happens
    where the C library is another.
    """
    with contextlib.suppress(OSError, AttributeError):
        mallopt = ctypes.CDLL(None).mallopt
        mallopt(_ARENA_MAX, threads + 1)
        mallopt(_MMAP_THRESHOLD, MMAP_BYTES)
        mallopt(_TRIM_THRESHOLD, TRIM_BYTES)
