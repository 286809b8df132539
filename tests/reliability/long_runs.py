"""How often slow cases are repeated: a few times, or many with CLIMRISK_LONG=1."""

from __future__ import annotations

import os

LONG = os.environ.get("CLIMRISK_LONG") == "1"


def repeats(usual: int, at_length: int) -> int:
    """Return the number of repetitions; CLIMRISK_LONG=1 takes the second."""
    return at_length if LONG else usual
