"""A long series cut into pieces: a pot forgets, so few cases become many."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.chunked import THREADS, is_single_threaded
from climrisk.pot.kernel.simd_layout import LANES

#: First hour marched, first hour kept, hour after the last.
Piece = tuple[int, int, int]

#: Cases marched together; below it the loops are too short to pay.
_TOGETHER = 480
_YEAR_H, _TEN_DAYS_H = 8766, 240
#: Ten days with this mean thaw any pot; a piece begins at their end.
_NO_ICE_C = 8.0
#: A pot loses no more than this to the sky.
_FROST_NEAR_C = 4.0


def even_pieces(hours: int, cases: int, warm: int) -> list[Piece]:
    """Cut a long series into pieces (start, first, stop) of about equal length.

    A pot forgets in days: each piece starts `warm` hours early and its first hours
    are thrown away, so that few cases become many.
    """
    wanted = max(1, round(THREADS * _TOGETHER / cases))
    if cases >= LANES and is_single_threaded():
        wanted = 1  # as wide as the loops already, and nobody to share with
    count = max(1, min(wanted, hours // (4 * warm)))
    edges = np.linspace(0, hours, count + 1).astype(int)
    return pieces_between(edges.tolist(), warm)


def may_freeze(air_c: Float) -> bool:
    """Whether a pot in such air may hold ice at some time; False of no known hour."""
    return bool((air_c < _FROST_NEAR_C).any())


def summer_cuts(air_c: Float) -> list[int]:
    """Return where to cut a long series: its begin, its summers, and its end.

    No pot holds ice there that a piece would miss. Ice forgets slowly: a pot near its
    freezing point remembers weeks.
    """
    hours = len(air_c)
    coldest = (
        np.nan_to_num(np.fmin.reduce(air_c, axis=1), nan=-99.0) if hours else air_c
    )
    total = np.concatenate([[0.0], np.cumsum(coldest)])
    mean = (total[_TEN_DAYS_H:] - total[:-_TEN_DAYS_H]) / _TEN_DAYS_H
    cuts = [0]
    for middle in np.arange(_YEAR_H, hours - _YEAR_H // 2, _YEAR_H):
        first = int(middle) - _YEAR_H // 2
        last = min(first + _YEAR_H, len(mean))
        best = first + int(np.argmax(mean[first:last]))
        if mean[best] > _NO_ICE_C:
            cuts.append(best + _TEN_DAYS_H)
    return [*cuts, hours]


def pieces_between(cuts: list[int], warm: int) -> list[Piece]:
    """Return the pieces between cuts, each of which starts `warm` hours early."""
    return [(max(0, a - warm), a, b) for a, b in pairwise(cuts)]


def dealt(pieces: list[Piece], threads: int) -> list[list[Piece]]:
    """Deal pieces to threads."""
    size = -(-len(pieces) // threads)
    return [pieces[i : i + size] for i in range(0, len(pieces), size)]
