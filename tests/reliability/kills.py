"""Processes that are killed at work, at moments spread evenly over a span."""

from __future__ import annotations

import multiprocessing
import random
import time
from collections.abc import Callable
from multiprocessing.context import ForkServerContext
from typing import Any


def fork_server(*modules: str) -> ForkServerContext:
    """Return a context whose processes begin with modules loaded."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(list(modules))
    return context


def kill_at_work(
    processes: ForkServerContext,
    work: Callable[..., None],
    *arguments: Any,
    after_s: float,
    steps: int = 0,
) -> int:
    """Kill a process some time after some steps; return what it reported last.

    Parameters
    ----------
    processes : ForkServerContext
    work : callable
        Takes a pipe, to which it sends the number of its finished steps, and the
        arguments. It may end by itself.
    arguments
    after_s : float
    steps : int
        Finished steps to wait for, so that a slow machine finishes some as well.
    """
    ours, theirs = processes.Pipe(duplex=False)
    worker = processes.Process(target=work, args=(theirs, *arguments), daemon=True)
    worker.start()
    theirs.close()
    last = int(ours.recv())
    while last < steps:
        last = int(ours.recv())
    time.sleep(after_s)
    worker.kill()
    worker.join(30)
    while True:
        try:
            last = int(ours.recv())
        except (EOFError, OSError):
            return last


def moments(count: int, first_s: float, last_s: float) -> list[float]:
    """Return moments of kills, one in each part of a span, in random order."""
    chance = random.Random(count)
    step = (last_s - first_s) / count
    out = [first_s + step * (i + chance.random()) for i in range(count)]
    chance.shuffle(out)
    return out
