"""How a pot is cut into volumes: the two named set-ups."""

from __future__ import annotations

from typing import Literal

Setup = Literal["screening", "full"]

#: Shells of one layer that the wall is not part of, for long screening; or the pot in
#: all its parts. Four sub-steps an hour both.
SETUPS: tuple[Setup, ...] = ("screening", "full")
#: Wider pots are cut finer: the daily wave does not reach their middle.
_WIDE_M = 0.12


def cut(setup: Setup, radius_m: float) -> tuple[int, int]:
    """Return the rings and layers of a set-up."""
    if setup == "screening":
        return 8, 1
    return (8, 12) if radius_m > _WIDE_M else (6, 8)
