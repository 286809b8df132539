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
