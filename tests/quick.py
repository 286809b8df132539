"""Which cases of a test belong to every run, and which to the long one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pytest


def but_quick(cases: Iterable[Any], *quick: Any) -> list[Any]:
    """Return the cases with all but the quick ones marked long.

    A case that is a tuple holds a value for each argument of the test.
    """
    cases = list(cases)
    missing = [one for one in quick if one not in cases]
    assert not missing, missing
    return [
        one
        if one in quick
        else pytest.param(
            *(one if isinstance(one, tuple) else (one,)), marks=pytest.mark.long
        )
        for one in cases
    ]


def shorten_demo(patch: pytest.MonkeyPatch) -> None:
    """Let the command ``demo`` answer from the last six years of its record."""
    from climrisk.commands.demo import compute
    from climrisk.weather.synthetic import demo_weather

    whole = demo_weather()
    last = whole.between(len(whole) - 6 * 8766, len(whole))
    patch.setattr(compute, "demo_weather", lambda: last)
