"""Many plants, few trips.

Who goes together is settled at one fixed risk, whatever risk is asked for. A trip goes
by the date of its most pressing plant; each plant's date moves one way with the risk,
and so does the most pressing of a fixed group: more risk never makes a trip of autumn
earlier or one of spring later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

#: A night lost to a plant that wants the cool counts so many times one of another
#: (our choice).
COOL_WEIGHT = 3.0


@dataclass(frozen=True)
class Mover:
    """A plant that moves.

    Parameters
    ----------
    date : float or None
        Its date at the fixed risk, as a day of the growing year; None where it has
        none, because no cold night is as likely.
    wants_cool : bool
        A day outside in autumn is worth more to it.
    always : bool
        Cold may come at any time of its year: it goes by itself.
    """

    date: float | None
    wants_cool: bool = False
    always: bool = False


def grouped(movers: Sequence[Mover], most: int, *, autumn: bool) -> list[list[int]]:
    """Return who goes together, as places in `movers`, the first trip first.

    The fewest days given away: in autumn a trip goes by its earliest date, in spring
    by its latest. Those that are cold at any time make one trip of their own.

    Parameters
    ----------
    movers : sequence of Mover
    most : int
        Trips at most.
    autumn : bool
    """
    alone = [i for i, m in enumerate(movers) if m.always]
    rest = [i for i, m in enumerate(movers) if not m.always]
    # Without a date at the fixed risk a plant is the last to go in and the first out.
    # Turned round, spring is an autumn: its most pressing date comes first.
    turn = 1.0 if autumn else -1.0
    place = {i: turn * _date(movers[i], 366.0 if autumn else -1.0) for i in rest}
    # Those of one date go together: parting them saves no day.
    dated: dict[float, list[int]] = {}
    for i in sorted(rest, key=lambda i: (place[i], i)):
        dated.setdefault(place[i], []).append(i)
    together = list(dated.values())
    weights = [
        sum(COOL_WEIGHT if movers[i].wants_cool else 1.0 for i in row)
        for row in together
    ]
    runs = _split(list(dated), weights, max(1, most - bool(alone)))
    groups = [[i for row in together[first:stop] for i in row] for first, stop in runs]
    if not autumn:
        groups.reverse()
    return ([alone] if alone else []) + groups


def _date(mover: Mover, without: float) -> float:
    return without if mover.date is None else float(mover.date)


def _split(
    dates: Sequence[float], weights: Sequence[float], most: int
) -> list[tuple[int, int]]:
    """Return ascending dates cut into at most so many runs, fewest days given away.

    A run goes by its first date; of equal costs the fewer trips. Each is given by its
    first place and the one after its last.
    """
    n = len(dates)
    if n == 0:
        return []

    # Days given away by a run from i up to, not including, j.
    cost: dict[tuple[int, int], float] = {}
    for i in range(n):
        total = 0.0
        for j in range(i, n):
            total += weights[j] * (dates[j] - dates[i])
            cost[i, j + 1] = total
    # best[j]: least cost of the first j in so many trips, and where its last begins.
    best = [{j: (cost[0, j], 0) for j in range(1, n + 1)}]
    for trip in range(1, min(most, n)):
        before = best[-1]
        best.append(
            {
                j: min((before[i][0] + cost[i, j], i) for i in range(trip, j))
                for j in range(trip + 1, n + 1)
            }
        )
    trips = min(range(len(best)), key=lambda t: (round(best[t][n][0], 9), t))
    runs, stop = [], n
    for trip in range(trips, -1, -1):
        first = best[trip][stop][1]
        runs.append((first, stop))
        stop = first
    return runs[::-1]
