"""Compiled functions, kept on disk where that is possible."""

from __future__ import annotations

import contextlib
import functools
from collections.abc import Callable
from pathlib import Path
from typing import Any

from numba import njit

_LOCK, _LOCK_S = ".climrisk-compiled.lock", 30.0


def cached_njit(**options: Any) -> Callable[[Callable[..., Any]], Any]:
    """Return numba's decorator with a cache that only ever saves time.

    A cache that is damaged, or a disk that is full or read-only, would otherwise end
    the program: then the function is compiled for this process alone.
    """

    def decorate(function: Callable[..., Any]) -> Any:
        compiled = njit(**options)(function)
        with contextlib.suppress(RuntimeError, AttributeError):
            # RuntimeError: no folder for it; AttributeError: compiling is switched off.
            compiled.enable_caching()
            _tolerate(compiled._cache)
        return compiled

    return decorate


def _tolerate(cache: Any) -> None:
    load, save = cache.load_overload, cache.save_overload

    @functools.wraps(load)
    def tolerant_load(*given: Any) -> Any:
        try:
            return load(*given)
        except Exception:
            # Whatever reading a damaged file leads to: begin a new one.
            with contextlib.suppress(OSError):
                cache.flush()
            return None

    @functools.wraps(save)
    def tolerant_save(*given: Any) -> None:
        from filelock import FileLock, Timeout

        # Processes that save at once would give two functions the same file.
        lock = FileLock(Path(cache.cache_path) / _LOCK, timeout=_LOCK_S)
        with contextlib.suppress(OSError, NotImplementedError, Timeout), lock:
            save(*given)

    cache.load_overload, cache.save_overload = tolerant_load, tolerant_save
