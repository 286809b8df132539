"""How long a pot stays wet after watering, from the water budget of the kernel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.chunked import share_out
from climrisk.pot.forcing import any_hour, forcing_of, lay_out, unknown_hours
from climrisk.pot.grid import holds_kg
from climrisk.pot.kernel.integrator import Marcher
from climrisk.pot.layers import RESERVOIR_VOIDS
from climrisk.pot.model import FilledPot, PotNumbers
from climrisk.spot.climate import SpotClimate

#: Rings, layers and sub-steps: how fast a pot dries is settled at its surfaces, so that
#: few layers serve; as many rings as in the full set-up, whose compiled loop is shared.
GRID, _SUBSTEPS = (6, 3), 2
#: Days followed after watering.
MOST_D = 60
_DAY_H = 24


@dataclass(frozen=True)
class Drying:
    """Water of a pot day by day after watering, arrays of shape (day, start, case).

    Day 0 is the moment of watering: drained, and with a full reservoir, if any.

    Parameters
    ----------
    held_kg : ndarray
        In medium and reservoir.
    evaporated_kg : ndarray
        Since watering, less dew.
    run_off_kg : ndarray
        Dew beyond what the pot holds.
    damp_kg, dry_kg : float
        Held by a medium that is damp and dry, as `Medium.water` defines these classes.
    empty_kg : float or None
        Held by the drained medium once the reservoir is empty; None without one.
    """

    held_kg: Float
    evaporated_kg: Float
    run_off_kg: Float
    damp_kg: float
    dry_kg: float
    empty_kg: float | None

    @property
    def dry_after_d(self) -> Float:
        """Days until medium or reservoir is dry, `MOST_D` at most, (start, case)."""
        return self._days_to(self.dry_kg if self.empty_kg is None else self.empty_kg)

    def wet_share(self, every_d: float) -> Float:
        """Return the share of time in which the medium is wetter than damp.

        Always 1 with a reservoir. Shape (start, case).

        Parameters
        ----------
        every_d : float
            Days between waterings.
        """
        if self.empty_kg is not None:
            return np.ones(self.held_kg.shape[1:])
        return np.minimum(self._days_to(self.damp_kg), every_d) / every_d

    def _days_to(self, level_kg: float) -> Float:
        """Return when the water first falls to a level, between days on a line."""
        held = self.held_kg
        reached = held[1:] <= level_kg
        day = np.where(reached.any(axis=0), reached.argmax(axis=0), len(held) - 2)
        early, late = (np.take_along_axis(held, d[None], 0)[0] for d in (day, day + 1))
        part = (early - level_kg) / np.maximum(early - late, 1e-12)
        return np.asarray(day + np.clip(part, 0.0, 1.0))


def just_watered(pot: FilledPot) -> FilledPot:
    """Return a pot as it stands just after watering, when it has drained."""
    return replace(pot, wetness="wet", watered_every_d=None)


def drying(
    climate: SpotClimate,
    pot: FilledPot,
    starts: NDArray[np.int64],
    *,
    numbers: PotNumbers | None = None,
    grid: tuple[int, int] = GRID,
    most_d: int = MOST_D,
) -> Drying:
    """Return how a pot dries from some hours of the record on.

    Water leaves only by evaporation from the top of the medium and from the wall, at
    the pace of a well-watered surface until half of it is gone and in proportion to
    the water held from then on. What a plant drinks would shorten it and rain would
    lengthen it; both are left out.

    Parameters
    ----------
    climate : SpotClimate
        Arrays (time, case).
    pot : FilledPot
    starts : ndarray of int, shape (start,)
        Hours of the record on which it is watered. Where the record ends within
        `most_d` days, its last hour lasts.
    numbers : PotNumbers, optional
        A variant of those of `just_watered(pot)`.
    grid : (int, int)
        Rings and layers.
    most_d : int
        Days followed.
    """
    wet = just_watered(pot)
    numbers = numbers or wet.numbers
    medium, full = pot.medium, holds_kg(numbers)
    per_share = full / medium.water("wet")
    reservoir = _reservoir_kg(wet)
    budget = (full + reservoir, full / 2)
    cases = climate.air_c.shape[1]
    forcing = forcing_of(climate, unknown_hours(climate), any_hour(cases), np.float32)
    marcher = Marcher(
        *(climate.pressure_pa, numbers, *grid, _SUBSTEPS, np.float32), budget=budget
    )
    found = np.empty((3, most_d + 1, len(starts), cases))
    found[:, 0] = np.array([budget[0], 0.0, 0.0])[:, None, None]
    enough = 0.99 * min(per_share * medium.water("dry"), full)

    def run(some: slice) -> None:
        hours = _DAY_H * most_d + 1
        last = len(climate.air_c)
        pieces = [(int(s), int(s), min(int(s) + hours, last)) for s in starts[some]]
        longest = max(stop - start for start, _, stop in pieces)
        shape = longest, len(forcing), len(pieces) * cases
        stack: Float = np.empty(shape, np.float32)
        lay_out(forcing, pieces, 0, stack, in_air=numbers.bottom_in_air)
        march = marcher.begin(stack[0], [p[0] for p in pieces])
        out: Float = np.empty((2, _DAY_H, stack.shape[2]), np.float32)
        for day in range(most_d):
            rows = stack[day * _DAY_H : (day + 1) * _DAY_H + 1]
            if len(rows) <= _DAY_H:
                rows = np.repeat(stack[-1:], _DAY_H + 1, axis=0)
            march.add(rows, out[0], out[1], np.zeros(0))
            water = march.ends().water
            assert water is not None
            here = found[:, day + 1, some]
            here[:] = water[[0, 1, 3]].reshape(here.shape)
            if (here[0] <= enough).all():
                found[:, day + 2 :, some] = here[:, None]
                break

    half = (len(starts) + 1) // 2
    share_out(run, [slice(i, i + half) for i in range(0, len(starts), half)])
    held, evaporated, run_off = found
    return Drying(
        held,
        evaporated,
        run_off,
        per_share * medium.water("damp"),
        per_share * medium.water("dry"),
        full if reservoir else None,
    )


def _reservoir_kg(pot: FilledPot) -> float:
    """Return the water that a reservoir holds beyond that of its drained medium."""
    if pot.kind != "self-watering":
        return 0.0
    medium, layer = pot.medium, pot.below[0]
    voids = min(RESERVOIR_VOIDS, medium.total_porosity - medium.water("wet"))
    return float(1000 * np.pi * pot.radius_m**2 * layer.thickness_m * voids)
