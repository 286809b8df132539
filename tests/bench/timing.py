"""Least seconds of some calls, and a line that says so."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any


def best(function: Callable[[], Any], repeats: int = 5) -> float:
    """Return the least seconds of some calls, after one that warms up."""
    function()
    took = []
    for _ in range(repeats):
        start = time.perf_counter()
        function()
        took.append(time.perf_counter() - start)
    return min(took)


def say(what: str, value: float, unit: str, goal: str = "") -> None:
    """Print a measure and its goal."""
    print(f"{what:58} {value:10.3g} {unit:18} {goal}")
