"""Compiled functions, kept on disk where that is possible."""

from __future__ import annotations

import contextlib
import functools
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from numba import njit
from numba.core import ir

_LOCK, _LOCK_S = ".climrisk-compiled.lock", 30.0
_COMPILING, _COMPILING_S = ".climrisk-compiling.lock", 300.0


def cached_njit(
    *, apart: bool = False, **options: Any
) -> Callable[[Callable[..., Any]], Any]:
    """Return numba's decorator with a cache that only ever saves time.

    A cache that is damaged, or a disk that is full or read-only, would otherwise end
    the program: then the function is compiled for this process alone.

    Parameters
    ----------
    apart : bool
        No two arrays that the function is given overlap. Without this the compiler
        tests it before every loop, and gives up vectors where there are many arrays.
    **options
        As numba takes them.
    """

    def decorate(function: Callable[..., Any]) -> Any:
        compiled = njit(**options)(function)
        _compile_with_light_copies(compiled, apart=apart)
        with contextlib.suppress(RuntimeError, AttributeError):
            # RuntimeError: no folder for it; AttributeError: compiling is switched off.
            compiled.enable_caching()
            _tolerate(compiled._cache)
        return compiled

    return decorate


def _compile_with_light_copies(compiled: Any, *, apart: bool) -> None:
    """Spare numba copies that take half of the time to compile pieces put into a loop.

    Of each piece that is put into its caller numba copies every block of code, and with
    each of them the table of all variables and the place in the source of each. What
    is compiled is the same, instruction by instruction.
    """
    compiler = getattr(compiled, "_compiler", None)  # none where compiling is off
    if compiler is None:
        return
    compile_form = compiler.compile

    @functools.wraps(compile_form)
    def with_light_copies(*given: Any) -> Any:
        with _compiling, _as_they_are(ir.Scope, ir.Loc):
            return compile_form(*given)

    compiler.compile = with_light_copies
    if apart:
        compiler._customize_flags = _without_overlap


def _without_overlap(flags: Any) -> Any:
    flags.noalias = True
    return flags


#: numba compiles in one thread at a time, which may begin another function meanwhile.
_compiling = threading.RLock()


@contextmanager
def _as_they_are(*kinds: Any) -> Iterator[None]:
    """Let copies of what holds objects of some kinds hold the same objects."""
    outermost = [kind for kind in kinds if "__deepcopy__" not in vars(kind)]
    for kind in outermost:
        kind.__deepcopy__ = _itself
    try:
        yield
    finally:
        for kind in outermost:
            del kind.__deepcopy__


def _itself(held: Any, _: Any) -> Any:
    return held


@contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Let one process at a time compile for the cache in a folder.

    Where there can be no lock, or it takes too long, all go on.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / _COMPILING, timeout=_COMPILING_S)
    with contextlib.ExitStack() as held:
        with contextlib.suppress(OSError, NotImplementedError, Timeout):
            held.enter_context(lock)
        yield


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
