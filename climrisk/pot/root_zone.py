"""Root-zone temperature of a pot at a spot."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Float
from climrisk.core.chunked import THREADS, share_out
from climrisk.pot.forcing import (
    Forgetting,
    any_hour,
    forcing_of,
    lay_out,
    unknown_hours,
)
from climrisk.pot.grid_shape import Setup, cut
from climrisk.pot.kernel.integrator import Marcher, marched
from climrisk.pot.model import FilledPot, PotNumbers, reference_pot
from climrisk.pot.time_chunks import (
    Piece,
    dealt,
    even_pieces,
    may_freeze,
    pieces_between,
    summer_cuts,
)
from climrisk.spot.climate import SpotClimate

REFERENCE_POT = reference_pot()

#: After a gap, and at a record's start, the root zone is unknown for this many time
#: constants; a piece of a long series is warmed up for twice as many.
UNKNOWN_CONSTANTS, WARM_UP_CONSTANTS = 5.0, 10.0
#: Film of a pot in light air. [W/m2/K]
USUAL_FILM_W_M2K = 10.0
#: Hours that are laid out and marched at a time.
_STRETCH_H = 480
#: Squares of the first roots of J0(z) and cos(mu).
_SIDE_ROOT, _TOP_ROOT = 5.783, 2.467


@dataclass(frozen=True)
class RootZone:
    """Temperature of the medium.

    Parameters
    ----------
    mean_c : ndarray, shape (time, case)
        Volume mean of the medium at the start of each hour: the root zone. NaN where
        the forcing is unknown and until the pot has forgotten the gap.
    axis_c : ndarray, shape (time, case), optional
        At the axis, where it was asked for.
    """

    mean_c: Float
    axis_c: Float | None = None


def time_constant_h(
    pot: FilledPot | PotNumbers, film_w_m2k: float = USUAL_FILM_W_M2K
) -> float:
    """Return the slowest time constant of a pot, side and top exposed. [h]

    The film in series with inner resistances 2R/(z1^2 k) of the side and H/(mu1^2 k) of
    the top, z1 = 2.405 (first root of J0) and mu1 = pi/2: exact for a thin and for a
    strong film, up to 9 % above the exact value between (Carslaw & Jaeger 1959, 7.7).
    """
    k, c = pot.conductivity_w_mk, pot.heat_capacity_j_m3k
    side = 2 / pot.radius_m / (1 / film_w_m2k + 2 * pot.radius_m / (_SIDE_ROOT * k))
    top = 1 / pot.fill_m / (1 / film_w_m2k + pot.fill_m / (_TOP_ROOT * k))
    return c / (side + top) / 3600


@dataclass(frozen=True)
class RootZones:
    """Root zones of pots at one spot: what they share is laid out once.

    Parameters
    ----------
    climate : SpotClimate
        Arrays (time, case).
    threads : int
        Pieces of the series, or cases, are marched side by side.
    """

    climate: SpotClimate
    threads: int = THREADS
    _forcings: dict[type, list[Float]] = field(
        default_factory=dict, init=False, repr=False
    )

    @cached_property
    def _unknown(self) -> Bool | None:
        return unknown_hours(self.climate)

    @cached_property
    def _frosty(self) -> bool:
        return may_freeze(self.climate.air_c)

    @cached_property
    def _summers(self) -> list[int]:
        return summer_cuts(self.climate.air_c)

    def _forcing(self, dtype: type) -> list[Float]:
        if dtype not in self._forcings:
            start = any_hour(self.climate.air_c.shape[1])
            self._forcings[dtype] = forcing_of(
                self.climate, self._unknown, start, dtype
            )
        return self._forcings[dtype]

    def of(
        self,
        pot: FilledPot | PotNumbers,
        *,
        setup: Setup = "screening",
        n_r: int | None = None,
        n_z: int | None = None,
        substeps: int = 4,
        dtype: type = np.float32,
        with_axis: bool = False,
    ) -> RootZone:
        """Return the root zone of a pot.

        Parameters
        ----------
        pot : FilledPot or PotNumbers
            The same for all cases.
        setup : {"screening", "full"}
        n_r, n_z : int, optional
            Rings and layers, where not those of the set-up: one layer for the quick
            interior, several for the whole pot with its wall.
        substeps : int
            Steps an hour.
        dtype : type
            float32 or float64.
        with_axis : bool
            Also return the temperature at the axis.
        """
        usual = cut(setup, pot.radius_m)
        n_r, n_z = n_r or usual[0], n_z or usual[1]
        numbers = pot.numbers if isinstance(pot, FilledPot) else pot
        hours, cases = self.climate.air_c.shape
        forcing = self._forcing(dtype)
        in_air = numbers.bottom_in_air
        warm = int(np.ceil(WARM_UP_CONSTANTS * time_constant_h(pot))) + 24
        if n_z > 1:
            # From the last watering on, a piece is as wet as the whole.
            warm += int(np.ceil(numbers.watered_every_h))
        mean: Float = np.empty((hours, cases), dtype)
        axis: Float = np.empty((hours if with_axis else 0, cases), dtype)
        if n_z > 1 or self._frosty:
            pieces = pieces_between(self._summers, warm)
        else:
            pieces = even_pieces(hours, cases, warm)
        pressure_pa = self.climate.pressure_pa
        marcher = Marcher(pressure_pa, numbers, n_r, n_z, substeps, dtype)

        def run(block: list[Piece]) -> None:
            longest = max(stop - start for start, _, stop in block)
            held = np.empty((_STRETCH_H + 1, len(forcing), len(block) * cases), dtype)
            march = None
            # A stretch of hours stays in the cache between being laid out and marched.
            for begin in range(0, longest, _STRETCH_H):
                end = min(begin + _STRETCH_H, longest)
                part = held[: min(end + 1, longest) - begin]
                lay_out(forcing, block, begin, part, in_air=in_air)
                if march is None:
                    march = marcher.begin(part[0], [start for start, _, _ in block])
                got_mean, got_axis = marched(
                    march, part, end - begin, with_axis=with_axis
                )
                for i, (start, first, stop) in enumerate(block):
                    rows = slice(max(first - start, begin), min(stop - start, end))
                    if rows.start < rows.stop:
                        source = slice(rows.start - begin, rows.stop - begin)
                        lanes = slice(i * cases, (i + 1) * cases)
                        target = slice(start + rows.start, start + rows.stop)
                        mean[target] = got_mean[source, lanes]
                        if with_axis:
                            axis[target] = got_axis[source, lanes]

        share_out(run, dealt(pieces, self.threads))
        forgetting = Forgetting(UNKNOWN_CONSTANTS * time_constant_h(pot))
        lost = forgetting.add(hours, self._unknown)
        return masked(mean, lost, axis if with_axis else None)


def root_zone(
    climate: SpotClimate,
    pot: FilledPot | PotNumbers,
    *,
    setup: Setup = "screening",
    dtype: type = np.float32,
    with_axis: bool = False,
) -> RootZone:
    """Return the root zone of one pot at a spot, as `RootZones.of` does."""
    return RootZones(climate).of(pot, setup=setup, dtype=dtype, with_axis=with_axis)


def masked(
    mean: Float, lost: NDArray[np.bool_] | None, axis: Float | None = None
) -> RootZone:
    """Return the root zone, unknown where it is lost; the arrays are its own."""
    if lost is not None:
        for out in (mean, axis):
            if out is None:
                continue
            if lost.shape[1] == 1:
                out[np.flatnonzero(lost)] = np.nan
            else:
                np.copyto(out, np.nan, where=lost)
    return RootZone(mean, axis)
